//! Running text whose accidentals come from the music font.

use super::font::{self, Face};
use super::{Anchor, Drawing, Glyph, Ink, Mark, Point, Sketch};

/// The size of an accidental in running text as a share of the text's.
const SIGN: f32 = 0.86;
/// How far it is raised, as a share of the text's size.
const RAISED: f32 = 0.02;
/// The room on each side of it, as a share of the text's size.
const ROOM: f32 = 0.03;

/// How a text is set.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hand {
    /// The cut of the font.
    pub face: Face,
    /// Its size, in the drawing's unit.
    pub size: f32,
    /// Which point of the text stands at its place.
    pub anchor: Anchor,
    /// What it is painted with.
    pub ink: Ink,
}

/// Sets a line of text; the drawing's origin is the left end of its baseline.
///
/// The text font's own ♯ hangs below the line and 𝄫 and 𝄪 it lacks, so accidentals are signs of
/// the music font.
pub fn layout(text: &str, face: Face, size: f32) -> Drawing {
    let hand = Hand {
        face,
        size,
        anchor: Anchor::Start,
        ink: Ink::Plain,
    };

    Drawing::boxed(run(text, hand, Point::new(0.0, 0.0)), text.to_owned())
}

/// Returns the width of a line of text, signs and all.
pub fn width(text: &str, face: Face, size: f32) -> f32 {
    pieces(text)
        .map(|piece| match piece {
            Piece::Words(words) => font::width(face, words) * size,
            Piece::Sign(sign) => sign_width(sign, size),
        })
        .sum()
}

/// Breaks words into lines no wider than asked.
pub fn wrapped(words: &str, face: Face, size: f32, room: f32) -> Vec<String> {
    let mut lines = Vec::new();
    let mut line = String::new();

    for word in words.split(' ') {
        let longer = if line.is_empty() {
            word.to_owned()
        } else {
            format!("{line} {word}")
        };
        if !line.is_empty() && width(&longer, face, size) > room {
            lines.push(std::mem::replace(&mut line, word.to_owned()));
        } else {
            line = longer;
        }
    }
    lines.push(line);

    lines
}

enum Piece<'a> {
    Words(&'a str),
    Sign(Glyph),
}

/// Parts a text into words and signs.
fn pieces(text: &str) -> impl Iterator<Item = Piece<'_>> {
    let mut rest = text;

    std::iter::from_fn(move || {
        let first = rest.chars().next()?;
        if let Some(sign) = Glyph::in_text(first) {
            rest = &rest[first.len_utf8()..];
            return Some(Piece::Sign(sign));
        }
        let end = rest
            .find(|sign| Glyph::in_text(sign).is_some())
            .unwrap_or(rest.len());
        let (words, after) = rest.split_at(end);
        rest = after;
        Some(Piece::Words(words))
    })
}

fn sign_width(sign: Glyph, size: f32) -> f32 {
    (sign.advance() * SIGN + 2.0 * ROOM) * size
}

/// Sets a line of text at a place.
pub fn marks(text: &str, hand: Hand, at: Point) -> Vec<Mark> {
    run(text, hand, at).0
}

/// Sets a line of text at a place.
pub(super) fn run(text: &str, hand: Hand, at: Point) -> Sketch {
    let Hand {
        face, size, ink, ..
    } = hand;
    let mut sketch = Sketch::default();
    let width = width(text, face, size);
    let mut x = at.x
        - match hand.anchor {
            Anchor::Start => 0.0,
            Anchor::Middle => width / 2.0,
            Anchor::End => width,
        };

    for piece in pieces(text) {
        match piece {
            Piece::Words(words) => {
                sketch.0.push(Mark::Text {
                    text: words.to_owned(),
                    face,
                    at: Point::new(x, at.y),
                    size,
                    anchor: Anchor::Start,
                    ink,
                });
                x += font::width(face, words) * size;
            }
            Piece::Sign(glyph) => {
                sketch.0.push(Mark::Glyph {
                    glyph,
                    at: Point::new(x + ROOM * size, at.y - RAISED * size),
                    size: SIGN * size,
                    stretch: 1.0,
                    stroke: if face == Face::Bold {
                        0.022 * size
                    } else {
                        0.0
                    },
                    ink,
                });
                x += sign_width(glyph, size);
            }
        }
    }

    sketch
}
