//! The notes that one hand plays together, set on one staff: heads, accidentals, ledger lines.

use crate::theory::pitch::Pitch;

use super::accidental::{self, Wanted};
use super::measure::{
    HEADS_OVERLAP, LEDGER_EXTENSION, LEDGER_LINE, MOST_LEDGERS, MUSIC_SIZE, OCTAVE_LINE, STAFF,
};
use super::staff::{Clef, ledgers, y};
use super::{Glyph, Ink, Sketch};

/// A head on its step.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Head {
    /// The note.
    pub pitch: Pitch,
    /// Its step on the staff, under the octave sign where there is one.
    pub step: i32,
    /// Its column, 0 for the chord's own, 1 for a second displaced to the right.
    pub column: usize,
    /// Its left edge, from the left edge of column 0.
    pub x: f32,
}

/// An accidental beside its head.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sign {
    /// The head it belongs to, by its place in [`Cluster::heads`].
    pub head: usize,
    /// The sign.
    pub glyph: Glyph,
    /// Its left edge, from the left edge of column 0.
    pub x: f32,
}

/// A ledger line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ledger {
    /// Its step on the staff.
    pub step: i32,
    /// Where it begins, from the left edge of column 0.
    pub left: f32,
    /// Where it ends.
    pub right: f32,
}

/// Notes set on one staff, without stems: heads are whole notes, whatever they last.
///
/// They stand as on an upward stem: of two a second apart the lower one is left and the upper one
/// right, and each run of seconds begins left from below. So a chord that is echoed while it grows
/// never jumps to the other side.
#[derive(Debug, Clone, PartialEq)]
pub struct Cluster {
    /// By how many octaves the notes sound higher than written (8va), or lower where negative.
    pub octaves: i32,
    /// The heads from low to high.
    pub heads: Vec<Head>,
    /// The accidentals, in the order of their heads.
    pub signs: Vec<Sign>,
    /// The ledger lines.
    pub ledgers: Vec<Ledger>,
}

impl Cluster {
    /// Sets notes on a staff; one that is given twice stands once.
    ///
    /// `before` are the accidentals of the bar so far, by step: a note without one is given a
    /// natural where its step had one before, or has one in the same chord.
    pub fn new(pitches: &[Pitch], clef: Clef, before: &[(i32, i8)]) -> Self {
        let mut notes: Vec<Pitch> = Vec::new();
        for pitch in pitches {
            if !notes.contains(pitch) {
                notes.push(*pitch);
            }
        }
        notes.sort_by_key(|pitch| (clef.step(*pitch), pitch.name.accidental()));
        let octaves = octaves(&notes, clef);

        let mut heads: Vec<Head> = Vec::new();
        for pitch in notes {
            let step = clef.step(pitch) - 7 * octaves;
            let column = (0..)
                .find(|column| {
                    let is_near = |head: &Head| head.column == *column && step - head.step < 2;
                    !heads.iter().any(is_near)
                })
                .unwrap_or(0);
            heads.push(Head {
                pitch,
                step,
                column,
                x: column as f32 * (Glyph::NoteheadWhole.width() - HEADS_OVERLAP),
            });
        }
        let signs = signs(&heads, octaves, before);
        let ledgers = ledger_lines(&heads, &signs);

        Self {
            octaves,
            heads,
            signs,
            ledgers,
        }
    }

    /// Returns the notes from low to high.
    pub fn pitches(&self) -> Vec<Pitch> {
        self.heads.iter().map(|head| head.pitch).collect()
    }

    /// Returns the left end of all that belongs to the chord, 0 or less.
    pub fn left(&self) -> f32 {
        let signs = self.signs.iter().map(|sign| sign.x);
        let ledgers = self.ledgers.iter().map(|ledger| ledger.left);

        signs.chain(ledgers).fold(0.0, f32::min)
    }

    /// Returns its right end.
    pub fn right(&self) -> f32 {
        let heads = self
            .heads
            .iter()
            .map(|head| head.x + Glyph::NoteheadWhole.width());
        let ledgers = self.ledgers.iter().map(|ledger| ledger.right);

        heads.chain(ledgers).fold(0.0, f32::max)
    }

    /// Returns the upper end of heads and accidentals below the top line: negative above it.
    pub fn top(&self) -> f32 {
        self.edges(|y, glyph| y + glyph.bounds().top * MUSIC_SIZE)
            .fold(STAFF, f32::min)
    }

    /// Returns their lower end below the top line.
    pub fn bottom(&self) -> f32 {
        self.edges(|y, glyph| y + glyph.bounds().bottom * MUSIC_SIZE)
            .fold(0.0, f32::max)
    }

    fn edges(&self, edge: impl Fn(f32, Glyph) -> f32) -> impl Iterator<Item = f32> {
        let heads = self
            .heads
            .iter()
            .map(|head| (head.step, Glyph::NoteheadWhole));
        let signs = self
            .signs
            .iter()
            .map(|sign| (self.heads[sign.head].step, sign.glyph));

        heads
            .chain(signs)
            .map(move |(step, glyph)| edge(y(step), glyph))
    }

    /// Returns the upper end with the octave bracket, where one is needed.
    pub(super) fn full_top(&self) -> f32 {
        if self.octaves > 0 {
            bracket_y(self, 1).0
        } else {
            self.top()
        }
    }

    /// Returns the lower end with the octave bracket.
    pub(super) fn full_bottom(&self) -> f32 {
        if self.octaves < 0 {
            bracket_y(self, -1).1
        } else {
            self.bottom()
        }
    }

    /// Returns the accidentals that hold from here on in the bar.
    pub(super) fn after(&self, before: &[(i32, i8)]) -> Vec<(i32, i8)> {
        let own = self.heads.iter().map(|head| {
            // The step of the sound, so that an octave sign does not mix the octaves up.
            (head.step + 7 * self.octaves, head.pitch.name.accidental())
        });

        own.chain(before.iter().copied()).collect()
    }

    /// Draws the chord with column 0 at `x` on the staff whose top line is at `top`.
    pub(super) fn draw(&self, sketch: &mut Sketch, x: f32, top: f32) {
        for ledger in &self.ledgers {
            let y = top + y(ledger.step);
            sketch.line(
                (x + ledger.left, y),
                (x + ledger.right, y),
                LEDGER_LINE,
                Ink::Plain,
            );
        }
        for sign in &self.signs {
            let y = top + y(self.heads[sign.head].step);
            sketch.glyph(sign.glyph, x + sign.x, y, Ink::Plain);
        }
        for head in &self.heads {
            sketch.glyph(
                Glyph::NoteheadWhole,
                x + head.x,
                top + y(head.step),
                Ink::Plain,
            );
        }
    }

    /// Draws the octave bracket over or under this chord alone, where it needs one.
    pub(super) fn bracket(&self, sketch: &mut Sketch, x: f32, top: f32) {
        bracket(sketch, &[(x, self)], top);
    }
}

/// The size of the octave sign.
const OCTAVE_SIZE: f32 = 3.2;
/// From the notes or the staff to the octave sign.
const OCTAVE_APART: f32 = 0.7;
/// The length of the bracket's hook.
const HOOK: f32 = 0.9;

/// Returns the upper and the lower end of the bracket over (1) or under (−1) a chord.
fn bracket_y(cluster: &Cluster, side: i32) -> (f32, f32) {
    let height = octave_height(side * cluster.octaves.abs());

    if side > 0 {
        let lower = cluster.top().min(-0.5) - OCTAVE_APART;
        (lower - height, lower)
    } else {
        let upper = cluster.bottom().max(STAFF + 0.5) + OCTAVE_APART;
        (upper, upper + height)
    }
}

fn octave_height(octaves: i32) -> f32 {
    Glyph::octaves(octaves).map_or(0.0, |glyph| {
        let bounds = glyph.bounds();
        (bounds.bottom - bounds.top) * OCTAVE_SIZE
    })
}

/// Draws one octave bracket over or under chords that share its shift, each given by its place.
pub(super) fn bracket(sketch: &mut Sketch, chords: &[(f32, &Cluster)], top: f32) {
    let (Some((first_x, first)), Some((last_x, last))) = (chords.first(), chords.last()) else {
        return;
    };
    let Some(glyph) = Glyph::octaves(first.octaves) else {
        return;
    };
    let side = first.octaves.signum();
    let ends = chords.iter().map(|(_, cluster)| bracket_y(cluster, side));
    let ink = glyph.bounds();
    let left = first_x + first.left().max(-1.2);
    let after = left + ink.right * OCTAVE_SIZE + 0.3;
    let right = (last_x + last.right() + 0.3).max(after + 1.45);

    // The line runs where the sign is tallest, the hook points to the notes.
    let (baseline, line, hook) = if side > 0 {
        let lower = top + ends.map(|(_, lower)| lower).fold(f32::INFINITY, f32::min);
        let baseline = lower - ink.bottom * OCTAVE_SIZE;
        let line = baseline + ink.top * OCTAVE_SIZE + OCTAVE_LINE;
        (baseline, line, line + HOOK)
    } else {
        let upper = top
            + ends
                .map(|(upper, _)| upper)
                .fold(f32::NEG_INFINITY, f32::max);
        let baseline = upper - ink.top * OCTAVE_SIZE;
        (baseline, baseline - OCTAVE_LINE / 2.0, baseline - HOOK)
    };
    sketch.sized(glyph, left, baseline, OCTAVE_SIZE, Ink::Plain);
    dashes(sketch, after, right, line);
    let corner = line - side as f32 * OCTAVE_LINE / 2.0;
    sketch.line((right, corner), (right, hook), OCTAVE_LINE, Ink::Plain);
}

/// Draws dashes that begin and end with a whole one.
fn dashes(sketch: &mut Sketch, left: f32, right: f32, y: f32) {
    const DASH: f32 = 0.5;
    const GAP: f32 = 0.4;
    let count = ((right - left - DASH) / (DASH + GAP)).floor().max(0.0);
    let pitch = if count > 0.0 {
        (right - left - DASH) / count
    } else {
        0.0
    };

    for dash in 0..=count as i32 {
        let x = left + dash as f32 * pitch;
        sketch.line((x, y), (x + DASH, y), OCTAVE_LINE, Ink::Plain);
    }
}

/// Returns the shift by octaves that leaves the fewest ledger lines over the limit: none if none.
fn octaves(notes: &[Pitch], clef: Clef) -> i32 {
    [0, 1, -1, 2, -2, 3, -3]
        .into_iter()
        .min_by_key(|octaves| {
            notes
                .iter()
                .map(|pitch| ledgers(clef.step(*pitch) - 7 * octaves) - MOST_LEDGERS)
                .max()
                .unwrap_or(0)
                .max(0)
        })
        .unwrap_or(0)
}

fn signs(heads: &[Head], octaves: i32, before: &[(i32, i8)]) -> Vec<Sign> {
    let needs_natural = |head: &Head| {
        let earlier = before
            .iter()
            .find(|(step, _)| *step == head.step + 7 * octaves)
            .is_some_and(|(_, accidental)| *accidental != 0);
        earlier
            || heads
                .iter()
                .any(|other| other.step == head.step && other.pitch != head.pitch)
    };
    let wanted: Vec<(usize, Wanted)> = heads
        .iter()
        .enumerate()
        .filter(|(_, head)| head.pitch.name.accidental() != 0 || needs_natural(head))
        .map(|(index, head)| {
            (
                index,
                Wanted {
                    step: head.step,
                    glyph: Glyph::accidental(head.pitch.name.accidental()),
                    column: head.column,
                },
            )
        })
        .collect();
    let asked: Vec<Wanted> = wanted.iter().map(|(_, wanted)| *wanted).collect();
    let edges: Vec<(i32, f32)> = heads.iter().map(|head| (head.step, head.x)).collect();

    wanted
        .iter()
        .zip(accidental::stack(&asked, &edges))
        .map(|((head, wanted), x)| Sign {
            head: *head,
            glyph: wanted.glyph,
            x,
        })
        .collect()
}

/// The lines that heads beyond the staff need: as wide as the columns of the heads that lie on or
/// beyond them, and kept off an accidental that stands beside.
fn ledger_lines(heads: &[Head], signs: &[Sign]) -> Vec<Ledger> {
    let lowest = heads.first().map_or(0, |head| head.step);
    let highest = heads.last().map_or(0, |head| head.step);
    let above = (10..=highest).step_by(2);
    let below = (lowest..=-2).rev().filter(|step| step % 2 == 0);

    above
        .chain(below)
        .map(|step| {
            let beyond = heads.iter().filter(|head| {
                if step > 8 {
                    head.step >= step
                } else {
                    head.step <= step
                }
            });
            let edges = beyond.fold((f32::INFINITY, 0.0f32), |(left, right), head| {
                (left.min(head.x), right.max(head.x))
            });
            let beside = signs
                .iter()
                .filter(|sign| {
                    let ink = sign.glyph.bounds();
                    let middle = y(heads[sign.head].step);
                    let line = y(step);
                    middle + ink.top * MUSIC_SIZE < line + LEDGER_LINE
                        && middle + ink.bottom * MUSIC_SIZE > line - LEDGER_LINE
                })
                .map(|sign| sign.x + sign.glyph.bounds().right * MUSIC_SIZE + 0.12)
                .fold(f32::NEG_INFINITY, f32::max);
            Ledger {
                step,
                left: (edges.0 - LEDGER_EXTENSION).max(beside),
                right: edges.1 + Glyph::NoteheadWhole.width() + LEDGER_EXTENSION,
            }
        })
        .collect()
}
