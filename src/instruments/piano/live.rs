//! The piano played live: touches in, frames out, nothing allocated on the way.

use rustysynth::Synthesizer;

use super::guard::guarded;
use super::{Error, LEVEL_DB, Note, Piano, factor, level_db};
use crate::instruments::keyboard::Touch;
use crate::instruments::speaker::RATE;
use crate::theory::Key;
use crate::time::Time;

#[cfg(test)]
mod tests;

/// Frames that the synthesiser makes at a time; a touch takes effect at the next of them.
const BLOCK: usize = 64;
/// After so many silent blocks, a quarter of a second, nothing sounds any more: a sample may begin
/// with a little silence.
const QUIET: usize = RATE as usize / 4 / BLOCK;
/// The chord that the loudness of playing is set by: C3, E4, B♭4 and D5, held for two seconds at
/// the velocity of ear items, as loud as the clip of an ear item.
const USUAL: [i64; 4] = [48, 64, 70, 74];
const VELOCITY: u8 = 80;
const HELD: Time = Time::from_ms(2000);
/// The sustaining pedal's controller number.
const SUSTAIN: i32 = 64;

/// A piano that sounds what is touched, from now on.
///
/// At most 64 samples sound at once, 32 keys of a stereo SoundFont; beyond them the softest ends. A
/// damaged SoundFont is silent for good from the key on where the damage shows.
pub struct Live {
    /// Gone once it has shown damage.
    synthesizer: Option<Synthesizer>,
    gain: f32,
    left: [f32; BLOCK],
    right: [f32; BLOCK],
    at: usize,
    /// Silent blocks since the last touch or sound.
    silent: usize,
}

impl Live {
    pub(super) fn new(piano: &Piano) -> Result<Self, Error> {
        let usual: Vec<Note> = USUAL
            .iter()
            .filter_map(|key| Key::new(*key).ok())
            .map(|key| Note {
                at: Time::ZERO,
                held: HELD,
                key,
                velocity: VELOCITY,
            })
            .collect();
        let level = level_db(&piano.sound(&usual, HELD)?);

        Ok(Self {
            synthesizer: Some(guarded(|| piano.synthesizer())?),
            // A SoundFont may be silent on these keys and no other.
            gain: if level.is_finite() {
                factor(LEVEL_DB - level)
            } else {
                1.0
            },
            left: [0.0; BLOCK],
            right: [0.0; BLOCK],
            at: BLOCK,
            silent: QUIET,
        })
    }

    /// Takes a touch; it is heard within 64 frames of those asked for next.
    pub fn touch(&mut self, touch: Touch) {
        if matches!(touch, Touch::Down { .. }) {
            self.silent = 0;
        }
        self.guarded(|synthesizer| match touch {
            Touch::Down { key, velocity } => {
                let key = i32::from(key.number());
                // Of a key struck again the old string stops.
                synthesizer.note_off(0, key);
                synthesizer.note_on(0, key, i32::from(velocity));
            }
            Touch::Up { key } => synthesizer.note_off(0, i32::from(key.number())),
            Touch::Pedal(value) => {
                synthesizer.process_midi_message(0, 0xB0, SUSTAIN, i32::from(value.min(127)));
            }
        });
    }

    /// Lets the synthesiser do something; one that panics is not asked again.
    fn guarded(&mut self, call: impl FnOnce(&mut Synthesizer)) {
        if let Some(mut synthesizer) = self.synthesizer.take() {
            self.synthesizer = guarded(move || {
                call(&mut synthesizer);
                Ok(synthesizer)
            })
            .ok();
        }
    }

    /// Ends all that sounds at once, with the pedal up.
    pub fn reset(&mut self) {
        self.guarded(Synthesizer::reset);
        self.at = BLOCK;
        self.silent = QUIET;
    }

    /// Returns the next frame, or `None` while nothing sounds.
    pub fn frame(&mut self) -> Option<[f32; 2]> {
        if self.at == BLOCK {
            if self.silent >= QUIET {
                return None;
            }
            let mut block = [[0.0; BLOCK]; 2];
            let [left, right] = &mut block;
            self.guarded(|synthesizer| synthesizer.render(left, right));
            [self.left, self.right] = block;
            self.at = 0;
            self.silent = if self.left == [0.0; BLOCK] && self.right == [0.0; BLOCK] {
                self.silent + 1
            } else {
                0
            };
        }
        let frame = [self.left[self.at], self.right[self.at]];
        self.at += 1;

        Some(frame.map(|sample| sample * self.gain))
    }
}
