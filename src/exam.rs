//! Exam scripts: read, vetted, and drawn into forms.
#![deny(clippy::disallowed_methods)]

pub mod diagnostic;
pub mod table;
