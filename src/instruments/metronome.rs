//! Count-in and metronome as one rendered clip, each beat on its very frame.

#![deny(clippy::disallowed_methods)]

mod click;

#[cfg(test)]
mod tests;

use super::speaker::{self, Clip, RATE};
use crate::time::Time;

/// The beats of one in-tempo item, the count-in first.
///
/// Time counts from the first click, after the time to look; beats divide time exactly as the
/// exam's own timing does, and are rounded once each, so that no error adds up.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Metronome {
    tempo: u32,
    factor: u32,
    bar: u32,
    bars_in: u32,
    beats_on: u32,
}

/// What is asked of a metronome.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Plan {
    /// Beats a minute in hundredths, 2,000–40,000.
    pub tempo: u32,
    /// The time factor in hundredths, 100–1,000: it lengthens each beat.
    pub factor: u32,
    /// Beats in a bar, 1–16.
    pub bar: u32,
    /// Bars counted in, 0–8.
    pub bars_in: u32,
    /// Beats that click on after the count-in, 0–4,096; 0 leaves the player alone.
    pub beats_on: u32,
}

/// Why there is no such metronome.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum Error {
    /// A number is out of range.
    #[error("expected {what} from {least} to {most}, found {found}")]
    Range {
        /// What the number is.
        what: &'static str,
        /// The least allowed.
        least: u32,
        /// The most allowed.
        most: u32,
        /// What was given.
        found: u32,
    },
}

impl Metronome {
    /// Makes a metronome.
    ///
    /// # Errors
    ///
    /// When a number is outside the range that [`Plan`] states.
    pub fn new(plan: Plan) -> Result<Self, Error> {
        let within = |what, found, least, most| {
            if (least..=most).contains(&found) {
                Ok(found)
            } else {
                Err(Error::Range {
                    what,
                    least,
                    most,
                    found,
                })
            }
        };

        Ok(Self {
            tempo: within(
                "a tempo in hundredths of a beat a minute",
                plan.tempo,
                2_000,
                40_000,
            )?,
            factor: within("a time factor in hundredths", plan.factor, 100, 1_000)?,
            bar: within("beats in a bar", plan.bar, 1, 16)?,
            bars_in: within("bars counted in", plan.bars_in, 0, 8)?,
            beats_on: within("beats after the count-in", plan.beats_on, 0, 4_096)?,
        })
    }

    /// How many beats click, the count-in included.
    pub const fn clicks(&self) -> u32 {
        self.bar * self.bars_in + self.beats_on
    }

    /// When a beat falls, counted from 0 at the first click, to the nearest tenth of a
    /// millisecond; beats beyond the clicks have their time too.
    pub const fn at(&self, beat: u32) -> Time {
        Time::from_tenths(self.rounded(beat, 600_000))
    }

    /// The very frame on which a beat's click begins.
    pub const fn frame(&self, beat: u32) -> usize {
        self.rounded(beat, RATE as i64 * 60) as usize
    }

    /// When the count-in is over and the first beat of the run falls.
    pub const fn run_starts(&self) -> Time {
        self.at(self.bar * self.bars_in)
    }

    /// Renders all clicks after a silence to look, to the nearest frame.
    pub fn clip_after(&self, look: Time) -> Clip {
        let silence = speaker::frames(look);
        let clicks = self.clip();

        Clip::new([&vec![[0.0; 2]; silence], &clicks.frames[..]].concat())
    }

    /// Renders all clicks; the first begins at frame 0 and the clip ends when the last has died
    /// away.
    pub fn clip(&self) -> Clip {
        let (accent, plain) = (click::accent(), click::plain());
        let mut frames = Vec::new();

        for beat in 0..self.clicks() {
            let click = if beat % self.bar == 0 {
                &accent
            } else {
                &plain
            };
            frames.resize(self.frame(beat), [0.0; 2]);
            frames.extend(click.iter().map(|&sample| [sample; 2]));
        }

        Clip::new(frames)
    }

    /// A beat's place where a minute has so many parts, rounded to the nearest.
    const fn rounded(&self, beat: u32, minute: i64) -> i64 {
        let numerator = beat as i64 * minute * self.factor as i64;
        let denominator = self.tempo as i64;

        (numerator + denominator / 2) / denominator
    }
}
