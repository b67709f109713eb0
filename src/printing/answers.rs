//! The answers of a form as notes: what the hands are asked to play, what is sounded, what is
//! spelled.

#[cfg(test)]
mod tests;

use crate::engraving::grand::Hands;
use crate::exam::form::{EarTask, Item, RunTask, SpellTask, VoicingTask};
use crate::exam::script::{Exam, Kind, Stimulus};
use crate::theory::interval::Interval;
use crate::theory::pitch::{Pitch, stacked};
use crate::theory::progression::{Placed, Progression};
use crate::theory::voicing::{shell, spelled};
use crate::theory::{Chord, Degree, Key, Name, Quality, leading};

/// One way to play a voicing as asked: the one that shows it at its best.
pub fn voicing(task: &VoicingTask) -> Hands {
    let keys = task
        .voicing
        .realise(task.chord.root.class())
        .unwrap_or_default();

    split(task.chord, &keys, task.voicing.hands.left.len())
}

/// One way to play a run as asked, chord by chord, led as smoothly as it goes.
pub fn run(task: &RunTask) -> Vec<Hands> {
    let line = task.lines.first();
    let led = line.and_then(|line| {
        let chords: Vec<_> = task
            .chords
            .iter()
            .zip(line)
            .map(|(placed, voicing)| (placed.chord.root.class(), voicing))
            .collect();
        leading::line(&chords)
    });

    task.chords
        .iter()
        .enumerate()
        .map(|(place, placed)| {
            let voicing = line.and_then(|line| line.get(place));
            let keys = led.as_ref().and_then(|led| led.get(place));
            match (voicing, keys) {
                (Some(voicing), Some(keys)) => split(placed.chord, keys, voicing.hands.left.len()),
                // Any voicing will do: the root left, the guide tones right.
                _ => split(placed.chord, &shell(placed.chord), 1),
            }
        })
        .collect()
}

/// The chords of a run at their places.
pub fn placed(task: &RunTask) -> Vec<Placed> {
    task.chords
        .iter()
        .map(|chord| Placed {
            chord: chord.chord,
            bar: (chord.at_twelfths / 12) as usize,
            at_twelfths: chord.at_twelfths,
            twelfths: chord.twelfths,
        })
        .collect()
}

/// How many bars a run has.
pub fn bars(task: &RunTask) -> usize {
    task.chords.last().map_or(1, |last| {
        (last.at_twelfths + last.twelfths).div_ceil(12) as usize
    })
}

fn split(chord: Chord, keys: &[Key], left: usize) -> Hands {
    let pitches = spelled(chord, keys);
    let (low, high) = pitches.split_at(left.min(pitches.len()));

    Hands::new(low, high)
}

/// What is struck together in an ear item.
#[derive(Debug, Clone, PartialEq)]
pub struct Strike {
    /// The chord, where it is one.
    pub chord: Option<Chord>,
    /// The notes from low to high.
    pub pitches: Vec<Pitch>,
}

/// What an ear item sounds, spelled, one strike after the other.
pub fn sounded(exam: &Exam, item: &Item, task: &EarTask) -> Vec<Strike> {
    let stimulus = match exam.sections.get(item.section).map(|of| &of.kind) {
        Some(Kind::Ear(of)) => of.cells.get(item.cell).map(|cell| &cell.stimulus),
        _ => None,
    };
    let strikes = task.sound.strikes.len();
    let chords = stimulus.map_or_else(Vec::new, |stimulus| chords(stimulus, task.root, strikes));

    task.sound
        .strikes
        .iter()
        .enumerate()
        .map(|(place, strike)| {
            let keys: Vec<Key> = strike
                .keys
                .iter()
                .filter_map(|(key, _)| Key::new(i64::from(*key)).ok())
                .collect();
            let chord = chords.get(place).copied().flatten();
            let alone = keys.len() < 2;
            let pitches = match (chord, stimulus) {
                _ if task.is_played() => keys
                    .iter()
                    .zip(task.names.get(place).into_iter().flatten())
                    .filter_map(|(key, name)| Pitch::new(*name, *key))
                    .collect(),
                (Some(chord), _) => spelled(chord, &keys),
                (None, Some(Stimulus::Interval { semitones, .. })) => {
                    interval(task.root, *semitones, &keys)
                }
                _ => keys.iter().filter_map(|key| plain(*key)).collect(),
            };
            Strike {
                chord: chord.filter(|_| !alone),
                pitches,
            }
        })
        .collect()
}

fn plain(key: Key) -> Option<Pitch> {
    Pitch::new(Name::plain(key.class()), key)
}

/// The chord of each strike; a strike of a chord's root alone has that chord.
fn chords(stimulus: &Stimulus, root: u8, strikes: usize) -> Vec<Option<Chord>> {
    let on = |quality: Quality, root: u8| Chord::new(quality.printed_root(root % 12), quality);

    match stimulus {
        Stimulus::Chord { quality, .. } | Stimulus::WrongVoice { quality, .. } => {
            vec![Some(on(*quality, root)); strikes]
        }
        Stimulus::Interval { .. } | Stimulus::Motive { .. } => Vec::new(),
        Stimulus::Line { progression, .. } => progression
            .in_key(progression.tonic(root))
            .iter()
            .map(|placed| Some(placed.chord))
            .collect(),
        Stimulus::Tension { tension } => {
            let mut degrees: Vec<Degree> = Quality::DOMINANT.degrees().collect();
            degrees.push(*tension);
            vec![
                Some(on(Quality::DOMINANT, root)),
                Some(on(Quality::of(&degrees), root)),
            ]
        }
        Stimulus::RootMotion { quality, up } => {
            vec![Some(on(*quality, root)), Some(on(*quality, root + up))]
        }
        Stimulus::Progression { progression } => {
            let placed = progression.in_key(progression.tonic(root));
            std::iter::once(Some(home(progression, &placed, root)))
                .chain(placed.iter().map(|placed| Some(placed.chord)))
                .collect()
        }
    }
}

/// The tonic that is sounded before a progression.
fn home(progression: &Progression, placed: &[Placed], root: u8) -> Chord {
    let last = placed.last().map(|placed| placed.chord);
    let (tonic, is_minor) = match last {
        Some(last) if progression.is_fixed() => {
            (last.root, last.quality.third() == Some(Degree::FlatThird))
        }
        _ => (progression.tonic(root), progression.is_minor()),
    };

    Chord::new(
        tonic,
        if is_minor {
            Quality::MINOR
        } else {
            Quality::MAJOR
        },
    )
}

/// Spells the notes of an interval over its lower one.
fn interval(root: u8, semitones: u8, keys: &[Key]) -> Vec<Pitch> {
    // The number of each interval; the tritone is written as a diminished fifth.
    const NUMBERS: [u8; 12] = [2, 2, 3, 3, 4, 5, 5, 6, 6, 7, 7, 8];
    let low = Name::plain(root);
    let number = Interval::new(semitones).and(NUMBERS.get(usize::from(semitones) - 1));
    let high = number
        .and_then(|number| low.up(*number, i32::from(semitones)))
        .map_or_else(|| Name::plain(root + semitones), Name::in_print);

    keys.iter()
        .filter_map(|key| {
            Pitch::new(low, *key)
                .or_else(|| Pitch::new(high, *key))
                .or_else(|| plain(*key))
        })
        .collect()
}

/// The tones of a chord from the root up, strictly spelled, from the octave of middle C.
pub fn tones(task: &SpellTask) -> Vec<Pitch> {
    stacked(
        task.tones
            .iter()
            .filter_map(|(_, names)| names.first().copied()),
    )
}
