//! Reads a file's chunks and gathers what counts, in one pass and bounded memory.

use std::collections::BTreeSet;

use midly::{MetaMessage, MidiMessage};

use super::clock::{Clock, Division};
use super::notes::Notes;
use super::order::{self, Kept};
use super::text::{self, Marker, Text};
use super::track::{Oddity, Seen, Step, Track};
use super::{Error, Kind, Performance};
use crate::time::Time;

/// The most events a performance may have, and the most tempo changes.
///
/// It is enough for twelve keys a second, down and up, for eleven hours; reading as many takes
/// some 50 MB beside the file.
pub const LIMIT: usize = 1_000_000;

/// The latest time an event may have.
pub const LONGEST: Time = Time::from_ms(24 * 60 * 60 * 1_000);

/// The control change of the sustaining pedal (MIDI 1.0).
pub(super) const PEDAL: u8 = 64;

/// The bytes before a chunk's data: its name and length.
const CHUNK: usize = 8;

/// Reads a performance from a Standard MIDI File.
///
/// Times are exact to the nearest tenth of a millisecond. Put up with, and noted: tracks without
/// an end, bytes after the end, unknown chunks, real-time messages inside tracks, running status
/// that goes on after a meta event, malformed meta events of no concern here.
///
/// # Errors
///
/// Says what is wrong, where, and how to mend it: when the bytes are no file of format 0 or 1 or
/// are cut short, when the times cannot be known or are beyond [`LONGEST`], when there are more
/// than [`LIMIT`] events, or when markers are missing, unreadable or out of order.
pub fn read(bytes: &[u8]) -> Result<Performance, Error> {
    read_within(bytes, LIMIT, false)
}

/// Reads a performance that goes on with an interrupted sitting: its first item may have any
/// number, as that of a spare item which replaces the interrupted one.
///
/// # Errors
///
/// As [`read`].
pub fn read_on(bytes: &[u8]) -> Result<Performance, Error> {
    read_within(bytes, LIMIT, true)
}

/// Reads a performance of at most `limit` events.
pub(super) fn read_within(bytes: &[u8], limit: usize, on: bool) -> Result<Performance, Error> {
    let header = Header::read(bytes)?;
    let mut gathered = Gathered {
        limit,
        fixed: header.fixed(),
        ..Gathered::default()
    };

    if header.format == 0 && header.tracks > 1 {
        let tracks = header.tracks;
        gathered
            .notes
            .push(|| format!("format 0 has one track, this file {tracks}; all are read"));
    }

    walk(bytes, &header, &mut gathered)?;

    gathered.finish(header.division, on)
}

/// What the first chunk says.
struct Header {
    format: u16,
    tracks: u16,
    division: Division,
    /// Where the next chunk begins.
    end: usize,
}

impl Header {
    fn read(bytes: &[u8]) -> Result<Self, Error> {
        if !bytes.starts_with(b"MThd") {
            let found = match bytes {
                [] => "an empty file".to_owned(),
                _ => format!("\"{}\"", bytes[..bytes.len().min(8)].escape_ascii()),
            };
            return Err(Error::NotMidi { found });
        }

        // A later version of the standard may lengthen the header; what it adds is passed over.
        let (_, length) = chunk(bytes).ok_or(Error::Header { found: 0 })?;
        let data = &bytes[CHUNK..];
        let found = data.len().min(length as usize);
        let word = |at: usize| u16::from_be_bytes([data[at], data[at + 1]]);

        if found < 6 {
            return Err(Error::Header { found });
        }

        let format = word(0);
        if format > 1 {
            return Err(Error::Format { found: format });
        }

        let division = Division::new(word(4))?;
        Ok(Self {
            format,
            tracks: word(2),
            division,
            end: CHUNK + found,
        })
    }

    /// Says whether ticks have a length whatever the tempo.
    fn fixed(&self) -> bool {
        matches!(self.division, Division::Second { .. })
    }
}

/// Splits a chunk's name and length from the bytes that begin with it.
fn chunk(bytes: &[u8]) -> Option<(&[u8], u32)> {
    let (name, rest) = bytes.split_at_checked(4)?;

    Some((name, u32::from_be_bytes(*rest.first_chunk()?)))
}

/// Goes through the chunks after the header.
fn walk(bytes: &[u8], header: &Header, gathered: &mut Gathered) -> Result<(), Error> {
    let mut byte = header.end;
    let mut tracks = 0_u32;

    while let Some((name, length)) = chunk(&bytes[byte..]) {
        let start = byte + CHUNK;
        let data = bytes[start..].get(..length as usize);

        match (name, data) {
            (b"MTrk", Some(data)) => {
                tracks += 1;
                gathered.track(Track::new(data, tracks, start), tracks)?;
            }
            (b"MTrk", None) => {
                let found = bytes.len() - start;
                return Err(Error::CutTrack {
                    track: tracks + 1,
                    byte,
                    promised: length,
                    found,
                });
            }
            (_, Some(_)) => gathered.notes.push(|| {
                format!(
                    "the chunk \"{}\" at byte {byte} is ignored",
                    name.escape_ascii()
                )
            }),
            (_, None) => break,
        }

        byte = start + length as usize;
    }

    let (promised, left) = (header.tracks, bytes.len() - byte);

    if tracks < u32::from(promised) {
        let found = u16::try_from(tracks).unwrap_or(promised);
        return Err(Error::MissingTrack {
            promised,
            found,
            byte,
        });
    }
    if tracks > u32::from(promised) {
        let notes = &mut gathered.notes;
        notes.push(|| format!("tracks the header promises: {promised}; all {tracks} are read"));
    }
    if left > 0 {
        gathered
            .notes
            .push(|| format!("bytes after the last track, ignored: {left}"));
    }

    Ok(())
}

/// What counts, gathered from all tracks.
#[derive(Default)]
struct Gathered {
    limit: usize,
    /// Ticks have a length whatever the tempo.
    fixed: bool,
    kept: Vec<Kept>,
    tempos: Vec<(u64, u32)>,
    form: Option<String>,
    exam: Option<String>,
    /// Messages that are neither notes nor pedal.
    others: u64,
    notes: Notes,
}

impl Gathered {
    /// Goes through a track.
    fn track(&mut self, mut track: Track<'_>, number: u32) -> Result<(), Error> {
        let mut oddities = BTreeSet::new();

        let ended = loop {
            let Some(step) = track.step()? else {
                break false;
            };

            oddities.extend(step.oddity);
            if matches!(step.seen, Seen::Meta(MetaMessage::EndOfTrack)) {
                break true;
            }
            self.step(step, number)?;
        };

        for oddity in oddities {
            self.notes
                .push(|| format!("track {number} holds {}", Oddity::words(oddity)));
        }
        if !ended {
            self.notes
                .push(|| format!("track {number} has no end-of-track event"));
        }
        if track.unread() > 0 {
            let left = track.unread();
            self.notes
                .push(|| format!("track {number}: bytes after its end, ignored: {left}"));
        }

        Ok(())
    }

    /// Takes what counts from an event.
    fn step(&mut self, step: Step<'_>, track: u32) -> Result<(), Error> {
        let Step {
            tick,
            byte,
            seen,
            oddity,
        } = step;

        let kind = match seen {
            Seen::Channel(MidiMessage::NoteOn { key, vel }) if vel > 0 => Kind::Down {
                key: key.as_int(),
                velocity: vel.as_int(),
            },
            Seen::Channel(MidiMessage::NoteOn { key, .. } | MidiMessage::NoteOff { key, .. }) => {
                Kind::Up { key: key.as_int() }
            }
            Seen::Channel(MidiMessage::Controller { controller, value }) if controller == PEDAL => {
                Kind::Pedal {
                    value: value.as_int(),
                }
            }
            Seen::Channel(_) | Seen::Other => {
                // What is odd has a note of its own.
                self.others += u64::from(oddity.is_none());
                return Ok(());
            }
            Seen::Meta(MetaMessage::Marker(bytes)) => match self.marker(bytes, track, byte)? {
                Some(kind) => kind,
                None => return Ok(()),
            },
            Seen::Meta(MetaMessage::Text(bytes)) => match self.text(bytes, track, byte) {
                Some(kind) => kind,
                None => return Ok(()),
            },
            Seen::Meta(MetaMessage::Tempo(tempo)) if !self.fixed && tempo > 0 => {
                self.tempos.push((tick, tempo.as_int()));
                return self.within(self.tempos.len());
            }
            // The library calls a tempo of fewer than three bytes unknown.
            Seen::Meta(MetaMessage::Tempo(_) | MetaMessage::Unknown(0x51, _)) if !self.fixed => {
                return Err(Error::Tempo { track, byte });
            }
            Seen::Meta(_) => return Ok(()),
        };

        self.kept.push(Kept::new(tick, track, kind));
        self.within(self.kept.len())
    }

    /// Refuses more than the limit.
    fn within(&self, count: usize) -> Result<(), Error> {
        match count > self.limit {
            true => Err(Error::TooMany { limit: self.limit }),
            false => Ok(()),
        }
    }

    /// Understands a marker.
    fn marker(&mut self, bytes: &[u8], track: u32, byte: usize) -> Result<Option<Kind>, Error> {
        let words = text::decode(bytes);

        match text::marker(&words) {
            Marker::Item(number) => Ok(Some(Kind::Item(number))),
            Marker::Unreadable => Err(Error::Item {
                track,
                byte,
                found: text::quote(&words),
            }),
            Marker::Unknown => {
                self.notes.push(|| {
                    format!(
                        "track {track}: the marker {} is ignored",
                        text::quote(&words)
                    )
                });
                Ok(None)
            }
        }
    }

    /// Understands a text.
    fn text(&mut self, bytes: &[u8], track: u32, byte: usize) -> Option<Kind> {
        let words = text::decode(bytes);
        let (named, already) = match text::text(&words) {
            Text::Event(kind) => {
                if words.len() > text::MOST {
                    self.notes.push(|| {
                        let most = text::MOST;
                        format!("track {track}: the text at byte {byte} is cut at {most} bytes")
                    });
                }
                return Some(kind);
            }
            Text::Form(code) => (code, &mut self.form),
            Text::Exam(name) => (name, &mut self.exam),
            Text::Unknown => {
                if !words.is_empty() {
                    self.notes.push(|| {
                        format!("track {track}: the text {} is ignored", text::quote(&words))
                    });
                }
                return None;
            }
        };

        match already {
            Some(first) if *first != named => self.notes.push(|| {
                let (words, first) = (text::quote(&words), text::quote(first));
                format!("track {track}: the text {words} is ignored; {first} came first")
            }),
            _ => *already = Some(named),
        }

        None
    }

    /// Puts everything in order.
    fn finish(mut self, division: Division, on: bool) -> Result<Performance, Error> {
        let clock = Clock::new(division, self.tempos);
        let events = order::arrange(self.kept, &clock)?;
        order::check_items(&events, on, &mut self.notes)?;

        if self.others > 0 {
            let others = self.others;
            self.notes
                .push(|| format!("messages that are neither notes nor pedal, ignored: {others}"));
        }

        let notes = self.notes.into_lines();
        Ok(Performance {
            events,
            form: self.form,
            exam: self.exam,
            notes,
        })
    }
}
