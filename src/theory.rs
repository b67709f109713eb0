//! Pitches with spelling, chords and their symbols, voicings and how they lead to one another.
#![deny(clippy::disallowed_methods)]

pub mod chord;
pub mod degree;
pub mod interval;
pub mod leading;
pub mod likeness;
pub mod pitch;
pub mod progression;
pub mod quality;
pub mod symbol;
pub mod voicing;

pub use chord::Chord;
pub use degree::Degree;
pub use pitch::{Key, Name};
pub use quality::Quality;
pub use voicing::Voicing;
