//! Where a person writes: boxes to cross, lines to fill in, and the heads over them.

use crate::engraving::text::{self, Hand};
use crate::engraving::{Anchor, Face, Ink, Mark, Point};
use crate::printing::page::Meaning;
use crate::printing::writer::{NOTE, Type, Writer};

/// The side of a box, and from one box to the next.
pub(super) const SIDE: f32 = 17.0;
pub(super) const STEP: f32 = 21.0;
/// The thickness of boxes and of lines to write on.
const THIN: f32 = 0.75;
/// From a baseline up to the top of a box that stands on its line.
const RISE: f32 = 13.0;

/// Returns how wide so many boxes are.
pub(super) fn width(count: usize) -> f32 {
    count as f32 * STEP - (STEP - SIDE)
}

/// Boxes with a figure in each, from a left edge; read as the words.
pub(super) fn figures(on: &mut Writer, figures: &[String], words: &str, x: f32, y: f32) {
    let mut marks = Vec::new();

    for (place, figure) in figures.iter().enumerate() {
        let left = x + place as f32 * STEP;
        marks.extend(outline(left, y - RISE));
        let hand = Hand {
            face: Face::Regular,
            size: NOTE,
            anchor: Anchor::Middle,
            ink: Ink::Quiet,
        };
        let at = Point::new(left + SIDE / 2.0, y - RISE + SIDE / 2.0 + 0.34 * NOTE);
        marks.extend(text::marks(figure, hand, at));
    }

    on.part(Meaning::Paragraph, |on| on.told(words, marks));
}

/// One empty box round a middle; read as the words. Must be inside a part that takes text.
pub(super) fn empty(on: &mut Writer, words: &str, middle: f32, y: f32) {
    on.told(words, outline(middle - SIDE / 2.0, y - RISE));
}

fn outline(left: f32, top: f32) -> Vec<Mark> {
    let (right, bottom) = (left + SIDE, top + SIDE);
    let line = |from: (f32, f32), to: (f32, f32)| Mark::Line {
        from: Point::new(from.0, from.1),
        to: Point::new(to.0, to.1),
        thickness: THIN,
        ink: Ink::Quiet,
    };

    vec![
        line((left, top), (right, top)),
        line((right, top), (right, bottom)),
        line((right, bottom), (left, bottom)),
        line((left, bottom), (left, top)),
    ]
}

/// A line to write on.
pub(super) fn blank(on: &mut Writer, from: f32, to: f32, y: f32) {
    on.rule(from, to, y + 3.0, THIN, Ink::Plain);
}

/// A small label over a column.
pub(super) fn head(on: &mut Writer, words: &str, x: f32, y: f32, anchor: Anchor) {
    on.part(Meaning::Paragraph, |on| {
        let _ = on.write(words, x, y, Type::label(NOTE).anchor(anchor));
    });
}

/// Figures from the highest down to the lowest.
pub(super) fn down(from: usize, to: usize) -> Vec<String> {
    (to..=from).rev().map(|figure| figure.to_string()).collect()
}
