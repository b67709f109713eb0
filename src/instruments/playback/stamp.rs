//! When frames are heard: numbers the device's thread leaves for the room, without a lock.
//!
//! Times here are nanoseconds of the stream's own clock.

use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

use crate::instruments::speaker::RATE;

#[cfg(test)]
mod tests;

/// Not yet.
const NEVER: u64 = u64::MAX;

/// When one clip started and ended.
#[derive(Clone)]
pub(super) struct Marks(Arc<[AtomicU64; 2]>);

impl Marks {
    pub(super) fn started(&self) -> Option<u64> {
        self.read(0)
    }

    pub(super) fn ended(&self) -> Option<u64> {
        self.read(1)
    }

    pub(super) fn start(&self, nanos: u64) {
        self.0[0].store(nanos, Ordering::Release);
    }

    pub(super) fn end(&self, nanos: u64) {
        self.0[1].store(nanos, Ordering::Release);
    }

    fn read(&self, which: usize) -> Option<u64> {
        let nanos = self.0[which].load(Ordering::Acquire);
        (nanos != NEVER).then_some(nanos)
    }
}

impl Default for Marks {
    fn default() -> Self {
        Self(Arc::new([AtomicU64::new(NEVER), AtomicU64::new(NEVER)]))
    }
}

/// What the device told at its latest call for frames, for all threads to read.
#[derive(Clone, Default)]
pub(super) struct Stamp(Arc<Latest>);

/// What calms the device's own times. It says for each call when the first frame will be heard,
/// by readings that lag behind on a busy machine; but frames are heard at an even pace, so each
/// call says the same again of the stream's first frame, and the middle of several is believed.
#[derive(Default)]
pub(super) struct Pace {
    frames: u64,
    first: [i64; MEMORY],
    calls: usize,
}

/// Calls that are remembered: enough to outvote strays, few enough to notice a gap soon.
const MEMORY: usize = 9;

impl Pace {
    /// Takes what the device says of a call of so many frames at a rate, in nanoseconds, and
    /// returns what is believed.
    pub(super) fn call(&mut self, heard: u64, frames: usize, rate: u32) -> u64 {
        let played = i128::from(self.frames) * 1_000_000_000 / i128::from(rate);
        let played = i64::try_from(played).unwrap_or(i64::MAX);

        self.first[self.calls % MEMORY] = i64::try_from(heard)
            .unwrap_or(i64::MAX)
            .saturating_sub(played);
        self.calls += 1;
        self.frames += frames as u64;

        let mut first = self.first;
        let known = &mut first[..self.calls.min(MEMORY)];
        known.sort_unstable();
        let middle = known[known.len() / 2];

        u64::try_from(middle.saturating_add(played)).unwrap_or(0)
    }
}

#[derive(Default)]
struct Latest {
    calls: AtomicU64,
    frames: AtomicU64,
    heard: AtomicU64,
    lead: AtomicU64,
}

impl Stamp {
    /// Notes a call: when its first frame is heard and how far ahead that is. Only the device's
    /// thread does this, before it takes the frames.
    pub(super) fn call(&self, heard: u64, lead: u64, frames: usize) {
        self.0.heard.store(heard, Ordering::Relaxed);
        self.0.lead.store(lead, Ordering::Relaxed);
        let _ = self.0.calls.fetch_add(1, Ordering::Release);
        let _ = self.0.frames.fetch_add(frames as u64, Ordering::Release);
    }

    /// Which call this is.
    pub(super) fn calls(&self) -> u64 {
        self.0.calls.load(Ordering::Acquire)
    }

    /// Whether there were calls enough for their times to be believed.
    pub(super) fn is_settled(&self) -> bool {
        self.calls() >= MEMORY as u64
    }

    /// Frames asked for so far.
    pub(super) fn frames(&self) -> u64 {
        self.0.frames.load(Ordering::Acquire)
    }

    /// When a frame of the latest call is heard, counted from the call's first.
    pub(super) fn heard(&self, frame: u64) -> u64 {
        self.0
            .heard
            .load(Ordering::Relaxed)
            .saturating_add(frame * 1_000_000_000 / u64::from(RATE))
    }

    /// How far ahead of its sound the latest call came; 0 before the first.
    pub(super) fn lead(&self) -> u64 {
        self.0.lead.load(Ordering::Relaxed)
    }
}
