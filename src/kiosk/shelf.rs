//! The exams of a kiosk, and what its pages tell of them.

use crate::exam::form::{Form, Task};
use crate::exam::script::{Exam, Kind};
use crate::sitting::Sitting;
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
    /// The longest that it lasts, in minutes, at least 1.
    pub minutes: i64,
    /// What it brings, in whole marks.
    pub marks: u32,
    /// What it needs at least, in whole marks.
    pub hurdle: Option<u32>,
    /// Whether it is a rest.
    pub is_rest: bool,
}

/// Returns the plan of a form under a time factor in hundredths: its sections with their items.
pub fn plan(exam: &Exam, form: &Form, factor: u32) -> Vec<Planned> {
    exam.sections
        .iter()
        .enumerate()
        .filter(|(_, section)| !matches!(section.kind, Kind::Panel(_)))
        .map(|(index, section)| {
            let items: Vec<_> = form
                .items
                .iter()
                .filter(|item| item.section == index)
                .collect();
            let time = match &section.kind {
                Kind::Rest { length } => *length,
                _ => items
                    .iter()
                    .map(|item| lasts(&item.task, factor) + section.gap)
                    .fold(Time::ZERO, |sum, time| sum + time),
            };
            Planned {
                id: section.id.clone(),
                title: section.title.clone(),
                items: items.len(),
                minutes: minutes(time),
                marks: section.points / 100,
                hurdle: section.hurdle.map(|hurdle| hurdle / 100),
                is_rest: matches!(section.kind, Kind::Rest { .. }),
            }
        })
        .collect()
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
        .map(|item| lasts(&item.task, factor) + sitting.exam().sections[item.section].gap)
        .fold(Time::ZERO, |sum, time| sum + time);

    if left.is_empty() && open == 0 {
        0
    } else {
        minutes(time).max(1)
    }
}

/// The longest that an item lasts within its limit.
fn lasts(task: &Task, factor: u32) -> Time {
    let scaled = |time: Time| time.scaled(i64::from(factor), 100);

    match task {
        Task::Run(task) => task.timing(factor).end,
        Task::Ear(task) => task.sound.length + scaled(task.limit),
        other => scaled(other.limit()),
    }
}

/// Minutes, rounded up.
fn minutes(time: Time) -> i64 {
    (time.tenths() + 599_999) / 600_000
}

/// Returns the lowest and the highest key that any item of a form may need; `None` without hands.
pub fn keys(form: &Form) -> Option<(u8, u8)> {
    form.items
        .iter()
        .chain(&form.warm_ups)
        .chain(&form.reserve)
        .filter_map(|item| match &item.task {
            Task::Voicing(task) => task.voicing.realise(task.chord.root.class()),
            Task::Run(task) => task
                .chords
                .first()
                .zip(task.lines.first().and_then(|line| line.first()))
                .and_then(|(placed, voicing)| voicing.realise(placed.chord.root.class())),
            _ => None,
        })
        .flatten()
        .map(|key| key.number())
        .fold(None, |range: Option<(u8, u8)>, key| {
            Some(range.map_or((key, key), |(low, high)| (low.min(key), high.max(key))))
        })
}
