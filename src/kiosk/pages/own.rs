//! Practice: what was asked and what was done, as sounds.

use crate::exam::form::{EarTask, RunTask, SpellTask, Task};
use crate::exam::item::sounded_as;
use crate::exam::sound;
use crate::instruments::piano::Note;
use crate::marking::Event;
use crate::marking::event::Action;
use crate::marking::item::Marked;
use crate::room;
use crate::sitting::Sitting;
use crate::sitting::review::Review;
use crate::theory::pitch::{Pitch, stacked};
use crate::theory::voicing::shell;
use crate::theory::{Chord, Key, Name, leading};
use crate::time::Time;

/// Notes, and how long they sound until the last has died away.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Sounded {
    /// The notes.
    pub(crate) notes: Vec<Note>,
    /// How long.
    pub(crate) length: Time,
}

/// How long a chord is held, how long a note of an arpeggio, and the release of both.
const HELD: Time = Time::from_ms(2_000);
const SHORT: Time = Time::from_ms(500);
const RELEASE: Time = Time::from_ms(500);
/// A chord of a run in one's own time.
const CHORD: Time = Time::from_ms(1_500);
/// A key that came up at once still sounds so long.
const LEAST: Time = Time::from_ms(20);
const VELOCITY: u8 = 80;

/// Returns what was asked.
pub(crate) fn asked(review: &Review<'_>) -> Option<Sounded> {
    match &review.item.task {
        Task::Voicing(task) => {
            let mut keys = task.voicing.realise(task.chord.root.class())?;
            keys.extend(bass(task.with_bass, task.chord));
            Some(chords(&[(Time::ZERO, HELD, keys)]))
        }
        Task::Run(task) => Some(run(task)),
        Task::Ear(task) => Some(Sounded {
            notes: room::notes(&task.sound),
            length: task.sound.length,
        }),
        Task::Spell(task) => Some(arpeggio(&stacked(strict(task)))),
        Task::Panel(_) => None,
    }
}

/// Returns what was played as it was played, or what was answered; nothing where nothing was.
pub(crate) fn own(sitting: &Sitting, review: &Review<'_>) -> Option<Sounded> {
    match &review.item.task {
        task if task.for_hands() => played(review.events),
        Task::Voicing(_) | Task::Run(_) => None,
        Task::Ear(_) => {
            let Marked::Ear(marked) = &review.marked else {
                return None;
            };
            let sound = sounded_as(sitting.exam(), review.item, &marked.answered)?;
            Some(Sounded {
                notes: room::notes(&sound),
                length: sound.length,
            })
        }
        Task::Spell(task) => {
            let pitches = stacked(written(task, &review.marked));
            (!pitches.is_empty()).then(|| arpeggio(&pitches))
        }
        Task::Panel(_) => None,
    }
}

/// The right option of each part.
pub(super) fn right(task: &EarTask) -> Vec<Option<usize>> {
    task.right.iter().map(|place| Some(*place)).collect()
}

/// The names asked, strictly spelled.
pub(super) fn strict(task: &SpellTask) -> impl Iterator<Item = Name> + '_ {
    task.tones
        .iter()
        .filter_map(|(_, names)| names.first().copied())
}

/// The names written.
pub(super) fn written(task: &SpellTask, marked: &Marked) -> Vec<Name> {
    let text = match marked {
        Marked::Spell(marked) => marked.text.as_deref().unwrap_or_default(),
        _ => "",
    };

    text.split_whitespace()
        .filter_map(|name| Name::parse(name).ok())
        .take(task.tones.len())
        .collect()
}

/// One way to play a run as asked, chord by chord.
pub(super) fn line(task: &RunTask) -> Vec<Vec<Key>> {
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

    led.unwrap_or_else(|| {
        task.chords
            .iter()
            .map(|placed| shell(placed.chord))
            .collect()
    })
}

/// The key of the bass that sounds under a chord, where one does.
fn bass(with_bass: bool, chord: Chord) -> Option<Key> {
    with_bass
        .then(|| Key::new(i64::from(sound::bass_key(chord))).ok())
        .flatten()
}

fn run(task: &RunTask) -> Sounded {
    let timing = task.timing(100);
    let first = timing.beats.first().copied().unwrap_or_default();
    let laid: Vec<_> = line(task)
        .into_iter()
        .enumerate()
        .map(|(index, mut keys)| {
            let placed = task.chords.get(index);
            keys.extend(placed.and_then(|placed| bass(task.with_bass, placed.chord)));
            let at = timing
                .beats
                .get(index)
                .map_or_else(|| CHORD.scaled(index as i64, 1), |beat| *beat - first);
            let held = match (timing.beats.first(), task.chords.get(index)) {
                (Some(_), Some(placed)) => timing.beat.scaled(i64::from(placed.twelfths), 3),
                _ => CHORD,
            };
            (at, held, keys)
        })
        .collect();

    chords(&laid)
}

fn chords(laid: &[(Time, Time, Vec<Key>)]) -> Sounded {
    let notes: Vec<Note> = laid
        .iter()
        .flat_map(|(at, held, keys)| {
            keys.iter().map(|key| Note {
                at: *at,
                held: *held,
                key: *key,
                velocity: VELOCITY,
            })
        })
        .collect();

    until_silent(notes)
}

fn arpeggio(pitches: &[Pitch]) -> Sounded {
    let mut laid: Vec<(Time, Time, Vec<Key>)> = pitches
        .iter()
        .enumerate()
        .map(|(place, pitch)| (SHORT.scaled(place as i64, 1), SHORT, vec![pitch.key]))
        .collect();
    let together = pitches.iter().map(|pitch| pitch.key).collect();
    laid.push((SHORT.scaled(pitches.len() as i64, 1), HELD, together));

    chords(&laid)
}

/// What was struck, from the first note on, at its own times and velocities; what the pedal holds
/// sounds on, and a key that was never released sounds for a while.
fn played(events: &[Event]) -> Option<Sounded> {
    let mut notes: Vec<Note> = Vec::new();
    // The notes that the pedal alone holds.
    let mut held: Vec<usize> = Vec::new();
    let mut is_down = false;
    let start = events
        .iter()
        .find(|event| matches!(event.action, Action::Down(..)))?
        .at;

    for event in events {
        let at = event.at - start;
        match event.action {
            Action::Down(key, velocity) if velocity > 0 => {
                // A key struck again ends what it sounded before.
                let before = sounding(&notes, key);
                end(&mut notes, before, at);
                held.retain(|place| notes[*place].key != key);
                notes.push(Note {
                    at,
                    held: Time::ZERO,
                    key,
                    velocity,
                });
            }
            Action::Up(key) | Action::Down(key, _) => match sounding(&notes, key) {
                Some(place) if is_down => held.push(place),
                place => end(&mut notes, place, at),
            },
            // Down from 64 (MIDI 1.0, controller 64).
            Action::Pedal(depth) => {
                is_down = depth >= 64;
                if !is_down {
                    for place in held.drain(..) {
                        end(&mut notes, Some(place), at);
                    }
                }
            }
            Action::Answer(_) | Action::Hear | Action::HandIn => {}
        }
    }

    for note in notes.iter_mut().filter(|note| note.held == Time::ZERO) {
        note.held = HELD;
    }
    (!notes.is_empty()).then(|| until_silent(notes))
}

/// The last note of a key, if it sounds still.
fn sounding(notes: &[Note], key: Key) -> Option<usize> {
    let place = notes.iter().rposition(|note| note.key == key)?;

    (notes[place].held == Time::ZERO).then_some(place)
}

fn end(notes: &mut [Note], place: Option<usize>, at: Time) {
    if let Some(note) = place.and_then(|place| notes.get_mut(place)) {
        note.held = (at - note.at).max(LEAST);
    }
}

fn until_silent(notes: Vec<Note>) -> Sounded {
    let length = notes
        .iter()
        .map(|note| note.at + note.held)
        .max()
        .unwrap_or_default()
        + RELEASE;

    Sounded { notes, length }
}
