//! The mark of a single voicing: the table of levels, and what is recorded beside them.

#[cfg(test)]
mod tests;

use super::Event;
use super::asked::Asked;
use super::capture::{Attempt, Capture, Rules};
use super::event::KeySet;
use super::reason;
use crate::fraction::Fraction;
use crate::theory::{Chord, symbol, voicing};
use crate::time::Time;

/// The steps of chord spread, in milliseconds: together, good, acceptable, ragged; more is rolled.
pub const SPREAD_STEPS_MS: [i64; 4] = [30, 50, 80, 150];

/// A marked voicing.
#[derive(Debug, Clone, PartialEq)]
pub struct Marked {
    /// The level, 0 to 4: the credit in quarters.
    pub level: u8,
    /// Why, most telling first.
    pub reasons: Vec<String>,
    /// What else was seen.
    pub facts: Facts,
}

impl Marked {
    /// Returns the credit.
    pub fn credit(&self) -> Fraction {
        Fraction::new(i64::from(self.level), 4)
    }
}

/// What is recorded beside the level.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Facts {
    /// Whether the chord was found by way of its neighbour in the cycle of fourths.
    pub walked: bool,
    /// How many chords were offered.
    pub attempts: usize,
    /// The keys of the best attempt.
    pub keys: KeySet,
    /// The first key struck since the prompt.
    pub first_note: Option<Time>,
    /// From the prompt to the last key of the best attempt.
    pub complete: Option<Time>,
    /// Last onset minus first: left hand, right hand, the chord.
    pub spread: Option<(Time, Time, Time)>,
    /// Foreign keys struck.
    pub foreign: u32,
    /// Soft and short foreign keys, not counted.
    pub grazes: u32,
    /// Asked keys struck again.
    pub restrikes: u32,
    /// Whether the asked bass lay lowest.
    pub root_in_bass: bool,
    /// How long the chord was held whole.
    pub hold: Option<Time>,
    /// Mean velocity right minus left.
    pub balance: Option<i32>,
    /// Intervals that lie too low to sound clear.
    pub low: Vec<String>,
}

/// Marks a voicing from its events, in the order of their times, ended at a time.
///
/// `ended` is when the item was taken away, if it was before it closed by itself.
pub fn mark(asked: &Asked, rules: Rules, events: &[Event], ended: Option<Time>) -> Marked {
    judge(asked, rules, &captured(asked, rules, events, ended))
}

/// Captures an item's events to their end.
pub fn captured<'a>(
    asked: &'a Asked,
    rules: Rules,
    events: &[Event],
    ended: Option<Time>,
) -> Capture<&'a Asked> {
    let mut capture = Capture::new(asked, rules);

    for event in events {
        if ended.is_some_and(|ended| event.at > ended) {
            break;
        }
        capture.event(event.at, &event.action);
    }
    if let Some(ended) = ended {
        capture.advance(ended);
        capture.close(ended);
    }
    capture.advance(Time::from_tenths(i64::MAX / 2));

    capture
}

/// Gives a closed capture its level, reasons and facts.
pub fn judge(asked: &Asked, rules: Rules, capture: &Capture<&Asked>) -> Marked {
    let attempts = capture.attempts();
    let best = attempts
        .iter()
        .enumerate()
        .map(|(i, attempt)| (level(asked, rules.limit, i, attempt), i))
        // Of equal levels the earlier attempt stands.
        .max_by_key(|(level, i)| (*level, usize::MAX - i));
    let Some((level, at)) = best else {
        return Marked {
            level: 0,
            reasons: vec![nothing(capture)],
            facts: Facts {
                first_note: capture.first_note(),
                foreign: capture.foreign(),
                grazes: capture.grazes(),
                restrikes: capture.restrikes(),
                ..Facts::default()
            },
        };
    };
    let attempt = &attempts[at];

    Marked {
        level,
        reasons: reasons(asked, rules.limit, level, at, attempt),
        facts: facts(asked, capture, attempt),
    }
}

/// The level of one attempt.
fn level(asked: &Asked, limit: Time, index: usize, attempt: &Attempt) -> u8 {
    let onset = attempt.onset;
    let in_time = onset <= limit;
    let half_over = onset.scaled(2, 1) <= limit.scaled(3, 1);
    let twice = onset <= limit.scaled(2, 1);

    let level = if attempt.matches {
        match (index, attempt.foreign) {
            (0, 0) if in_time => 4,
            (0, 0) if half_over => 3,
            (0, 1 | 2) | (1, _) if in_time => 3,
            _ if twice => 2,
            _ => 0,
        }
    } else if !half_over {
        0
    } else if asked.has_right_classes(attempt.keys) {
        2
    } else if asked.has_essentials(attempt.keys) {
        1
    } else {
        0
    };

    if attempt.walked.is_some() {
        level.min(2)
    } else {
        level
    }
}

/// The longest time in which a level can be reached under an item's whole limit; any for none.
pub const fn latest(level: u8, limit: Time) -> Option<Time> {
    match level {
        4 => Some(limit),
        3 | 1 => Some(limit.scaled(3, 2)),
        2 => Some(limit.scaled(2, 1)),
        _ => None,
    }
}

fn nothing(capture: &Capture<&Asked>) -> String {
    if capture.first_note().is_some() {
        "No chord was offered: single notes only".to_owned()
    } else {
        "Nothing was played".to_owned()
    }
}

fn reasons(asked: &Asked, limit: Time, level: u8, index: usize, attempt: &Attempt) -> Vec<String> {
    let mut out = Vec::with_capacity(2);

    if level == 4 {
        out.push("Right at once".to_owned());
        return out;
    }

    if attempt.matches {
        if attempt.onset > limit {
            out.push(format!("Right, {}", reason::late(attempt.onset - limit)));
        }
        if index > 0 {
            out.push(match index {
                1 => "Right at the second attempt".to_owned(),
                _ => format!("Right at attempt {}", index + 1),
            });
        } else if attempt.foreign > 0 {
            out.push(match attempt.foreign {
                1 => "Right after one foreign note".to_owned(),
                n => format!("Right after {n} foreign notes"),
            });
        }
    } else if asked.has_right_classes(attempt.keys) {
        out.push(reason::wrong_place(asked, attempt.keys));
    } else {
        let what = reason::wrong_notes(asked, attempt.keys);
        match reason::another_chord(asked, attempt.keys).filter(|_| level == 0) {
            Some(why) => out.push(format!("{what}: {why}")),
            None => out.push(what),
        }
    }

    if !attempt.matches && attempt.onset > limit {
        out.push(reason::capital(&reason::late(attempt.onset - limit)));
    }
    if let Some(neighbour) = attempt.walked {
        out.push(walked(neighbour));
    }

    out
}

fn walked(neighbour: Chord) -> String {
    format!(
        "Found by way of {}, its neighbour in the cycle of fourths",
        symbol::print(neighbour, symbol::Style::DEFAULT)
    )
}

fn facts(asked: &Asked, capture: &Capture<&Asked>, attempt: &Attempt) -> Facts {
    let numbers: Vec<u8> = attempt.keys.numbers().collect();
    let left = asked.shapes[0].left.min(numbers.len());
    let (low, high) = numbers.split_at(left);
    let spread = |keys: &[u8]| {
        let onsets = keys.iter().map(|key| capture.onset(*key));
        onsets
            .clone()
            .max()
            .zip(onsets.min())
            .map_or(Time::ZERO, |(last, first)| last - first)
    };
    let mean = |keys: &[u8]| {
        let sum: i32 = keys
            .iter()
            .map(|key| i32::from(capture.velocity(*key)))
            .sum();
        (!keys.is_empty()).then(|| sum / keys.len() as i32)
    };
    let keys: Vec<_> = attempt.keys.keys().collect();

    Facts {
        walked: capture
            .attempts()
            .iter()
            .any(|attempt| attempt.walked.is_some()),
        attempts: capture.attempts().len(),
        keys: attempt.keys,
        first_note: capture.first_note(),
        complete: Some(attempt.onset),
        spread: Some((spread(low), spread(high), attempt.onset - attempt.first)),
        foreign: capture.foreign(),
        grazes: capture.grazes(),
        restrikes: capture.restrikes(),
        root_in_bass: asked.has_right_bass(attempt.keys),
        hold: numbers
            .iter()
            .filter_map(|key| capture.release(*key))
            .min()
            .filter(|released| *released >= attempt.onset)
            .map(|released| released - attempt.onset),
        balance: mean(high).zip(mean(low)).map(|(right, left)| right - left),
        low: if attempt.matches {
            voicing::low_interval_faults(&keys, asked.chord.root.class())
        } else {
            Vec::new()
        },
    }
}

/// Names a spread by its step.
pub fn spread_words(spread: Time) -> &'static str {
    let names = ["together", "good", "acceptable", "ragged"];

    SPREAD_STEPS_MS
        .iter()
        .zip(names)
        .find(|(step, _)| spread <= Time::from_ms(**step))
        .map_or("rolled", |(_, name)| name)
}
