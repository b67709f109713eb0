//! A speaker without a device: it plays by the times it is given and forgets nothing.

#![deny(clippy::disallowed_methods)]

#[cfg(test)]
mod tests;

use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use super::keyboard::Touch;
use super::speaker::{Clip, Error, FADE, Fact, Level, Speaker};
use crate::time::Time;

/// A speaker for tests and rehearsals.
#[derive(Debug, Clone, PartialEq)]
pub struct FakeSpeaker {
    /// The clips played so far, with the times they were asked for.
    pub played: Vec<(Time, Clip)>,
    /// The touches sounded so far.
    pub touched: Vec<Touch>,
    /// How often all keys were silenced.
    pub hushes: usize,
    /// The level now.
    pub level: Level,
    latency: Time,
    is_monitoring: bool,
    is_there: bool,
    now: Time,
    sounding: Option<Sounding>,
    facts: Vec<Fact>,
}

#[derive(Debug, Clone, Copy, PartialEq)]
struct Sounding {
    start: Time,
    end: Time,
    told: bool,
}

/// The name a fake speaker goes by.
const NAME: &str = "no device";

impl FakeSpeaker {
    /// Makes a speaker whose clips are heard so long after they are asked for.
    pub const fn new(latency: Time) -> Self {
        Self {
            played: Vec::new(),
            touched: Vec::new(),
            hushes: 0,
            level: Level::START,
            latency,
            is_monitoring: false,
            is_there: true,
            now: Time::ZERO,
            sounding: None,
            facts: Vec::new(),
        }
    }

    /// Takes the device away; what sounds is cut off and tells no more.
    pub fn lose(&mut self) {
        if self.is_there {
            self.is_there = false;
            self.sounding = None;
            self.facts.push(Fact::Lost { name: self.name() });
        }
    }

    /// Brings the device back.
    pub fn find(&mut self) {
        if !self.is_there {
            self.is_there = true;
            self.facts.push(Fact::Found { name: self.name() });
        }
    }

    /// Whether a clip sounds at the time last given.
    pub fn is_sounding(&self) -> bool {
        self.sounding
            .is_some_and(|it| it.start <= self.now && self.now < it.end)
    }
}

impl Speaker for FakeSpeaker {
    fn play(&mut self, clip: &Clip, now: Time) -> Result<(), Error> {
        self.now = self.now.max(now);
        if !self.is_there {
            return Err(Error::Gone { name: self.name() });
        }

        let start = now + self.latency;
        self.sounding = Some(Sounding {
            start,
            end: start + clip.length(),
            told: false,
        });
        self.played.push((now, clip.clone()));
        Ok(())
    }

    fn stop(&mut self) {
        if let Some(sounding) = &mut self.sounding {
            sounding.end = sounding.end.min(self.now + self.latency + FADE);
            sounding.start = sounding.start.min(sounding.end);
        }
    }

    fn poll(&mut self, now: Time) -> Vec<Fact> {
        self.now = self.now.max(now);
        let mut facts = Vec::new();

        if let Some(sounding) = &mut self.sounding {
            if !sounding.told && sounding.start <= self.now {
                sounding.told = true;
                facts.push(Fact::Started { at: sounding.start });
            }
            if sounding.end <= self.now {
                facts.push(Fact::Ended { at: sounding.end });
                self.sounding = None;
            }
        }
        facts.append(&mut self.facts);
        facts
    }

    fn set_level(&mut self, level: Level) {
        self.level = level;
    }

    fn set_monitoring(&mut self, on: bool) {
        self.is_monitoring = on;
        if !on {
            self.hush();
        }
    }

    fn is_monitoring(&self) -> bool {
        self.is_monitoring
    }

    fn monitor(&mut self, touch: Touch) {
        if self.is_monitoring && self.is_there {
            self.touched.push(touch);
        }
    }

    fn hush(&mut self) {
        self.hushes += 1;
    }

    fn monitoring_latency(&self) -> Option<Time> {
        self.latency().filter(|_| self.is_monitoring)
    }

    fn latency(&self) -> Option<Time> {
        self.is_there.then_some(self.latency)
    }

    fn name(&self) -> String {
        NAME.to_owned()
    }

    fn is_there(&self) -> bool {
        self.is_there
    }
}

/// A fake that a test keeps while a room has it too: clones are the same speaker.
#[derive(Debug, Clone)]
pub struct Shared(Arc<Mutex<FakeSpeaker>>);

impl Shared {
    /// Makes a speaker whose clips are heard so long after they are asked for.
    pub fn new(latency: Time) -> Self {
        Self(Arc::new(Mutex::new(FakeSpeaker::new(latency))))
    }

    /// Takes the speaker for a moment.
    pub fn lock(&self) -> MutexGuard<'_, FakeSpeaker> {
        // A test that panicked elsewhere has its own message.
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Speaker for Shared {
    fn play(&mut self, clip: &Clip, now: Time) -> Result<(), Error> {
        self.lock().play(clip, now)
    }

    fn stop(&mut self) {
        self.lock().stop();
    }

    fn poll(&mut self, now: Time) -> Vec<Fact> {
        self.lock().poll(now)
    }

    fn set_level(&mut self, level: Level) {
        self.lock().set_level(level);
    }

    fn set_monitoring(&mut self, on: bool) {
        self.lock().set_monitoring(on);
    }

    fn is_monitoring(&self) -> bool {
        self.lock().is_monitoring()
    }

    fn monitor(&mut self, touch: Touch) {
        self.lock().monitor(touch);
    }

    fn hush(&mut self) {
        self.lock().hush();
    }

    fn monitoring_latency(&self) -> Option<Time> {
        self.lock().monitoring_latency()
    }

    fn latency(&self) -> Option<Time> {
        self.lock().latency()
    }

    fn name(&self) -> String {
        self.lock().name()
    }

    fn is_there(&self) -> bool {
        self.lock().is_there()
    }
}
