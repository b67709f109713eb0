//! Keys and qualities with level and time, the routine gap, and the time over the items.

use super::{Asking, KeyRow, Keys, Pace, Point, ROOTS, Source};
use crate::exam::form::{Task, VoicingTask};
use crate::exam::script::{Exam, Kind, Section};
use crate::marking::item::Marked;
use crate::marking::voicing;
use crate::printing::sheet::words::chords as say;
use crate::printing::words::seconds;
use crate::sitting::outcome::ItemOutcome;
use crate::theory::{Chord, Quality, symbol};
use crate::time::Time;

/// A chord of a section of single chords that counts and was shown.
pub(super) struct Shown<'a> {
    pub(super) of: &'a ItemOutcome<'a>,
    pub(super) task: &'a VoicingTask,
    pub(super) marked: &'a voicing::Marked,
}

impl Shown<'_> {
    /// The time limit of this item, everything that the candidate was allowed included.
    fn limit(&self, source: &Source<'_>) -> Time {
        let factor = i64::from(source.sitting.allowance().factor);
        let added = self.of.showing.map_or(Time::ZERO, |showing| showing.added);

        self.task.limit.scaled(factor, 100) + added
    }
}

/// The single chords that count, in the order asked.
pub(super) fn shown<'a>(source: &Source<'a>) -> impl Iterator<Item = Shown<'a>> {
    source
        .outcome
        .items
        .iter()
        .filter(|of| of.counts())
        .filter_map(|of| match (&of.item.task, &of.marked) {
            (Task::Voicing(task), Marked::Voicing(marked)) => Some(Shown { of, task, marked }),
            _ => None,
        })
}

/// The sections of single chords.
fn sections(exam: &Exam) -> impl Iterator<Item = (usize, &Section)> {
    exam.sections
        .iter()
        .enumerate()
        .filter(|(_, section)| matches!(section.kind, Kind::Voicing(_)))
}

pub(super) fn keys(source: &Source<'_>) -> Vec<Keys> {
    sections(source.exam)
        .filter_map(|(index, section)| table(source, index, section))
        .collect()
}

fn table(source: &Source<'_>, index: usize, section: &Section) -> Option<Keys> {
    let Kind::Voicing(of) = &section.kind else {
        return None;
    };
    let mut rows: Vec<KeyRow> = Vec::new();
    let mut otherwise: Vec<(Quality, &str, Chord)> = Vec::new();

    for cell in &of.cells {
        if !rows.iter().any(|row| row.quality == cell.quality) {
            rows.push(KeyRow {
                quality: cell.quality,
                words: symbol::words(cell.quality).map_or_else(
                    || symbol::print_quality(cell.quality, source.exam.style),
                    str::to_owned,
                ),
                cells: Default::default(),
            });
        }
    }
    let mut any = false;
    for shown in shown(source).filter(|shown| shown.of.item.section == index) {
        let chord = shown.task.chord;
        let place = ROOTS
            .iter()
            .position(|(class, _)| *class == chord.root.class());
        let row = rows.iter_mut().find(|row| row.quality == chord.quality);
        let (Some(place), Some(row)) = (place, row) else {
            continue;
        };
        let head = ROOTS[place].1;
        let known = otherwise
            .iter()
            .any(|(quality, of, _)| *quality == chord.quality && *of == head);
        if chord.root.to_string() != head && !known {
            otherwise.push((chord.quality, head, chord));
        }
        let level = shown.of.level();
        let complete = shown.marked.facts.complete;
        row.cells[place].push(Asking {
            id: source.id(shown.of.item),
            level,
            seconds: complete.map(seconds),
            bold: level < 4,
            over: complete.is_some_and(|complete| complete > shown.limit(source)),
        });
        any = true;
    }
    if !any {
        return None;
    }
    rows.retain(|row| row.cells.iter().any(|cell| !cell.is_empty()));

    let factor = i64::from(source.sitting.allowance().factor);
    let printed: Vec<(String, String)> = otherwise
        .into_iter()
        .map(|(quality, head, chord)| {
            (
                format!(
                    "{} on {head}",
                    symbol::print_quality(quality, source.exam.style)
                ),
                symbol::print(chord, source.exam.style),
            )
        })
        .collect();
    let twice = rows
        .iter()
        .any(|row| row.cells.iter().any(|cell| cell.len() > 1));

    Some(Keys {
        title: section.title.clone(),
        caption: say::caption(of.limit.scaled(factor, 100), twice),
        rows,
        legend: say::legend(&printed, source.sitting.by_hand().is_some()),
    })
}

pub(super) fn gaps(source: &Source<'_>) -> Vec<String> {
    let exam = source.exam;
    let profile = &source.outcome.profile;
    let mut said = Vec::new();
    let mut in_tempo = Vec::new();

    for gap in &profile.gaps {
        let cold: Vec<_> = profile
            .cells
            .iter()
            .filter(|cell| cell.cold && cell.quality == gap.quality)
            .collect();
        let chords = crate::printing::words::chords(gap.quality, exam.style);
        if let Some((cold_time, run_time)) = gap.medians {
            let timed: Vec<_> = cold.iter().filter(|cell| cell.complete.is_some()).collect();
            let mut slowest: Vec<_> = timed
                .iter()
                .filter(|cell| cell.level < 4 || cell.complete > Some(cold_time))
                .collect();
            slowest.sort_by_key(|cell| (cell.level, std::cmp::Reverse(cell.complete)));
            let names = names(
                slowest.iter().map(|cell| (cell.quality, cell.root)),
                exam.style,
            );
            said.push(say::gap_medians(
                &chords,
                (cold_time, run_time),
                timed.len(),
                &names,
            ));
        } else if let Some((run_share, cold_share)) = gap.shares {
            let mut weakest: Vec<_> = cold.iter().filter(|cell| cell.level < 4).collect();
            weakest.sort_by_key(|cell| cell.level);
            let names = names(
                weakest.iter().map(|cell| (cell.quality, cell.root)),
                exam.style,
            );
            in_tempo.push(say::InTempo {
                chords,
                shares: (run_share, cold_share),
                count: cold.len(),
                weakest: names,
            });
        }
    }
    if !in_tempo.is_empty() {
        said.push(say::gap_shares(&in_tempo));
    }
    if source.sitting.by_hand().is_some() && !profile.cells.is_empty() {
        said.push(say::no_gap());
    } else if !profile.cells.is_empty() {
        said.push(say::walked(profile.walked, profile.cells.len()));
    }

    said
}

/// The first three chords, each once.
fn names(chords: impl Iterator<Item = (Quality, u8)>, style: symbol::Style) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();

    for (quality, root) in chords {
        let name = symbol::print(Chord::new(quality.printed_root(root), quality), style);
        if !all.contains(&name) {
            all.push(name);
        }
    }
    all.truncate(3);

    all
}

pub(super) fn paces(source: &Source<'_>) -> Vec<Pace> {
    let factor = i64::from(source.sitting.allowance().factor);

    sections(source.exam)
        .filter_map(|(index, section)| {
            let Kind::Voicing(of) = &section.kind else {
                return None;
            };
            // By hand a chord without a time is one that was not timed, not one that never came.
            let timed = |shown: &Shown<'_>| {
                shown.of.written.is_none() || shown.marked.facts.complete.is_some()
            };
            let points: Vec<Point> = shown(source)
                .filter(|shown| shown.of.item.section == index && timed(shown))
                .map(|shown| Point {
                    id: source.id(shown.of.item),
                    time: shown.marked.facts.complete,
                    level: shown.of.level(),
                })
                .collect();
            let times: Vec<Time> = points.iter().filter_map(|point| point.time).collect();
            (!points.is_empty()).then(|| Pace {
                title: section.title.clone(),
                limit: of.limit.scaled(factor, 100),
                words: say::pace(&times, points.len()),
                points,
            })
        })
        .collect()
}
