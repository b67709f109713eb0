//! A strip of piano keys that shows which are held, in plain ink.

use crate::theory::Name;
use crate::theory::pitch::{Key, Pitch};

use super::font::Face;
use super::text::Hand;
use super::{Anchor, Bounds, Drawing, Ink, Sketch, words};

/// What a strip shows. Its unit is the width of a white key.
#[derive(Debug, Clone, Copy)]
pub struct Strip<'a> {
    /// The lowest key; a black one brings the white key below it.
    pub lowest: Key,
    /// The highest key; a black one brings the white key above it.
    pub highest: Key,
    /// The keys that are held; others than these are left out.
    pub held: &'a [Key],
    /// Whether the keyboard is heard; else the outline is dashed.
    pub heard: bool,
    /// The height of the keys.
    pub height: f32,
    /// What is written under middle C, and its size.
    pub caption: Option<(&'a str, f32)>,
}

/// Middles of the black keys from the left edge of C: they share their octave evenly at the back.
const BLACK: [(u8, f32); 5] = [(1, 0.9), (3, 2.1), (6, 3.857), (8, 5.0), (10, 6.143)];
/// The width and the height of a black key, the height as a share of the strip's.
const BLACK_WIDTH: f32 = 0.58;
const BLACK_HEIGHT: f32 = 0.60;
/// Thicknesses: the outline, the lines between keys, the edge at the back.
const OUTLINE: f32 = 0.047;
const DIVISION: f32 = 0.031;
const BACK: f32 = 0.094;
/// A dash and the gap behind it.
const DASH: f32 = 0.125;

/// Returns where the key's left edge, or for a black one its middle, lies from C of octave −1.
fn place(key: Key) -> f32 {
    let octave = f32::from(key.number() / 12) * 7.0;
    let class = key.class();

    octave
        + BLACK
            .iter()
            .find(|(black, _)| *black == class)
            .map_or_else(|| f32::from(white(class)), |(_, middle)| *middle)
}

/// Returns how many white keys lie between C and a white key of its octave.
fn white(class: u8) -> u8 {
    [0, 0, 1, 1, 2, 3, 3, 4, 4, 5, 5, 6][usize::from(class % 12)]
}

fn is_black(key: Key) -> bool {
    BLACK.iter().any(|(class, _)| *class == key.class())
}

/// Returns where each key lies, from the upper left corner of the keys, black ones first: they lie
/// on the others.
pub fn keys(strip: &Strip<'_>) -> Vec<(Key, Bounds)> {
    let span = Span::of(strip);
    let bounds = |left: f32, width: f32, height: f32| Bounds {
        left,
        top: 0.0,
        right: left + width,
        bottom: height,
    };
    let blacks = span.blacks.iter().map(|key| {
        let left = place(*key) - span.start - BLACK_WIDTH / 2.0;
        (*key, bounds(left, BLACK_WIDTH, strip.height * BLACK_HEIGHT))
    });
    let whites = span
        .whites
        .iter()
        .map(|key| (*key, bounds(place(*key) - span.start, 1.0, strip.height)));

    blacks.chain(whites).collect()
}

/// The keys of a strip, from a white one to a white one.
struct Span {
    /// Where the lowest lies from C of octave −1.
    start: f32,
    width: f32,
    blacks: Vec<Key>,
    whites: Vec<Key>,
}

impl Span {
    fn of(strip: &Strip<'_>) -> Self {
        let white = |key: Key, by| if is_black(key) { step(key, by) } else { key };
        let (lowest, highest) = (white(strip.lowest, -1), white(strip.highest, 1));
        let start = place(lowest);
        let (blacks, whites) = (lowest.number()..=highest.number())
            .filter_map(|number| Key::new(number.into()).ok())
            .partition(|key| is_black(*key));

        Self {
            start,
            width: place(highest) + 1.0 - start,
            blacks,
            whites,
        }
    }
}

/// The key so many semitones further, as far as there is one.
fn step(key: Key, by: i64) -> Key {
    Key::new(i64::from(key.number()) + by).unwrap_or(key)
}

/// Draws a strip; the drawing's origin is the upper left corner of the keys.
pub fn layout(strip: &Strip<'_>) -> Drawing {
    let mut sketch = Sketch::default();
    let Span {
        start,
        width,
        blacks,
        whites,
    } = Span::of(strip);
    let is_held = |key: Key| strip.held.contains(&key);

    for key in &whites {
        let x = place(*key) - start;
        if is_held(*key) {
            sketch.rect(x, 0.0, 1.0, strip.height, Ink::Plain);
        }
        if x > 0.0 {
            // Between two held keys the line would drown.
            let both = is_held(*key)
                && whites
                    .iter()
                    .any(|other| is_held(*other) && place(*other) + 1.0 == place(*key));
            let ink = if both { Ink::Paper } else { Ink::Quiet };
            sketch.line((x, 0.0), (x, strip.height), DIVISION, ink);
        }
    }
    outline(&mut sketch, width, strip);
    for key in &blacks {
        let x = place(*key) - start - BLACK_WIDTH / 2.0;
        black(
            &mut sketch,
            x,
            strip.height * BLACK_HEIGHT,
            is_held(*key),
            {
                let beside = [step(*key, -1), step(*key, 1)];
                beside.into_iter().any(is_held)
            },
        );
    }
    // Keys end under the edge, whatever is held.
    sketch.rect(0.0, 0.0, width, BACK, Ink::Plain);
    if let Some((text, size)) = strip.caption
        && whites.contains(&Key::MIDDLE_C)
    {
        let x = place(Key::MIDDLE_C) - start + 0.5;
        let hand = Hand {
            face: Face::Italic,
            size,
            anchor: Anchor::Middle,
            ink: Ink::Quiet,
        };
        let tick = strip.height + 0.1;
        sketch.line((x, tick), (x, tick + 0.25), OUTLINE, Ink::Quiet);
        sketch.text(text, x, tick + 0.3 + size, hand);
    }

    let mut held: Vec<Key> = strip.held.to_vec();
    held.sort_unstable();
    held.dedup();
    Drawing::boxed(sketch, spoken(&held, strip.heard))
}

fn spoken(held: &[Key], heard: bool) -> String {
    if !heard {
        return "keyboard not heard".to_owned();
    }
    if held.is_empty() {
        return "no key held".to_owned();
    }
    let pitches: Vec<Pitch> = held
        .iter()
        .filter_map(|key| Pitch::new(Name::plain(key.class()), *key))
        .collect();

    format!("held: {}", words::pitches(&pitches))
}

fn black(sketch: &mut Sketch, x: f32, height: f32, is_held: bool, beside_held: bool) {
    if is_held {
        if beside_held {
            // A seam of paper parts it from the white key that is held too.
            sketch.rect(
                x - OUTLINE,
                0.0,
                BLACK_WIDTH + 2.0 * OUTLINE,
                height + OUTLINE,
                Ink::Paper,
            );
        }
        sketch.rect(x, 0.0, BLACK_WIDTH, height, Ink::Plain);
    } else {
        sketch.rect(x, 0.0, BLACK_WIDTH, height, Ink::Quiet);
        sketch.rect(
            x + OUTLINE,
            0.0,
            BLACK_WIDTH - 2.0 * OUTLINE,
            height - OUTLINE,
            Ink::Rule,
        );
    }
}

fn outline(sketch: &mut Sketch, width: f32, strip: &Strip<'_>) {
    let half = OUTLINE / 2.0;
    let (right, bottom) = (width - half, strip.height - half);
    let sides = [
        ((half, 0.0), (half, strip.height)),
        ((right, 0.0), (right, strip.height)),
        ((0.0, bottom), (width, bottom)),
    ];

    for (from, to) in sides {
        if strip.heard {
            sketch.line(from, to, OUTLINE, Ink::Quiet);
        } else {
            dashed(sketch, from, to);
        }
    }
}

fn dashed(sketch: &mut Sketch, from: (f32, f32), to: (f32, f32)) {
    let length = (to.0 - from.0) + (to.1 - from.1);
    let along = |distance: f32| {
        let share = (distance / length).min(1.0);
        (
            from.0 + (to.0 - from.0) * share,
            from.1 + (to.1 - from.1) * share,
        )
    };
    let count = (length / (2.0 * DASH)).ceil() as i32;

    for dash in 0..count {
        let start = dash as f32 * 2.0 * DASH;
        sketch.line(along(start), along(start + DASH), OUTLINE, Ink::Quiet);
    }
}
