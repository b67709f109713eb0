//! When frames are heard: numbers the device's thread leaves for the room, without a lock.
//!
//! Times here are nanoseconds of the stream's own clock.

use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

use crate::instruments::speaker::RATE;

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

/// What the device told at its latest call for frames.
#[derive(Clone, Default)]
pub(super) struct Stamp(Arc<Latest>);

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
