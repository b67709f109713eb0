//! A spelling item: letters and accidentals, and the notes as they have been written.

use crate::engraving::staff::{self, Clef, Options};
use crate::engraving::text;
use crate::engraving::{Anchor, Bounds, Face, Ink, Point};
use crate::exam::form::{Item, SpellTask};
use crate::kiosk::act::Act;
use crate::kiosk::model::Kiosk;
use crate::kiosk::paper::{KEYS, Role};
use crate::kiosk::seat::Seat;
use crate::kiosk::sheet::{Button, Sheet, TARGET, Type};
use crate::kiosk::words::{Words, fill};
use crate::theory::Degree;
use crate::theory::pitch::stacked;

/// The letters, and the accidentals by semitones.
const LETTERS: [char; 7] = ['A', 'B', 'C', 'D', 'E', 'F', 'G'];
const SIGNS: [(i8, &str); 5] = [(-2, "𝄫"), (-1, "♭"), (0, "♮"), (1, "♯"), (2, "𝄪")];
/// Keys from one tone to the next, at most.
const COLUMN: f32 = 9.25;

/// Returns what a character does: a letter writes, `-` `+` `=` and the signs alter. B is a letter.
pub fn sign(sign: char) -> Option<Act> {
    let upper = sign.to_ascii_uppercase();

    match sign {
        _ if LETTERS.contains(&upper) => Some(Act::Letter(upper)),
        '-' | '♭' => Some(Act::Alter(-1)),
        '_' | '𝄫' => Some(Act::Alter(-2)),
        '+' | '#' | '♯' => Some(Act::Alter(1)),
        '*' | 'x' | 'X' | '𝄪' => Some(Act::Alter(2)),
        '=' | '0' | '♮' => Some(Act::Alter(0)),
        _ => None,
    }
}

pub(super) fn draw(
    sheet: &mut Sheet<Act>,
    kiosk: &Kiosk,
    seat: &Seat,
    item: &Item,
    task: &SpellTask,
) {
    let paper = sheet.paper;
    let words = kiosk.setup.words;
    let folded = paper.is_folded();

    if let Some((left, limit)) = seat.time_left(kiosk.now) {
        super::time_left(sheet, words, left, limit);
    }
    let style = seat.sitting().exam().style;
    let baseline = paper.y(if folded { 300.0 } else { 416.0 });
    let share = if folded { 0.75 } else { 0.9 };
    let staff = paper.x(if folded { 34.0 } else { 31.0 });
    symbol(sheet, task, style, share, baseline, staff - paper.key());
    let bottom = written(sheet, kiosk, seat, staff, baseline);

    let asked = super::asked(item);
    let width = paper.x(KEYS) - paper.left();
    let y = if folded {
        let y = baseline.max(bottom) + paper.line(Role::Text) * 1.1;
        let of = Type::of(Role::Text);
        sheet.wrap(
            &super::joined(words.write, &asked),
            paper.left(),
            y,
            width,
            of,
        ) - paper.line(Role::Text)
    } else {
        sheet.imperative(words.write, baseline);
        let y = baseline + paper.line(Role::Lead) * 1.45;
        sheet.wrap(&asked, paper.left(), y, width, Type::of(Role::Lead)) - paper.line(Role::Lead)
    };
    let y = tones(
        sheet,
        seat,
        task,
        words,
        y + paper.y(if folded { 34.0 } else { 84.0 }),
    );
    keys(sheet, words, y + paper.y(if folded { 22.0 } else { 44.0 }));

    if !folded {
        sheet.foot(words.next, &super::what_next(seat, item, words));
    }
    let button = Button::at_foot(&paper, words.hand_in, words.enter);
    let _ = sheet.button(button, Act::HandIn);
    super::ease(sheet, words, seat);
}

/// The symbol, no wider than the room before the staff.
fn symbol(
    sheet: &mut Sheet<Act>,
    task: &SpellTask,
    style: crate::theory::symbol::Style,
    share: f32,
    baseline: f32,
    right: f32,
) {
    use crate::engraving::symbol::{Setting, layout};

    let paper = sheet.paper;
    let mut size = paper.size(Role::Prompt) * share;
    let mut drawing = layout(task.chord, Setting::new(style, size));
    let width = right - paper.left();
    if drawing.width > width {
        size *= width / drawing.width;
        drawing = layout(task.chord, Setting::new(style, size));
    }

    sheet.say(&drawing.words);
    sheet.put(&drawing, Point::new(paper.left(), baseline), 1.0);
}

/// The notes on a staff, from the root up; returns where they end.
fn written(sheet: &mut Sheet<Act>, kiosk: &Kiosk, seat: &Seat, left: f32, baseline: f32) -> f32 {
    let paper = sheet.paper;
    let folded = paper.is_folded();
    let space = paper.y(20.0).max(12.0);
    let pitches = stacked(seat.spelled());
    let options = Options {
        width: (paper
            .right()
            .min(paper.x(45.0))
            .max(left + 10.0 * paper.key())
            - left)
            / space,
        ..Options::default()
    };
    let drawing = staff::layout(&pitches, Clef::Treble, &options);
    let height = (drawing.height - drawing.origin.y) * space;
    let top = if folded {
        // Below the seconds that are left.
        paper.y(96.0) + paper.size(Role::Lead) * 1.7 + drawing.origin.y.min(3.0) * space
    } else {
        baseline - 6.0 * space
    };

    if !folded {
        let quiet = Type::of(Role::Text).face(Face::Italic).ink(Ink::Quiet);
        let above = top - drawing.origin.y.max(2.2) * space - paper.size(Role::Text) * 0.4;
        let _ = sheet.write(kiosk.setup.words.as_written, left, above, quiet);
    }
    sheet.say(&drawing.words);
    sheet.put(&drawing, Point::new(left, top), space);

    top + height
}

/// Names a degree.
pub(super) fn degree(words: &Words, degree: Degree) -> String {
    match degree.number() {
        1 => words.root.to_owned(),
        2 => words.second.to_owned(),
        3 => words.third.to_owned(),
        4 => words.fourth.to_owned(),
        5 => words.fifth.to_owned(),
        6 => words.sixth.to_owned(),
        7 => words.seventh.to_owned(),
        9 => words.ninth.to_owned(),
        11 => words.eleventh.to_owned(),
        13 => words.thirteenth.to_owned(),
        number => fill(words.tone, &[&number.to_string()]),
    }
}

/// The tones asked, with what has been written for each; returns what is below them.
fn tones(sheet: &mut Sheet<Act>, seat: &Seat, task: &SpellTask, words: &Words, y: f32) -> f32 {
    let paper = sheet.paper;
    let names = seat.spelled();
    let count = task.tones.len().max(1) as f32;
    let all = paper.right() - paper.left() + paper.key();
    let column = (all / count).min(COLUMN * paper.key());
    let size = paper.size(Role::Title);
    let line = y + size * 1.05;

    for (place, (of, _)) in task.tones.iter().enumerate() {
        let left = paper.left() + place as f32 * column;
        let right = left + column - paper.key();
        let is_next = place == names.len();
        if let Some(name) = names.get(place) {
            let of = Type::of(Role::Title);
            let _ = sheet.write(
                &name.to_string(),
                left + size * 0.25,
                line - size * 0.28,
                of,
            );
        }
        let (thick, ink) = if is_next {
            (4.0, Ink::Accent)
        } else {
            (1.5, Ink::Plain)
        };
        sheet.rule(left, right, line, thick, ink);
        if is_next {
            sheet.rect(
                left + size * 0.25,
                line - size * 1.0,
                2.0,
                size * 0.8,
                Ink::Accent,
            );
        }
        let quiet = Type::of(Role::Text).face(Face::Italic).ink(if is_next {
            Ink::Accent
        } else {
            Ink::Quiet
        });
        let below = line + paper.line(Role::Text);
        let name = degree(words, *of);
        // A narrow column has its degree in figures.
        let wide = text::width(&name, Face::Italic, paper.size(Role::Text));
        if wide <= column - 4.0 {
            let _ = sheet.write(&name, left, below, quiet);
        } else {
            sheet.say(&name);
            let _ = sheet.write_unsaid(&of.number().to_string(), left, below, quiet);
        }
    }

    line + paper.line(Role::Text) * 1.3
}

/// The letters and accidentals to touch.
fn keys(sheet: &mut Sheet<Act>, words: &Words, top: f32) {
    let paper = sheet.paper;
    let lead = paper.size(Role::Lead);
    let height = paper.y(80.0).max(TARGET);
    let mut x = paper.left();
    let all = paper.x(KEYS) - paper.left();
    // Twelve of them, and a box to rub out with.
    let side = paper.y(72.0).max(TARGET).max(lead * 1.1).min(all / 16.0);
    let size = paper.size(Role::Text);

    sheet.label(words.type_or_touch, top + height / 2.0 + 0.34 * size);
    let letters: Vec<(String, Act)> = LETTERS
        .iter()
        .map(|letter| (letter.to_string(), Act::Letter(*letter)))
        .collect();
    let signs: Vec<(String, Act)> = SIGNS
        .iter()
        .map(|(by, sign)| ((*sign).to_owned(), Act::Alter(*by)))
        .collect();
    for (group, larger) in [(letters, 1.0), (signs, 1.25)] {
        let count = group.len() as f32;
        for (place, (text, act)) in group.into_iter().enumerate() {
            let bounds = Bounds {
                left: x + place as f32 * side,
                top,
                right: x + (place + 1) as f32 * side,
                bottom: top + height,
            };
            if place > 0 {
                sheet.rect(bounds.left, top, 1.0, height, Ink::Quiet);
            }
            let drawing = text::layout(&text, Face::Regular, lead * larger);
            // An accidental stands in the middle by its ink, a letter on the line.
            let y = if larger > 1.0 {
                top + (height - drawing.height) / 2.0 + drawing.origin.y
            } else {
                top + height / 2.0 + 0.34 * lead
            };
            let wide = text::width(&text, Face::Regular, lead * larger);
            let at = Point::new(bounds.left + (side - wide) / 2.0, y);
            sheet.put(&drawing, at, 1.0);
            sheet.target(bounds, act, &text);
        }
        let group = Bounds {
            left: x,
            top,
            right: x + count * side,
            bottom: top + height,
        };
        sheet.outline(group, 1.5, Ink::Quiet);
        x = group.right + paper.key();
    }
    let label = Type::of(Role::Text).anchor(Anchor::Middle);
    let wide = text::width(words.rub_out, Face::Regular, size) + size;
    let right = (x + wide.max(6.5 * paper.key())).min(paper.x(KEYS));
    let bounds = Bounds {
        left: x,
        top,
        right,
        bottom: top + height,
    };
    sheet.outline(bounds, 1.5, Ink::Quiet);
    let y = top + height / 2.0 + 0.34 * size;
    let _ = sheet.write_unsaid(words.rub_out, (x + right) / 2.0, y, label);
    sheet.target(bounds, Act::RubOut, words.rub_out);
}
