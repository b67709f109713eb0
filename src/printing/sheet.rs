//! A candidate's mark sheet: what it says, and how it is laid out.

pub mod content;
mod words;
