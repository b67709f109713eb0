//! One track of a file, event by event, with what real writers get slightly wrong put right.

use midly::live::LiveEvent;
use midly::{EventIter, MetaMessage, MidiMessage, TrackEventKind};

use super::Error;

/// Steps through the events of one track and holds none of them.
#[derive(Debug)]
pub(super) struct Track<'a> {
    events: EventIter<'a>,
    /// The track, from 1.
    number: u32,
    /// Where the track ends in the file.
    end: usize,
    /// The last status of a channel message, which events between do not cancel here.
    status: Option<u8>,
    /// Ticks since the start of the file.
    tick: u64,
}

/// One event.
#[derive(Debug)]
pub(super) struct Step<'a> {
    /// Ticks since the start of the file.
    pub(super) tick: u64,
    /// Where it begins in the file.
    pub(super) byte: usize,
    /// What it holds.
    pub(super) seen: Seen<'a>,
    /// What was put right about it.
    pub(super) oddity: Option<Oddity>,
}

/// What an event holds.
#[derive(Debug, Clone, Copy)]
pub(super) enum Seen<'a> {
    /// A message on any channel.
    Channel(MidiMessage),
    /// Something about the file.
    Meta(MetaMessage<'a>),
    /// A message to an instrument's insides, or one that was passed over.
    Other,
}

/// What files are found to hold against the standard, and what does no harm.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Oddity {
    /// A system real-time or common message, alone or inside another message.
    System,
    /// A status left out after an event that cancels running status.
    Status,
    /// A meta event whose content does not fit its type.
    Meta,
}

impl Oddity {
    /// Describes it, to follow "track N holds".
    pub(super) const fn words(self) -> &'static str {
        match self {
            Self::System => "real-time or common messages, which do not belong in a file; ignored",
            Self::Status => "messages whose status is left out after another kind of event; read",
            Self::Meta => "a meta event whose content does not fit its type; ignored",
        }
    }
}

/// Why an event cannot be read; the track and byte are added outside.
enum Fault {
    Cut,
    Quantity,
    Byte(&'static str, u8),
}

impl<'a> Track<'a> {
    /// Opens a track whose data begins at a byte of the file.
    pub(super) fn new(data: &'a [u8], number: u32, start: usize) -> Self {
        let end = start + data.len();

        Self {
            events: EventIter::new(data),
            number,
            end,
            status: None,
            tick: 0,
        }
    }

    /// Returns the bytes not yet read.
    pub(super) fn unread(&self) -> usize {
        self.events.unread().len()
    }

    /// Returns the next event, or none at the end of the data.
    pub(super) fn step(&mut self) -> Result<Option<Step<'a>>, Error> {
        let left = self.events.unread();
        let running = self.events.running_status();
        let byte = self.end - left.len();

        let (delta, seen, oddity) = match self.events.next() {
            None => return Ok(None),
            Some(Ok(event)) => (event.delta.as_int(), event.kind.into(), None),
            Some(Err(_)) => {
                let mended = mend(left, running, self.status).map_err(|fault| {
                    let track = self.number;
                    match fault {
                        Fault::Cut => Error::CutEvent { track, byte },
                        Fault::Quantity => Error::Quantity { track, byte },
                        Fault::Byte(expected, found) => Error::Byte {
                            track,
                            byte,
                            expected,
                            found,
                        },
                    }
                })?;
                self.events = EventIter::new(mended.rest);
                *self.events.running_status_mut() = mended.running;

                (mended.delta, mended.seen, Some(mended.oddity))
            }
        };

        self.status = self.events.running_status().or(self.status);
        self.tick = self.tick.saturating_add(delta.into());

        Ok(Some(Step {
            tick: self.tick,
            byte,
            seen,
            oddity,
        }))
    }
}

impl<'a> From<TrackEventKind<'a>> for Seen<'a> {
    fn from(kind: TrackEventKind<'a>) -> Self {
        match kind {
            TrackEventKind::Midi { message, .. } => Self::Channel(message),
            TrackEventKind::Meta(meta) => Self::Meta(meta),
            TrackEventKind::SysEx(_) | TrackEventKind::Escape(_) => Self::Other,
        }
    }
}

/// An event read after all.
struct Mended<'a> {
    delta: u32,
    seen: Seen<'a>,
    oddity: Oddity,
    running: Option<u8>,
    rest: &'a [u8],
}

/// Reads an event that the library refuses, or says why there is none.
fn mend(bytes: &[u8], running: Option<u8>, before: Option<u8>) -> Result<Mended<'_>, Fault> {
    let (delta, rest) = quantity(bytes)?;
    let &first = rest.first().ok_or(Fault::Cut)?;

    // Running status ends at a meta event or system message (Standard MIDI Files 1.0); some
    // writers go on with it, and nothing else could be meant.
    let (status, rest) = match first {
        0x00..=0x7F => {
            let status = running
                .or(before)
                .ok_or(Fault::Byte("a status byte", first))?;
            (status, rest)
        }
        _ => (first, &rest[1..]),
    };

    let passed_over = |oddity, running, rest| {
        Ok(Mended {
            delta,
            seen: Seen::Other,
            oddity,
            running,
            rest,
        })
    };

    match status {
        0x80..=0xEF => {
            let count = if matches!(status >> 4, 0xC | 0xD) {
                1
            } else {
                2
            };
            let (data, rest, interrupted) = data(rest, count)?;
            let message = [status, data[0], data[1]];
            let seen = match LiveEvent::parse(&message[..=count]) {
                Ok(LiveEvent::Midi { message, .. }) => Seen::Channel(message),
                _ => Seen::Other,
            };
            let oddity = if interrupted {
                Oddity::System
            } else {
                Oddity::Status
            };

            Ok(Mended {
                delta,
                seen,
                oddity,
                running: Some(status),
                rest,
            })
        }
        // Real-time messages leave running status as it is, common ones cancel it (MIDI 1.0).
        0xF8..=0xFE => passed_over(Oddity::System, running, rest),
        0xF1..=0xF3 | 0xF6 => {
            let count = match status {
                0xF1 | 0xF3 => 1,
                0xF2 => 2,
                _ => 0,
            };
            let (_, rest, _) = data(rest, count)?;

            passed_over(Oddity::System, None, rest)
        }
        0xF4 | 0xF5 => Err(Fault::Byte("a defined status", status)),
        _ => {
            let rest = match status {
                0xFF => rest.split_first().ok_or(Fault::Cut)?.1,
                _ => rest,
            };
            let (length, rest) = quantity(rest)?;
            let rest = rest.get(length as usize..).ok_or(Fault::Cut)?;

            passed_over(Oddity::Meta, None, rest)
        }
    }
}

/// Reads a number of variable length, of at most four bytes.
fn quantity(bytes: &[u8]) -> Result<(u32, &[u8]), Fault> {
    let mut value = 0;

    for (index, &byte) in bytes.iter().take(4).enumerate() {
        value = value << 7 | u32::from(byte & 0x7F);
        if byte < 0x80 {
            return Ok((value, &bytes[index + 1..]));
        }
    }

    Err(if bytes.len() < 4 {
        Fault::Cut
    } else {
        Fault::Quantity
    })
}

/// Reads data bytes, and passes over real-time bytes among them.
fn data(mut bytes: &[u8], count: usize) -> Result<([u8; 2], &[u8], bool), Fault> {
    let mut data = [0; 2];
    let mut filled = 0;
    let mut interrupted = false;

    while filled < count {
        let (&byte, rest) = bytes.split_first().ok_or(Fault::Cut)?;
        bytes = rest;

        match byte {
            0x00..=0x7F => {
                data[filled] = byte;
                filled += 1;
            }
            0xF8..=0xFE => interrupted = true,
            _ => return Err(Fault::Byte("a data byte below 0x80", byte)),
        }
    }

    Ok((data, bytes, interrupted))
}
