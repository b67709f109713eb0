//! Exam scripts: read, vetted, and drawn into forms.
#![deny(clippy::disallowed_methods)]

pub mod allot;
pub mod chance;
mod check;
pub mod code;
pub mod diagnostic;
pub mod draft;
pub mod draw;
pub mod duration;
pub mod form;
pub mod item;
pub mod language;
pub mod read;
pub mod script;
pub mod sound;
pub mod table;
