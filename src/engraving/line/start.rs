//! What stands at the start of a system: clef, key and time.

use super::super::Glyph;
use super::super::measure::{AFTER_CLEF, CLEF};
use super::Line;

/// Steps of sharps and flats on the treble staff, in the order of the circle; common practice.
const SHARPS: [i32; 7] = [8, 5, 9, 6, 3, 7, 4];
const FLATS: [i32; 7] = [4, 7, 3, 6, 2, 5, 1];
/// From one sign of a key signature to the next.
pub(super) const SIGNATURE_STEP: f32 = 0.95;

/// Returns the signs of the key and their steps.
pub(super) fn signature(line: &Line<'_>, has_notes: bool) -> (Glyph, &'static [i32]) {
    let count = usize::from(line.signature.unsigned_abs().min(7));

    match line.signature {
        _ if has_notes => (Glyph::Flat, &[]),
        1.. => (Glyph::Sharp, &SHARPS[..count]),
        _ => (Glyph::Flat, &FLATS[..count]),
    }
}

/// Returns the room that clef, key and time take.
pub(super) fn prefix(line: &Line<'_>, has_notes: bool) -> f32 {
    let (_, steps) = signature(line, has_notes);
    let clef = CLEF + Glyph::FClef.width() + AFTER_CLEF;
    let key = match steps.len() {
        0 => 0.0,
        count => count as f32 * SIGNATURE_STEP + AFTER_CLEF,
    };

    clef + key + Glyph::TimeSig4.width() + AFTER_CLEF
}
