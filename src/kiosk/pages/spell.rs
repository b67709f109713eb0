//! A spelling item: letters and accidentals, and the notes as they have been written.

use crate::engraving::staff::{self, Clef, Options};
use crate::engraving::symbol::{self, Setting};
use crate::engraving::{Anchor, Bounds, Face, Ink, Point};
use crate::exam::form::{Item, SpellTask};
use crate::kiosk::act::Act;
use crate::kiosk::model::Kiosk;
use crate::kiosk::paper::{KEYS, Role};
use crate::kiosk::seat::Seat;
use crate::kiosk::sheet::{Button, Sheet, TARGET, Type};
use crate::kiosk::words::{Words, fill};
use crate::theory::Key;
use crate::theory::pitch::Pitch;

/// The letters, and the accidentals by semitones.
const LETTERS: [char; 7] = ['A', 'B', 'C', 'D', 'E', 'F', 'G'];
const SIGNS: [(i8, &str); 5] = [(-2, "𝄫"), (-1, "♭"), (0, "♮"), (1, "♯"), (2, "𝄪")];
/// The lowest note of the staff, so that four notes of a chord stand in it.
const LOWEST: i64 = 60;

/// Returns what a character does: a letter writes, `-` `+` `=` and the signs alter. B is a letter.
pub fn sign(sign: char) -> Option<Act> {
    let upper = sign.to_ascii_uppercase();

    match sign {
        _ if LETTERS.contains(&upper) => Some(Act::Letter(upper)),
        '-' | '♭' => Some(Act::Alter(-1)),
        '_' => Some(Act::Alter(-2)),
        '+' | '#' | '♯' => Some(Act::Alter(1)),
        '*' | 'x' => Some(Act::Alter(2)),
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
    let sitting = seat.sitting();
    let limit = task
        .limit
        .scaled(i64::from(sitting.allowance().factor), 100);

    if let Some(left) = sitting.left() {
        super::time_left(sheet, words, left.min(limit), limit);
    }
    let style = sitting.exam().style;
    let size = paper.size(Role::Prompt) * 0.8;
    let drawing = symbol::layout(task.chord, Setting::new(style, size));
    let baseline = paper.y(400.0);
    sheet.imperative(words.write, baseline);
    sheet.say(&drawing.words);
    sheet.put(&drawing, Point::new(paper.left(), baseline), 1.0);
    written(sheet, kiosk, seat, baseline);

    let y = baseline + paper.line(Role::Lead) * 1.5;
    let width = paper.x(KEYS) - paper.left();
    let y = sheet.wrap(
        &super::asked(item),
        paper.left(),
        y,
        width,
        Type::of(Role::Lead),
    );
    let y = tones(sheet, seat, task, words, y + paper.y(40.0));
    keys(sheet, words, y + paper.y(48.0));

    sheet.foot(words.next, words.next_handed_in);
    let button = Button::at_foot(&paper, words.hand_in, words.enter);
    let _ = sheet.button(button, Act::HandIn);
}

/// The notes on a staff, from the root up.
fn written(sheet: &mut Sheet<Act>, kiosk: &Kiosk, seat: &Seat, baseline: f32) {
    let paper = sheet.paper;
    if paper.is_folded() {
        return;
    }
    let space = paper.y(20.0).max(12.0);
    let mut lowest = LOWEST;
    let mut pitches = Vec::new();
    for name in seat.spelled() {
        let above = (lowest..lowest + 12)
            .filter_map(|key| Key::new(key).ok())
            .find_map(|key| Pitch::new(name, key));
        if let Some(pitch) = above {
            lowest = i64::from(pitch.key.number()) + 1;
            pitches.push(pitch);
        }
    }
    let options = Options {
        width: (paper.x(KEYS) - paper.x(33.0)) / space,
        ..Options::default()
    };
    let drawing = staff::layout(&pitches, Clef::Treble, &options);
    let top = baseline - 4.0 * space - paper.y(30.0);
    let quiet = Type::of(Role::Text).face(Face::Italic).ink(Ink::Quiet);
    let _ = sheet.write(
        kiosk.setup.words.as_written,
        paper.x(33.0),
        top - 3.2 * space,
        quiet,
    );
    sheet.put(&drawing, Point::new(paper.x(33.0), top), space);
}

/// The tones asked, with what has been written for each; returns what is below them.
fn tones(sheet: &mut Sheet<Act>, seat: &Seat, task: &SpellTask, words: &Words, y: f32) -> f32 {
    let paper = sheet.paper;
    let names = seat.spelled();
    let column = 7.0 * paper.key();
    let line = y + paper.line(Role::Title) * 0.75;

    for (place, (degree, _)) in task.tones.iter().enumerate() {
        let left = paper.left() + place as f32 * column;
        let right = left + column - paper.key();
        let is_next = place == names.len();
        if let Some(name) = names.get(place) {
            let of = Type::of(Role::Title);
            let _ = sheet.write(&name.to_string(), left + 8.0, line - paper.y(14.0), of);
        }
        let (thick, ink) = if is_next {
            (4.0, Ink::Accent)
        } else {
            (1.0, Ink::Quiet)
        };
        sheet.rule(left, right, line, thick, ink);
        let caption = match degree.number() {
            1 => words.root.to_owned(),
            3 => words.third.to_owned(),
            5 => words.fifth.to_owned(),
            7 => words.seventh.to_owned(),
            number => fill(words.tone, &[&number.to_string()]),
        };
        let quiet = Type::of(Role::Text).face(Face::Italic).ink(Ink::Quiet);
        let below = line + paper.line(Role::Text);
        let _ = sheet.write(&caption, left, below, quiet);
    }

    line + paper.line(Role::Text) * 1.2
}

/// The letters and accidentals to touch.
fn keys(sheet: &mut Sheet<Act>, words: &Words, top: f32) {
    let paper = sheet.paper;
    let side = (paper.y(64.0)).max(TARGET);
    let mut x = paper.left();
    let size = paper.size(Role::Text);

    sheet.label(words.type_or_touch, top + side / 2.0 + 0.34 * size);
    let signs = LETTERS
        .iter()
        .map(|letter| (letter.to_string(), Act::Letter(*letter)))
        .map(|(text, act)| (text, act, false))
        .chain(
            SIGNS
                .iter()
                .enumerate()
                .map(|(place, (by, sign))| ((*sign).to_owned(), Act::Alter(*by), place == 0)),
        );
    for (text, act, is_apart) in signs {
        if is_apart {
            x += paper.key();
        }
        let bounds = Bounds {
            left: x,
            top,
            right: x + side,
            bottom: top + side,
        };
        sheet.outline(bounds, 1.5, Ink::Quiet);
        let of = Type::of(Role::Lead).anchor(Anchor::Middle);
        let baseline = top + side / 2.0 + 0.34 * paper.size(Role::Lead);
        let _ = sheet.write_unsaid(&text, x + side / 2.0, baseline, of);
        sheet.target(bounds, act, &text);
        x += side;
    }
    let button = Button {
        label: words.rub_out,
        hint: "",
        x: x + paper.key(),
        y: top,
        anchor: Anchor::Start,
        least: 0.0,
        is_first: false,
    };
    let _ = sheet.button(button, Act::RubOut);
}
