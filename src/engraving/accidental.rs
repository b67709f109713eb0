//! Accidentals stacked to the left of a chord, so that none touches another or a head.
//!
//! The rule: the highest stands nearest to the heads, then the lowest further left, then the next
//! highest, the next lowest and so on (E. Gould, Behind Bars, from memory). The same note in
//! several octaves keeps its accidentals in one column, nearest of all (LilyPond does likewise).
//! Each stands in the rightmost column where its shape has room, so those that lie far enough
//! apart share one; where none has room it opens a column beside those that are in its way. So
//! accidentals are either flush or clearly apart, never half tucked in.

use super::Glyph;
use super::measure::{ACCIDENTAL_APART, ACCIDENTAL_TO_HEAD, MUSIC_SIZE};
use super::shape::{self, SLICES};

/// An accidental that is wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Wanted {
    /// Its step on the staff.
    pub(super) step: i32,
    /// Its sign.
    pub(super) glyph: Glyph,
    /// The column of its head: of two on one step the further right head's stands nearer.
    pub(super) column: usize,
}

/// How far the slices of a skyline reach up and down from the middle line.
const REACH: i32 = 512;
/// Slices a step.
const STEP: i32 = SLICES / 2;

/// What has been set, slice by slice.
struct Ground {
    /// How far right a sign's ink may reach by its neighbours' shapes.
    shapes: Vec<f32>,
    /// How far right a new column may reach: clear of the boxes of its neighbours.
    boxes: Vec<f32>,
    /// The right edges of columns, from right to left.
    columns: Vec<f32>,
}

impl Ground {
    fn new(heads: &[(i32, f32)]) -> Self {
        let free = vec![f32::INFINITY; 2 * REACH as usize];
        let mut ground = Self {
            shapes: free.clone(),
            boxes: free,
            columns: Vec::new(),
        };

        for (step, left) in heads {
            let middle = -step * STEP;
            for slice in middle - STEP..middle + STEP {
                block(&mut ground.shapes, slice, left - ACCIDENTAL_TO_HEAD);
                block(&mut ground.boxes, slice, left - ACCIDENTAL_TO_HEAD);
            }
        }
        ground
    }

    /// Returns how far right the left edge of a sign may stand by the shapes of all that is set.
    fn room(&self, one: Wanted) -> f32 {
        shape::slices(one.glyph)
            .iter()
            .map(|slice| at(&self.shapes, slice.number - one.step * STEP) - slice.right)
            .fold(f32::INFINITY, f32::min)
    }

    /// Returns how far right its right edge may stand clear of all boxes.
    fn clearance(&self, one: Wanted) -> f32 {
        shape::slices(one.glyph)
            .iter()
            .map(|slice| at(&self.boxes, slice.number - one.step * STEP))
            .fold(f32::INFINITY, f32::min)
    }

    /// Sets signs that share a column and returns the column's right edge.
    fn set(&mut self, signs: &[Wanted]) -> f32 {
        let has_room = |column: f32| {
            signs
                .iter()
                .all(|one| column - right(one.glyph) <= self.room(*one) + NEARLY)
        };
        let column = self
            .columns
            .iter()
            .copied()
            .find(|column| has_room(*column))
            .unwrap_or_else(|| {
                signs
                    .iter()
                    .map(|one| self.clearance(*one))
                    .fold(f32::INFINITY, f32::min)
            });

        if !self.columns.contains(&column) {
            self.columns.push(column);
            self.columns.sort_by(|one, other| other.total_cmp(one));
        }
        for one in signs {
            let x = column - right(one.glyph);
            for slice in shape::slices(one.glyph) {
                let number = slice.number - one.step * STEP;
                block(&mut self.shapes, number, x + slice.left - ACCIDENTAL_APART);
                block(&mut self.boxes, number, x - ACCIDENTAL_APART);
            }
        }
        column
    }
}

/// Distances that no eye sees.
const NEARLY: f32 = 0.01;

fn right(glyph: Glyph) -> f32 {
    glyph.bounds().right * MUSIC_SIZE
}

/// Looks a slice up; what lies out of reach is no note of a piano.
fn at(edges: &[f32], slice: i32) -> f32 {
    usize::try_from(slice + REACH)
        .ok()
        .and_then(|index| edges.get(index))
        .map_or(f32::INFINITY, |edge| *edge)
}

/// Keeps everything out that comes nearer than `x`, one slice more above and below.
fn block(edges: &mut [f32], slice: i32, x: f32) {
    for slice in slice - 1..=slice + 1 {
        if let Some(edge) = usize::try_from(slice + REACH)
            .ok()
            .and_then(|index| edges.get_mut(index))
        {
            *edge = edge.min(x);
        }
    }
}

/// Returns where the left edge of each accidental stands; heads are given by step and left edge.
pub(super) fn stack(wanted: &[Wanted], heads: &[(i32, f32)]) -> Vec<f32> {
    let mut ground = Ground::new(heads);
    let mut places = vec![0.0; wanted.len()];

    for group in order(wanted) {
        let signs: Vec<Wanted> = group.iter().map(|index| wanted[*index]).collect();
        let column = ground.set(&signs);
        for (index, one) in group.into_iter().zip(signs) {
            places[index] = column - right(one.glyph);
        }
    }

    places
}

/// Groups accidentals by what shares a column of right, and orders the groups from right to left.
fn order(wanted: &[Wanted]) -> Vec<Vec<usize>> {
    let mut groups: Vec<Vec<usize>> = Vec::new();

    for (index, one) in wanted.iter().enumerate() {
        let octave = groups.iter_mut().find(|group| {
            group.iter().all(|other| {
                let other = wanted[*other];
                other.glyph == one.glyph
                    && other.step != one.step
                    && (other.step - one.step) % 7 == 0
            })
        });
        match octave {
            Some(group) => group.push(index),
            None => groups.push(vec![index]),
        }
    }
    groups.sort_by_key(|group| {
        let highest = group.iter().map(|index| wanted[*index].step).max();
        let lowest = group.iter().map(|index| wanted[*index].step).min();
        let column = group.iter().map(|index| wanted[*index].column).max();
        (group.len(), highest.zip(lowest).map(|(a, b)| a + b), column)
    });

    let mut left = std::collections::VecDeque::from(groups);
    let mut ordered = Vec::new();
    let mut from_above = true;
    while let Some(group) = if from_above {
        left.pop_back()
    } else {
        left.pop_front()
    } {
        ordered.push(group);
        from_above = !from_above;
    }

    ordered
}
