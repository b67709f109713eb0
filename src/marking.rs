//! From what was played and answered to credits, marks and grades, each with its reasons.
//!
//! Everything follows the project's marking rules to the letter; live capture, a replay and a
//! re-mark run through the same functions.
#![deny(clippy::disallowed_methods)]

pub mod asked;
pub mod capture;
pub mod event;
pub mod explain;
pub mod grade;
pub mod hearing;
pub mod item;
pub mod noted;
pub mod profile;
pub mod reason;
pub mod run;
pub mod spelling;
pub mod statistics;
pub mod voicing;

pub use event::Event;
