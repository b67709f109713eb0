//! One system of a line, drawn.

use crate::theory::progression::Placed;

use super::super::cluster::{self, Cluster};
use super::super::font::Face;
use super::super::measure::{AFTER_CLEF, BAR_LINE, CLEF, STAFF, STAFF_LINE};
use super::super::staff::{self, Bar, Clef, y};
use super::super::symbol::{self, Setting};
use super::super::text::Hand;
use super::super::{Anchor, Bounds, Glyph, Ink, Point, Sketch, grand};
use super::plan::Plan;
use super::start::{SIGNATURE_STEP, signature};
use super::{BEFORE_BEAT, Line, WORDS};

/// One system of a line.
pub(super) struct System<'a> {
    pub(super) line: &'a Line<'a>,
    pub(super) plan: &'a Plan,
    pub(super) first: usize,
    pub(super) last: usize,
    pub(super) top: f32,
}

impl System<'_> {
    /// Draws the system and returns the boxes of its bars.
    pub(super) fn draw(&self, sketch: &mut Sketch) -> Vec<Bounds> {
        let mut own = Sketch::default();
        let Self { line, plan, .. } = *self;
        let has_notes = !plan.clusters.is_empty();
        let count = self.last - self.first;
        let width = plan.prefix + count as f32 * plan.bar;
        let bottom = if has_notes {
            let lower = STAFF + plan.between;
            grand::staves(&mut own, lower, width, Ink::Plain);
            lower + STAFF
        } else {
            staff::lines(&mut own, 0.0, 0.0, width, Ink::Plain);
            let _ = staff::clef(&mut own, Clef::Treble, 0.0);
            staff::bar(&mut own, Bar::Single, BAR_LINE, 0.0, STAFF, Ink::Plain);
            STAFF
        };

        self.start(&mut own, has_notes);
        let mut boxes = Vec::new();
        for index in 0..count {
            let left = plan.prefix + index as f32 * plan.bar;
            let right = left + plan.bar;
            let is_last = self.first + index + 1 == line.bars.max(1);
            let bar = if is_last { Bar::Final } else { Bar::Single };
            staff::bar(&mut own, bar, right, 0.0, bottom, Ink::Plain);
            if !has_notes {
                self.beats(&mut own, left);
            }
            boxes.push(Bounds {
                left,
                top: self.top - STAFF_LINE / 2.0,
                right,
                bottom: self.top + bottom + STAFF_LINE / 2.0,
            });
        }
        self.chords(&mut own);
        self.now(&mut own, bottom, width);

        let by = Point::new(0.0, self.top);
        sketch.0.extend(own.0.into_iter().map(|mut mark| {
            mark.shift(by);
            mark
        }));
        boxes
    }

    /// Draws key and time; the time on the first system only.
    fn start(&self, sketch: &mut Sketch, has_notes: bool) {
        let (glyph, steps) = signature(self.line, has_notes);
        let mut x = CLEF + Glyph::FClef.width() + AFTER_CLEF;

        for step in steps {
            sketch.glyph(glyph, x, y(*step), Ink::Plain);
            x += SIGNATURE_STEP;
        }
        if !steps.is_empty() {
            x += AFTER_CLEF;
        }
        let time = Glyph::time(self.line.beats).zip(Glyph::time(4));
        if let Some((upper, lower)) = time.filter(|_| self.first == 0) {
            let tops = if has_notes {
                vec![0.0, STAFF + self.plan.between]
            } else {
                vec![0.0]
            };
            for top in tops {
                sketch.glyph(upper, x, top + y(6), Ink::Plain);
                sketch.glyph(lower, x, top + y(2), Ink::Plain);
            }
        }
    }

    fn beats(&self, sketch: &mut Sketch, left: f32) {
        let beats = u32::from(self.line.beats.max(1));

        for beat in 0..beats {
            let x = left + self.plan.before + self.plan.room() * beat as f32 / beats as f32;
            sketch.glyph(Glyph::NoteheadSlash, x, y(4), Ink::Plain);
        }
    }

    /// Writes symbols and notes.
    fn chords(&self, sketch: &mut Sketch) {
        let Self { line, plan, .. } = *self;
        let own = |placed: &Placed| (self.first..self.last).contains(&placed.bar);
        let mut placed_notes: Vec<(f32, &grand::Clusters)> = Vec::new();

        for (index, placed) in line.chords.iter().enumerate() {
            if !own(placed) {
                continue;
            }
            let bar = (placed.bar - self.first) as f32;
            let x = plan.prefix + bar * plan.bar + plan.beat(*placed);
            let setting = Setting {
                bold: line.current.is_some_and(|(bar, _)| bar == placed.bar),
                ..Setting::new(line.style, plan.symbol)
            };
            sketch.place(symbol::layout(placed.chord, setting), x, plan.symbol_y);
            if let Some(both) = plan.clusters.get(index) {
                both.upper.draw(sketch, x, 0.0);
                both.lower.draw(sketch, x, STAFF + plan.between);
                placed_notes.push((x, both));
            }
        }
        brackets(sketch, &placed_notes, |both| &both.upper, 0.0);
        brackets(
            sketch,
            &placed_notes,
            |both| &both.lower,
            STAFF + plan.between,
        );
    }

    /// Shows the current bar by a thick rule and a word.
    fn now(&self, sketch: &mut Sketch, bottom: f32, width: f32) {
        let Some((current, word)) = self.line.current else {
            return;
        };
        let rule = bottom + self.plan.rule;
        let left = self.plan.prefix;
        sketch.line((left, rule), (width, rule), 0.07, Ink::Quiet);

        if (self.first..self.last).contains(&current) {
            let start = left + (current - self.first) as f32 * self.plan.bar;
            sketch.rect(start, rule - 0.36, self.plan.bar, 0.72, Ink::Plain);
            let hand = Hand {
                face: Face::Bold,
                size: WORDS,
                anchor: Anchor::Start,
                ink: Ink::Plain,
            };
            sketch.text(word, start + BEFORE_BEAT, rule + 2.6, hand);
        }
    }
}

/// Draws one bracket over each run of chords with the same shift.
fn brackets(
    sketch: &mut Sketch,
    placed: &[(f32, &grand::Clusters)],
    of: impl Fn(&grand::Clusters) -> &Cluster,
    top: f32,
) {
    let notes: Vec<(f32, &Cluster)> = placed
        .iter()
        .map(|(x, both)| (*x, of(both)))
        .filter(|(_, cluster)| !cluster.heads.is_empty())
        .collect();

    for run in notes.chunk_by(|one, other| one.1.octaves == other.1.octaves) {
        cluster::bracket(sketch, run, top);
    }
}
