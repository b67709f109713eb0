//! Events as the journal stores them: the journal's own types, converted here.

use serde::{Deserialize, Serialize};

use super::equipment::Equipment;
use super::event::{Event, Incident};
use crate::marking::event::Action;
use crate::marking::item::Allowance;
use crate::theory::Key;
use crate::time::Time;

/// The first line of a journal: all that is needed to take the sitting up again.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Header {
    /// The version of this format.
    pub version: u32,
    /// The program's version.
    pub program: String,
    /// The version of the drawing.
    pub generator: u32,
    /// The exam's name.
    pub exam: String,
    /// The exam script, whole.
    pub script: String,
    /// The form code.
    pub form: String,
    /// The candidate's number.
    pub candidate: String,
    /// When the sitting began, RFC 3339.
    pub started: String,
    /// The time factor, in hundredths.
    pub factor: u32,
    /// Hearings beyond those of the exam.
    pub hearings: u8,
    /// What was played on, in words.
    pub instrument: String,
    /// Its own name.
    #[serde(default)]
    pub instrument_name: String,
    /// Whether it does not tell how its keys were touched.
    #[serde(default)]
    pub without_touch: bool,
    /// The sound output's name.
    #[serde(default)]
    pub output: String,
    /// How late the output sounds, in tenths of a millisecond.
    #[serde(default)]
    pub delay: Option<i64>,
    /// How late the candidate taps along, in tenths of a millisecond.
    #[serde(default)]
    pub lag: i64,
    /// The spread of the taps, in tenths of a millisecond.
    #[serde(default)]
    pub lag_spread: Option<i64>,
}

impl Header {
    /// Puts down what the candidate is allowed and what the sitting is sat with.
    #[must_use]
    pub fn with(self, allowance: Allowance, equipment: &Equipment) -> Self {
        Self {
            factor: allowance.factor,
            hearings: allowance.hearings,
            lag: allowance.lag.tenths(),
            instrument: equipment.instrument.clone(),
            instrument_name: equipment.name.clone(),
            without_touch: equipment.without_touch,
            output: equipment.output.clone(),
            delay: equipment.delay.map(Time::tenths),
            lag_spread: equipment.lag_spread.map(Time::tenths),
            ..self
        }
    }

    /// Returns what the candidate is allowed.
    pub const fn allowance(&self) -> Allowance {
        Allowance {
            factor: self.factor,
            hearings: self.hearings,
            lag: Time::from_tenths(self.lag),
        }
    }

    /// Returns what the sitting was sat with.
    pub fn equipment(&self) -> Equipment {
        Equipment {
            instrument: self.instrument.clone(),
            name: self.instrument_name.clone(),
            without_touch: self.without_touch,
            output: self.output.clone(),
            delay: self.delay.map(Time::from_tenths),
            lag_spread: self.lag_spread.map(Time::from_tenths),
        }
    }
}

/// The version of this format.
pub const VERSION: u32 = 1;

/// One event with its time, in tenths of a millisecond since the sitting began.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Line {
    /// When, in tenths of a millisecond.
    pub t: i64,
    /// What.
    #[serde(flatten)]
    pub what: What,
}

/// An event.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum What {
    /// See [`Event::Go`].
    Go,
    /// See [`Event::WarmUpShown`].
    WarmUpShown(usize),
    /// See [`Event::Shown`].
    Shown(u32),
    /// See [`Event::Again`].
    Again,
    /// See [`Event::AgainShown`].
    AgainShown(u32),
    /// See [`Event::Sounded`].
    Sounded,
    /// A key struck: its number and velocity.
    Down(u8, u8),
    /// A key released.
    Up(u8),
    /// The pedal's value.
    Pedal(u8),
    /// An answer.
    Answer(String),
    /// A hearing asked for.
    Hear,
    /// Handed in.
    HandIn,
    /// See [`Event::Paused`].
    Paused(String),
    /// See [`Event::Resumed`].
    Resumed,
    /// Reason and person; see [`Event::Voided`].
    Voided(String, String),
    /// Tenths of a millisecond; see [`Event::TimeAdded`].
    TimeAdded(i64),
    /// Kind, text and person; see [`Event::Noted`].
    Noted(String, String, String),
    /// Item, credit as numerator and denominator, person; see [`Event::Panel`].
    Panel(u32, i64, i64, String),
    /// See [`Event::Stopped`].
    Stopped(String),
    /// See [`Event::Finished`].
    Finished,
}

impl Line {
    /// Converts an event for storage.
    pub fn new(at: Time, event: &Event) -> Self {
        let what = match event {
            Event::Go => What::Go,
            Event::WarmUpShown(place) => What::WarmUpShown(*place),
            Event::Shown(number) => What::Shown(*number),
            Event::Again => What::Again,
            Event::AgainShown(number) => What::AgainShown(*number),
            Event::Sounded => What::Sounded,
            Event::Did(Action::Down(key, velocity)) => What::Down(key.number(), *velocity),
            Event::Did(Action::Up(key)) => What::Up(key.number()),
            Event::Did(Action::Pedal(value)) => What::Pedal(*value),
            Event::Did(Action::Answer(text)) => What::Answer(text.clone()),
            Event::Did(Action::Hear) => What::Hear,
            Event::Did(Action::HandIn) => What::HandIn,
            Event::Paused(reason) => What::Paused(reason.clone()),
            Event::Resumed => What::Resumed,
            Event::Voided { reason, by } => What::Voided(reason.clone(), by.clone()),
            Event::TimeAdded(extra) => What::TimeAdded(extra.tenths()),
            Event::Noted(incident) => What::Noted(
                incident.kind.clone(),
                incident.text.clone(),
                incident.by.clone(),
            ),
            Event::Panel { item, credit, by } => {
                What::Panel(*item, *credit.numer(), *credit.denom(), by.clone())
            }
            Event::Stopped(reason) => What::Stopped(reason.clone()),
            Event::Finished => What::Finished,
        };

        Self {
            t: at.tenths(),
            what,
        }
    }

    /// Returns when it happened.
    pub const fn at(&self) -> Time {
        Time::from_tenths(self.t)
    }

    /// Converts back; `None` where a number is out of range.
    pub fn event(&self) -> Option<Event> {
        let key = |number: u8| Key::new(i64::from(number)).ok();

        Some(match &self.what {
            What::Go => Event::Go,
            What::WarmUpShown(place) => Event::WarmUpShown(*place),
            What::Shown(number) => Event::Shown(*number),
            What::Again => Event::Again,
            What::AgainShown(number) => Event::AgainShown(*number),
            What::Sounded => Event::Sounded,
            What::Down(number, velocity) => {
                Event::Did(Action::Down(key(*number)?, (*velocity).min(127)))
            }
            What::Up(number) => Event::Did(Action::Up(key(*number)?)),
            What::Pedal(value) => Event::Did(Action::Pedal((*value).min(127))),
            What::Answer(text) => Event::Did(Action::Answer(text.clone())),
            What::Hear => Event::Did(Action::Hear),
            What::HandIn => Event::Did(Action::HandIn),
            What::Paused(reason) => Event::Paused(reason.clone()),
            What::Resumed => Event::Resumed,
            What::Voided(reason, by) => Event::Voided {
                reason: reason.clone(),
                by: by.clone(),
            },
            What::TimeAdded(extra) => Event::TimeAdded(Time::from_tenths(*extra)),
            What::Noted(kind, text, by) => Event::Noted(Incident {
                at: self.at(),
                item: None,
                kind: kind.clone(),
                text: text.clone(),
                by: by.clone(),
            }),
            What::Panel(item, numerator, denominator, by) => Event::Panel {
                item: *item,
                credit: crate::fraction::of(*numerator, *denominator)?,
                by: by.clone(),
            },
            What::Stopped(reason) => Event::Stopped(reason.clone()),
            What::Finished => Event::Finished,
        })
    }
}
