//! Rendered sound.

use std::sync::Arc;

use crate::time::Time;

/// Frames a second, everywhere in the program; a device of another rate is converted for.
pub const RATE: u32 = 48_000;

/// The highest peak a clip may have, −1 dBFS as an amplitude: there the limiter begins.
pub const CEILING: f32 = 0.891_250_9;

/// Rendered sound, left and right; cheap to clone.
#[derive(Debug, Clone, PartialEq)]
pub struct Clip {
    /// The frames at [`RATE`], each sample finite and at most [`CEILING`] from zero.
    pub frames: Arc<[[f32; 2]]>,
}

impl Clip {
    /// Makes a clip.
    pub fn new(frames: Vec<[f32; 2]>) -> Self {
        Self {
            frames: frames.into(),
        }
    }

    /// How long it sounds, to the nearest tenth of a millisecond.
    pub fn length(&self) -> Time {
        time(self.frames.len())
    }

    /// The largest sample's distance from zero.
    pub fn peak(&self) -> f32 {
        self.frames
            .iter()
            .flatten()
            .fold(0.0, |peak, sample| sample.abs().max(peak))
    }

    /// Mixes another in from a frame on; the whole is as long as both need, and no louder than
    /// [`CEILING`].
    #[must_use]
    pub fn mixed(&self, other: &Self, from: usize) -> Self {
        let length = self.frames.len().max(from + other.frames.len());
        let mut frames = self.frames.to_vec();

        frames.resize(length, [0.0; 2]);
        for (frame, added) in frames[from..].iter_mut().zip(other.frames.iter()) {
            frame[0] += added[0];
            frame[1] += added[1];
        }

        Self::new(frames).below(CEILING)
    }

    /// Makes the whole softer if a sample lies further than so from zero, so that none does.
    #[must_use]
    pub fn below(self, ceiling: f32) -> Self {
        let peak = self.peak();
        if peak <= ceiling {
            return self;
        }
        let gain = ceiling / peak;

        // The product may round to just above the ceiling.
        Self {
            frames: self
                .frames
                .iter()
                .map(|frame| frame.map(|sample| (sample * gain).clamp(-ceiling, ceiling)))
                .collect(),
        }
    }
}

/// Frames as time, rounded to the nearest tenth of a millisecond.
fn time(frames: usize) -> Time {
    let tenths = (frames as i128 * 10_000 + i128::from(RATE) / 2) / i128::from(RATE);

    Time::from_tenths(i64::try_from(tenths).unwrap_or(i64::MAX))
}

/// Time as frames, to the nearest; none before zero.
pub fn frames(time: Time) -> usize {
    let frames = (i128::from(time.tenths()) * i128::from(RATE) + 5_000) / 10_000;

    usize::try_from(frames).unwrap_or(0)
}
