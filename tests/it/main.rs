//! One integration binary; a module a subject.
#![allow(
    clippy::unwrap_used,
    reason = "a helper of a test may unwrap as a test does"
)]

mod by_hand;
mod cli;
mod cohort;
mod collect;
mod crosscheck;
mod demo;
mod engravings;
mod equipment;
mod forms;
mod fuzz;
mod items;
mod journals;
mod keyboards;
mod language;
mod library;
mod live;
mod note_match;
mod papers;
mod performances;
mod practise;
#[cfg(unix)]
mod printers;
mod python;
mod readme;
mod render;
mod results;
mod rooms;
mod rubric;
mod scripts;
mod seals;
mod sheets;
mod sittings;
mod slips;
#[cfg(feature = "kiosk")]
mod speakers;
mod statistics;
mod svg;
mod theory;
mod tidy;
mod way;
