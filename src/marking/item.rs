//! The mark of any item, whatever it asks.

use super::asked::Asked;
use super::capture;
use super::{Event, hearing, run, spelling, voicing};
use crate::exam::form::{Item, Task};
use crate::exam::script::{Exam, Kind, Section};
use crate::fraction::{self, Fraction};
use crate::time::Time;

/// What an examiner has allowed this candidate, and what of their time is not theirs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Allowance {
    /// The time factor, in hundredths: 100 to 1000.
    pub factor: u32,
    /// Hearings beyond those of the exam.
    pub hearings: u8,
    /// How late the candidate taps along with beats, early being negative: removed from runs in
    /// tempo.
    pub lag: Time,
}

impl Allowance {
    /// No allowance.
    pub const NONE: Self = Self {
        factor: 100,
        hearings: 0,
        lag: Time::ZERO,
    };
}

/// A marked item.
#[derive(Debug, Clone, PartialEq)]
pub enum Marked {
    /// A voicing.
    Voicing(voicing::Marked),
    /// A run.
    Run(run::Marked),
    /// An ear item.
    Ear(hearing::Marked),
    /// A spelling item.
    Spell(spelling::Marked),
    /// A person's mark, or none yet: the credit, and who gave it.
    Panel(Option<(Fraction, String)>),
    /// The item was never shown.
    NotReached,
}

impl Marked {
    /// Returns the credit, 0 to 1; `None` where a person's mark is awaited.
    pub fn credit(&self) -> Option<Fraction> {
        match self {
            Self::Voicing(marked) => Some(marked.credit()),
            Self::Run(marked) => Some(marked.credit),
            Self::Ear(marked) => Some(marked.credit),
            Self::Spell(marked) => Some(marked.credit),
            Self::Panel(given) => given.as_ref().map(|(credit, _)| *credit),
            Self::NotReached => Some(Fraction::new(0, 1)),
        }
    }

    /// Returns the level: the credit in whole quarters.
    pub fn level(&self) -> u8 {
        let credit = self.credit().unwrap_or_default();

        fraction::product(credit, Fraction::new(4, 1))
            .floor()
            .to_integer()
            .clamp(0, 4) as u8
    }

    /// Returns why, most telling first.
    pub fn reasons(&self) -> Vec<String> {
        match self {
            Self::Voicing(marked) => marked.reasons.clone(),
            Self::Run(marked) => marked.reasons.clone(),
            Self::Ear(marked) => marked.reasons.clone(),
            Self::Spell(marked) => marked.reasons.clone(),
            Self::Panel(Some((_, by))) => vec![format!("Marked by {by}")],
            Self::Panel(None) => vec!["Awaits a person's mark".to_owned()],
            Self::NotReached => vec!["Not reached".to_owned()],
        }
    }
}

/// Returns the rules of capture for a voicing item.
pub fn rules(
    exam: &Exam,
    section: &Section,
    item: &Item,
    allowance: Allowance,
) -> Option<capture::Rules> {
    let (Task::Voicing(task), Kind::Voicing(of)) = (&item.task, &section.kind) else {
        return None;
    };
    let limit = task.limit.scaled(i64::from(allowance.factor), 100);

    Some(capture::Rules {
        tries: exam.rules.tries,
        settle: exam.rules.settle,
        practice: exam.rules.feedback,
        pedal: of.pedal,
        limit,
        closes: limit.scaled(i64::from(task.grace), 100),
        rubric: exam.rules.rubric,
    })
}

/// Makes what a voicing item asks ready for comparison.
pub fn asked(item: &Item) -> Option<Asked> {
    match &item.task {
        Task::Voicing(task) => Some(Asked::new(task.chord, &task.voicing, &task.neighbours)),
        _ => None,
    }
}

/// Makes a run item ready for marking.
pub fn ready(exam: &Exam, item: &Item, allowance: Allowance) -> Option<run::Ready> {
    match (&item.task, &exam.sections[item.section].kind) {
        (Task::Run(task), Kind::Run(of)) => Some(run::Ready::new(
            task,
            of.weights,
            of.pedal,
            allowance,
            exam.rules.rubric,
        )),
        _ => None,
    }
}

/// Returns the chords that were offered in a voicing item, in their order; none for any other.
pub fn attempts(
    exam: &Exam,
    item: &Item,
    allowance: Allowance,
    extra: Time,
    events: &[Event],
    ended: Option<Time>,
) -> Vec<capture::Attempt> {
    let section = &exam.sections[item.section];

    asked(item)
        .zip(rules(exam, section, item, allowance))
        .map(|(asked, rules)| {
            let rules = rules.extended(extra);
            voicing::captured(&asked, rules, events, ended)
                .attempts()
                .to_vec()
        })
        .unwrap_or_default()
}

/// Marks an item from its events; `ended` is when it was taken away, if before it closed.
pub fn mark(
    exam: &Exam,
    item: &Item,
    allowance: Allowance,
    events: &[Event],
    ended: Option<Time>,
) -> Marked {
    mark_extended(exam, item, allowance, Time::ZERO, events, ended)
}

/// As [`mark`], where the candidate was given more time in the item itself. Runs take none: their
/// beats go on.
pub fn mark_extended(
    exam: &Exam,
    item: &Item,
    allowance: Allowance,
    extra: Time,
    events: &[Event],
    ended: Option<Time>,
) -> Marked {
    let section = &exam.sections[item.section];
    let limit = |limit: Time| limit.scaled(i64::from(allowance.factor), 100) + extra;

    match &item.task {
        Task::Voicing(_) => {
            let (Some(asked), Some(rules)) = (asked(item), rules(exam, section, item, allowance))
            else {
                return Marked::NotReached;
            };
            Marked::Voicing(voicing::mark(&asked, rules.extended(extra), events, ended))
        }
        Task::Run(_) => match ready(exam, item, allowance) {
            Some(ready) => Marked::Run(run::mark(&ready, events, ended)),
            None => Marked::NotReached,
        },
        Task::Ear(task) => {
            let hearings = task.hearings.saturating_add(allowance.hearings);
            let apart = exam.rules.rubric.apart;
            Marked::Ear(hearing::mark(
                task,
                limit(task.limit),
                hearings,
                apart,
                events,
            ))
        }
        Task::Spell(task) => Marked::Spell(spelling::mark(task, limit(task.limit), events)),
        Task::Panel(_) => Marked::Panel(None),
    }
}
