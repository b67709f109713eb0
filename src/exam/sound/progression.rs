//! How a progression sounds: its tonic first, then chord by chord, smoothly led over the roots.

use super::{HELD, SHORT, USUAL, degrees, from, keys};
use crate::theory::leading;
use crate::theory::progression::Progression;
use crate::theory::quality::Quality;
use crate::theory::{Chord, Degree, Key};
use crate::time::Time;

/// The upper voices lie from G3 to G5, round the middle.
const FLOOR: u8 = 55;
const CEILING: u8 = 79;
const MIDDLE: u8 = 66;
/// So many semitones away from the middle, over all voices, weigh as much as one of movement: a line that only moved
/// as little as it can would drift to the end of its room and have to jump back.
const PULL: u32 = 2;

/// Returns the chords of a progression in a key, the tonic chord with its root before them; the
/// last chord is held longer. All have the same length otherwise, for the time that a chord lasts
/// would tell progressions apart.
///
/// A progression written in symbols is in the key of its last root.
pub(super) fn chords(progression: &Progression, tonic: u8) -> Vec<(Time, Vec<u8>)> {
    let chords: Vec<Chord> = progression
        .in_key(progression.tonic(tonic))
        .iter()
        .map(|placed| placed.chord)
        .collect();
    let home = match chords.last() {
        Some(last) if progression.is_fixed() => {
            let minor = last.quality.third() == Some(Degree::FlatThird);
            (last.root.class(), minor)
        }
        _ => (tonic, progression.is_minor()),
    };

    sounded(&chords, home.0, home.1)
}

/// Leads through chords after the tonic of a key.
pub(super) fn sounded(chords: &[Chord], tonic: u8, is_minor: bool) -> Vec<(Time, Vec<u8>)> {
    let triad = if is_minor {
        Quality::MINOR
    } else {
        Quality::MAJOR
    };
    let count = chords.len();
    let mut hand = Vec::new();
    let mut sounded = vec![(SHORT, lead(triad, tonic, tonic, &mut hand))];

    for (i, chord) in chords.iter().enumerate() {
        let keys = lead(
            chord.quality,
            chord.root.class(),
            chord.lowest_class(),
            &mut hand,
        );
        let held = if i + 1 == count { HELD } else { SHORT };
        sounded.push((held, keys));
    }

    sounded
}

/// Leads the hand on to a chord over its bass: the inversion and octave in which the voices move
/// least and do not stray from the middle.
fn lead(quality: Quality, root: u8, bass: u8, hand: &mut Vec<Key>) -> Vec<u8> {
    let low = from(USUAL, bass);
    let mut classes: Vec<u8> = degrees(quality)
        .map(|degree| degree.class_over(root))
        .filter(|class| *class != bass)
        .collect();
    classes.sort_unstable();
    classes.dedup();
    // Three voices at least, so that triads move as sevenths do.
    if classes.len() < 3 {
        classes.push(bass);
        classes.sort_unstable();
    }

    let lowest = FLOOR.max(low + 3);
    let mut best: Option<(u32, Vec<u8>)> = None;
    for turn in 0..classes.len() {
        let mut at = from(lowest, classes[turn]);
        while at <= CEILING {
            let mut stacked = vec![at];
            for i in 1..classes.len() {
                let above = stacked.last().map_or(at, |last| last + 1);
                stacked.push(from(above, classes[(turn + i) % classes.len()]));
            }
            if stacked.last().is_some_and(|top| *top <= CEILING) {
                let moved = leading::movement(hand, &keys(&stacked));
                let off: u32 = stacked
                    .iter()
                    .map(|key| u32::from(key.abs_diff(MIDDLE)))
                    .sum();
                let cost = PULL * moved + off;
                if best.as_ref().is_none_or(|(least, _)| cost < *least) {
                    best = Some((cost, stacked));
                }
            }
            at += 12;
        }
    }

    let stacked = best.map(|(_, stacked)| stacked).unwrap_or_default();
    *hand = keys(&stacked);

    std::iter::once(low).chain(stacked).collect()
}
