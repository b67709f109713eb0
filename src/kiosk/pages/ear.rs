//! An ear item: what is asked, the hearings, the answers as numbered rows.

use crate::engraving::symbol::{self, Setting};
use crate::engraving::{Anchor, Bounds, Face, Ink, Point};
use crate::exam::form::{EarTask, Item, Task};
use crate::exam::script::Ask;
use crate::kiosk::act::Act;
use crate::kiosk::model::Kiosk;
use crate::kiosk::paper::Role;
use crate::kiosk::seat::Seat;
use crate::kiosk::sheet::{Button, Sheet, TARGET, Type};
use crate::kiosk::words::fill;
use crate::theory::symbol as symbols;

/// Returns the part that is being answered: the first without an answer, or the last.
pub fn part(seat: &Seat) -> usize {
    let parts = match seat.item().map(|item| &item.task) {
        Some(Task::Ear(task)) => task.options.len(),
        _ => 0,
    };

    (0..parts)
        .find(|part| seat.answer.options.get(*part).copied().flatten().is_none())
        .unwrap_or(parts.saturating_sub(1))
}

/// Returns what a character does: a figure answers, the space bar hears again.
pub fn sign(seat: &Seat, sign: char) -> Option<Act> {
    match sign {
        ' ' => Some(Act::Hear),
        _ => {
            let figure = sign.to_digit(10)? as usize;
            let option = if figure == 0 { 9 } else { figure - 1 };
            Some(Act::Answer(part(seat), option))
        }
    }
}

pub(super) fn draw(
    sheet: &mut Sheet<Act>,
    kiosk: &Kiosk,
    seat: &Seat,
    item: &Item,
    task: &EarTask,
) {
    let paper = sheet.paper;
    let words = kiosk.setup.words;
    let sitting = seat.sitting();
    let limit = task
        .limit
        .scaled(i64::from(sitting.allowance().factor), 100);

    if let Some(left) = sitting.left() {
        super::time_left(sheet, words, left.min(limit), limit);
    }
    let below = super::title(sheet, words.listen, &item.prompt, words.ear_text);
    let side = hearings(sheet, kiosk, seat, below + paper.y(48.0));

    let mut top = if paper.is_folded() {
        side
    } else {
        below + paper.y(12.0)
    };
    let rows: usize = task.options.iter().map(Vec::len).sum();
    let room = paper.y(936.0) - top - paper.y(24.0) * (task.options.len() as f32 - 1.0);
    let row = (room / rows.max(1) as f32)
        .min(paper.y(104.0))
        .max(TARGET * 0.75);
    for (part, options) in task.options.iter().enumerate() {
        sheet.rule(paper.left(), paper.right(), top, 1.0, Ink::Quiet);
        for (place, option) in options.iter().enumerate() {
            let of = Row {
                part,
                place,
                option,
                ask: task.asks.get(part),
                is_chosen: seat.answer.options.get(part).copied().flatten() == Some(place),
                top,
                height: row,
            };
            of.draw(sheet, kiosk);
            top += row;
            let is_last = place + 1 == options.len();
            let ink = if is_last { Ink::Quiet } else { Ink::Rule };
            sheet.rule(paper.left(), paper.right(), top, 1.0, ink);
        }
        top += paper.y(24.0);
    }

    sheet.foot(words.next, words.next_handed_in);
    let button = Button::at_foot(&paper, words.hand_in, words.enter);
    let _ = sheet.button(button, Act::HandIn);
}

/// What has been heard and what is left, in the margin; returns what is below it.
fn hearings(sheet: &mut Sheet<Act>, kiosk: &Kiosk, seat: &Seat, y: f32) -> f32 {
    let paper = sheet.paper;
    let words = kiosk.setup.words;
    let left = seat.sitting().hearings_left().unwrap_or(0);
    let width = 8.2 * paper.key();
    let text = if seat.sounding {
        words.sounds_now.to_owned()
    } else if left == 0 {
        words.no_hearing_left.to_owned()
    } else {
        fill(
            words.hearings_left,
            &[&heard(seat).to_string(), &left.to_string()],
        )
    };
    let mut y = sheet.wrap(&text, paper.x(0.0), y, width, Type::of(Role::Text));

    if left > 0 && !seat.sounding {
        let button = Button {
            label: words.hear_again,
            hint: "",
            x: paper.x(0.0),
            y: y - paper.y(16.0),
            anchor: Anchor::Start,
            least: 7.0 * paper.key(),
            is_first: true,
        };
        let _ = sheet.button(button, Act::Hear);
        y += paper.y(64.0).max(TARGET) + paper.y(24.0);
        let quiet = Type::of(Role::Text).face(Face::Italic).ink(Ink::Quiet);
        y = sheet.wrap(words.or_space, paper.x(0.0), y, width, quiet);
    }

    y
}

/// How many hearings there were.
fn heard(seat: &Seat) -> u8 {
    let of = match seat.item().map(|item| &item.task) {
        Some(Task::Ear(task)) => task
            .hearings
            .saturating_add(seat.sitting().allowance().hearings),
        _ => 0,
    };

    of.saturating_sub(seat.sitting().hearings_left().unwrap_or(0))
}

/// A row to choose.
struct Row<'a> {
    part: usize,
    place: usize,
    option: &'a str,
    ask: Option<&'a Ask>,
    is_chosen: bool,
    top: f32,
    height: f32,
}

impl Row<'_> {
    fn draw(&self, sheet: &mut Sheet<Act>, kiosk: &Kiosk) {
        let paper = sheet.paper;
        let words = kiosk.setup.words;
        let left = paper.left();
        let lead = paper.size(Role::Lead);
        let baseline = self.top + self.height / 2.0 + 0.34 * lead;
        let of = if self.is_chosen {
            Type::of(Role::Lead).face(Face::Bold).ink(Ink::Accent)
        } else {
            Type::of(Role::Lead)
        };
        let figure = ((self.place + 1) % 10).to_string();
        let bounds = Bounds {
            left,
            top: self.top,
            right: paper.right(),
            bottom: self.top + self.height,
        };

        if self.is_chosen {
            sheet.rect(left, self.top, 12.0, self.height, Ink::Accent);
        }
        let _ = sheet.write_unsaid(&figure, left + paper.key(), baseline, of);
        let name = self.symbol(sheet, kiosk, left + 3.0 * paper.key(), baseline);
        let x = left + if name.is_some() { 11.0 } else { 3.0 } * paper.key();
        let text = name.unwrap_or_else(|| self.option.to_owned());
        let _ = sheet.write(&text, x, baseline, of);
        if self.is_chosen {
            let yours = Type::of(Role::Text)
                .face(Face::Italic)
                .ink(Ink::Accent)
                .anchor(Anchor::End);
            let _ = sheet.write(words.your_answer, paper.right() - 8.0, baseline, yours);
        }
        sheet.target(bounds, Act::Answer(self.part, self.place), &text);
    }

    /// Sets a quality as a symbol, and returns its name in words; nothing for other questions.
    fn symbol(&self, sheet: &mut Sheet<Act>, kiosk: &Kiosk, x: f32, y: f32) -> Option<String> {
        if !matches!(self.ask, Some(Ask::Quality)) {
            return None;
        }
        let quality = symbols::parse_quality(self.option).ok()?;
        let style = kiosk.shelved().exam.style;
        let setting = Setting {
            bold: self.is_chosen,
            ink: if self.is_chosen {
                Ink::Accent
            } else {
                Ink::Plain
            },
            ..Setting::new(style, sheet.paper.size(Role::Lead) * 1.5)
        };
        sheet.put(&symbol::quality(quality, setting), Point::new(x, y), 1.0);

        Some(symbols::words(quality).unwrap_or(self.option).to_owned())
    }
}
