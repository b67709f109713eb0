//! From the deck's frames to the device's samples.

use std::num::NonZero;

use cpal::{FromSample, SizedSample, StreamConfig};
use rodio::source::UniformSourceIterator;

use super::deck::Deck;
use super::stamp::{Pace, Stamp};

#[cfg(test)]
mod tests;

/// The deck as the device wants it: its rate, its number of channels, its kind of samples.
pub(super) struct Tape {
    source: UniformSourceIterator<Deck>,
    stamp: Stamp,
    pace: Pace,
    channels: usize,
    rate: u32,
}

impl Tape {
    pub(super) fn new(deck: Deck, stamp: Stamp, config: &StreamConfig) -> Option<Self> {
        const SIDES: NonZero<u16> = NonZero::new(2).expect("two sides");

        Some(Self {
            source: UniformSourceIterator::new(deck, SIDES, NonZero::new(config.sample_rate)?),
            stamp,
            pace: Pace::default(),
            rate: config.sample_rate,
            channels: NonZero::new(usize::from(config.channels))?.get(),
        })
    }

    /// Fills a call of the device, made at one time for a sound stated to be heard at another,
    /// both in nanoseconds.
    pub(super) fn fill<T: SizedSample + FromSample<f32>>(
        &mut self,
        data: &mut [T],
        called: u64,
        stated: u64,
    ) {
        let frames = data.len() / self.channels;
        let heard = self.pace.call(stated, frames, self.rate);

        self.stamp.call(heard, heard.saturating_sub(called), frames);
        for frame in data.chunks_exact_mut(self.channels) {
            let left = self.source.next().unwrap_or_default();
            let right = self.source.next().unwrap_or_default();

            match frame {
                [one] => *one = T::from_sample((left + right) / 2.0),
                [first, second, others @ ..] => {
                    *first = T::from_sample(left);
                    *second = T::from_sample(right);
                    others.fill(T::EQUILIBRIUM);
                }
                [] => {}
            }
        }
    }
}
