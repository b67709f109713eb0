//! Dictations without their key: what may be written, and a place for bass and quality of each chord.

use std::rc::Rc;

use super::boxes;
use super::ear::Label;
use super::group::{Group, rows, under};
use crate::engraving::{Anchor, Ink};
use crate::exam::form::{Item, Task};
use crate::exam::script::{Ask, Kind};
use crate::printing::columns::{FALL, MEASURE};
use crate::printing::page::Meaning;
use crate::printing::plan::Block;
use crate::printing::writer::{LINE, NOTE, TEXT, Type, Writer};

/// Where the chords begin, from the margin, and how wide and high a place is.
const START: f32 = 78.0;
const WIDE: f32 = 62.0;
const HIGH: f32 = 26.0;

pub(super) fn blocks<'a>(group: &Rc<Group<'a>>, all: &mut Vec<Block<'a>>) {
    rows(group, 1, (heads, draw), all);
}

/// What may be written in each of the two lines.
fn heads(on: &mut Writer, group: &Group<'_>) {
    let Kind::Ear(of) = &group.section.kind else {
        return;
    };
    let style = group.paper.exam.style;

    for (ask, options) in of.asks.iter().zip(&of.options) {
        let names: Vec<String> = options
            .iter()
            .map(|option| Label::of(Some(*ask), option, style).words(style))
            .collect();
        let what = if *ask == Ask::Bass { "Bass" } else { "Quality" };
        let text = format!("{what}: {}", names.join(", "));
        on.part(Meaning::Paragraph, |on| {
            let y = on.y + 14.0;
            let of = (Type::of(TEXT), LINE);
            on.y = on.wrap(&text, on.left(), y, MEASURE, of) + FALL;
        });
    }
    on.y += 6.0;
    under(on);
}

/// Items that are played back: where each begins, and a place for the examiner.
pub(super) fn played<'a>(group: &Rc<Group<'a>>, all: &mut Vec<Block<'a>>) {
    rows(group, 4, (|on, _| under(on), begins), all);
}

fn begins(on: &mut Writer, group: &Group<'_>, items: &[&Item]) {
    for item in items {
        let (margin, y) = (on.margin(), on.y + 22.0);
        group.number(on, item, margin, y);
        on.part(Meaning::Paragraph, |on| {
            let _ = on.write(&item.prompt, margin + START, y, Type::of(TEXT));
        });
        if group.is_marked() {
            score(on, 0, on.right() - 175.0, y);
        }
        on.y = y + 10.0;
        under(on);
    }
}

fn draw(on: &mut Writer, group: &Group<'_>, items: &[&Item]) {
    for item in items {
        let Task::Ear(task) = &item.task else {
            continue;
        };
        let chords = task.asks.len() / 2;
        let (margin, top) = (on.margin(), on.y + 22.0);
        let left = margin + START;
        let right = left + WIDE * chords as f32;

        group.number(on, item, margin, top + 0.66 * HIGH);
        for chord in 0..chords {
            let middle = left + (chord as f32 + 0.5) * WIDE;
            boxes::head(
                on,
                &(chord + 1).to_string(),
                middle,
                top - 5.0,
                Anchor::Middle,
            );
        }
        for (line, label) in ["bass", "quality"].into_iter().enumerate() {
            let y = top + (line as f32 + 0.66) * HIGH;
            boxes::head(on, label, left - 8.0, y, Anchor::End);
        }
        for line in 0..3 {
            on.rule(left, right, top + line as f32 * HIGH, 0.75, Ink::Quiet);
        }
        for line in 0..=chords {
            let x = left + line as f32 * WIDE;
            on.upright(x, top, top + 2.0 * HIGH, 0.75, Ink::Quiet);
        }
        let mut below = top + 2.0 * HIGH;
        if group.is_marked() {
            below += 22.0;
            let parts = task.asks.len();
            score(on, parts, left, below);
        }
        on.y = below + 10.0;
        under(on);
    }
}

/// Where the examiner writes how many are right, of so many where that is told, and how often it was
/// heard.
pub(super) fn score(on: &mut Writer, parts: usize, x: f32, y: f32) {
    boxes::blank(on, x, x + 30.0, y);
    let right = match parts {
        0 => "right".to_owned(),
        parts => format!("right of {parts}"),
    };
    boxes::head(on, &right, x + 35.0, y, Anchor::Start);
    let heard = x + 35.0 + 6.0 * NOTE;
    boxes::blank(on, heard, heard + 24.0, y);
    boxes::head(on, "heard", heard + 29.0, y, Anchor::Start);
}
