//! The left and right edges of signs in thin slices, so that accidentals can be set by their shape.

use std::sync::LazyLock;

use super::font::{self, Segment};
use super::measure::MUSIC_SIZE;
use super::{Face, Glyph, Point};

/// Slices a staff space; a step on the staff is a whole number of them.
pub(super) const SLICES: i32 = 8;
/// Into how many straight lines a curve is cut.
const CUTS: i32 = 12;

/// The ink of a sign in one slice, in staff spaces from its origin.
#[derive(Debug, Clone, Copy)]
pub(super) struct Slice {
    /// The slice by number from the origin's height down.
    pub(super) number: i32,
    pub(super) left: f32,
    pub(super) right: f32,
}

static SHAPES: LazyLock<Vec<Vec<Slice>>> =
    LazyLock::new(|| Glyph::ALL.into_iter().map(measured).collect());

/// Returns the slices of a sign.
pub(super) fn slices(glyph: Glyph) -> &'static [Slice] {
    &SHAPES[glyph as usize]
}

fn measured(glyph: Glyph) -> Vec<Slice> {
    let outline = font::outline(Face::Music, glyph.codepoint()).unwrap_or_default();
    let mut slices: Vec<Slice> = Vec::new();
    let mut start = Point::new(0.0, 0.0);
    let mut at = start;

    for segment in outline {
        match segment {
            Segment::Move(to) => {
                start = to;
                at = to;
            }
            Segment::Line(to) => {
                cross(&mut slices, at, to);
                at = to;
            }
            Segment::Curve(one, two, to) => {
                let mut from = at;
                for cut in 1..=CUTS {
                    let next = on_curve([at, one, two, to], cut as f32 / CUTS as f32);
                    cross(&mut slices, from, next);
                    from = next;
                }
                at = to;
            }
            Segment::Close => {
                cross(&mut slices, at, start);
                at = start;
            }
        }
    }

    slices.sort_by_key(|slice| slice.number);
    slices
}

fn on_curve([a, b, c, d]: [Point; 4], t: f32) -> Point {
    let u = 1.0 - t;
    let mix = |a: f32, b: f32, c: f32, d: f32| {
        u * u * u * a + 3.0 * u * u * t * b + 3.0 * u * t * t * c + t * t * t * d
    };

    Point::new(mix(a.x, b.x, c.x, d.x), mix(a.y, b.y, c.y, d.y))
}

/// Widens every slice that a line passes through.
fn cross(slices: &mut Vec<Slice>, from: Point, to: Point) {
    let scale = MUSIC_SIZE * SLICES as f32;
    let (top, bottom) = if from.y <= to.y {
        (from, to)
    } else {
        (to, from)
    };
    let first = (top.y * scale).floor() as i32;
    let last = (bottom.y * scale).floor() as i32;
    // The place on the line at a height, kept between its ends.
    let at = |height: f32| {
        let share = if bottom.y > top.y {
            ((height / scale - top.y) / (bottom.y - top.y)).clamp(0.0, 1.0)
        } else {
            0.0
        };
        (top.x + (bottom.x - top.x) * share) * MUSIC_SIZE
    };

    for number in first..=last {
        let ends = if first == last {
            [top.x * MUSIC_SIZE, bottom.x * MUSIC_SIZE]
        } else {
            [at(number as f32), at((number + 1) as f32)]
        };
        for x in ends {
            match slices.iter_mut().find(|slice| slice.number == number) {
                Some(slice) => {
                    slice.left = slice.left.min(x);
                    slice.right = slice.right.max(x);
                }
                None => slices.push(Slice {
                    number,
                    left: x,
                    right: x,
                }),
            }
        }
    }
}
