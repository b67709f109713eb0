//! A performance file as a keyboard: its keys and its pedal, each at its time.

#![deny(clippy::disallowed_methods)]

#[cfg(test)]
mod tests;

use std::collections::VecDeque;

use super::keyboard::{self, Event, Fact, Kind, Touch};
use super::performance::{self, Performance};
use crate::theory::Key;
use crate::time::Time;

/// Plays the keys of a performance; its markers and texts concern the sitting, not the hands.
#[derive(Debug, Clone)]
pub struct Player {
    name: String,
    events: VecDeque<Event>,
}

impl Player {
    /// Makes a player that begins at a moment of the room's time.
    pub fn new(name: impl Into<String>, performance: &Performance, begins: Time) -> Self {
        let events = performance
            .events
            .iter()
            .filter_map(|event| {
                let touch = touch(&event.kind)?;
                Some(Event::new(begins + event.at, Fact::Touched(touch)))
            })
            .collect();

        Self {
            name: name.into(),
            events,
        }
    }

    /// Returns when the next thing happens; `None` when all has been played.
    pub fn next(&self) -> Option<Time> {
        self.events.front().map(|event| event.at)
    }
}

fn touch(kind: &performance::Kind) -> Option<Touch> {
    let key = |number: u8| Key::new(i64::from(number)).ok();

    match kind {
        performance::Kind::Down {
            key: number,
            velocity,
        } => Some(Touch::Down {
            key: key(*number)?,
            velocity: *velocity,
        }),
        performance::Kind::Up { key: number } => Some(Touch::Up { key: key(*number)? }),
        performance::Kind::Pedal { value } => Some(Touch::Pedal(*value)),
        performance::Kind::Item(_)
        | performance::Kind::Answer(_)
        | performance::Kind::Hear
        | performance::Kind::Sounded
        | performance::Kind::Added(_)
        | performance::Kind::Void(_)
        | performance::Kind::Stop(_) => None,
    }
}

impl keyboard::Keyboard for Player {
    fn poll(&mut self, now: Time) -> Vec<Event> {
        let due = self.events.partition_point(|event| event.at <= now);

        self.events.drain(..due).collect()
    }

    fn name(&self) -> String {
        self.name.clone()
    }

    fn kind(&self) -> Kind {
        Kind::Performance
    }

    fn is_there(&self) -> bool {
        true
    }
}
