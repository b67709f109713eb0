//! Pages on paper: what they say as data, how they are laid out, and how they are painted.
#![deny(clippy::disallowed_methods)]

pub mod sheet;
pub mod words;
