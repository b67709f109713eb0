//! The sentences of a mark sheet, made from figures alone.

pub(super) mod chords;
pub(super) mod ears;
pub(super) mod grade;
pub(super) mod growth;
pub(super) mod happened;
