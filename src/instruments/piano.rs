//! The piano: a SoundFont rendered offline, at equal level and without a click, or played live.

#![deny(clippy::disallowed_methods)]

mod guard;
mod live;

#[cfg(test)]
mod tests;

use std::fmt;
use std::io::ErrorKind;
use std::sync::Arc;

use rustysynth::{SoundFont, SoundFontError, Synthesizer, SynthesizerSettings};
use thiserror::Error;

use self::guard::guarded;
use super::speaker::{CEILING, Clip, RATE};
use crate::theory::Key;
use crate::time::Time;

pub use live::Live;

/// The root mean square that every clip is brought to before roving, in dB below full scale: so low
/// that the sharpest attack, roved up by 3 dB, stays below the ceiling and need not be made softer.
pub const LEVEL_DB: f32 = -27.0;
/// The fade at either end of a clip.
pub const FADE: Time = Time::from_ms(10);
/// How long a key is tried.
const PROBE: Time = Time::from_ms(100);

/// The bundled piano; see `assets/ORIGINS.md`.
const BUNDLED: &[u8] = include_bytes!("../../assets/piano.sf2");

/// Why a SoundFont cannot be used.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum Error {
    /// Not a SoundFont 2, or a damaged one.
    #[error("expected a SoundFont 2: {0}")]
    Font(String),
    /// It has no instrument that sounds.
    #[error("the SoundFont sounds nothing on middle C with its first preset; name another file")]
    Silent,
}

/// A note to be played.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Note {
    /// When it is struck, from the start of the clip.
    pub at: Time,
    /// How long it is held.
    pub held: Time,
    /// The key.
    pub key: Key,
    /// The velocity, 1 to 127.
    pub velocity: u8,
}

/// A piano, ready to be rendered or played; cheap to clone.
#[derive(Clone)]
pub struct Piano {
    font: Arc<SoundFont>,
}

impl Piano {
    /// Loads the bundled piano.
    ///
    /// # Errors
    /// None in a program that was built whole; a test loads it.
    pub fn bundled() -> Result<Self, Error> {
        Self::load(BUNDLED)
    }

    /// Loads a SoundFont 2.
    ///
    /// # Errors
    /// Refuses what is none, and one whose first preset is silent.
    pub fn load(mut bytes: &[u8]) -> Result<Self, Error> {
        let font =
            guarded(|| SoundFont::new(&mut bytes).map_err(|error| Error::Font(words(&error))))?;
        let piano = Self {
            font: Arc::new(font),
        };
        if !piano.sounds(Key::MIDDLE_C)? {
            return Err(Error::Silent);
        }

        Ok(piano)
    }

    /// Tells whether a key sounds; not every SoundFont has samples for all 88.
    ///
    /// # Errors
    /// Where the SoundFont turns out to be damaged there.
    pub fn sounds(&self, key: Key) -> Result<bool, Error> {
        let note = Note {
            at: Time::ZERO,
            held: PROBE,
            key,
            velocity: 80,
        };
        let frames = self.sound(&[note], PROBE)?;

        Ok(frames.iter().flatten().any(|sample| sample.abs() >= 1e-5))
    }

    /// Renders notes into a clip of a length: equal level, then roved, faded at both ends, with
    /// no sample above [`CEILING`]. The same notes give the same frames.
    ///
    /// `rove_db` is added to the level; a few decibels up or down keep loudness from being a cue.
    ///
    /// # Errors
    /// Where the SoundFont turns out to be damaged at one of the notes.
    pub fn render(&self, notes: &[Note], length: Time, rove_db: f32) -> Result<Clip, Error> {
        let held = notes.iter().map(|note| note.at + note.held).max();

        self.render_by(notes, length, held.unwrap_or(length), LEVEL_DB + rove_db)
    }

    /// Renders notes as [`Self::render`] does, at a level that the start of the clip has, up to a
    /// moment: one long note is then as loud as it begins, not as what is left of it.
    ///
    /// # Errors
    /// Where the SoundFont turns out to be damaged at one of the notes.
    pub fn render_by(
        &self,
        notes: &[Note],
        length: Time,
        until: Time,
        level: f32,
    ) -> Result<Clip, Error> {
        let mut frames = self.sound(notes, length)?;
        let until = frame(until.min(length)).min(frames.len());
        let found = level_db(&frames[..until]);

        if found.is_finite() {
            amplify(&mut frames, level - found);
        }
        fade(&mut frames);

        Ok(Clip::new(frames).below(CEILING))
    }

    /// Makes a piano to be played live, as loud as rendered clips are.
    ///
    /// # Errors
    /// Where the SoundFont turns out to be damaged.
    pub fn live(&self) -> Result<Live, Error> {
        Live::new(self)
    }

    fn synthesizer(&self) -> Result<Synthesizer, Error> {
        let mut settings = SynthesizerSettings::new(RATE as i32);
        settings.enable_reverb_and_chorus = false;

        Synthesizer::new(&self.font, &settings).map_err(|error| Error::Font(error.to_string()))
    }

    fn sound(&self, notes: &[Note], length: Time) -> Result<Vec<[f32; 2]>, Error> {
        guarded(|| self.unguarded(notes, length))
    }

    fn unguarded(&self, notes: &[Note], length: Time) -> Result<Vec<[f32; 2]>, Error> {
        let mut synthesizer = self.synthesizer()?;
        let mut changes: Vec<(usize, bool, u8, u8)> = notes
            .iter()
            .flat_map(|note| {
                let key = note.key.number();
                [
                    (frame(note.at), true, key, note.velocity),
                    (frame(note.at + note.held), false, key, 0),
                ]
            })
            .collect();
        // Keys go up before they go down again.
        changes.sort_by_key(|(at, down, key, _)| (*at, *down, *key));

        let total = frame(length);
        let mut left = vec![0.0; total];
        let mut right = vec![0.0; total];
        let mut done = 0;

        for (at, down, key, velocity) in changes {
            let at = at.min(total);
            synthesizer.render(&mut left[done..at], &mut right[done..at]);
            done = at;
            if down {
                synthesizer.note_on(0, i32::from(key), i32::from(velocity));
            } else {
                synthesizer.note_off(0, i32::from(key));
            }
        }
        synthesizer.render(&mut left[done..], &mut right[done..]);

        Ok(left.into_iter().zip(right).map(|(l, r)| [l, r]).collect())
    }
}

/// Names the SoundFont: its samples would fill a book.
impl fmt::Debug for Piano {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_tuple("Piano")
            .field(&self.font.get_info().get_bank_name())
            .finish()
    }
}

/// Says what is wrong with a SoundFont.
fn words(error: &SoundFontError) -> String {
    match error {
        SoundFontError::IoError(io) if io.kind() == ErrorKind::UnexpectedEof => {
            "it ends in the middle; copy it anew".to_owned()
        }
        other => other.to_string(),
    }
}

fn frame(time: Time) -> usize {
    let frames = time.scaled(i64::from(RATE), 10_000).tenths();

    usize::try_from(frames).unwrap_or(0)
}

/// Returns the root mean square of both channels, in dB below full scale.
pub fn level_db(frames: &[[f32; 2]]) -> f32 {
    let squares: f64 = frames
        .iter()
        .flatten()
        .map(|sample| f64::from(*sample).powi(2))
        .sum();
    let mean = squares / (2 * frames.len().max(1)) as f64;

    (10.0 * mean.log10()) as f32
}

fn factor(db: f32) -> f32 {
    10f32.powf(db / 20.0)
}

fn amplify(frames: &mut [[f32; 2]], db: f32) {
    let gain = factor(db);

    for sample in frames.iter_mut().flatten() {
        *sample *= gain;
    }
}

fn fade(frames: &mut [[f32; 2]]) {
    let length = frame(FADE).min(frames.len() / 2);
    let gain = |i: usize| i as f32 / length as f32;

    for (i, sample) in frames.iter_mut().take(length).enumerate() {
        *sample = sample.map(|value| value * gain(i));
    }
    for (i, sample) in frames.iter_mut().rev().take(length).enumerate() {
        *sample = sample.map(|value| value * gain(i));
    }
}
