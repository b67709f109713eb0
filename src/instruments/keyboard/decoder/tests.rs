//! Bytes in, touches out, against the tables of MIDI and an independent encoder.

use midly::live::LiveEvent;
use midly::{MidiMessage, num::u4, num::u7};
use proptest::prelude::*;

use super::*;

fn ms(ms: i64) -> Time {
    Time::from_ms(ms)
}

fn key(number: u8) -> Key {
    Key::new(i64::from(number)).expect("the test names a key")
}

fn down(number: u8, velocity: u8) -> Touch {
    let key = key(number);
    Touch::Down { key, velocity }
}

fn up(number: u8) -> Touch {
    Touch::Up { key: key(number) }
}

fn take(decoder: &mut Decoder, driver_us: u64, arrived: Time, bytes: &[u8]) -> Vec<(Time, Touch)> {
    let mut into = Vec::new();
    decoder.take(driver_us, arrived, bytes, &mut into);
    into
}

fn decode_with(decoder: &mut Decoder, bytes: &[u8]) -> Vec<Touch> {
    take(decoder, 0, Time::ZERO, bytes)
        .into_iter()
        .map(|(_, touch)| touch)
        .collect()
}

fn check(bytes: &[u8], expected: &[Touch]) {
    let found = decode_with(&mut Decoder::new(None, 0), bytes);
    assert_eq!(found, expected, "{bytes:02X?}");
}

/// MIDI 1.0 Detailed Specification, channel voice messages.
#[test]
fn notes_go_down_and_up() {
    check(&[0x90, 60, 100], &[down(60, 100)]);
    check(&[0x9F, 127, 1], &[down(127, 1)]);
    check(&[0x90, 0, 127], &[down(0, 127)]);
    check(&[0x90, 60, 100, 0x80, 60, 64], &[down(60, 100), up(60)]);
    check(&[0x90, 60, 100, 0x90, 60, 0], &[down(60, 100), up(60)]);
    check(&[0x80, 60, 64], &[]);
    check(&[0x90, 60, 0], &[]);
}

/// MIDI 1.0 Detailed Specification, running status.
#[test]
fn running_status_lasts_until_a_system_message() {
    check(
        &[0x90, 60, 100, 64, 90, 60, 0, 64, 0],
        &[down(60, 100), down(64, 90), up(60), up(64)],
    );
    check(&[0x90, 60, 100, 0xF6, 64, 90], &[down(60, 100)]);
    check(&[0x90, 60, 100, 0xF2, 1, 2, 64, 90], &[down(60, 100)]);
    check(
        &[0x90, 60, 100, 0xF0, 1, 2, 3, 4, 0xF7, 64, 90],
        &[down(60, 100)],
    );
    check(&[60, 100, 64, 90], &[]);
    check(&[0xC0, 5, 6, 7, 0x90, 60, 100], &[down(60, 100)]);
    check(&[0xD0, 5, 0x90, 60, 100], &[down(60, 100)]);
}

/// MIDI 1.0 Detailed Specification, system real-time messages.
#[test]
fn real_time_bytes_may_stand_anywhere() {
    check(
        &[0xF8, 0x90, 0xFE, 60, 0xFA, 100, 0xFC, 64, 0xF8, 90],
        &[down(60, 100), down(64, 90)],
    );
    check(&[0xF9, 0x90, 60, 0xFD, 100], &[down(60, 100)]);
}

#[test]
fn messages_may_come_in_pieces() {
    let mut decoder = Decoder::new(None, 0);
    let found: Vec<_> = [0x90, 60, 100, 64, 90]
        .chunks(1)
        .flat_map(|piece| decode_with(&mut decoder, piece))
        .collect();
    assert_eq!(found, [down(60, 100), down(64, 90)]);
    // A torn message is not made whole by the next one.
    assert_eq!(decode_with(&mut decoder, &[0x90, 67]), []);
    assert_eq!(decode_with(&mut decoder, &[0x80, 60, 64]), [up(60)]);
}

#[test]
fn a_key_struck_again_goes_down_again_and_comes_up_once() {
    check(
        &[0x90, 60, 100, 60, 90, 60, 0, 60, 0],
        &[down(60, 100), down(60, 90), up(60)],
    );
}

#[test]
fn a_key_down_on_two_channels_comes_up_with_the_last() {
    check(
        &[0x90, 60, 100, 0x91, 60, 90, 0x80, 60, 0, 0x81, 60, 0],
        &[down(60, 100), down(60, 90), up(60)],
    );
}

/// MIDI 1.0 Detailed Specification, channel mode messages.
#[test]
fn mode_messages_release_what_is_down_on_their_channel() {
    for control in [120, 123, 124, 125, 126, 127] {
        check(
            &[0x90, 60, 100, 64, 90, 0x91, 67, 80, 0xB0, control, 0],
            &[down(60, 100), down(64, 90), down(67, 80), up(60), up(64)],
        );
    }
    for control in [0, 1, 7, 65, 66, 67, 119, 122] {
        check(&[0x90, 60, 100, 0xB0, control, 0], &[down(60, 100)]);
    }
    check(
        &[0xB0, 64, 127, 0x90, 60, 100, 0xB0, 121, 0],
        &[Touch::Pedal(127), down(60, 100), up(60), Touch::Pedal(0)],
    );
    check(
        &[0xB0, 64, 9, 0x90, 60, 100, 0x91, 61, 9, 0xFF, 62, 9],
        &[
            Touch::Pedal(9),
            down(60, 100),
            down(61, 9),
            up(60),
            up(61),
            Touch::Pedal(0),
        ],
    );
}

#[test]
fn the_pedal_is_told_when_it_moves() {
    check(
        &[0xB0, 64, 0, 64, 63, 64, 64, 64, 64, 64, 127, 64, 0],
        &[63, 64, 127, 0].map(Touch::Pedal),
    );
}

#[test]
fn only_the_channel_asked_for_is_heard() {
    let bytes = [0x90, 60, 100, 0x91, 61, 100, 0xB1, 64, 127, 0x9F, 62, 100];
    let heard = |channel| decode_with(&mut Decoder::new(Some(channel), 0), &bytes);
    assert_eq!(heard(1), [down(60, 100)]);
    assert_eq!(heard(2), [down(61, 100), Touch::Pedal(127)]);
    assert_eq!(heard(16), [down(62, 100)]);
    assert_eq!(heard(3), []);
    assert_eq!(heard(0), []);
    assert_eq!(heard(17), []);
}

#[test]
fn keys_are_moved_and_dropped_where_there_are_none() {
    let mut decoder = Decoder::new(None, 12);
    assert_eq!(
        decode_with(&mut decoder, &[0x90, 60, 100, 115, 9, 116, 9, 127, 9]),
        [down(72, 100), down(127, 9)]
    );
    assert_eq!(decoder.out_of_range(), 2);
    assert!(decoder.holds(key(72)));
    assert!(!decoder.holds(key(60)));
    assert_eq!(
        decode_with(&mut decoder, &[0x80, 60, 0, 116, 0, 115, 0]),
        [up(72), up(127)]
    );

    let mut decoder = Decoder::new(None, -128);
    assert_eq!(decode_with(&mut decoder, &[0x90, 127, 100]), []);
    assert_eq!(decoder.out_of_range(), 1);
}

#[test]
fn what_is_lost_is_released_once() {
    let mut decoder = Decoder::new(None, -1);
    let _ = decode_with(&mut decoder, &[0x90, 60, 100, 64, 9, 0xB0, 64, 127, 0x90]);
    let mut released = Vec::new();
    decoder.release(&mut released);
    assert_eq!(released, [up(59), up(63), Touch::Pedal(0)]);
    decoder.release(&mut released);
    assert_eq!(released.len(), 3);
    // The torn message before the loss is forgotten too, and so is running status.
    assert_eq!(decode_with(&mut decoder, &[60, 100]), []);
    assert_eq!(decode_with(&mut decoder, &[0x80, 60, 0]), []);
}

#[test]
fn a_cable_that_never_said_that_it_is_alive_is_never_silent() {
    let mut decoder = Decoder::new(None, 0);
    let _ = take(&mut decoder, 0, ms(0), &[0x90, 60, 100]);
    assert!(!decoder.is_silent(ms(100_000)));
}

#[test]
fn a_cable_that_stops_saying_that_it_is_alive_is_silent() {
    let mut decoder = Decoder::new(None, 0);
    let _ = take(&mut decoder, 0, ms(1000), &[0xFE]);
    assert!(!decoder.is_silent(ms(1000)));
    assert!(!decoder.is_silent(ms(1400)));
    assert!(decoder.is_silent(Time::from_tenths(14_001)));
    // Any other message is as good.
    let _ = take(&mut decoder, 390_000, ms(1390), &[0x90, 60, 100]);
    assert!(!decoder.is_silent(ms(1790)));
    assert!(decoder.is_silent(ms(1791)));
}

#[test]
fn the_first_event_lies_at_its_arrival_and_the_driver_counts_from_there() {
    let mut decoder = Decoder::new(None, 0);
    let mut at = |us, arrived| take(&mut decoder, us, arrived, &[0x90, 60, 100])[0].0;
    assert_eq!(at(9_000_000, ms(50)), ms(50));
    // Polled late: the driver knows better.
    assert_eq!(at(9_010_000, ms(90)), ms(60));
    assert_eq!(at(9_010_100, ms(90)), Time::from_tenths(601));
    // Quicker than the first: the first was slow by 4 ms.
    assert_eq!(at(9_060_000, ms(106)), ms(106));
    assert_eq!(at(9_070_000, ms(120)), ms(116));
}

#[test]
fn times_never_run_backwards() {
    let mut decoder = Decoder::new(None, 0);
    let mut at = |us, arrived| take(&mut decoder, us, arrived, &[0x90, 60, 100])[0].0;
    assert_eq!(at(1_000_000, ms(50)), ms(50));
    assert_eq!(at(999_000, ms(51)), ms(50));
    // Its clock begins anew, far behind: it is taken up afresh.
    assert_eq!(at(0, ms(700)), ms(700));
    assert_eq!(at(10_000, ms(712)), ms(710));
    // Its clock jumps ahead.
    assert_eq!(at(u64::MAX, ms(713)), ms(713));
    assert_eq!(at(0, ms(714)), ms(714));
}

#[test]
fn a_burst_of_a_thousand_events_in_ten_milliseconds_loses_none() {
    let mut decoder = Decoder::new(None, 0);
    let mut found = Vec::new();
    for number in 0..1000u64 {
        let raw = 21 + (number / 2 % 88) as u8;
        let velocity = if number % 2 == 0 {
            1 + (number % 127) as u8
        } else {
            0
        };
        let arrived = Time::from_tenths(500 + number as i64 / 10);
        decoder.take(number * 10, arrived, &[0x90, raw, velocity], &mut found);
    }
    assert_eq!(found.len(), 1000);
    assert!(found.is_sorted_by_key(|(at, _)| *at));
    assert_eq!(found[0].0, ms(50));
    assert_eq!(found[999].0, Time::from_tenths(599));
    for (place, (_, touch)) in found.iter().enumerate() {
        let raw = 21 + (place / 2 % 88) as u8;
        let expected = if place % 2 == 0 {
            down(raw, 1 + (place % 127) as u8)
        } else {
            up(raw)
        };
        assert_eq!(*touch, expected);
    }
}

/// A note as midly 0.5, an independent reader and writer of MIDI, means it.
fn meant(event: &LiveEvent<'_>) -> Option<Touch> {
    let LiveEvent::Midi { message, .. } = event else {
        return None;
    };

    match message {
        MidiMessage::NoteOn { key, vel } if vel.as_int() > 0 => {
            Some(down(key.as_int(), vel.as_int()))
        }
        MidiMessage::NoteOn { key, .. } | MidiMessage::NoteOff { key, .. } => {
            Some(up(key.as_int()))
        }
        MidiMessage::Controller { controller, value } if controller.as_int() == 64 => {
            Some(Touch::Pedal(value.as_int()))
        }
        _ => None,
    }
}

fn channel_message() -> impl Strategy<Value = LiveEvent<'static>> {
    (0u8..16, 0u8..7, 0u8..128, 0u8..128).prop_map(|(channel, kind, first, second)| {
        let (first, second) = (u7::new(first), u7::new(second));
        let message = match kind {
            0 | 1 => MidiMessage::NoteOn {
                key: first,
                vel: second,
            },
            2 => MidiMessage::NoteOff {
                key: first,
                vel: second,
            },
            3 => MidiMessage::Aftertouch {
                key: first,
                vel: second,
            },
            4 => MidiMessage::Controller {
                controller: u7::new(first.as_int() % 120),
                value: second,
            },
            5 => MidiMessage::ProgramChange { program: first },
            _ => MidiMessage::ChannelAftertouch { vel: first },
        };
        LiveEvent::Midi {
            channel: u4::new(channel),
            message,
        }
    })
}

proptest! {
    #[test]
    fn any_bytes_at_any_times_are_borne(
        pieces in prop::collection::vec((any::<u64>(), any::<i64>(), prop::collection::vec(any::<u8>(), 0..24)), 0..40),
        channel in prop::option::of(any::<u8>()),
        transpose in any::<i8>(),
    ) {
        let mut decoder = Decoder::new(channel, transpose);
        let mut found = Vec::new();
        let mut arrived = Time::from_tenths(i64::MIN);
        let mut held = [false; 128];

        for (driver_us, tenths, bytes) in pieces {
            arrived = arrived.max(Time::from_tenths(tenths));
            let before = found.len();
            decoder.take(driver_us, arrived, &bytes, &mut found);
            for (at, _) in &found[before..] {
                prop_assert!(*at <= arrived);
            }
            let _ = decoder.is_silent(arrived);
        }
        prop_assert!(found.is_sorted_by_key(|(at, _)| *at));

        let mut touches: Vec<_> = found.into_iter().map(|(_, touch)| touch).collect();
        decoder.release(&mut touches);
        for touch in touches {
            match touch {
                Touch::Down { key, velocity } => {
                    prop_assert!((1..128).contains(&velocity));
                    held[usize::from(key.number())] = true;
                }
                Touch::Up { key } => {
                    prop_assert!(std::mem::replace(&mut held[usize::from(key.number())], false));
                }
                Touch::Pedal(value) => prop_assert!(value < 128),
            }
        }
        prop_assert!(!held.contains(&true));
    }

    #[test]
    fn real_time_bytes_and_cuts_change_nothing(
        bytes in prop::collection::vec(any::<u8>(), 0..200),
        extra in prop::collection::vec((any::<prop::sample::Index>(), 0xF8u8..0xFF), 0..20),
        cut in 1usize..9,
    ) {
        let whole = decode_with(&mut Decoder::new(None, 0), &bytes);
        let mut strewn = bytes.clone();
        for (place, byte) in extra {
            strewn.insert(place.index(strewn.len() + 1), byte);
        }
        let mut decoder = Decoder::new(None, 0);
        let pieces: Vec<_> = strewn.chunks(cut).flat_map(|piece| decode_with(&mut decoder, piece)).collect();
        prop_assert_eq!(whole, pieces);
    }

    /// Any file of channel messages written by midly, with or without running status, is read as
    /// midly means it.
    #[test]
    fn another_library_means_the_same(messages in prop::collection::vec(channel_message(), 0..60), running in any::<bool>()) {
        let mut bytes = Vec::new();
        let mut status = None;
        for message in &messages {
            let from = bytes.len();
            message.write_std(&mut bytes).expect("memory takes it");
            if running && status == Some(bytes[from]) {
                let _ = bytes.remove(from);
            } else {
                status = Some(bytes[from]);
            }
        }

        let mut holding = [[false; 16]; 128];
        let mut pedal = 0;
        let expected: Vec<_> = messages
            .iter()
            .filter_map(|message| {
                let LiveEvent::Midi { channel, .. } = message else { return None };
                let touch = meant(message)?;
                let is_told = match touch {
                    Touch::Down { key, .. } => {
                        holding[usize::from(key.number())][usize::from(channel.as_int())] = true;
                        true
                    }
                    Touch::Up { key } => {
                        let channels = &mut holding[usize::from(key.number())];
                        let was = channels.contains(&true);
                        channels[usize::from(channel.as_int())] = false;
                        was && !channels.contains(&true)
                    }
                    Touch::Pedal(value) => std::mem::replace(&mut pedal, value) != value,
                };
                is_told.then_some(touch)
            })
            .collect();
        prop_assert_eq!(decode_with(&mut Decoder::new(None, 0), &bytes), expected);
    }
}
