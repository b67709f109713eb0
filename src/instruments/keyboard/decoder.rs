//! From the raw bytes of one MIDI instrument to what the hands did.
//!
//! The bytes are a stream: messages may come whole, in pieces or several at once, with running
//! status, and with real-time bytes anywhere (MIDI 1.0 Detailed Specification). What is no key and
//! no sustaining pedal is passed over.
//!
//! | comes | is |
//! | --- | --- |
//! | note-on | a key struck; one that is down is struck again |
//! | note-off, note-on with velocity 0 | a key released, if it was down |
//! | control change 64 | the pedal, where its value changed |
//! | control change 120, 123–127 | all keys of the channel released |
//! | control change 121 | all keys of the channel released, and the pedal lifted |
//! | `FF` | all keys of all channels released, and the pedal lifted |
//! | `FE` | the cable is alive, and will say so again |

#![deny(clippy::disallowed_methods)]

#[cfg(test)]
mod tests;

use super::Touch;
use super::rebase::Rebase;
use crate::theory::Key;
use crate::time::Time;

/// An instrument that has said that it is alive must say so or something else again within 300 ms
/// (MIDI 1.0 Detailed Specification, active sensing). A third more is allowed, so that a busy
/// machine does not stop an exam.
pub const SILENCE: Time = Time::from_ms(400);

/// Decodes the bytes of one instrument.
#[derive(Debug, Clone)]
pub struct Decoder {
    /// The channel listened to, 0–15; all if there is none.
    channel: Option<u8>,
    transpose: i64,
    /// The status byte that data bytes belong to.
    status: Option<u8>,
    /// The first data byte of a message of two.
    first: Option<u8>,
    /// The channels on which each key is down, one bit a channel.
    down: [u16; 128],
    pedal: u8,
    rebase: Rebase,
    /// Whether the instrument says that it is alive.
    sensing: bool,
    heard: Option<Time>,
    out_of_range: u64,
}

impl Decoder {
    /// Begins with nothing down, listening to one channel (1–16) or to all, and moving keys by
    /// so many semitones.
    pub const fn new(channel: Option<u8>, transpose: i8) -> Self {
        Self {
            channel: match channel {
                // Nothing is sent on channel 0, so nothing is heard on it either.
                Some(number) => Some(number.wrapping_sub(1)),
                None => None,
            },
            transpose: transpose as i64,
            status: None,
            first: None,
            down: [0; 128],
            pedal: 0,
            rebase: Rebase::new(),
            sensing: false,
            heard: None,
            out_of_range: 0,
        }
    }

    /// Takes bytes in, with the driver's time in microseconds and the room's time of arrival, and
    /// adds what they mean.
    pub fn take(
        &mut self,
        driver_us: u64,
        arrived: Time,
        bytes: &[u8],
        into: &mut Vec<(Time, Touch)>,
    ) {
        let at = self.rebase.at(driver_us, arrived);
        self.heard = self.heard.max(Some(arrived));

        for &byte in bytes {
            self.byte(byte, &mut |touch| into.push((at, touch)));
        }
    }

    /// Releases all that is down, as when the instrument is lost.
    pub fn release(&mut self, into: &mut Vec<Touch>) {
        self.release_channels(u16::MAX, &mut |touch| into.push(touch));
        self.lift(&mut |touch| into.push(touch));
        self.status = None;
        self.first = None;
    }

    /// Tells whether the instrument holds a key down, transposition included.
    pub fn holds(&self, key: Key) -> bool {
        let raw = i64::from(key.number()) - self.transpose;

        usize::try_from(raw)
            .ok()
            .and_then(|raw| self.down.get(raw))
            .is_some_and(|channels| *channels != 0)
    }

    /// Tells whether the instrument used to say that it is alive and no longer does.
    pub fn is_silent(&self, now: Time) -> bool {
        self.sensing && self.heard.is_some_and(|heard| now - heard > SILENCE)
    }

    /// Returns how many strikes fell outside the keys 0–127 by transposition, and were dropped.
    pub const fn out_of_range(&self) -> u64 {
        self.out_of_range
    }

    fn byte(&mut self, byte: u8, tell: &mut dyn FnMut(Touch)) {
        match byte {
            0xFE => self.sensing = true,
            0xFF => {
                self.release_channels(u16::MAX, tell);
                self.lift(tell);
                self.status = None;
                self.first = None;
            }
            // Other real-time bytes may stand within a message and change nothing.
            0xF8..=0xFD => {}
            // System messages end running status; their data are passed over.
            0xF0..=0xF7 => {
                self.status = None;
                self.first = None;
            }
            0x80..=0xEF => {
                self.status = Some(byte);
                self.first = None;
            }
            0x00..=0x7F => self.data(byte, tell),
        }
    }

    fn data(&mut self, byte: u8, tell: &mut dyn FnMut(Touch)) {
        let Some(status) = self.status else {
            return;
        };

        // Program change and channel pressure have one data byte, which concerns nobody here.
        if matches!(status & 0xF0, 0xC0 | 0xD0) {
            return;
        }

        match self.first.take() {
            None => self.first = Some(byte),
            Some(first) if self.channel.is_none_or(|only| only == status & 0x0F) => {
                self.message(status, first, byte, tell);
            }
            Some(_) => {}
        }
    }

    fn message(&mut self, status: u8, first: u8, second: u8, tell: &mut dyn FnMut(Touch)) {
        let channel = 1u16 << (status & 0x0F);

        match (status & 0xF0, first) {
            (0x90, raw) if second > 0 => self.strike(raw, second, channel, tell),
            (0x80 | 0x90, raw) => self.let_go(raw, channel, tell),
            (0xB0, 64) => self.move_pedal(second, tell),
            (0xB0, 120 | 123..=127) => self.release_channels(channel, tell),
            // By the standard a reset concerns the controllers only; but an instrument that resets
            // itself may have forgotten its keys, and would then leave them down for ever.
            (0xB0, 121) => {
                self.release_channels(channel, tell);
                self.lift(tell);
            }
            _ => {}
        }
    }

    fn strike(&mut self, raw: u8, velocity: u8, channel: u16, tell: &mut dyn FnMut(Touch)) {
        match self.key(raw) {
            Some(key) => {
                self.down[usize::from(raw)] |= channel;
                tell(Touch::Down { key, velocity });
            }
            None => self.out_of_range += 1,
        }
    }

    /// Lets channels go of a key; it comes up when the last of them does.
    fn let_go(&mut self, raw: u8, channels: u16, tell: &mut dyn FnMut(Touch)) {
        let down = &mut self.down[usize::from(raw)];
        let was_down = *down != 0;
        *down &= !channels;

        if was_down
            && *down == 0
            && let Some(key) = self.key(raw)
        {
            tell(Touch::Up { key });
        }
    }

    fn release_channels(&mut self, channels: u16, tell: &mut dyn FnMut(Touch)) {
        for raw in 0..128 {
            self.let_go(raw, channels, tell);
        }
    }

    fn move_pedal(&mut self, value: u8, tell: &mut dyn FnMut(Touch)) {
        if self.pedal != value {
            self.pedal = value;
            tell(Touch::Pedal(value));
        }
    }

    fn lift(&mut self, tell: &mut dyn FnMut(Touch)) {
        self.move_pedal(0, tell);
    }

    fn key(&self, raw: u8) -> Option<Key> {
        Key::new(i64::from(raw) + self.transpose).ok()
    }
}
