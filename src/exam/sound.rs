//! What an ear item sounds, as data: keys and times, ready to be rendered.

use super::chance::Chance;
use super::script::{Motion, Spacing, Stimulus};
use crate::theory::leading;
use crate::theory::progression::Progression;
use crate::theory::quality::Quality;
use crate::theory::voicing::form;
use crate::theory::{Chord, Degree, Name};
use crate::time::Time;

/// One hearing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sound {
    /// What is struck, in order.
    pub strikes: Vec<Strike>,
    /// How long one hearing lasts, release included.
    pub length: Time,
}

/// Keys struck together.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Strike {
    /// When, from the start of the hearing.
    pub at: Time,
    /// How long the keys are held.
    pub held: Time,
    /// The keys from low to high, with their velocities.
    pub keys: Vec<(u8, u8)>,
}

/// How long a chord is held, and its release: 2.0 s and half a second to die away.
const HELD: Time = Time::from_ms(2000);
const RELEASE: Time = Time::from_ms(500);
/// A single note or a chord of a progression.
const SHORT: Time = Time::from_ms(1000);
/// The bass of close chords lies from C3 to B3; no note above C6.
const LOWEST: u8 = 48;
const HIGHEST: u8 = 84;

/// Builds what a stimulus sounds on a root, in one of its variants.
pub fn build(stimulus: &Stimulus, root: u8, variant: u8, chance: &mut Chance) -> Sound {
    let bass = LOWEST + root % 12;

    let chords: Vec<(Time, Vec<u8>)> = match stimulus {
        Stimulus::Chord {
            quality,
            spacing,
            top,
            bass: number,
        } => {
            let top = top.unwrap_or([7, 3, 5][usize::from(variant) % 3]);
            let keys = chord(*quality, bass, *spacing, top, *number);
            if *number == 1 {
                vec![(HELD, keys)]
            } else {
                // The root is heard alone first, or an inverted seventh is another sixth.
                vec![(SHORT, vec![bass]), (HELD, keys)]
            }
        }
        Stimulus::Interval { semitones, motion } => {
            let low = 57 + root % 12 - u8::from(root % 12 + semitones > 20);
            let high = low + semitones;
            match motion {
                Motion::Harmonic => vec![(HELD, vec![low, high])],
                Motion::Rising => vec![(SHORT, vec![low]), (SHORT, vec![high])],
                Motion::Falling => vec![(SHORT, vec![high]), (SHORT, vec![low])],
            }
        }
        Stimulus::Tension { tension } => {
            let plain = vec![bass, bass + 10, bass + 16];
            let mut coloured = plain.clone();
            let mut key = bass + tension.class();
            while key <= bass + 16 {
                key += 12;
            }
            coloured.push(key);
            vec![(SHORT, plain), (HELD, coloured)]
        }
        Stimulus::Progression { progression } => progression_chords(progression, root),
        Stimulus::RootMotion { quality, up } => {
            let second = LOWEST + (root + up) % 12;
            vec![
                (SHORT, chord(*quality, bass, Spacing::Close, 7, 1)),
                (HELD, chord(*quality, second, Spacing::Close, 7, 1)),
            ]
        }
        Stimulus::WrongVoice { quality, voice } => {
            vec![(HELD, wrong_voice(*quality, bass, *voice, variant))]
        }
    };

    lay_out(chords, chance)
}

fn lay_out(chords: Vec<(Time, Vec<u8>)>, chance: &mut Chance) -> Sound {
    let mut at = Time::ZERO;
    let mut strikes = Vec::with_capacity(chords.len());

    for (held, keys) in chords {
        strikes.push(Strike {
            at,
            held,
            keys: keys
                .into_iter()
                .map(|key| (key, 77 + chance.below(7) as u8))
                .collect(),
        });
        at += held;
    }

    Sound {
        strikes,
        length: at + RELEASE,
    }
}

/// Builds a chord over a bass key: the other tones above it, with the asked one on top.
fn chord(quality: Quality, root_key: u8, spacing: Spacing, top: u8, bass: u8) -> Vec<u8> {
    let root = root_key % 12;
    let lowest = quality.own(bass).unwrap_or(Degree::Root);
    let low_class = lowest.class_over(root);
    let low = LOWEST + low_class;
    let mut others: Vec<u8> = quality
        .degrees()
        .filter(|degree| *degree != lowest)
        .map(|degree| degree.class_over(root))
        .collect();
    others.sort_by_key(|class| (class + 12 - low_class) % 12);

    // A triad has no seventh: its next tone down comes on top.
    let top = quality
        .own(top)
        .filter(|degree| quality.has(*degree) && *degree != lowest)
        .map(|degree| degree.class_over(root));
    let turn = top
        .and_then(|top| others.iter().position(|class| *class == top))
        .unwrap_or(others.len().saturating_sub(1));
    let last = others.len().max(1);

    let mut keys = vec![low];
    match spacing {
        Spacing::Close => {
            others.rotate_left((turn + 1) % last);
            pile(&mut keys, &others, low);
        }
        Spacing::Open => {
            // The tone that is to be on top is lifted out of the close chord by an octave.
            others.rotate_left(turn);
            let turn = usize::from(others.len() > 1);
            others.rotate_left(turn);
            let floor = low + 6;
            pile(&mut keys, &others, floor);
        }
        Spacing::TwoHand => {
            others.rotate_left((turn + 1) % last);
            // Two notes left, the rest right from middle C up.
            if others.len() > 2 {
                let left = others.remove(others.len() - 3);
                pile(&mut keys, &[left], low);
            }
            pile(&mut keys, &others, 59);
        }
    }

    while keys.last().is_some_and(|key| *key > HIGHEST) {
        for key in keys.iter_mut().skip(1) {
            *key -= 12;
        }
    }
    keys.sort_unstable();

    keys
}

/// Puts each class on the nearest key above the one before, starting above a floor.
fn pile(keys: &mut Vec<u8>, classes: &[u8], floor: u8) {
    let mut at = floor.max(keys.last().copied().unwrap_or(0));

    for class in classes {
        let up = (class + 12 - at % 12) % 12;
        at += if up == 0 { 12 } else { up };
        keys.push(at);
    }
}

fn wrong_voice(quality: Quality, bass: u8, voice: u8, variant: u8) -> Vec<u8> {
    let root = bass % 12;
    let mut keys = chord(quality, bass, Spacing::Close, 7, 1);
    let Some(degree) = quality.own(voice) else {
        return keys;
    };
    let class = degree.class_over(root);
    let sounding: Vec<u8> = keys.iter().map(|key| key % 12).collect();
    // A semitone up or down, so that no other chord tone is doubled by it.
    let steps: [i16; 2] = if variant.is_multiple_of(2) {
        [-1, 1]
    } else {
        [1, -1]
    };

    for key in &mut keys {
        if *key % 12 != class {
            continue;
        }
        for step in steps {
            let moved = (i16::from(*key) + step) as u8;
            if !sounding.contains(&(moved % 12)) {
                *key = moved;
                break;
            }
        }
        break;
    }

    keys
}

/// The tonic chord first, then the progression in smoothly led guide tones over roots.
fn progression_chords(progression: &Progression, tonic: u8) -> Vec<(Time, Vec<u8>)> {
    let placed = progression.in_key(progression.tonic(tonic));
    let home = if progression.is_minor() {
        Quality::MINOR
    } else {
        Quality::MAJOR
    };
    let tonic_chord = Chord::new(Name::plain(tonic), home);
    let mut out = vec![(
        SHORT,
        chord(
            tonic_chord.quality,
            LOWEST + tonic % 12,
            Spacing::Close,
            5,
            1,
        ),
    )];
    let mut before: Vec<crate::theory::Key> = Vec::new();

    for placed in &placed {
        let root = placed.chord.root.class();
        let quality = placed.chord.quality;
        let Some(voicing) = form::named("guide-tones-with-root")
            .and_then(|form| form.voicing(placed.chord, 0).ok())
        else {
            continue;
        };
        let mut classes = leading::leading_classes(&voicing.hands, root);
        classes.extend(quality.fifth().map(|fifth| fifth.class_over(root)));
        let hand = if before.is_empty() {
            let mut keys = vec![59];
            let mut stacked = Vec::new();
            pile(&mut keys, &classes, 59);
            stacked.extend(
                keys.iter()
                    .skip(1)
                    .filter_map(|key| crate::theory::Key::new(i64::from(*key)).ok()),
            );
            stacked
        } else {
            best_turn(&before, &classes)
        };
        let mut keys = vec![LOWEST + placed.chord.lowest_class()];
        keys.extend(
            hand.iter()
                .map(|key| key.number())
                .filter(|key| *key > LOWEST + 12),
        );
        keys.sort_unstable();
        keys.dedup();
        before = hand;
        out.push((SHORT, keys));
    }

    out
}

fn best_turn(before: &[crate::theory::Key], classes: &[u8]) -> Vec<crate::theory::Key> {
    (0..classes.len().max(1))
        .filter_map(|turn| {
            let mut turned = classes.to_vec();
            turned.rotate_left(turn);
            leading::nearest(before, &turned)
        })
        .min_by_key(|(_, moved)| *moved)
        .map(|(keys, _)| keys)
        .unwrap_or_default()
}
