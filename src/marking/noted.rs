//! What an examiner noted of an item at a piano, and its mark by the same rules.
//!
//! A level is the examiner's; counts of a run are weighed, and answers marked, as they are where the
//! program listened. What nobody measured is left open.

use super::hearing::{self, Part};
use super::item::{self, Allowance, Marked};
use super::run::{self, Counts};
use super::{spelling, voicing};
use crate::exam::form::{Item, Task};
use crate::exam::script::Exam;
use crate::fraction::{self, Fraction};
use crate::time::Time;

/// What was noted of an item.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Note {
    /// A voicing's level, 0 to 4, and how long the chord took, where it was timed.
    Level(u8, Option<Time>),
    /// What a run came to, criterion by criterion.
    Run(Counts),
    /// A credit from 0 to 1: of a run as a whole, or of what a panel marks.
    Credit(Fraction),
    /// The answer to an ear item, a part each.
    Heard(Vec<Heard>),
    /// The names that were written, or nothing.
    Spelled(Option<String>),
    /// How many tones were spelled right, or how many notes or chords played back.
    Tones(usize),
    /// It was not reached; what a panel marks is awaited.
    Nothing,
}

/// What was noted of a part of an ear item.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Heard {
    /// The answer that was written.
    Answer(String),
    /// There was none.
    Nothing,
    /// Whether it was right, and no more.
    Told(bool),
}

/// Marks an item from what was noted of it, by whom is told beside; a note of another kind of item
/// is as none.
pub fn mark(exam: &Exam, item: &Item, allowance: Allowance, note: &Note, by: &str) -> Marked {
    match (&item.task, note) {
        (Task::Voicing(_), Note::Level(level, complete)) => {
            let level = (*level).min(4);
            Marked::Voicing(voicing::Marked {
                level,
                reasons: vec![format!("Level {level}")],
                facts: voicing::Facts {
                    complete: *complete,
                    ..voicing::Facts::default()
                },
            })
        }
        (Task::Run(_), Note::Run(counts)) => {
            let Some(ready) = item::ready(exam, item, allowance) else {
                return Marked::NotReached;
            };
            let (criteria, credit) = run::weighed(&ready, *counts);
            Marked::Run(run::Marked {
                reasons: vec![counted(&ready, *counts)],
                ..of_run(&ready, criteria, credit)
            })
        }
        (Task::Run(_), Note::Credit(credit)) => {
            let Some(ready) = item::ready(exam, item, allowance) else {
                return Marked::NotReached;
            };
            Marked::Run(run::Marked {
                reasons: vec![format!("{} of 100 as a whole", percent(*credit))],
                ..of_run(&ready, Vec::new(), *credit)
            })
        }
        (Task::Ear(task), Note::Heard(parts)) => {
            let given: Vec<Part<'_>> = parts
                .iter()
                .map(|part| match part {
                    Heard::Answer(text) => Part::Text(text),
                    Heard::Nothing => Part::Nothing,
                    Heard::Told(right) => Part::Told(*right),
                })
                .collect();
            Marked::Ear(hearing::Marked {
                text: answer(parts),
                ..hearing::judge(task, &given)
            })
        }
        (Task::Spell(task), Note::Spelled(text)) => {
            Marked::Spell(spelling::judge(task, text.as_deref()))
        }
        (Task::Spell(task), Note::Tones(right)) => Marked::Spell(spelling::counted(task, *right)),
        (Task::Ear(task), Note::Tones(right)) if task.is_played() => {
            Marked::Ear(hearing::counted(task, *right))
        }
        (Task::Panel(_), Note::Credit(credit)) => Marked::Panel(Some((*credit, by.to_owned()))),
        (Task::Panel(_), _) => Marked::Panel(None),
        _ => Marked::NotReached,
    }
}

/// A run of which nobody noted chord by chord.
fn of_run(ready: &run::Ready, criteria: Vec<run::Criterion>, credit: Fraction) -> run::Marked {
    run::Marked {
        credit,
        criteria,
        reasons: Vec::new(),
        chords: Vec::new(),
        lag: None,
        closed: ready.timing.end,
    }
}

fn counted(ready: &run::Ready, counts: Counts) -> String {
    let n = ready.chords.len();
    let mut said = format!("{} of {n} chords right", halves(counts.harmony));

    if !ready.lines.is_empty() {
        said += &format!(
            ", {} in the form asked, voice leading {}",
            halves(counts.voicing),
            counts.leading
        );
    }
    let pace = match ready.in_tempo {
        true => "time",
        false => "readiness",
    };

    format!("{said}, {pace} {}", counts.pace)
}

/// A number of halves: `10`, `10.5`.
fn halves(count: i64) -> String {
    match count % 2 {
        0 => (count / 2).to_string(),
        _ => format!("{}.5", count / 2),
    }
}

/// Hundredths of a share without needless decimals: `80`, `67.5`.
fn percent(share: Fraction) -> String {
    let text = fraction::hundredths(fraction::product(share, Fraction::from_integer(100)));

    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// The answer as it would have been given to the program, where all of it is told.
fn answer(parts: &[Heard]) -> Option<String> {
    let texts: Option<Vec<&str>> = parts
        .iter()
        .map(|part| match part {
            Heard::Answer(text) => Some(text.as_str()),
            Heard::Nothing => Some(""),
            Heard::Told(_) => None,
        })
        .collect();

    texts
        .filter(|texts| texts.iter().any(|text| !text.is_empty()))
        .map(|texts| texts.join(" / "))
}
