//! Marks that a person gives, and rests.

use std::rc::Rc;

use super::boxes;
use super::group::{Group, SYMBOL, rows, under};
use crate::engraving::text::wrapped;
use crate::engraving::{Anchor, Face, Ink};
use crate::exam::form::{Item, Task};
use crate::exam::script::Section;
use crate::printing::columns::MEASURE;
use crate::printing::page::Meaning;
use crate::printing::plan::Block;
use crate::printing::text::label;
use crate::printing::words::plain_seconds;
use crate::printing::writer::{LINE, TEXT, Type, Writer};
use crate::time::Time;

/// Marks go from 0 to so many.
const MOST: usize = 10;
/// The lines for remarks.
const REMARKS: usize = 2;

pub(super) fn blocks<'a>(group: &Rc<Group<'a>>, all: &mut Vec<Block<'a>>) {
    rows(group, 6, (heads, draw), all);
    all.push(Block::new(remarks).tight());
}

fn heads(on: &mut Writer, _: &Group<'_>) {
    under(on);
}

fn draw(on: &mut Writer, group: &Group<'_>, items: &[&Item]) {
    let margin = on.margin();
    let figures: Vec<String> = (0..=MOST).map(|figure| figure.to_string()).collect();
    let x = on.right() - boxes::width(MOST + 1);
    let room = x - margin - SYMBOL - 16.0;

    for item in items {
        let Task::Panel(task) = &item.task else {
            continue;
        };
        let (top, y) = (on.y, on.y + 22.0);
        let lines = wrapped(&task.criterion, Face::Regular, TEXT, room).len() as f32;
        on.part(Meaning::Section, |on| {
            group.number(on, item, margin, y);
            on.part(Meaning::Paragraph, |on| {
                let of = (Type::of(TEXT), LINE);
                let _ = on.wrap(&task.criterion, margin + SYMBOL, y, room, of);
            });
            boxes::figures(on, &figures, "Mark from 0 to 10", x, y);
        });
        on.y = top + 34.0 + (lines - 1.0) * LINE;
        under(on);
    }
}

fn remarks(on: &mut Writer) {
    let (margin, right) = (on.margin(), on.right());

    boxes::head(on, "remarks", margin, on.y + 24.0, Anchor::Start);
    for line in 0..REMARKS {
        boxes::blank(on, on.left(), right, on.y + 24.0 + line as f32 * 26.0);
    }
    on.y += 24.0 + (REMARKS - 1) as f32 * 26.0 + 8.0;
}

/// A rest between two sections.
pub(super) fn rest<'a>(section: &'a Section, length: Time, all: &mut Vec<Block<'a>>) {
    all.push(Block::new(move |on: &mut Writer| {
        let (margin, left, right) = (on.margin(), on.left(), on.right());
        let baseline = on.y + 26.0;
        on.rule(margin, right, on.y + 4.0, 1.0, Ink::Plain);
        on.part(Meaning::Section, |on| {
            label(on, "Rest", baseline);
            on.part(Meaning::Paragraph, |on| {
                let words = format!(
                    "{}: {} seconds. Put your hands down and let your shoulders go.",
                    section.title,
                    plain_seconds(length)
                );
                let of = (Type::of(TEXT), LINE);
                on.y = on.wrap(&words, left, baseline, MEASURE, of) + 6.0;
            });
        });
    }));
}
