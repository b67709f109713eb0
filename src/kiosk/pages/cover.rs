//! The cover: which exam, and how to begin.

use crate::engraving::grand::Hands;
use crate::engraving::line::{self, Line};
use crate::engraving::{Anchor, Bounds, Face, Ink, Point};
use crate::exam::draw;
use crate::kiosk::act::Act;
use crate::kiosk::model::Kiosk;
use crate::kiosk::paper::{KEYS, Role};
use crate::kiosk::sheet::{Sheet, TARGET, Type};
use crate::kiosk::shelf;
use crate::kiosk::words::fill;
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

    if kiosk.setup.set.is_some() || kiosk.setup.shelf.len() == 1 {
        one(sheet, kiosk);
    } else {
        several(sheet, kiosk);
    }
    sheet.foot(words.next, words.next_number);
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
    let _ = sheet.write(&extent(kiosk), paper.left(), y, Type::of(Role::Lead));

    let space = paper.y(14.0).max(9.0);
    let mut line = turnaround();
    line.width = (paper.right() - paper.left()) / space;
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
    let top = y + paper.y(118.0);
    if !paper.is_folded() {
        sheet.put(&engraved.drawing, Point::new(paper.left(), top), space);
    }

    let y = paper.y(862.0);
    let imperative = Type::of(Role::Title).face(Face::Italic).ink(Ink::Accent);
    let end = sheet.write(words.play_middle_c, paper.left(), y, imperative);
    let bounds = Bounds {
        left: paper.left() - 8.0,
        top: y - paper.size(Role::Title),
        right: end + 8.0,
        bottom: y + paper.size(Role::Title) * 0.4,
    };
    sheet.target(bounds, Act::Go, words.play_middle_c);
}

/// The exams to choose from.
fn several(sheet: &mut Sheet<Act>, kiosk: &Kiosk) {
    let paper = sheet.paper;
    let words = kiosk.setup.words;
    let y = paper.y(300.0);
    sheet.imperative(words.choose, y);
    let _ = sheet.write(words.choose_exam, paper.left(), y, Type::of(Role::Title));

    let row = paper.y(80.0).max(TARGET).max(paper.line(Role::Lead) * 1.3);
    let mut top = paper.y(360.0);
    sheet.rule(paper.left(), paper.right(), top, 1.0, Ink::Quiet);
    for (place, shelved) in kiosk.setup.shelf.iter().enumerate() {
        let size = paper.size(Role::Lead);
        let baseline = top + row / 2.0 + 0.34 * size;
        let _ = sheet.write(
            &shelved.exam.title,
            paper.left() + paper.key(),
            baseline,
            Type::of(Role::Lead),
        );
        let level = Type::of(Role::Text)
            .face(Face::Italic)
            .ink(Ink::Quiet)
            .anchor(Anchor::End);
        let _ = sheet.write(&shelved.exam.level, paper.right(), baseline, level);
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
    let minutes: i64 = plan.iter().map(|section| section.minutes).sum();

    fill(
        words.extent,
        &[
            &sections.to_string(),
            &minutes.to_string(),
            &(exam.points() / 100).to_string(),
        ],
    )
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
