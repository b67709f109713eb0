//! What mixes clips into the one stream: an endless source of frames, silent most of the time.

use std::f32::consts::PI;
use std::num::NonZero;
use std::sync::mpsc::Receiver;
use std::time::Duration;

use rodio::Source;

use super::limiter::Limiter;
use super::monitor::Monitor;
use super::stamp::{Marks, Stamp};
use crate::instruments::speaker::{Clip, RATE};

#[cfg(test)]
mod tests;

/// What the room asks of the device's thread.
pub(super) enum Order {
    /// Sound a clip in place of all others.
    Play(Clip, Marks),
    /// Fall silent.
    Stop,
    /// Change the level to a factor.
    Level(f32),
}

/// Frames of a fade, 10 ms.
pub(super) const FADE: u32 = RATE / 100;
/// What the level moves by in a frame: from nothing to full in 50 ms, so a step takes less.
const RAMP: f32 = 20.0 / RATE as f32;
/// Clips that can fade out below one another; beyond, the oldest is cut.
const VOICES: usize = 16;

/// Clips, the keyboard where it is monitored, level and limiter. Orders are taken at the start of
/// each call of the device, so that a clip begins with the call's first frame.
pub(super) struct Deck {
    orders: Receiver<Order>,
    stamp: Stamp,
    /// The call that is being served, and the frames of it that are done.
    call: u64,
    done: u64,
    voices: Vec<Voice>,
    monitor: Option<Monitor>,
    /// Whether nothing sounded in the latest frame.
    is_silent: bool,
    gain: f32,
    target: f32,
    limiter: Limiter,
    right: Option<f32>,
}

struct Voice {
    clip: Clip,
    at: usize,
    /// Frames left of its fade, once it fades.
    fade: Option<u32>,
    marks: Marks,
}

impl Deck {
    pub(super) fn new(orders: Receiver<Order>, monitor: Option<Monitor>, stamp: Stamp) -> Self {
        Self {
            orders,
            call: stamp.calls(),
            stamp,
            done: 0,
            voices: Vec::with_capacity(VOICES),
            monitor,
            is_silent: true,
            gain: 0.0,
            target: 0.0,
            limiter: Limiter::new(),
            right: None,
        }
    }

    fn frame(&mut self) -> [f32; 2] {
        let call = self.stamp.calls();
        if call != self.call {
            self.call = call;
            self.done = 0;
            self.obey();
        }

        let heard = self.stamp.heard(self.done);
        let mut sum = None;
        self.voices.retain_mut(|voice| {
            let Some(frame) = voice.next(heard) else {
                return false;
            };
            sum = Some(add(sum, frame));
            true
        });
        if let Some(frame) = self.monitor.as_mut().and_then(Monitor::frame) {
            sum = Some(add(sum, frame));
        }

        self.is_silent = sum.is_none();
        let frame = match sum {
            Some(sum) => {
                self.ramp();
                sum.map(|sample| sample * self.gain)
            }
            None => [0.0; 2],
        };
        self.done += 1;
        self.limiter.pass(frame)
    }

    fn ramp(&mut self) {
        let rest = self.target - self.gain;

        // The end is set, not summed up, so that full is exactly 1.
        self.gain = if rest.abs() <= RAMP {
            self.target
        } else {
            self.gain + RAMP.copysign(rest)
        };
    }

    fn obey(&mut self) {
        while let Ok(order) = self.orders.try_recv() {
            match order {
                Order::Play(clip, marks) => {
                    self.fade();
                    if self.voices.len() == VOICES {
                        drop(self.voices.remove(0));
                    }
                    self.voices.push(Voice {
                        clip,
                        at: 0,
                        fade: None,
                        marks,
                    });
                }
                Order::Stop => self.fade(),
                Order::Level(factor) => self.target = factor,
            }
        }
        if let Some(monitor) = &mut self.monitor {
            monitor.take();
        }
        if self.is_silent {
            // Nobody hears a leap in silence, and the first frame has the level asked for.
            self.gain = self.target;
        }
    }

    fn fade(&mut self) {
        for voice in &mut self.voices {
            let _ = voice.fade.get_or_insert(FADE);
        }
    }
}

/// Adds a frame. A lone one is passed on as it is: adding it to zero would lose the sign of a zero.
fn add(sum: Option<[f32; 2]>, frame: [f32; 2]) -> [f32; 2] {
    sum.map_or(frame, |sum| [sum[0] + frame[0], sum[1] + frame[1]])
}

/// A frame of a fade that has so many left.
pub(super) fn faded(frame: [f32; 2], left: u32) -> [f32; 2] {
    let factor = 0.5 - 0.5 * (PI * left as f32 / FADE as f32).cos();

    frame.map(|sample| sample * factor)
}

impl Voice {
    /// Returns the next frame, and leaves marks at the first and after the last.
    fn next(&mut self, heard: u64) -> Option<[f32; 2]> {
        if self.at == 0 {
            self.marks.start(heard);
        }
        let Some(&frame) = self
            .clip
            .frames
            .get(self.at)
            .filter(|_| self.fade != Some(0))
        else {
            self.marks.end(heard);
            return None;
        };
        self.at += 1;

        let Some(left) = &mut self.fade else {
            return Some(frame);
        };
        let frame = faded(frame, *left);
        *left -= 1;
        Some(frame)
    }
}

/// Left, right, left, right.
impl Iterator for Deck {
    type Item = rodio::Sample;

    fn next(&mut self) -> Option<Self::Item> {
        Some(self.right.take().unwrap_or_else(|| {
            let [left, right] = self.frame();
            self.right = Some(right);
            left
        }))
    }
}

impl Source for Deck {
    fn current_span_len(&self) -> Option<usize> {
        None
    }

    fn channels(&self) -> NonZero<u16> {
        const { NonZero::new(2).expect("two sides") }
    }

    fn sample_rate(&self) -> NonZero<u32> {
        const { NonZero::new(RATE).expect("a rate above zero") }
    }

    fn total_duration(&self) -> Option<Duration> {
        None
    }
}
