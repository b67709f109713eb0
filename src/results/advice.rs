//! What was sure and what to practise, taken from the evidence of one sitting.
//!
//! Facts only: the words belong to the room that says them.

use crate::exam::script::Exam;
use crate::fraction;
use crate::marking::item::Marked;
use crate::marking::profile::Cell;
use crate::sitting::outcome::Outcome;
use crate::theory::{Chord, Quality};

/// So many things to practise at most, and so many chords in one of them.
pub const MOST: usize = 2;
/// See [`MOST`].
pub const CHORDS: usize = 3;

/// Something to practise.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Weak {
    /// The chords with the lowest levels that came cold, the lowest first.
    Cold(Vec<Chord>),
    /// The commonest confusion of the ear, by the exam's labels.
    Heard {
        /// What sounded.
        sounded: String,
        /// What it was taken for.
        answered: String,
        /// How often.
        count: usize,
        /// Of how many soundings.
        of: usize,
    },
    /// A section that brought little.
    Section {
        /// The section, from 0.
        section: usize,
        /// Its share of its marks in whole percents.
        percent: i64,
    },
}

/// Something that was sure.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Sure {
    /// Chords of one quality that were right at once.
    Chords {
        /// The quality.
        quality: Quality,
        /// How many were.
        right: usize,
        /// Of how many asked.
        of: usize,
    },
    /// A label of the ear that was named each time it sounded.
    Heard {
        /// The exam's label.
        label: String,
        /// How often it sounded.
        of: usize,
    },
    /// The section that brought most.
    Section {
        /// The section, from 0.
        section: usize,
        /// Its share of its marks in whole percents.
        percent: i64,
    },
}

/// Returns what to practise, [`MOST`] at most: the weakest chords when they come cold, the
/// commonest confusion of the ear, and where these say nothing the weakest sections.
pub fn weak(exam: &Exam, outcome: &Outcome<'_>) -> Vec<Weak> {
    let mut all: Vec<Weak> = cold(outcome).into_iter().chain(confused(outcome)).collect();

    let mut sections = shares(exam, outcome);
    sections.sort_unstable();
    all.extend(
        sections
            .into_iter()
            .filter(|(percent, _)| *percent < 100)
            .map(|(percent, section)| Weak::Section { section, percent }),
    );
    all.truncate(MOST);

    all
}

/// Fewer chords of a quality carry no statement that they are sure.
const FEWEST_CHORDS: usize = 4;

/// Returns what was surest: a quality of which three chords of four were right at once, else what
/// the ear named each time, else the best section that brought half its marks.
pub fn sure(exam: &Exam, outcome: &Outcome<'_>) -> Option<Sure> {
    chords(&outcome.profile.cells)
        .or_else(|| named(outcome))
        .or_else(|| {
            shares(exam, outcome)
                .into_iter()
                // Of equal sections the earlier one.
                .max_by_key(|(percent, section)| (*percent, usize::MAX - section))
                .filter(|(percent, _)| *percent >= 50)
                .map(|(percent, section)| Sure::Section { section, percent })
        })
}

/// The shares of the sections that a candidate has reached and no person's marks are awaited for.
fn shares(exam: &Exam, outcome: &Outcome<'_>) -> Vec<(i64, usize)> {
    let is_reached = |section: usize| {
        outcome
            .items
            .iter()
            .any(|item| item.item.section == section && !matches!(item.marked, Marked::NotReached))
    };

    outcome
        .grade
        .sections
        .iter()
        .filter(|mark| !mark.awaited && mark.items > 0 && mark.section < exam.sections.len())
        .filter(|mark| is_reached(mark.section))
        .filter_map(|mark| Some((fraction::percent(mark.mark, mark.out_of)?, mark.section)))
        .collect()
}

fn cold(outcome: &Outcome<'_>) -> Option<Weak> {
    let mut cells: Vec<_> = outcome
        .profile
        .cells
        .iter()
        .filter(|cell| cell.cold && cell.level < 4)
        .collect();
    cells.sort_by_key(|cell| cell.level);

    let mut weak: Vec<Chord> = Vec::new();
    for cell in cells {
        let chord = Chord::new(cell.quality.printed_root(cell.root), cell.quality);
        if !weak.contains(&chord) {
            weak.push(chord);
        }
    }
    weak.truncate(CHORDS);

    (!weak.is_empty()).then_some(Weak::Cold(weak))
}

fn confused(outcome: &Outcome<'_>) -> Option<Weak> {
    let pair = outcome
        .profile
        .ears
        .iter()
        .filter_map(|ear| ear.confusion.commonest(1).into_iter().next())
        .max_by_key(|pair| pair.count)?;

    Some(Weak::Heard {
        sounded: pair.sounded.clone(),
        answered: pair.answered.clone(),
        count: pair.count,
        of: pair.of,
    })
}

fn chords(cells: &[Cell]) -> Option<Sure> {
    let mut qualities: Vec<(Quality, usize, usize)> = Vec::new();

    for cell in cells {
        let right = usize::from(cell.level == 4);
        match qualities.iter_mut().find(|(of, ..)| *of == cell.quality) {
            Some((_, sum, all)) => {
                *sum += right;
                *all += 1;
            }
            None => qualities.push((cell.quality, right, 1)),
        }
    }

    qualities
        .into_iter()
        .filter(|(_, right, of)| *of >= FEWEST_CHORDS && 4 * right >= 3 * of)
        // The greatest share, and of equal ones the one with most chords, then the first.
        .reduce(|best, next| {
            let (best_share, next_share) = (best.1 * next.2, next.1 * best.2);
            if (next_share, next.2) > (best_share, best.2) {
                next
            } else {
                best
            }
        })
        .map(|(quality, right, of)| Sure::Chords { quality, right, of })
}

fn named(outcome: &Outcome<'_>) -> Option<Sure> {
    outcome
        .profile
        .ears
        .iter()
        .filter(|ear| ear.distinguishable)
        .flat_map(|ear| {
            ear.confusion
                .labels()
                .iter()
                .map(move |label| (&ear.confusion, label))
        })
        .filter(|(confusion, label)| confusion.says_enough(label))
        .find_map(|(confusion, label)| {
            let of = confusion.row(label)?.total();
            (confusion.hits(label) == of).then(|| Sure::Heard {
                label: label.clone(),
                of,
            })
        })
}
