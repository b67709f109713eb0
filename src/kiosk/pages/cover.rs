//! The cover: which exam, and how to begin.

use super::foot;
use crate::engraving::grand::Hands;
use crate::engraving::line::{self, Line};
use crate::engraving::{Anchor, Bounds, Face, Ink, Point, text};
use crate::exam::draw;
use crate::kiosk::act::Act;
use crate::kiosk::model::Kiosk;
use crate::kiosk::paper::{KEYS, Role};
use crate::kiosk::sheet::{Button, Sheet, TARGET, Type};
use crate::kiosk::shelf;
use crate::kiosk::words::number::{capital, counted};
use crate::theory::progression::Placed;
use crate::theory::symbol::{self, Style};
use crate::theory::{Key, Name, pitch::Pitch};

/// The line on the cover: a turnaround in guide tones, as any of the exams may ask.
const LINE: [(&str, [i64; 4]); 5] = [
    ("Cmaj7", [48, 55, 59, 64]),
    ("Am7", [45, 52, 60, 67]),
    ("Dm7", [50, 57, 60, 65]),
    ("G7", [43, 50, 59, 65]),
    ("Cmaj7", [48, 55, 59, 64]),
];

pub(super) fn draw(sheet: &mut Sheet<Act>, kiosk: &Kiosk) {
    let paper = sheet.paper;
    let words = kiosk.setup.words;
    let (from, to) = (paper.x(0.0), paper.x(KEYS));

    sheet.rule(from, to, paper.y(96.0), paper.y(5.0).max(3.0), Ink::Plain);
    sheet.rule(from, to, paper.y(106.0), 1.5, Ink::Plain);
    let y = paper.y(182.0);
    sheet.label("Viva Voicing", y);
    let _ = sheet.write(
        words.practice_examination,
        paper.left(),
        y,
        Type::of(Role::Text),
    );
    if !paper.is_folded() {
        let quiet = Type::of(Role::Note).face(Face::Italic).ink(Ink::Quiet);
        let right = quiet.anchor(Anchor::End);
        let _ = sheet.write(words.cover_hint, paper.x(KEYS), y, right);
    }

    if kiosk.is_set() {
        one(sheet, kiosk);
        foot::draw(sheet, words, words.next_number, &[]);
    } else {
        several(sheet, kiosk);
    }
}

/// The exam that the room is set to.
fn one(sheet: &mut Sheet<Act>, kiosk: &Kiosk) {
    let paper = sheet.paper;
    let words = kiosk.setup.words;
    let shelved = kiosk.shelved();
    let width = paper.x(KEYS) - paper.left();
    let y = paper.y(336.0);
    let display = Type::of(Role::Display);
    let y = sheet.wrap(&shelved.exam.title, paper.left(), y, width, display);
    let y = y - paper.line(Role::Display) + paper.line(Role::Lead) * 1.35;
    let lead = Type::of(Role::Lead);
    let y = sheet.wrap(&extent(kiosk), paper.left(), y, width, lead) - paper.line(Role::Lead);

    let begin = paper.y(862.0);
    staff(sheet, y + paper.y(100.0), begin - paper.size(Role::Title));

    let imperative = Type::of(Role::Title).face(Face::Italic).ink(Ink::Accent);
    let text = if kiosk.has_keyboard() {
        words.play_middle_c
    } else {
        words.press_enter
    };
    let end = sheet.write(text, paper.left(), begin, imperative);
    let bounds = Bounds {
        left: paper.left() - 8.0,
        top: begin - paper.size(Role::Title),
        right: end + 8.0,
        bottom: begin + paper.size(Role::Title) * 0.4,
    };
    sheet.target(bounds, Act::Go, text);
}

/// The line of music between two heights, where there is room for it.
fn staff(sheet: &mut Sheet<Act>, top: f32, bottom: f32) {
    let paper = sheet.paper;
    let space = paper.y(14.0).max(9.0);
    let mut line = turnaround();
    // The measure of a page whose margin is not folded in.
    line.width = 36.0 * paper.key() / space;
    let chords: Vec<Placed> = LINE
        .iter()
        .enumerate()
        .filter_map(|(bar, (symbol, _))| {
            Some(Placed {
                chord: symbol::parse(symbol).ok()?,
                bar,
                at_twelfths: 12 * bar as u32,
                twelfths: 12,
            })
        })
        .collect();
    let hands: Vec<Hands> = LINE.iter().map(|(_, keys)| hands(keys)).collect();
    let engraved = line::layout(&Line {
        chords: &chords,
        hands: &hands,
        ..line
    });
    let drawing = &engraved.drawing;
    let above = (drawing.origin.y) * space;
    let below = (drawing.height - drawing.origin.y) * space;

    if top + above.min(paper.y(40.0)) + below <= bottom {
        sheet.put(drawing, Point::new(paper.left(), top), space);
    }
}

/// The exams to choose from, numbered, on as many leaves as they need.
fn several(sheet: &mut Sheet<Act>, kiosk: &Kiosk) {
    let paper = sheet.paper;
    let words = kiosk.setup.words;
    let y = paper.y(300.0);
    sheet.imperative(words.choose, y);
    let _ = sheet.write(words.choose_exam, paper.left(), y, Type::of(Role::Title));

    let row = paper.y(80.0).max(TARGET).max(paper.line(Role::Lead) * 1.3);
    let mut top = paper.y(360.0);
    let fits = (((paper.y(940.0) - top) / row).floor() as usize).max(1);
    let count = kiosk.setup.shelf.len();
    let leaves = count.div_ceil(fits);
    let leaf = kiosk.leaf.min(leaves - 1);
    sheet.rule(paper.left(), paper.right(), top, 1.0, Ink::Quiet);
    for (place, shelved) in kiosk
        .setup
        .shelf
        .iter()
        .enumerate()
        .skip(leaf * fits)
        .take(fits)
    {
        let size = paper.size(Role::Lead);
        let baseline = top + row / 2.0 + 0.34 * size;
        let x = paper.left() + paper.key() * 0.5;
        let quiet = Type::of(Role::Text).face(Face::Italic).ink(Ink::Quiet);
        // The tenth has no key of its own, and its title stands below the others.
        let number_end = if place < 9 {
            sheet.write_unsaid(&(place + 1).to_string(), x, baseline, quiet)
        } else {
            x + text::width("9", Face::Italic, paper.size(Role::Text))
        };
        let x = number_end + paper.key();
        let end = sheet.write(&shelved.exam.title, x, baseline, Type::of(Role::Lead));
        let level = &shelved.exam.level;
        let size = paper.size(Role::Text);
        let room = paper.right() - paper.key() * 0.5 - end - paper.key();
        if text::width(level, Face::Italic, size) <= room {
            let at = paper.right() - paper.key() * 0.5;
            let _ = sheet.write(level, at, baseline, quiet.anchor(Anchor::End));
        }
        let bounds = Bounds {
            left: paper.left(),
            top,
            right: paper.right(),
            bottom: top + row,
        };
        sheet.target(bounds, Act::Choose(place), &shelved.exam.title);
        top += row;
        sheet.rule(paper.left(), paper.right(), top, 1.0, Ink::Rule);
    }

    let later = |label| Button {
        is_first: false,
        least: 0.0,
        ..Button::at_foot(&paper, label, "")
    };
    let mut boxes = Vec::new();
    if leaf + 1 < leaves {
        boxes.push((later(words.later), Act::Turn(leaf + 1)));
    }
    if leaf > 0 {
        boxes.push((later(words.earlier), Act::Turn(leaf - 1)));
    }
    foot::draw(sheet, words, words.next_number, &boxes);
}

/// Sections, minutes and marks.
fn extent(kiosk: &Kiosk) -> String {
    let words = kiosk.setup.words;
    let exam = &kiosk.shelved().exam;
    let Ok(form) = draw::draw(exam, kiosk.setup.code) else {
        return String::new();
    };
    let plan = shelf::plan(exam, &form, 100);
    let sections = plan.iter().filter(|section| !section.is_rest).count();
    let minutes = shelf::minutes_in_all(&plan).0;
    let parts = [
        counted(words, words.sections_count, sections as i64),
        counted(words, words.minutes_about, minutes),
        counted(words, words.marks_count, i64::from(exam.points() / 100)),
    ];

    capital(&parts.join(", "))
}

fn turnaround() -> Line<'static> {
    Line {
        chords: &[],
        hands: &[],
        bars: LINE.len(),
        beats: 4,
        signature: 0,
        tempo: None,
        style: Style::DEFAULT,
        symbol: 0.0,
        width: 0.0,
        current: None,
    }
}

fn hands(keys: &[i64; 4]) -> Hands {
    let pitch = |key: &i64| {
        let key = Key::new(*key).ok()?;
        Pitch::new(Name::plain(key.class()), key)
    };
    let [left, right] =
        [&keys[..2], &keys[2..]].map(|keys| keys.iter().filter_map(pitch).collect::<Vec<_>>());

    Hands::new(&left, &right)
}
