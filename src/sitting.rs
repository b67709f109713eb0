//! One candidate's run through one form: events with their time in, effects out.
#![deny(clippy::disallowed_methods)]

pub mod journal;
