//! Writes a performance as a Standard MIDI File of format 0 whose tick is a tenth of a millisecond.

use midly::num::{u4, u7, u15, u24, u28};
use midly::{Format, Header, MetaMessage, MidiMessage, Timing, TrackEvent, TrackEventKind};

use super::{Event, Kind, LONGEST, Performance, text};
use crate::time::Time;

/// Ticks a quarter note, and microseconds: a tick is 100 µs exactly.
const TICKS: u16 = 5_000;
const TEMPO: u32 = 500_000;

/// The longest delta time of the standard, 7 h 27 min at this tick.
const LONGEST_DELTA: i64 = 0x0FFF_FFFF;

/// The release velocity of keys, which an instrument without that sense gives (MIDI 1.0).
const RELEASE: u8 = 64;

/// Writes a performance as a Standard MIDI File, which [`read`](super::read()) reads as the same
/// one. Its notes are not part of it.
///
/// Values outside their range become the nearest inside: times 0 to [`LONGEST`], keys, pedal and
/// velocities as [`Kind`] gives them. Blanks around texts are dropped, and 1,000 bytes of a text
/// kept.
pub fn write(performance: &Performance) -> Vec<u8> {
    let mut events: Vec<&Event> = performance.events.iter().collect();
    events.sort_by_key(|event| event.at);

    let named = [("exam", &performance.exam), ("form", &performance.form)]
        .into_iter()
        .filter_map(|(word, name)| Some(text::join(word, name.as_deref()?)));
    let named: Vec<String> = named.collect();
    let words: Vec<String> = events.iter().map(|event| words(&event.kind)).collect();

    let mut track = Track {
        last: Time::ZERO,
        events: Vec::with_capacity(events.len() + 4),
    };
    track.meta(Time::ZERO, MetaMessage::Tempo(u24::new(TEMPO)));
    for name in &named {
        track.meta(Time::ZERO, MetaMessage::Text(name.as_bytes()));
    }
    for (event, words) in events.iter().zip(&words) {
        track.push(event.at, kind(&event.kind, words.as_bytes()));
    }
    track.meta(track.last, MetaMessage::EndOfTrack);

    let header = Header::new(Format::SingleTrack, Timing::Metrical(u15::new(TICKS)));
    let mut bytes = Vec::new();
    midly::write(&header, [&track.events], &mut bytes)
        .expect("texts are cut, so that a track in memory is far below four gigabytes");

    bytes
}

/// A track in the making.
struct Track<'a> {
    last: Time,
    events: Vec<TrackEvent<'a>>,
}

impl<'a> Track<'a> {
    /// Adds an event at a time not before the last.
    fn push(&mut self, at: Time, kind: TrackEventKind<'a>) {
        let at = at.clamp(self.last, LONGEST);
        let mut delta = (at - self.last).tenths();
        self.last = at;

        // A long silence is bridged by events that mean nothing.
        while delta > LONGEST_DELTA {
            let kind = TrackEventKind::Meta(MetaMessage::SequencerSpecific(&[]));
            self.events.push(TrackEvent {
                delta: u28::max_value(),
                kind,
            });
            delta -= LONGEST_DELTA;
        }

        let delta = u32::try_from(delta).map_or(u28::max_value(), u28::new);
        self.events.push(TrackEvent { delta, kind });
    }

    fn meta(&mut self, at: Time, meta: MetaMessage<'a>) {
        self.push(at, TrackEventKind::Meta(meta));
    }
}

/// Returns the words of an event that is written as a marker or text.
fn words(kind: &Kind) -> String {
    match kind {
        Kind::Item(number) => text::join("item", &number.to_string()),
        Kind::Answer(answer) => text::join("answer", answer),
        Kind::Hear => "hear".to_owned(),
        Kind::Sounded => "sounded".to_owned(),
        Kind::Added(extra) => text::join("added", &extra.to_string()),
        Kind::Void(reason) => text::join("void", reason),
        Kind::Stop(reason) => text::join("stop", reason),
        Kind::Down { .. } | Kind::Up { .. } | Kind::Pedal { .. } => String::new(),
    }
}

/// Translates an event.
fn kind<'a>(kind: &Kind, words: &'a [u8]) -> TrackEventKind<'a> {
    let channel = |message| TrackEventKind::Midi {
        channel: u4::new(0),
        message,
    };
    let data = |value: u8, least: u8| u7::new(value.clamp(least, 127));

    match *kind {
        Kind::Down { key, velocity } => channel(MidiMessage::NoteOn {
            key: data(key, 0),
            vel: data(velocity, 1),
        }),
        Kind::Up { key } => channel(MidiMessage::NoteOff {
            key: data(key, 0),
            vel: u7::new(RELEASE),
        }),
        Kind::Pedal { value } => {
            let controller = u7::new(super::read::PEDAL);
            channel(MidiMessage::Controller {
                controller,
                value: data(value, 0),
            })
        }
        Kind::Item(_) => TrackEventKind::Meta(MetaMessage::Marker(words)),
        Kind::Answer(_)
        | Kind::Hear
        | Kind::Sounded
        | Kind::Added(_)
        | Kind::Void(_)
        | Kind::Stop(_) => TrackEventKind::Meta(MetaMessage::Text(words)),
    }
}
