//! An ear item: what is asked, the hearings, the answers as numbered rows.

mod back;
pub(in crate::kiosk) mod dictation;
mod rows;

use crate::engraving::{Anchor, Bounds, Face, Ink};
use crate::exam::form::{EarTask, Item, Task};
use crate::kiosk::act::Act;
use crate::kiosk::model::Kiosk;
use crate::kiosk::paper::{KEYS, Role};
use crate::kiosk::seat::Seat;
use crate::kiosk::sheet::{Button, Sheet, TARGET, Type};
use crate::kiosk::words::{Words, fill};
use rows::Rows;

pub(super) use rows::named;

/// Signs that answer, in the order of the options.
const SIGNS: &str = "1234567890abcdefghijklmnop";

/// Returns the part that is being answered.
pub fn part(seat: &Seat) -> usize {
    seat.answer.part
}

/// Returns what a character does: a figure answers, the space bar hears again.
pub fn sign(seat: &Seat, sign: char) -> Option<Act> {
    match sign {
        ' ' => Some(Act::Hear),
        _ => {
            let option = SIGNS.find(sign.to_ascii_lowercase())?;
            Some(Act::Answer(part(seat), option))
        }
    }
}

/// Returns the sign of an option.
pub(super) fn figure(place: usize) -> &'static str {
    SIGNS.get(place..=place).unwrap_or_default()
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
    let folded = paper.is_folded();

    if let Some((left, limit)) = seat.time_left(kiosk.now) {
        super::time_left(sheet, words, left, limit);
    }
    let foot = if folded {
        Button::at_foot(&paper, "", "").y - paper.y(14.0)
    } else {
        paper.y(936.0)
    };
    if task.is_played() {
        let y = back::draw(sheet, kiosk, seat, item, task);
        if !folded {
            let _ = hearings(sheet, words, seat, y);
        }
    } else if dictation::is_one(task) {
        let top = dictation::draw(sheet, kiosk, seat, task, &item.prompt, foot);
        if !folded {
            let _ = hearings(sheet, words, seat, top + paper.y(190.0));
        }
    } else if task.options.len() == 1 {
        let top = question(sheet, words, &item.prompt);
        if !folded {
            let _ = hearings(sheet, words, seat, top + paper.y(48.0));
        }
        let room = Bounds {
            left: paper.left(),
            top: top + paper.y(12.0),
            right: paper.right(),
            bottom: foot,
        };
        Rows::of(seat, task, 0, room, true).draw(sheet, kiosk);
    } else {
        let top = parts(sheet, words, seat, task, foot, kiosk);
        if !folded {
            let _ = hearings(sheet, words, seat, top + paper.y(48.0));
        }
    }

    if folded {
        heard_at_foot(sheet, words, seat);
    } else {
        sheet.foot(words.next, &super::what_next(seat, item, words));
    }
    let button = Button::at_foot(&paper, words.hand_in, words.enter);
    let _ = sheet.button(button, Act::HandIn);
    super::ease(sheet, words, seat);
}

/// One question: its title and a sentence; returns where the rows may begin.
fn question(sheet: &mut Sheet<Act>, words: &Words, prompt: &str) -> f32 {
    let paper = sheet.paper;

    if paper.is_folded() {
        let y = paper.y(96.0) + paper.size(Role::Lead) * 1.35;
        let after = super::lead(sheet, "", prompt, y);
        return after - paper.line(Role::Lead) * 0.7;
    }
    super::title(sheet, words.listen, prompt, words.ear_text) - paper.line(Role::Text) * 0.5
}

/// Two questions side by side, each with its answers; figures answer the one that is marked.
/// Returns the height at which the answers begin.
fn parts(
    sheet: &mut Sheet<Act>,
    words: &Words,
    seat: &Seat,
    task: &EarTask,
    foot: f32,
    kiosk: &Kiosk,
) -> f32 {
    let paper = sheet.paper;
    let count = task.options.len().max(1) as f32;
    let gap = 1.5 * paper.key();
    let width = (paper.x(KEYS) - paper.left() - gap * (count - 1.0)) / count;
    let folded = paper.is_folded();
    let role = Role::Lead;
    let first = if folded {
        paper.y(96.0) + paper.size(role) * 2.3
    } else {
        paper.y(206.0)
    };
    let left = |part: usize| paper.left() + part as f32 * (width + gap);

    sheet.imperative(words.listen, first);
    let mut below = first;
    for (part, ask) in task.asks.iter().enumerate() {
        let of = if part == seat.answer.part {
            Type::of(role).face(Face::Bold).ink(Ink::Accent)
        } else {
            Type::of(role)
        };
        below = below.max(sheet.wrap(ask.question(), left(part), first, width, of));
    }
    let below = below - paper.line(role) * 0.65;
    for part in 0..task.options.len() {
        let is_now = part == seat.answer.part;
        let (thick, ink) = if is_now {
            (4.0, Ink::Accent)
        } else {
            (1.0, Ink::Quiet)
        };
        sheet.rule(left(part), left(part) + width, below, thick, ink);
        let room = Bounds {
            left: left(part),
            top: first - paper.size(role),
            right: left(part) + width,
            bottom: below.max(first - paper.size(role) + TARGET),
        };
        let name = fill(words.part, &[&(part + 1).to_string()]);
        sheet.target(room, Act::Part(part), &name);
    }
    let mut top = below + 4.0;
    if !folded {
        let quiet = Type::of(Role::Text).ink(Ink::Quiet);
        let wide = paper.x(KEYS) - paper.left();
        let y = top + paper.line(Role::Text);
        top = sheet.wrap(words.parts_text, paper.left(), y, wide, quiet)
            - paper.line(Role::Text) * 0.5;
    }
    for part in 0..task.options.len() {
        let room = Bounds {
            left: left(part),
            top,
            right: left(part) + width,
            bottom: foot,
        };
        Rows::of(seat, task, part, room, !folded).draw(sheet, kiosk);
    }

    top
}

/// How often it was heard and may be heard.
fn heard_words(words: &Words, seat: &Seat) -> String {
    let left = seat.sitting().hearings_left().unwrap_or(0);
    let heard = match heard(seat) {
        1 => words.once.to_owned(),
        2 => words.twice.to_owned(),
        times => fill(words.times, &[&times.to_string()]),
    };

    match left {
        _ if seat.sounding => words.sounds_now.to_owned(),
        0 => words.no_hearing_left.to_owned(),
        1 => fill(words.one_hearing_left, &[&heard]),
        left => fill(words.hearings_left, &[&heard, &left.to_string()]),
    }
}

/// What has been heard and what is left, in the margin; returns what is below it.
fn hearings(sheet: &mut Sheet<Act>, words: &Words, seat: &Seat, y: f32) -> f32 {
    let paper = sheet.paper;
    let width = 8.2 * paper.key();
    let text = heard_words(words, seat);
    let mut y = sheet.wrap(&text, paper.x(0.0), y, width, Type::of(Role::Text));

    if may_hear(seat) {
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
        y = sheet
            .targets
            .last()
            .map_or(y, |target| target.bounds.bottom)
            + paper.line(Role::Text);
        let quiet = Type::of(Role::Text).face(Face::Italic).ink(Ink::Quiet);
        y = sheet.wrap(words.or_space, paper.x(0.0), y, width, quiet);
    }

    y
}

/// The same at the foot, where the margin is folded in.
fn heard_at_foot(sheet: &mut Sheet<Act>, words: &Words, seat: &Seat) {
    let paper = sheet.paper;
    let at = Button::at_foot(&paper, words.hear_again, "");
    let text = heard_words(words, seat);

    if may_hear(seat) {
        let left = seat.sitting().hearings_left().unwrap_or(0).to_string();
        let hint = format!("{} · {left}", words.space);
        let button = Button {
            hint: &hint,
            x: paper.x(0.0),
            anchor: Anchor::Start,
            least: 0.0,
            ..at
        };
        let _ = sheet.button(button, Act::Hear);
        sheet.say(&text);
    } else {
        let quiet = Type::of(Role::Text).face(Face::Italic).ink(Ink::Quiet);
        let y = paper.y(1008.0) + 0.34 * paper.size(Role::Text);
        let _ = sheet.write(&text, paper.x(0.0), y, quiet);
    }
}

fn may_hear(seat: &Seat) -> bool {
    !seat.sounding && seat.sitting().hearings_left().unwrap_or(0) > 0
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
