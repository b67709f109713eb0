//! The last stage: nothing leaves louder than −1 dBFS, and what is softer leaves untouched.

use crate::instruments::speaker::{CEILING, RATE};

/// How fast the limiter lets go: from nothing to all in 100 ms.
const RELEASE: f32 = 10.0 / RATE as f32;

/// Holds peaks at the ceiling, both sides alike, at once; lets go slowly.
pub(super) struct Limiter {
    gain: f32,
}

impl Limiter {
    pub(super) const fn new() -> Self {
        Self { gain: 1.0 }
    }

    /// Passes a frame on, bit by bit the same while no peak reaches above the ceiling.
    pub(super) fn pass(&mut self, frame: [f32; 2]) -> [f32; 2] {
        // What is no number is no sound either; it must not reach a loudspeaker.
        let frame = frame.map(|sample| if sample.is_finite() { sample } else { 0.0 });
        let peak = frame[0].abs().max(frame[1].abs());
        let held = if peak > CEILING { CEILING / peak } else { 1.0 };

        self.gain = (self.gain + RELEASE).min(held);
        frame.map(|sample| (sample * self.gain).clamp(-CEILING, CEILING))
    }
}
