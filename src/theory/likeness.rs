//! Chords that sound the same: which qualities have all their notes, or their guide tones, in
//! common over certain roots.

use super::Quality;

/// Returns how far above the root of `a` the root of `b` may lie, in semitones from 0 to 11, so
/// that both chords have the same pitch classes.
///
/// A chord is like itself at 0. The altered dominant has no single set of notes and is like none.
pub fn sounds_as(a: Quality, b: Quality) -> Vec<u8> {
    if a.is_altered() || b.is_altered() {
        return Vec::new();
    }

    differences(a.classes_over(0), |root| Some(b.classes_over(root)))
}

/// Returns how far above the root of `a` the root of `b` may lie, in semitones from 0 to 11, so
/// that both chords have the same guide tones, in whichever order.
///
/// A sixth stands for a missing seventh and a suspended note for the third. A chord without guide
/// tones, such as a triad, is like none.
pub fn guide_tones_sound_as(a: Quality, b: Quality) -> Vec<u8> {
    match guide_tones_over(a, 0) {
        Some(set) => differences(set, |root| guide_tones_over(b, root)),
        None => Vec::new(),
    }
}

fn guide_tones_over(quality: Quality, root: u8) -> Option<u16> {
    let third = quality.third()?.class_over(root);
    let seventh = quality.seventh()?.class_over(root);

    Some(1 << third | 1 << seventh)
}

fn differences(set: u16, other: impl Fn(u8) -> Option<u16>) -> Vec<u8> {
    (0..12).filter(|root| other(*root) == Some(set)).collect()
}
