//! Pitches with spelling, chords and their symbols, voicings and how they lead to one another.
#![deny(clippy::disallowed_methods)]
