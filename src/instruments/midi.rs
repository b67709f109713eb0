//! Keyboards on the computer's MIDI: listed, opened, and followed through unplugging.
//!
//! ```text
//! driver's thread ── messages (bounded, never waits) ──┐
//!                                                      ├─▶ Keyboard::poll ─▶ events
//! own thread, each 50 ms: what is there? ── notices ───┘
//! ```
//!
//! The bounded queue is as long as a minute of the densest playing; what overflows it is counted
//! and told ([`Fact::Missed`](super::keyboard::Fact::Missed)). An instrument that is unplugged and
//! back between two looks, within 50 ms, is not noticed; none that has to be recognised by the
//! computer is so quick.

mod driver;
mod follow;
mod merge;
mod queue;
mod service;

#[cfg(test)]
mod tests;

use std::sync::mpsc::{self, Receiver, RecvTimeoutError, Sender};
use std::thread;
use std::time::{Duration, Instant};

use thiserror::Error;

use self::driver::{Driver, Midir};
use self::follow::{Follower, Notice};
use self::merge::Merge;
use super::keyboard::{self, Event, Input, Kind, Preference};
use crate::time::Time;

/// How often the inputs are looked through.
pub const LOOK: Duration = Duration::from_millis(50);

/// What is missing for keyboards on MIDI.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum Error {
    /// The computer has no MIDI service.
    #[error("expected the {SERVICE}, found none; {HELP}")]
    NoService,
    /// The computer has no thread left.
    #[error("expected a thread to follow the keyboards, found: {0}")]
    NoThread(String),
}

/// The service that keyboards come by.
pub const SERVICE: &str = if cfg!(feature = "jack") {
    "JACK server"
} else if cfg!(target_os = "linux") {
    "ALSA sequencer"
} else {
    "system's MIDI service"
};

const HELP: &str = if cfg!(feature = "jack") {
    "start it, or play on the computer's own keys"
} else if cfg!(target_os = "linux") {
    "load it by `modprobe snd-seq`, or play on the computer's own keys"
} else {
    "start the computer anew, or play on the computer's own keys"
};

/// Lists the MIDI inputs that are there.
///
/// # Errors
/// Where the computer has no MIDI service.
pub fn inputs() -> Result<Vec<Input>, Error> {
    Midir::new().inputs().map_err(|_| Error::NoService)
}

/// The keyboards of a room on MIDI, followed through unplugging by a thread of their own.
#[derive(Debug)]
pub struct Keyboard {
    preference: Preference,
    messages: Receiver<queue::Message>,
    missed: queue::Missed,
    notices: Receiver<Notice>,
    merge: Merge,
    /// The follower ends when this is dropped.
    _leave: Sender<()>,
}

impl Keyboard {
    /// Begins to follow the inputs that a room prefers. Nothing needs to be there yet: the first
    /// [`Fact::Found`](keyboard::Fact::Found) or [`Fact::ServerGone`](keyboard::Fact::ServerGone)
    /// comes within the time of a look.
    ///
    /// # Errors
    /// Where the computer gives no thread.
    pub fn follow(preference: Preference) -> Result<Self, Error> {
        let (outlet, messages, missed) = queue::queue();
        let (teller, notices) = mpsc::channel();
        let (leave, left) = mpsc::channel::<()>();
        let wanted = preference.clone();

        let _ = thread::Builder::new()
            .name("keyboards".to_owned())
            .spawn(move || {
                // Made here, since not every system lets such a thing go to another thread.
                let mut follower = Follower::new(Midir::new(), wanted, outlet, teller);
                loop {
                    follower.look(Instant::now());
                    if left.recv_timeout(LOOK) != Err(RecvTimeoutError::Timeout) {
                        break;
                    }
                }
            })
            .map_err(|error| Error::NoThread(error.to_string()))?;

        Ok(Self {
            merge: Merge::new(&preference),
            preference,
            messages,
            missed,
            notices,
            _leave: leave,
        })
    }

    /// Returns the names of the instruments that can be played now.
    pub fn names(&self) -> Vec<String> {
        self.merge.names()
    }

    /// Returns how many strikes fell outside the keys 0–127 by transposition, and were dropped.
    pub fn out_of_range(&self) -> u64 {
        self.merge.out_of_range()
    }
}

impl keyboard::Keyboard for Keyboard {
    fn poll(&mut self, now: Time) -> Vec<Event> {
        let polled = Instant::now();
        // Messages first: whatever a message belongs to has been told by the time that it is here.
        let messages: Vec<_> = self.messages.try_iter().collect();
        let missed = self.missed.take();
        let notices: Vec<_> = self.notices.try_iter().collect();

        self.merge.take(now, polled, messages, missed, notices)
    }

    fn name(&self) -> String {
        let names = self.merge.names();

        if names.is_empty() {
            self.preference
                .name
                .clone()
                .unwrap_or_else(|| "MIDI keyboard".to_owned())
        } else {
            names.join(" + ")
        }
    }

    fn kind(&self) -> Kind {
        Kind::Midi
    }

    fn is_there(&self) -> bool {
        self.merge.is_there()
    }
}
