//! A line of chords in bars: symbols over beats, or over the notes of both hands.

mod plan;
mod start;
mod system;

use crate::theory::progression::Placed;
use crate::theory::symbol::Style;

use super::font::Face;
use super::grand::Hands;
use super::text::Hand;
use super::{Anchor, Bounds, Drawing, Glyph, Ink, Point, Sketch, words};

use plan::Plan;
use system::System;

/// A line as it is to be engraved.
#[derive(Debug, Clone, Copy)]
pub struct Line<'a> {
    /// The chords in order.
    pub chords: &'a [Placed],
    /// What the hands have at each chord, on a grand staff, in the chords' order; empty for a line
    /// of beats on one staff. Heads are whole notes: how long they last is told by their place.
    pub hands: &'a [Hands],
    /// How many bars there are; chords beyond are left out.
    pub bars: usize,
    /// Beats a bar, over quarter notes, 1 to 9.
    pub beats: u8,
    /// The key by its sharps (1 to 7) or flats (−1 to −7); 0 for none. A line with notes has none.
    pub signature: i8,
    /// Beats a minute, to be written over the start.
    pub tempo: Option<u16>,
    /// How symbols are printed.
    pub style: Style,
    /// The size of their roots in staff spaces; smaller where the line needs it.
    pub symbol: f32,
    /// The width in staff spaces.
    pub width: f32,
    /// The bar that is played now, from 0, and the word under it: told by weight, not colour.
    pub current: Option<(usize, &'a str)>,
}

/// A line engraved.
#[derive(Debug, Clone, PartialEq)]
pub struct Engraved {
    /// The drawing; its origin is the left end of the first top line.
    pub drawing: Drawing,
    /// The box of each bar from its first to its last staff line, in the drawing's places.
    pub bars: Vec<Bounds>,
}
/// From the start of a bar to its first beat.
const BEFORE_BEAT: f32 = 1.15;
/// The size of words.
const WORDS: f32 = 1.75;
/// The size of the note in the tempo.
const TEMPO_NOTE: f32 = 2.6;

/// Engraves a line, in as many systems as it needs.
pub fn layout(line: &Line<'_>) -> Engraved {
    let plan = Plan::of(line);
    let mut sketch = Sketch::default();
    let mut bars = Vec::new();
    let mut top = 0.0;

    for first in (0..line.bars.max(1)).step_by(plan.bars_a_system) {
        let system = System {
            line,
            plan: &plan,
            first,
            last: (first + plan.bars_a_system).min(line.bars.max(1)),
            top,
        };
        bars.extend(system.draw(&mut sketch));
        top += plan.height;
    }
    if let Some(tempo) = line.tempo {
        write_tempo(&mut sketch, tempo, plan.symbol_y);
    }

    let drawing = Drawing::boxed(sketch, spoken(line));
    for bar in &mut bars {
        let Point { x, y } = drawing.origin;
        *bar = Bounds {
            left: bar.left + x,
            top: bar.top + y,
            right: bar.right + x,
            bottom: bar.bottom + y,
        };
    }
    Engraved { drawing, bars }
}

fn write_tempo(sketch: &mut Sketch, tempo: u16, baseline: f32) {
    let note = Glyph::Quarter;
    let ink = note.bounds();
    let hand = Hand {
        face: Face::Regular,
        size: WORDS,
        anchor: Anchor::Start,
        ink: Ink::Plain,
    };

    sketch.sized(
        note,
        -ink.left * TEMPO_NOTE,
        baseline - ink.bottom * TEMPO_NOTE,
        TEMPO_NOTE,
        Ink::Plain,
    );
    let x = (ink.right - ink.left) * TEMPO_NOTE + 0.4;
    sketch.text(&format!("= {tempo}"), x, baseline, hand);
}

fn spoken(line: &Line<'_>) -> String {
    let mut out = Vec::new();

    for bar in 0..line.bars {
        let own = line
            .chords
            .iter()
            .enumerate()
            .filter(|(_, placed)| placed.bar == bar)
            .map(|(index, placed)| match line.hands.get(index) {
                Some(hands) => format!("{}: {}", words::chord(placed.chord), hands.words()),
                None => words::chord(placed.chord),
            });
        let chords: Vec<String> = own.collect();
        let text = if chords.is_empty() && line.chords.iter().any(|placed| placed.bar < bar) {
            "as before".to_owned()
        } else if chords.is_empty() {
            "no chord".to_owned()
        } else {
            chords.join(", ")
        };
        out.push(format!("bar {}: {text}", bar + 1));
    }

    out.join(". ")
}
