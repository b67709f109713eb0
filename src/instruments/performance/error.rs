//! Why a performance file cannot be read, where, and how to mend it.

use crate::time::Time;

/// Why a performance file cannot be read. Tracks count from 1, bytes from 0 at the file's start.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Error {
    /// The file does not begin as a Standard MIDI File.
    #[error(
        "expected a Standard MIDI File, which begins with MThd, found {found}; export the \
         performance as a MIDI file"
    )]
    NotMidi {
        /// The first bytes, in words.
        found: String,
    },
    /// The header chunk is shorter than the standard's six bytes, or cut off.
    #[error("expected a header of 6 bytes, found {found}; the file is cut short or damaged")]
    Header {
        /// The bytes there are.
        found: usize,
    },
    /// The file is of a format with no single time line.
    #[error("expected format 0 or 1, found format {found}; save the performance as format 0 or 1")]
    Format {
        /// The format in the header.
        found: u16,
    },
    /// The division leaves a tick without a length.
    #[error(
        "expected a division above zero, found {division:#06x}; its ticks would have no length"
    )]
    Division {
        /// The division in the header.
        division: u16,
    },
    /// The division names a frame rate outside the standard.
    #[error("expected 24, 25, 29 or 30 SMPTE frames a second, found {found}")]
    Frames {
        /// The frames a second in the header.
        found: u8,
    },
    /// The file ends before all its tracks have come.
    #[error(
        "expected as many tracks as the header says, {promised}, found {found} up to byte {byte}; \
         the file is cut short or damaged"
    )]
    MissingTrack {
        /// Tracks the header promises.
        promised: u16,
        /// Tracks there are.
        found: u16,
        /// Where the tracks end.
        byte: usize,
    },
    /// A track is longer than what is left of the file.
    #[error(
        "track {track} at byte {byte} is cut off: expected {promised} bytes, found {found}; export \
         the file again"
    )]
    CutTrack {
        /// The track.
        track: u32,
        /// Where it begins.
        byte: usize,
        /// Bytes it promises.
        promised: u32,
        /// Bytes left in the file.
        found: usize,
    },
    /// A track ends inside an event.
    #[error("track {track} ends inside the event at byte {byte}; the file is cut short or damaged")]
    CutEvent {
        /// The track.
        track: u32,
        /// Where the event begins.
        byte: usize,
    },
    /// A number of variable length goes on for more than four bytes.
    #[error(
        "track {track}, event at byte {byte}: expected a time or length of at most 4 bytes, found \
         a longer one; the file is damaged"
    )]
    Quantity {
        /// The track.
        track: u32,
        /// Where the event begins.
        byte: usize,
    },
    /// A byte stands where the standard has no place for it.
    #[error(
        "track {track}, event at byte {byte}: expected {expected}, found {found:#04x}; the file \
         is damaged"
    )]
    Byte {
        /// The track.
        track: u32,
        /// Where the event begins.
        byte: usize,
        /// What should stand there.
        expected: &'static str,
        /// What does.
        found: u8,
    },
    /// A tempo under which no time passes, or none that can be read.
    #[error(
        "track {track}, event at byte {byte}: expected a tempo of three bytes above zero; without \
         it the times after are unknown"
    )]
    Tempo {
        /// The track.
        track: u32,
        /// Where the event begins.
        byte: usize,
    },
    /// A marker says `item`, but not which.
    #[error(
        "track {track}, marker at byte {byte}: expected `item` and a number from 1, found {found}"
    )]
    Item {
        /// The track.
        track: u32,
        /// Where the event begins.
        byte: usize,
        /// The marker, quoted.
        found: String,
    },
    /// An item's number is below the one before it.
    #[error(
        "item {number} at {at} ms comes after item {before} at {before_at} ms; markers count \
         upwards, each number once"
    )]
    Order {
        /// The item.
        number: u32,
        /// When it appears.
        at: Time,
        /// The item before it.
        before: u32,
        /// When that appears.
        before_at: Time,
    },
    /// An item appears again without having been voided.
    #[error(
        "item {number} at {at} ms has appeared at {first} ms already; number the markers one by \
         one, or put the text `void REASON` between the two"
    )]
    Twice {
        /// The item.
        number: u32,
        /// When it appears again.
        at: Time,
        /// When it appeared before.
        first: Time,
    },
    /// No marker shows where a prompt appeared.
    #[error(
        "found no marker `item N`; put a marker (FF 06, not a text) `item 1` where the first \
         prompt appeared, `item 2` at the second, and so on"
    )]
    NoItem,
    /// There are more events than a performance can have.
    #[error(
        "expected at most {limit} notes, pedal moves, markers, texts and tempo changes, found \
         more; split the performance or leave out what is not part of it"
    )]
    TooMany {
        /// The limit.
        limit: usize,
    },
    /// An event lies later than a performance can last.
    #[error(
        "track {track} has an event more than {hours} hours after the start, and a performance lasts \
         at most 24; mend its tempo, division or times"
    )]
    TooLong {
        /// The track.
        track: u32,
        /// Whole hours, rounded down.
        hours: u64,
    },
}
