//! The mark of a spelling item: each chord tone but the root its share.

use super::Event;
use super::event::Action;
use crate::exam::form::SpellTask;
use crate::fraction::Fraction;
use crate::theory::Name;
use crate::time::Time;

/// A marked spelling item.
#[derive(Debug, Clone, PartialEq)]
pub struct Marked {
    /// The credit: the chord tones after the root share it.
    pub credit: Fraction,
    /// Why.
    pub reasons: Vec<String>,
    /// The answer as given.
    pub text: Option<String>,
    /// When it was given.
    pub at: Option<Time>,
    /// When the item closed.
    pub closed: Time,
}

/// Marks a spelling item from its events.
pub fn mark(task: &SpellTask, limit: Time, events: &[Event]) -> Marked {
    let mut given: Option<(&str, Time)> = None;
    let mut closed = limit;

    for event in events {
        if event.at > closed {
            break;
        }
        match &event.action {
            Action::Answer(text) => {
                given = (!text.trim().is_empty()).then_some((text.as_str(), event.at));
            }
            Action::HandIn => closed = event.at,
            _ => {}
        }
    }

    Marked {
        text: given.map(|(text, _)| text.to_owned()),
        at: given.map(|(_, at)| at),
        closed,
        ..judge(task, given.map(|(text, _)| text))
    }
}

/// How many tones an item asks: all after the root.
pub fn asked(task: &SpellTask) -> usize {
    task.tones.len().saturating_sub(1).max(1)
}

/// The mark of so many right tones, where the answer itself is not told.
pub fn counted(task: &SpellTask, right: usize) -> Marked {
    let asked = asked(task);
    let right = right.min(asked);

    Marked {
        credit: Fraction::new(right as i64, asked as i64),
        reasons: vec![match right {
            _ if right == asked => "Right".to_owned(),
            _ => format!("{right} of {asked} tones right"),
        }],
        text: None,
        at: None,
        closed: task.limit,
    }
}

/// Marks an answer, or none. What only a clock can tell is left open.
pub fn judge(task: &SpellTask, text: Option<&str>) -> Marked {
    let names = text.map(|text| read(task, text)).unwrap_or_default();
    let mut right = 0;
    let mut reasons = Vec::new();

    for (i, (degree, accepted)) in task.tones.iter().enumerate().skip(1) {
        match names.get(i).copied().flatten() {
            Some(name) if accepted.contains(&name) => right += 1,
            Some(name) if name.class() == accepted[0].class() => reasons.push(format!(
                "The {} is {}, not {name}: each chord tone has its own letter",
                degree.words(),
                accepted[0]
            )),
            Some(name) => {
                reasons.push(format!(
                    "The {} is {}, not {name}",
                    degree.words(),
                    accepted[0]
                ));
            }
            None => reasons.push(format!(
                "The {} is {}: not written",
                degree.words(),
                accepted[0]
            )),
        }
    }
    if reasons.is_empty() {
        reasons.push("Right".to_owned());
    }

    Marked {
        reasons,
        text: text.map(str::to_owned),
        ..counted(task, right)
    }
}

/// Reads the notes, one place each; the printed root may be left out, at the end others too.
fn read(task: &SpellTask, text: &str) -> Vec<Option<Name>> {
    let mut names: Vec<Option<Name>> = text
        .split(|c: char| c.is_whitespace() || c == ',')
        .filter(|part| !part.is_empty())
        .map(|part| Name::parse(part).ok())
        .collect();
    let root = task.tones.first().map(|(_, accepted)| accepted[0]);

    if names.len() < task.tones.len() && names.first().copied().flatten() != root {
        names.insert(0, root);
    }

    names
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::theory::{Name, symbol};

    #[track_caller]
    fn check(answer: &str, right: i64) {
        let chord = symbol::parse("Ab7").expect("a symbol");
        let tones = chord
            .tones()
            .into_iter()
            .map(|(degree, name): (_, Name)| (degree, vec![name]))
            .collect();
        let task = SpellTask {
            chord,
            tones,
            limit: Time::from_ms(20_000),
        };
        let event = Event::new(Time::from_ms(9000), Action::Answer(answer.to_owned()));
        let marked = mark(&task, task.limit, &[event]);

        assert_eq!(marked.credit, Fraction::new(right, 3), "{answer}");
    }

    #[test]
    fn the_printed_root_is_free_and_may_be_left_out() {
        check("Ab C Eb Gb", 3);
        check("C Eb Gb", 3);
        check("G# C Eb Gb", 3);
        check("Ab C Eb", 2);
        check("C Eb", 2);
        check("C", 1);
        check("Ab", 0);
        check("Ab C Eb F#", 2);
    }
}
