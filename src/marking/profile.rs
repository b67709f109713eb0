//! What stands beside the marks: keys and qualities, the routine gap, the ear's confusions.

use super::item::Marked;
use super::run;
use super::statistics::{self, Confusion};
use crate::exam::form::{Item, Task};
use crate::exam::script::{Exam, Kind, Pace};
use crate::fraction::Fraction;
use crate::theory::quality::Quality;
use crate::time::Time;

/// A chord that was asked cold or not, and how it came.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cell {
    /// The quality.
    pub quality: Quality,
    /// The root's pitch class.
    pub root: u8,
    /// The level.
    pub level: u8,
    /// The time to complete.
    pub complete: Option<Time>,
    /// Whether the item before was not its neighbour a fourth below.
    pub cold: bool,
}

/// The routine gap of one quality.
#[derive(Debug, Clone, PartialEq)]
pub struct Gap {
    /// The quality.
    pub quality: Quality,
    /// The form of voicing.
    pub form: String,
    /// Against a free run: median times, cold and inside the run.
    pub medians: Option<(Time, Time)>,
    /// Against an in-tempo run only: share right in the run, mean credit cold.
    pub shares: Option<(Fraction, Fraction)>,
}

/// The figures beside an ear section.
#[derive(Debug, Clone)]
pub struct Ear {
    /// The section, from 0.
    pub section: usize,
    /// The part of the question, from 0.
    pub part: usize,
    /// How many were right.
    pub right: usize,
    /// How many there were.
    pub items: usize,
    /// The share corrected for guessing.
    pub corrected: Option<Fraction>,
    /// The score that a guesser reaches with a chance under 1 %.
    pub guesser: Option<usize>,
    /// Whether the score can be told from guessing.
    pub distinguishable: bool,
    /// What was taken for what.
    pub confusion: Confusion<String>,
}

/// Everything beside the marks.
#[derive(Debug, Clone)]
pub struct Profile {
    /// The voicing items, in the order asked.
    pub cells: Vec<Cell>,
    /// How many were found by way of their neighbour.
    pub walked: usize,
    /// The routine gaps.
    pub gaps: Vec<Gap>,
    /// The ear sections.
    pub ears: Vec<Ear>,
}

/// Draws the profile of a sitting from its items in the order shown.
pub fn profile(exam: &Exam, shown: &[(&Item, &Marked)]) -> Profile {
    let mut cells = Vec::new();
    let mut forms: Vec<(Quality, &str)> = Vec::new();
    let mut walked = 0;
    let mut before: Option<u8> = None;

    for (item, marked) in shown {
        if let (Task::Voicing(task), Marked::Voicing(voicing)) = (&item.task, marked) {
            let root = task.chord.root.class();
            cells.push(Cell {
                quality: task.chord.quality,
                root,
                level: voicing.level,
                complete: voicing.facts.complete.filter(|_| voicing.level >= 2),
                cold: before.is_none_or(|before| (before + 5) % 12 != root),
            });
            walked += usize::from(voicing.facts.walked);
            let key = (task.chord.quality, task.form.as_str());
            if !forms.contains(&key) {
                forms.push(key);
            }
        }
        before = item.task.root();
    }

    Profile {
        gaps: forms
            .into_iter()
            .filter_map(|(quality, form)| gap(quality, form, &cells, shown))
            .collect(),
        ears: ears(exam, shown),
        cells,
        walked,
    }
}

fn gap(quality: Quality, form: &str, cells: &[Cell], shown: &[(&Item, &Marked)]) -> Option<Gap> {
    let cold: Vec<&Cell> = cells
        .iter()
        .filter(|cell| cell.cold && cell.quality == quality)
        .collect();
    let mut in_free: Vec<Time> = Vec::new();
    let mut in_tempo = (0, 0);

    for (item, marked) in shown {
        let (Task::Run(task), Marked::Run(run)) = (&item.task, marked) else {
            continue;
        };
        if task.form != form {
            continue;
        }
        let of_quality = task
            .chords
            .iter()
            .zip(&run.chords)
            .filter(|(chord, _)| chord.chord.quality == quality);
        for (_, chord) in of_quality {
            match task.pace {
                Pace::Tempo { .. } => {
                    in_tempo.1 += 1;
                    in_tempo.0 += usize::from(chord.harmony == run::Step::Right);
                }
                Pace::Free { .. } => in_free.extend(chord.complete),
            }
        }
    }

    let mut cold_times: Vec<Time> = cold.iter().filter_map(|cell| cell.complete).collect();
    let medians = statistics::median(&mut cold_times).zip(statistics::median(&mut in_free));
    let credits: Vec<Fraction> = cold
        .iter()
        .map(|cell| Fraction::new(i64::from(cell.level), 4))
        .collect();
    let shares = (medians.is_none() && in_tempo.1 > 0)
        .then(|| crate::fraction::mean(&credits))
        .flatten()
        .map(|mean| (Fraction::new(in_tempo.0 as i64, in_tempo.1 as i64), mean));

    (medians.is_some() || shares.is_some()).then(|| Gap {
        quality,
        form: form.to_owned(),
        medians,
        shares,
    })
}

fn ears(exam: &Exam, shown: &[(&Item, &Marked)]) -> Vec<Ear> {
    let mut all: Vec<Ear> = Vec::new();

    for section in 0..exam.sections.len() {
        let of_section: Vec<_> = shown
            .iter()
            .filter(|(item, _)| item.section == section)
            .filter_map(|(item, marked)| match (&item.task, marked) {
                (Task::Ear(task), Marked::Ear(heard)) => Some((task, Some(heard))),
                (Task::Ear(task), Marked::NotReached) => Some((task, None)),
                _ => None,
            })
            .collect();
        let Some((first, _)) = of_section.first() else {
            continue;
        };

        // The chords of a dictation ask the same in turn: what was heard of all of them is one.
        let questions = match &exam.sections[section].kind {
            Kind::Ear(of) => of.asks.len(),
            _ => 0,
        };
        for part in 0..questions.min(first.options.len()) {
            let mut confusion = Confusion::new(first.options[part].iter().cloned());
            let (mut right, mut items) = (0, 0);
            for (task, heard) in &of_section {
                for place in (part..task.right.len()).step_by(questions) {
                    let answered =
                        heard.and_then(|heard| heard.answered.get(place).copied().flatten());
                    let key = task.right[place];
                    let label = |at: usize| task.options[place].get(at).cloned();
                    items += 1;
                    right += usize::from(answered == Some(key));
                    // What was answered in its place nobody noted.
                    if heard.is_some_and(|heard| heard.untold.contains(&place)) {
                        continue;
                    }
                    if let Some(sounded) = label(key) {
                        confusion.record(sounded, answered.and_then(label));
                    }
                }
            }
            if items == 0 {
                continue;
            }
            let options = u32::try_from(first.options[part].len()).unwrap_or(u32::MAX);
            all.push(Ear {
                section,
                part,
                right,
                items,
                corrected: statistics::corrected_share(
                    Fraction::new(right as i64, items as i64),
                    options,
                ),
                guesser: statistics::guesser_score(items, options, statistics::ONE_PERCENT),
                distinguishable: statistics::distinguishable(right, &vec![options; items]),
                confusion,
            });
        }
    }

    all
}
