//! What the results show: needs by cell, confusions, gaps between routine and cold.

use super::Sat;
use super::need::Table;
use super::run;
use crate::exam::form::{Item, Task};
use crate::exam::script::{Kind, Line, Pace, Stimulus};
use crate::fraction::{self, Fraction};
use crate::marking::item::Marked;
use crate::marking::run::Step;
use crate::sitting::outcome::{ItemOutcome, outcome};
use crate::theory::{Chord, Quality};
use crate::time::Time;

/// A result counts for so much of the one after it.
const OLDER: f64 = 0.6;
/// From this share of its limit on a right chord is slow.
pub(super) const SLOW: f64 = 0.75;
/// Up to this share of its limit nothing is to be said of a time.
const QUICK: f64 = 0.6;

/// A chord that was asked by itself.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Cold {
    pub(super) form: String,
    pub(super) chord: Chord,
    pub(super) level: u8,
    pub(super) complete: Option<Time>,
    pub(super) limit: Time,
}

impl Cold {
    /// Returns the time over the limit, of a chord that came right.
    pub(super) fn ratio(&self) -> Option<f64> {
        let complete = self.complete.filter(|_| self.level >= 2)?;

        Some(complete.as_seconds() / self.limit.as_seconds().max(0.001))
    }
}

/// A chord inside a run.
#[derive(Debug, Clone, PartialEq)]
struct Inside {
    form: String,
    chord: Chord,
    is_right: bool,
    complete: Option<Time>,
    is_free: bool,
}

/// A run that was played.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Played {
    pub(super) name: String,
    pub(super) key: u8,
    pub(super) credit: Fraction,
    /// The criteria with their credits.
    pub(super) criteria: Vec<(&'static str, Fraction)>,
    pub(super) in_tempo: bool,
}

/// Something that sounded and was named.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Heard {
    pub(super) sounded: Vec<String>,
    pub(super) answered: Vec<Option<String>>,
    pub(super) weight: f64,
}

/// A chord that was written.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Spelt {
    pub(super) chord: Chord,
    pub(super) credit: Fraction,
    /// Whether a right note stood on a wrong letter.
    pub(super) reason: String,
}

/// What tells one line of runs from another.
pub(super) type LineKey = (Line, Option<String>, Pace);

/// What the results show.
#[derive(Debug, Default)]
pub(super) struct Evidence {
    /// Form and quality, root, order in words.
    pub(super) chords: Table<(String, Quality), u8, String>,
    /// Line, key.
    pub(super) lines: Table<LineKey, u8, ()>,
    /// What is right, and what sounds.
    pub(super) sounds: Table<String, (), Stimulus>,
    /// Quality, root.
    pub(super) spelt: Table<Quality, u8, ()>,
    pub(super) cold: Vec<Cold>,
    inside: Vec<Inside>,
    pub(super) played: Vec<Played>,
    pub(super) heard: Vec<Heard>,
    pub(super) written: Vec<Spelt>,
    /// Whether everything was right: then times are all there is to go by.
    pub(super) flawless: bool,
    /// How many items it rests on.
    pub(super) items: usize,
}

/// The gap between the routine and the cold chord of one quality.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Gap {
    /// Median times, inside the run and cold.
    Times(Time, Time),
    /// Shares right in the run and cold, in whole percents.
    Shares(i64, i64),
}

impl Evidence {
    /// Gathers what the sittings show; the newest comes first.
    pub(super) fn of(sat: &[Sat<'_>]) -> Self {
        let mut all = Self {
            flawless: true,
            ..Self::default()
        };
        let outcomes: Vec<_> = sat.iter().map(|sat| outcome(sat.sitting)).collect();
        let counted = || {
            outcomes
                .iter()
                .zip(sat)
                .enumerate()
                .flat_map(|(age, (outcome, sat))| {
                    let items = outcome.items.iter().filter(|item| item.counts());
                    items.map(move |item| (OLDER.powi(age as i32), *sat, item))
                })
                .filter(|(.., item)| !matches!(item.marked, Marked::NotReached | Marked::Panel(_)))
        };

        all.flawless = counted().all(|(.., item)| item.credit() == Some(Fraction::new(1, 1)));
        for (weight, sat, item) in counted() {
            all.items += 1;
            all.take(weight, sat, item);
        }

        all
    }

    /// Whether there is nothing to go by.
    pub(super) const fn is_empty(&self) -> bool {
        self.items == 0
    }

    /// How much something needs practice that brought a credit and took a share of its time.
    fn need(&self, credit: f64, ratio: Option<f64>) -> f64 {
        let slow = match ratio {
            Some(ratio) if self.flawless => ratio.clamp(0.0, 1.0),
            Some(ratio) => ((ratio - QUICK) / (1.0 - QUICK)).clamp(0.0, 1.0) / 2.0,
            None => 0.0,
        };

        (1.0 - credit).max(slow)
    }

    fn take(&mut self, weight: f64, sat: Sat<'_>, outcome: &ItemOutcome<'_>) {
        let exam = sat.sitting.exam();
        let factor = i64::from(sat.sitting.allowance().factor);
        let scaled = |limit: Time| limit.scaled(factor, 100);
        let over = |at: Option<Time>, limit: Time| {
            at.map(|at| at.as_seconds() / scaled(limit).as_seconds().max(0.001))
        };
        let credit = fraction::to_f64(outcome.credit().unwrap_or_default());
        let item: &Item = outcome.item;

        match (
            &item.task,
            &outcome.marked,
            &exam.sections[item.section].kind,
        ) {
            (Task::Voicing(task), Marked::Voicing(marked), Kind::Voicing(section)) => {
                let cold = Cold {
                    form: task.form.clone(),
                    chord: task.chord,
                    level: outcome.level(),
                    complete: marked.facts.complete,
                    limit: scaled(task.limit),
                };
                let cell = &section.cells[item.cell];
                let order = cell.form.orders[cell.order].name.clone();
                let at = (task.form.clone(), task.chord.quality);
                let need = self.need(credit, cold.ratio());
                self.chords
                    .look((at, task.chord.root.class(), order), need, weight);
                self.cold.push(cold);
            }
            (Task::Run(task), Marked::Run(marked), Kind::Run(section)) => {
                let cell = &section.cells[item.cell];
                let Some(key) = run::key_of(cell, task) else {
                    return;
                };
                let in_tempo = matches!(task.pace, Pace::Tempo { .. });
                let need = self.need(credit, None);
                self.lines
                    .look((run::line_key(cell), key, ()), need, weight);
                self.played.push(Played {
                    name: task.name.clone(),
                    key,
                    credit: outcome.credit().unwrap_or_default(),
                    criteria: marked
                        .criteria
                        .iter()
                        .map(|(name, _, credit)| (*name, *credit))
                        .collect(),
                    in_tempo,
                });
                let chords = task.chords.iter().zip(&marked.chords);
                self.inside.extend(chords.map(|(placed, mark)| Inside {
                    form: task.form.clone(),
                    chord: placed.chord,
                    is_right: mark.harmony == Step::Right,
                    complete: mark.complete,
                    is_free: !in_tempo,
                }));
            }
            (Task::Ear(task), Marked::Ear(marked), Kind::Ear(section)) => {
                let label = |part: usize, at: usize| task.options.get(part)?.get(at).cloned();
                let sounded: Vec<String> = task
                    .right
                    .iter()
                    .enumerate()
                    .filter_map(|(part, right)| label(part, *right))
                    .collect();
                let answered: Vec<Option<String>> = marked
                    .answered
                    .iter()
                    .enumerate()
                    .map(|(part, at)| at.and_then(|at| label(part, at)))
                    .collect();
                let need = self.need(credit, over(marked.at, task.limit));
                let stimulus = section.cells[item.cell].stimulus.clone();
                self.sounds.look(
                    (super::ear::label(task, &stimulus), (), stimulus),
                    need,
                    weight,
                );
                // Of what is taken down each chord is heard by itself.
                let questions = section.asks.len().max(1);
                for (sounded, answered) in sounded.chunks(questions).zip(answered.chunks(questions))
                {
                    self.heard.push(Heard {
                        sounded: sounded.to_vec(),
                        answered: answered.to_vec(),
                        weight,
                    });
                }
            }
            (Task::Spell(task), Marked::Spell(marked), _) => {
                let need = self.need(credit, over(marked.at, task.limit));
                let at = (task.chord.quality, task.chord.root.class(), ());
                self.spelt.look(at, need, weight);
                self.written.push(Spelt {
                    chord: task.chord,
                    credit: outcome.credit().unwrap_or_default(),
                    reason: marked.reasons.first().cloned().unwrap_or_default(),
                });
            }
            _ => {}
        }
    }

    /// Tells whether a chord came right, and in a free run quickly, inside a run.
    pub(super) fn is_fluent(&self, form: &str, chord: Chord) -> bool {
        self.inside.iter().any(|inside| {
            inside.form == form
                && inside.is_right
                && inside.chord.quality == chord.quality
                && inside.chord.root.class() == chord.root.class()
        })
    }

    /// Returns the gap of a quality, where the routine is far ahead: it takes half as long again
    /// and half a second more cold, or three chords of four are right in the run and at most two
    /// of three cold.
    pub(super) fn gap(&self, form: &str, quality: Quality) -> Option<Gap> {
        let inside: Vec<&Inside> = self
            .inside
            .iter()
            .filter(|inside| inside.form == form && inside.chord.quality == quality)
            .collect();
        let cold: Vec<&Cold> = self
            .cold
            .iter()
            .filter(|cold| cold.form == form && cold.chord.quality == quality)
            .collect();
        if inside.len() < FEWEST || cold.len() < FEWEST {
            return None;
        }

        let mut inside_times: Vec<Time> = inside
            .iter()
            .filter(|inside| inside.is_free && inside.is_right)
            .filter_map(|inside| inside.complete)
            .collect();
        let mut cold_times: Vec<Time> = cold
            .iter()
            .filter(|cold| cold.level >= 2)
            .filter_map(|cold| cold.complete)
            .collect();
        let few = inside_times.len().min(cold_times.len()) < FEWEST;
        let times = median(&mut inside_times).zip(median(&mut cold_times));
        if let Some((run, alone)) = times.filter(|_| !few)
            && alone.as_seconds() > (1.5 * run.as_seconds()).max(run.as_seconds() + 0.5)
        {
            return Some(Gap::Times(run, alone));
        }

        let percent = |part: usize, of: usize| (100 * part / of.max(1)) as i64;
        let right = percent(
            inside.iter().filter(|inside| inside.is_right).count(),
            inside.len(),
        );
        let sure = percent(
            cold.iter().filter(|cold| cold.level >= 3).count(),
            cold.len(),
        );

        (right >= 75 && sure <= 66).then_some(Gap::Shares(right, sure))
    }

    /// Returns the commonest confusions of sounds among some labels of a part: what sounded, what
    /// it was taken for, how often and of how many; heavier ones first.
    pub(super) fn confusions(&self, part: usize, labels: &[String]) -> Vec<Confusion> {
        let mut all: Vec<(Confusion, f64)> = Vec::new();
        let among = |heard: &&Heard| {
            heard
                .sounded
                .get(part)
                .is_some_and(|label| labels.contains(label))
        };

        for heard in self.heard.iter().filter(among) {
            let sounded = &heard.sounded[part];
            let Some(Some(answered)) = heard.answered.get(part) else {
                continue;
            };
            if answered == sounded || !labels.contains(answered) {
                continue;
            }
            let known = all
                .iter_mut()
                .find(|(known, _)| known.sounded == *sounded && known.answered == *answered);
            match known {
                Some((known, weight)) => {
                    known.count += 1;
                    *weight += heard.weight;
                }
                None => all.push((
                    Confusion {
                        sounded: sounded.clone(),
                        answered: answered.clone(),
                        count: 1,
                        of: self.sounded(part, sounded),
                    },
                    heard.weight,
                )),
            }
        }
        all.sort_by(|a, b| b.1.total_cmp(&a.1));

        all.into_iter().map(|(confusion, _)| confusion).collect()
    }

    /// Returns how often a label sounded.
    pub(super) fn sounded(&self, part: usize, label: &str) -> usize {
        self.heard
            .iter()
            .filter(|heard| {
                heard
                    .sounded
                    .get(part)
                    .is_some_and(|sounded| sounded == label)
            })
            .count()
    }

    /// Returns how often a label was named when it sounded.
    pub(super) fn named(&self, part: usize, label: &str) -> usize {
        self.heard
            .iter()
            .filter(|heard| {
                heard
                    .sounded
                    .get(part)
                    .is_some_and(|sounded| sounded == label)
            })
            .filter(|heard| heard.answered.get(part).and_then(Option::as_deref) == Some(label))
            .count()
    }
}

/// Under so many chords nothing is said of a gap.
const FEWEST: usize = 3;

/// A confusion of the ear.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Confusion {
    pub(super) sounded: String,
    pub(super) answered: String,
    pub(super) count: usize,
    pub(super) of: usize,
}

fn median(times: &mut [Time]) -> Option<Time> {
    crate::marking::statistics::median(times)
}
