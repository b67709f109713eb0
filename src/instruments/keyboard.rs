//! What every keyboard tells, whether it is a device, the computer's keys or a performance file.
//!
//! Nothing above [`Keyboard`] knows what is below. Times are in the room's time: the time that
//! [`Keyboard::poll`] is given. They never lie in the future and never run backwards.

pub mod decoder;
pub mod preference;
mod rebase;

use crate::theory::Key;
use crate::time::Time;

pub use preference::{Input, Preference};

/// Something a hand or a foot did.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Touch {
    /// A key was struck. A key that is down may be struck again: its release was not seen.
    Down {
        /// The key, transposition included.
        key: Key,
        /// How fast, 1–127.
        velocity: u8,
    },
    /// A key that was down came up, or is no longer known to be down.
    Up {
        /// The key, transposition included.
        key: Key,
    },
    /// The sustaining pedal moved: 0 up, 127 down; 64 and more is down.
    Pedal(u8),
}

/// What a keyboard can tell.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Fact {
    /// A hand or a foot did something.
    Touched(Touch),
    /// An instrument can be played from now on: the first time, or again after [`Fact::Lost`],
    /// [`Fact::Silent`] or [`Fact::ServerGone`].
    Found {
        /// The instrument's name.
        name: String,
    },
    /// An instrument is no longer there. Its keys come up after this.
    Lost {
        /// The instrument's name.
        name: String,
    },
    /// An instrument that used to say all the time that it is there says nothing more: its cable
    /// is out behind the interface. Its keys come up after this.
    Silent {
        /// The instrument's name.
        name: String,
    },
    /// So many messages came faster than they could be kept. What is down may be wrong.
    Missed(u64),
    /// The computer's MIDI service stopped or is not there; told once. All keys come up after this.
    ServerGone,
    /// The computer's MIDI service is there again; the instruments are told by [`Fact::Found`].
    ServerBack,
}

/// Something that a keyboard tells, with its time.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Event {
    /// When, in the room's time.
    pub at: Time,
    /// What.
    pub fact: Fact,
}

impl Event {
    /// Makes an event.
    pub const fn new(at: Time, fact: Fact) -> Self {
        Self { at, fact }
    }
}

/// What kind of keyboard was played; a result says so.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Kind {
    /// A keyboard on MIDI.
    Midi,
    /// The computer's own keys and its mouse.
    Computer,
    /// A performance file.
    Performance,
}

impl Kind {
    /// Tells whether the onsets within a chord are the hand's own. The computer's keys are not
    /// made to go down together, and a mouse strikes one key at a time.
    pub const fn has_spread(self) -> bool {
        !matches!(self, Self::Computer)
    }

    /// Returns the kind in words, for results and pages.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Midi => "MIDI keyboard",
            Self::Computer => "computer keyboard",
            Self::Performance => "performance file",
        }
    }
}

/// An instrument with keys.
pub trait Keyboard: Send {
    /// Returns what happened since the last time, in order of time; never waits.
    ///
    /// `now` is the room's time at this very moment, and does not run backwards.
    fn poll(&mut self, now: Time) -> Vec<Event>;

    /// Returns the name of what is played, or of what is waited for.
    fn name(&self) -> String;

    /// Returns what kind of keyboard it is.
    fn kind(&self) -> Kind;

    /// Tells whether it can be played now.
    fn is_there(&self) -> bool;
}
