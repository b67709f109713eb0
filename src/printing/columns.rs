//! Columns and steps of a report, in pixels from the margin or from one another.

/// From the margin to the text.
pub(super) const INDENT: f32 = 120.0;
/// The width of a label.
pub(super) const LABEL: f32 = 108.0;
/// From the left edge of the text to the right edge.
pub(super) const MEASURE: f32 = 546.0;
/// From the top of a block to its first baseline.
pub(super) const RISE: f32 = 13.0;
/// From the last baseline of a paragraph to the end of its block.
pub(super) const FALL: f32 = 4.0;
/// The distance of the lines of a note.
pub(super) const NOTE_LINE: f32 = 15.0;
