//! What an ear item sounds, as data: keys and times, ready to be rendered.
//!
//! Nothing but the chord itself is to give an answer away: where a sound lies, how it is spread,
//! how loud and how long it is do not hang on the quality (project notes on the trade, 3.3).

mod bass;
mod layout;
mod progression;

pub use self::bass::{backing, bass, bass_key};

use super::chance::Chance;
use super::script::{Motion, Spacing, Stimulus};
use crate::theory::progression::Progression;
use crate::theory::quality::Quality;
use crate::theory::voicing::form::Form;
use crate::theory::{Chord, Degree, Key, leading};
use crate::time::Time;

/// One hearing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sound {
    /// What is struck, in order.
    pub strikes: Vec<Strike>,
    /// How long one hearing lasts, release included.
    pub length: Time,
    /// How much louder than usual it is, in tenths of a decibel from −30 to 30: sounds of one
    /// exam are made equally loud and then roved, so that loudness tells nothing.
    pub rove: i8,
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
/// A single note, or a chord on the way to another.
const SHORT: Time = Time::from_ms(1000);
/// A note of a motive; and the lowest root of one, G3, so that a tenth above any root is under C6.
const STEP: Time = Time::from_ms(600);
const FIRST: u8 = 55;
/// The lowest bass of all, A2; a bass usually lies from C3 to B3, and no note above C6.
const LOWEST: u8 = 45;
const USUAL: u8 = 48;
const HIGHEST: u8 = 84;
/// Keys are struck at this velocity, three more or three less.
const VELOCITY: u8 = 80;
const TOUCH: u8 = 3;
/// The lowest key of a line, A1: where a left hand plays a root.
const LEFT: u8 = 33;
/// The widest hand of a line that is played back, in semitones.
const SPAN: u8 = 12;
const ROVE: i8 = 30;

/// Builds what a stimulus sounds on a root, in one of its variants, all keys struck alike.
///
/// `root_first` has the root sound alone before a chord: a sound of its own for sections that
/// have inversions, for all their items alike.
pub fn build(stimulus: &Stimulus, root: u8, variant: u8, root_first: bool) -> Sound {
    let root = root % 12;
    let bass = USUAL + root;

    let chords: Vec<(Time, Vec<u8>)> = match stimulus {
        Stimulus::Chord {
            quality,
            spacing,
            top,
            bass: number,
        } => {
            let top = self::top(*quality, *number, *top, variant);
            let keys = layout::chord(*quality, root, *spacing, top, *number);
            if root_first {
                vec![(SHORT, vec![bass]), (HELD, keys)]
            } else {
                vec![(HELD, keys)]
            }
        }
        Stimulus::Interval { semitones, motion } => {
            // Small and large ones lie round the same middle.
            let low = from(61 - semitones.div_ceil(2), root);
            let high = low + semitones;
            match motion {
                Motion::Harmonic => vec![(HELD, vec![low, high])],
                Motion::Rising => vec![(SHORT, vec![low]), (SHORT, vec![high])],
                Motion::Falling => vec![(SHORT, vec![high]), (SHORT, vec![low])],
            }
        }
        Stimulus::Tension { tension } => {
            let plain = vec![bass, bass + 4, bass + 10];
            let mut coloured = plain.clone();
            coloured.push(from(bass + 11, (root + tension.class()) % 12));
            vec![(SHORT, plain), (HELD, coloured)]
        }
        Stimulus::Progression { progression } => progression::chords(progression, root),
        Stimulus::Motive { notes } => {
            let low = from(FIRST, root);
            let last = notes.len().saturating_sub(1);
            let held = |place: usize| if place == last { SHORT } else { STEP };
            notes
                .iter()
                .enumerate()
                .map(|(place, note)| (held(place), vec![low + note]))
                .collect()
        }
        Stimulus::Line { progression, form } => line(progression, form, root),
        Stimulus::RootMotion { quality, up } => {
            let [first, second] = layout::motion(*quality, root, up % 12);
            vec![(SHORT, first), (HELD, second)]
        }
        Stimulus::WrongVoice { quality, voice } => {
            vec![(HELD, wrong_voice(*quality, root, *voice, variant))]
        }
    };

    lay_out(chords)
}

/// Builds the sound of chords in a key after its tonic.
pub(super) fn in_key(chords: &[Chord], tonic: u8, is_minor: bool) -> Sound {
    lay_out(progression::sounded(chords, tonic, is_minor))
}

fn lay_out(chords: Vec<(Time, Vec<u8>)>) -> Sound {
    let mut at = Time::ZERO;
    let mut strikes = Vec::with_capacity(chords.len());

    for (held, keys) in chords {
        strikes.push(Strike {
            at,
            held,
            keys: keys.into_iter().map(|key| (key, VELOCITY)).collect(),
        });
        at += held;
    }

    Sound {
        strikes,
        length: at + RELEASE,
        rove: 0,
    }
}

impl Sound {
    /// Draws what belongs to this one item: the touch of each key and the rove of the whole.
    pub(super) fn draw(&mut self, chance: &mut Chance) {
        for (_, velocity) in self.strikes.iter_mut().flat_map(|strike| &mut strike.keys) {
            *velocity = VELOCITY - TOUCH + chance.below(2 * usize::from(TOUCH) + 1) as u8;
        }
        self.rove = chance.below(2 * ROVE as usize + 1) as i8 - ROVE;
    }
}

/// A progression voiced in a form, led as smoothly as it goes.
fn line(progression: &Progression, form: &Form, root: u8) -> Vec<(Time, Vec<u8>)> {
    let placed = progression.in_key(progression.tonic(root));
    let voicings = super::item::voiced(form, &placed, 0, SPAN);
    let chords: Vec<_> = placed
        .iter()
        .zip(&voicings)
        .map(|(placed, voicing)| (placed.chord.root.class(), voicing))
        .collect();
    let count = chords.len();
    let led = leading::line(&chords).unwrap_or_default();
    let all = || led.iter().flatten().map(|key| key.number());
    // An octave up where it fits so: forms over a left-hand root lie low.
    let is_low = all().min().is_some_and(|lowest| lowest < LOWEST);
    let fits = all().max().is_some_and(|highest| highest + 12 <= HIGHEST);
    let up = if is_low && fits { 12 } else { 0 };

    led.into_iter()
        .enumerate()
        .map(|(place, keys)| {
            let held = if place + 1 == count { HELD } else { SHORT };
            (
                held,
                keys.into_iter().map(|key| key.number() + up).collect(),
            )
        })
        .collect()
}

/// Tells whether a form can be led through a progression on every root, within what can be heard
/// clearly.
pub(super) fn can_be_led(progression: &Progression, form: &Form) -> bool {
    (0..12).all(|root| {
        let chords = line(progression, form, root);
        !chords.is_empty()
            && chords
                .iter()
                .flat_map(|(_, keys)| keys)
                .all(|key| (LEFT..=HIGHEST).contains(key))
    })
}

/// Returns the first key of a pitch class from a key upwards.
const fn from(lowest: u8, class: u8) -> u8 {
    lowest + (class + 120 - lowest) % 12
}

/// Lists the chord tones that may come out on top: seventh, third and fifth, as far as the chord
/// has them and they do not lie in the bass.
fn tops(quality: Quality, bass: u8) -> impl Iterator<Item = u8> {
    [7, 3, 5]
        .into_iter()
        .filter(move |number| quality.own(*number).is_some() && *number != bass)
}

/// Returns the number of the chord tone on top: as the script says, or the variant's.
pub(super) fn top(quality: Quality, bass: u8, asked: Option<u8>, variant: u8) -> Option<u8> {
    let count = tops(quality, bass).count().max(1);

    asked
        .filter(|asked| tops(quality, bass).any(|top| top == *asked))
        .or_else(|| tops(quality, bass).nth(usize::from(variant) % count))
}

/// Returns how many variants a stimulus has on one root.
pub(super) fn variants(stimulus: &Stimulus) -> u8 {
    let count = match stimulus {
        Stimulus::Chord {
            quality,
            top: None,
            bass,
            ..
        } => tops(*quality, *bass).count(),
        Stimulus::WrongVoice { quality, voice } => wrong_steps(*quality, *voice).count(),
        _ => 1,
    };

    count.max(1) as u8
}

/// Returns how far above its root the last chord of a stimulus stands, in semitones from 0 to 11.
pub(super) fn ends(stimulus: &Stimulus) -> u8 {
    match stimulus {
        Stimulus::RootMotion { up, .. } => up % 12,
        Stimulus::Progression { progression } | Stimulus::Line { progression, .. }
            if !progression.is_fixed() =>
        {
            progression
                .in_key(progression.tonic(0))
                .last()
                .map_or(0, |placed| placed.chord.root.class())
        }
        _ => 0,
    }
}

/// Lists the degrees that sound: the chord's own, and for an altered dominant, which leaves them
/// open, a flat ninth and a flat thirteenth.
fn degrees(quality: Quality) -> impl Iterator<Item = Degree> {
    let altered = [Degree::FlatNinth, Degree::FlatThirteenth];

    quality.degrees().chain(
        altered
            .into_iter()
            .filter(move |degree| quality.is_altered() && !quality.has(*degree)),
    )
}

/// Returns what sounds of a quality over C, as a set of twelve bits.
pub(super) fn classes(quality: Quality) -> u16 {
    degrees(quality).fold(0, |set, degree| set | 1 << degree.class())
}

/// Lists the ways in which a voice may be wrong, in semitones: none that doubles another voice,
/// and none that makes the printed chord again on another root.
fn wrong_steps(quality: Quality, voice: u8) -> impl Iterator<Item = i8> {
    let whole = classes(quality);
    let right = quality.own(voice).map(|degree| degree.class());

    [-1i8, 1].into_iter().filter(move |step| {
        right.is_some_and(|right| {
            let moved = (right as i8 + 12 + step) as u16 % 12;
            let wrong = whole & !(1 << right) | 1 << moved;
            let same = (0..12).any(|up| (wrong << up | wrong >> (12 - up)) & 0xfff == whole);
            whole & 1 << moved == 0 && !same
        })
    })
}

/// Tells whether a voice can be wrong by a semitone so that it is heard as wrong.
pub(super) fn can_be_wrong(quality: Quality, voice: u8) -> bool {
    wrong_steps(quality, voice).next().is_some()
}

/// The chord as two hands play it, one voice a semitone off.
fn wrong_voice(quality: Quality, root: u8, voice: u8, variant: u8) -> Vec<u8> {
    let top = self::top(quality, 1, None, 0);
    let mut keys = layout::chord(quality, root, Spacing::TwoHand, top, 1);
    let count = wrong_steps(quality, voice).count().max(1);
    let step = wrong_steps(quality, voice)
        .nth(usize::from(variant) % count)
        .unwrap_or(-1);

    if let Some(degree) = quality.own(voice) {
        let class = degree.class_over(root);
        if let Some(key) = keys.iter_mut().find(|key| **key % 12 == class) {
            *key = key.saturating_add_signed(step);
        }
    }

    keys
}

/// Returns keys as the theory knows them.
fn keys(numbers: &[u8]) -> Vec<Key> {
    numbers
        .iter()
        .filter_map(|number| Key::new(i64::from(*number)).ok())
        .collect()
}
