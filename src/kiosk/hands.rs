//! The keyboard of a kiosk: the one on MIDI, or the computer's own keys where they stand in.

use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use crate::instruments::computer;
use crate::instruments::keyboard::{Event, Keyboard, Kind};
use crate::time::Time;

/// The computer's keys, shared by the window that tells of them and the room that hears them.
#[derive(Debug, Clone, Default)]
pub struct Computer(Arc<Mutex<computer::Keyboard>>);

impl Computer {
    /// Takes the keys for a moment.
    pub fn keys(&self) -> MutexGuard<'_, computer::Keyboard> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Keyboard for Computer {
    fn poll(&mut self, now: Time) -> Vec<Event> {
        self.keys().poll(now)
    }

    fn name(&self) -> String {
        self.keys().name()
    }

    fn kind(&self) -> Kind {
        Kind::Computer
    }

    fn is_there(&self) -> bool {
        true
    }
}
