//! A performance stored as a Standard MIDI File, read and written.
//!
//! What counts in a file (Standard MIDI Files 1.0, format 0 or 1, any division):
//!
//! | in the file | means |
//! | --- | --- |
//! | marker (`FF 06`) `item N` | prompt N appeared; numbers count upwards, each once, save that any may follow a `void` |
//! | text (`FF 01`) `answer X` | the answer to an ear or spelling item; empty: withdrawn |
//! | text `hear` | a hearing was asked for |
//! | text `sounded` | the compulsory hearing ended, where not at the length of its sound |
//! | text `added MS` | the item shown got so many milliseconds more |
//! | text `void REASON` | the item shown was voided; it, or a spare one, may appear next |
//! | text `stop REASON` | the sitting was stopped |
//! | text `form CODE`, `exam NAME` | what this is a performance of |
//! | notes on any channel, control change 64 | the hands and the pedal |
//!
//! The first word is read in either case, and blanks around a text are dropped. All else is
//! ignored; what a person may want to know of it stands in [`Performance::notes`].
//!
//! # Order
//!
//! Events are in order of time. At the same tenth of a millisecond:
//!
//! 1. markers, and such texts as stand before a marker *in its own track*: an answer that brings
//!    on the next prompt belongs to the item it answers;
//! 2. then notes, pedal and the other texts, so that a key struck at the very tick of a marker
//!    belongs to the item that begins there. Each track keeps its own order; among tracks, keys
//!    go up before others go down, texts come last, and an earlier track precedes a later one.
//!
//! The order rests on the rounded times, so that a file read, written and read again is the same.

#![deny(clippy::disallowed_methods)]

mod clock;
mod error;
mod notes;
mod order;
mod read;
mod text;
mod track;
mod write;

#[cfg(test)]
mod tests;

use crate::time::Time;

pub use error::Error;
pub use read::{LIMIT, LONGEST, read, read_on};
pub use write::write;

/// What one performance file holds.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Performance {
    /// What happened, in order of time.
    pub events: Vec<Event>,
    /// The code of the form this is a performance of, if the file says so.
    pub form: Option<String>,
    /// The name of the exam, if the file says so.
    pub exam: Option<String>,
    /// Things ignored or put up with, in words; at most a screenful, and not written to files.
    pub notes: Vec<String>,
}

/// One thing that happened.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Event {
    /// When, since the start of the file.
    pub at: Time,
    /// What.
    pub kind: Kind,
}

/// What can happen in a performance.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Kind {
    /// A key went down.
    Down {
        /// The key, 0–127; middle C is 60.
        key: u8,
        /// How fast, 1–127.
        velocity: u8,
    },
    /// A key came up.
    Up {
        /// The key, 0–127.
        key: u8,
    },
    /// The sustaining pedal moved.
    Pedal {
        /// How far down, 0–127; 64 and more is down.
        value: u8,
    },
    /// The prompt of the item with this number, from 1, appeared.
    Item(u32),
    /// An ear or spelling item was answered; an empty answer withdraws the one before.
    Answer(String),
    /// A hearing was asked for.
    Hear,
    /// The compulsory hearing of the item shown ended.
    Sounded,
    /// The item shown got so much more time.
    Added(Time),
    /// The item shown was voided, for this reason.
    Void(String),
    /// The sitting was stopped, for this reason.
    Stop(String),
}
