//! The exams of a kiosk, and what its pages tell of them.

use crate::exam::duration;
use crate::exam::form::{Form, Item, RunTask, Task};
use crate::exam::script::{Exam, Kind, Pace};
use crate::marking::grade;
use crate::sitting::Sitting;
use crate::theory::Key;
use crate::theory::voicing::Voicing;
use crate::time::Time;

/// An exam that can be sat.
#[derive(Debug, Clone)]
pub struct Shelved {
    /// The exam.
    pub exam: Exam,
    /// Its script, whole.
    pub script: String,
    /// The script's digest, 64 hexadecimal digits.
    pub digest: String,
}

/// A section of the plan.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Planned {
    /// Its letter or name.
    pub id: String,
    /// Its title.
    pub title: String,
    /// How many items it asks.
    pub items: usize,
    /// What they are.
    pub detail: Detail,
    /// How long it lasts, in minutes, at least 1: when everything takes its time, and at most.
    pub minutes: (i64, i64),
    /// What it brings, in whole marks.
    pub marks: u32,
    /// What it needs at least, in whole marks.
    pub hurdle: Option<u32>,
    /// What it needs of each answer: so many right, of so many where each sounds as often, and
    /// whether the answers are qualities.
    pub each: Option<(usize, Option<usize>, bool)>,
    /// Whether it is a rest.
    pub is_rest: bool,
}

/// What the items of a section are.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Detail {
    /// Chords to be played or written, each within so many seconds.
    Chords(usize, i64),
    /// Things to be heard so often.
    Heard(usize, u8),
    /// Lines of chords.
    Lines(Lines),
    /// A rest, or nothing.
    None,
}

/// The lines of a section.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Lines {
    /// How many.
    pub count: usize,
    /// How many chords each has, where all have as many.
    pub chords: Option<usize>,
    /// Whether every chord of those in tempo lasts a bar.
    pub bars: bool,
    /// Whether any is free.
    pub free: bool,
    /// The slowest and the fastest tempo, in beats a minute, of those in tempo.
    pub tempo: Option<(u32, u32)>,
}

/// Returns the plan of a form under a time factor in hundredths: its sections with their items.
pub fn plan(exam: &Exam, form: &Form, factor: u32) -> Vec<Planned> {
    exam.sections
        .iter()
        .enumerate()
        .filter(|(_, section)| !matches!(section.kind, Kind::Panel(_)))
        .map(|(index, section)| {
            let items: Vec<&Item> = form
                .items
                .iter()
                .filter(|item| item.section == index)
                .collect();
            Planned {
                id: section.id.clone(),
                title: section.title.clone(),
                items: items.len(),
                detail: detail(&items),
                minutes: duration::section(exam, form, index, factor).minutes(),
                marks: section.points / 100,
                hurdle: section.hurdle.map(|hurdle| hurdle / 100),
                each: grade::planned(exam, form, index)
                    .map(|each| (each.least, each.sounds(), each.is_quality)),
                is_rest: matches!(section.kind, Kind::Rest { .. }),
            }
        })
        .collect()
}

/// Returns how long a plan lasts in all, in minutes: usually, and at most.
pub fn minutes_in_all(plan: &[Planned]) -> (i64, i64) {
    plan.iter().fold((0, 0), |(usual, most), section| {
        (usual + section.minutes.0, most + section.minutes.1)
    })
}

/// Returns the longest that what is left of a sitting lasts, in minutes.
pub fn left(sitting: &Sitting) -> i64 {
    let factor = sitting.allowance().factor;
    let counted = |number: u32| {
        sitting
            .showings()
            .iter()
            .any(|showing| showing.number == number)
    };
    let open: i64 = sitting.next_item().map_or(0, |number| {
        // A spare item in place of another has been planned with it.
        i64::from(
            sitting
                .form()
                .items
                .iter()
                .all(|item| item.number != number),
        )
    });
    let left: Vec<_> = sitting
        .form()
        .items
        .iter()
        .filter(|item| !matches!(item.task, Task::Panel(_)) && !counted(item.number))
        .collect();
    let time = left
        .iter()
        .map(|item| duration::with_gap(sitting.exam(), item, factor).usual)
        .fold(Time::ZERO, |sum, time| sum + time);

    if left.is_empty() && open == 0 {
        0
    } else {
        duration::minutes(time).max(1)
    }
}

/// Says what the items of a section are, by the first where they are alike.
fn detail(items: &[&Item]) -> Detail {
    let count = items.len();
    let seconds = |limit: Time| limit.tenths() / 10_000;

    match items.first().map(|item| &item.task) {
        Some(Task::Voicing(task)) => Detail::Chords(count, seconds(task.limit)),
        Some(Task::Spell(task)) => Detail::Chords(count, seconds(task.limit)),
        Some(Task::Ear(task)) => Detail::Heard(count, task.hearings),
        Some(Task::Run(_)) => Detail::Lines(lines(items)),
        Some(Task::Panel(_)) | None => Detail::None,
    }
}

fn lines(items: &[&Item]) -> Lines {
    let runs: Vec<&RunTask> = items
        .iter()
        .filter_map(|item| match &item.task {
            Task::Run(task) => Some(task.as_ref()),
            _ => None,
        })
        .collect();
    let length = runs.first().map(|run| run.chords.len());
    let tempi = || {
        runs.iter().filter_map(|run| match run.pace {
            Pace::Tempo { tempo, .. } => Some(tempo / 100),
            Pace::Free { .. } => None,
        })
    };

    Lines {
        count: runs.len(),
        chords: length.filter(|length| runs.iter().all(|run| run.chords.len() == *length)),
        bars: runs
            .iter()
            .filter(|run| matches!(run.pace, Pace::Tempo { .. }))
            .flat_map(|run| &run.chords)
            .all(|chord| chord.twelfths == 12),
        free: runs.iter().any(|run| matches!(run.pace, Pace::Free { .. })),
        tempo: tempi().min().zip(tempi().max()),
    }
}

/// Returns the least range of keys on which every item of a form can be played; `None` without
/// hands.
///
/// Each chord counts with the placement that needs the least of the keyboard, so that nobody is
/// sent for a larger one who needs none.
pub fn keys(form: &Form) -> Option<(u8, u8)> {
    form.items
        .iter()
        .chain(&form.warm_ups)
        .chain(&form.reserve)
        .flat_map(|item| match &item.task {
            Task::Voicing(task) => reach(&task.voicing, task.chord.root.class())
                .into_iter()
                .collect(),
            Task::Run(task) => task
                .chords
                .iter()
                .enumerate()
                .filter_map(|(place, placed)| {
                    // Any of the lines will do.
                    let class = placed.chord.root.class();
                    task.lines
                        .iter()
                        .filter_map(|line| reach(line.get(place)?, class))
                        .reduce(|one, other| (one.0.max(other.0), one.1.min(other.1)))
                })
                .collect(),
            // Any octave will do; where it sounds every keyboard of four octaves has keys.
            Task::Ear(task) if task.is_played() => {
                let steps = task.steps();
                let keys = || steps.iter().flatten().copied();
                keys().min().zip(keys().max()).into_iter().collect()
            }
            _ => Vec::new(),
        })
        .reduce(|range, keys| (range.0.min(keys.0), range.1.max(keys.1)))
}

/// Returns the highest lowest key and the lowest highest key of a voicing's placements.
fn reach(voicing: &Voicing, root: u8) -> Option<(u8, u8)> {
    let mut placements = voicing.placements(root);
    placements.retain(|keys| !keys.is_empty());
    let lowest = |keys: &Vec<Key>| keys.iter().map(|key| key.number()).min();
    let highest = |keys: &Vec<Key>| keys.iter().map(|key| key.number()).max();

    placements
        .iter()
        .filter_map(lowest)
        .max()
        .zip(placements.iter().filter_map(highest).min())
}
