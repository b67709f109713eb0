//! A keyboard without hardware, which tells what a test has it tell.
//!
//! Clones are the same keyboard: a test keeps one and gives the other away.

#![deny(clippy::disallowed_methods)]

use std::collections::VecDeque;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use super::keyboard::{Event, Fact, Keyboard, Kind, Touch};
use crate::theory::Key;
use crate::time::Time;

/// A keyboard that is played by calls.
#[derive(Debug, Clone)]
pub struct Fake {
    name: String,
    kind: Kind,
    state: Arc<Mutex<State>>,
}

#[derive(Debug)]
struct State {
    /// What is to be told, in order of time.
    events: VecDeque<Event>,
    is_there: bool,
    down: Vec<Key>,
}

impl Fake {
    /// Makes a MIDI keyboard that is there.
    pub fn new(name: impl Into<String>) -> Self {
        Self::of_kind(name, Kind::Midi)
    }

    /// Makes a keyboard of some kind that is there.
    pub fn of_kind(name: impl Into<String>, kind: Kind) -> Self {
        Self {
            name: name.into(),
            kind,
            state: Arc::new(Mutex::new(State {
                events: VecDeque::new(),
                is_there: true,
                down: Vec::new(),
            })),
        }
    }

    /// Has anything told at a moment of the room's time; what is told earlier comes first.
    pub fn tell(&self, at: Time, fact: Fact) {
        let mut state = self.state();
        let place = state.events.partition_point(|event| event.at <= at);
        state.events.insert(place, Event::new(at, fact));
    }

    /// Strikes a key.
    pub fn down(&self, at: Time, key: Key, velocity: u8) {
        self.tell(at, Fact::Touched(Touch::Down { key, velocity }));
    }

    /// Releases a key.
    pub fn up(&self, at: Time, key: Key) {
        self.tell(at, Fact::Touched(Touch::Up { key }));
    }

    /// Strikes keys together and releases them at another moment.
    pub fn chord(&self, keys: &[Key], from: Time, until: Time) {
        for key in keys {
            self.down(from, *key, 80);
        }
        for key in keys {
            self.up(until, *key);
        }
    }

    /// Pulls the cable; what is down then comes up, as [`Fact::Lost`] says.
    pub fn unplug(&self, at: Time) {
        self.tell(
            at,
            Fact::Lost {
                name: self.name.clone(),
            },
        );
    }

    /// Puts the cable back.
    pub fn plug(&self, at: Time) {
        self.tell(
            at,
            Fact::Found {
                name: self.name.clone(),
            },
        );
    }

    fn state(&self) -> MutexGuard<'_, State> {
        // A test that panicked elsewhere has its own message.
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Keyboard for Fake {
    fn poll(&mut self, now: Time) -> Vec<Event> {
        let mut state = self.state();
        let due = state.events.partition_point(|event| event.at <= now);
        let told: Vec<_> = state.events.drain(..due).collect();
        let mut events = Vec::with_capacity(told.len());

        for event in told {
            let at = event.at;
            let mut released = Vec::new();
            match &event.fact {
                Fact::Touched(Touch::Down { key, .. }) if !state.down.contains(key) => {
                    state.down.push(*key);
                }
                Fact::Touched(Touch::Up { key }) => state.down.retain(|down| down != key),
                Fact::Lost { .. } | Fact::Silent { .. } | Fact::ServerGone => {
                    state.is_there = false;
                    released = std::mem::take(&mut state.down);
                }
                Fact::Found { .. } => state.is_there = true,
                Fact::Touched(_) | Fact::Missed(_) | Fact::ServerBack => {}
            }
            events.push(event);
            events.extend(
                released
                    .into_iter()
                    .map(|key| Event::new(at, Fact::Touched(Touch::Up { key }))),
            );
        }

        events
    }

    fn name(&self) -> String {
        self.name.clone()
    }

    fn kind(&self) -> Kind {
        self.kind
    }

    fn is_there(&self) -> bool {
        self.state().is_there
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_unplugged_fake_is_lost_before_its_keys_come_up() {
        let kept = Fake::new("grand");
        let mut given = kept.clone();
        let key = Key::MIDDLE_C;
        kept.unplug(Time::from_ms(20));
        kept.plug(Time::from_ms(30));
        kept.down(Time::from_ms(10), key, 80);

        assert_eq!(given.poll(Time::from_ms(9)), []);
        assert_eq!(given.poll(Time::from_ms(10)).len(), 1);
        let facts: Vec<_> = given
            .poll(Time::from_ms(20))
            .into_iter()
            .map(|event| event.fact)
            .collect();
        let name = "grand".to_owned();
        assert_eq!(
            facts,
            [Fact::Lost { name }, Fact::Touched(Touch::Up { key })]
        );
        assert!(!kept.is_there());
        assert_eq!(given.poll(Time::from_ms(40)).len(), 1);
        assert!(kept.is_there());
    }
}
