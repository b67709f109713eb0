//! What is written, and that it is read as the same.

use proptest::prelude::*;

use super::*;
use crate::instruments::performance::text::trim;

#[test]
fn a_tick_that_is_written_is_a_tenth_of_a_millisecond() {
    let events = vec![
        Event {
            at: Time::ZERO,
            kind: Kind::Item(1),
        },
        Event {
            at: Time::from_tenths(3),
            kind: Kind::Down {
                key: 60,
                velocity: 9,
            },
        },
        Event {
            at: Time::from_tenths(130),
            kind: Kind::Up { key: 60 },
        },
        Event {
            at: Time::from_tenths(130),
            kind: Kind::Pedal { value: 64 },
        },
        Event {
            at: Time::from_tenths(131),
            kind: Kind::Answer(String::new()),
        },
    ];
    let form = Some("A-1".to_owned());
    let bytes = write(&Performance {
        events,
        form,
        ..Performance::default()
    });

    // Division 5000 = 0x1388; tempo 500,000 µs = 0x07A120.
    let expected = file(
        0,
        0x1388,
        &[&[
            &[0, 0xFF, 0x51, 3, 0x07, 0xA1, 0x20],
            &text(0, "form A-1"),
            ITEM,
            &[3, 0x90, 60, 9],
            &[127, 0x80, 60, 64],
            &[0, 0xB0, 64, 64],
            &text(1, "answer"),
        ]],
    );
    assert_eq!(bytes, expected);
}

#[test]
fn a_silence_longer_than_a_delta_time_is_written_in_parts() {
    let item = |tenths, number| Event {
        at: Time::from_tenths(tenths),
        kind: Kind::Item(number),
    };
    let delta = 0x0FFF_FFFF;
    let events = vec![
        item(delta, 1),
        item(2 * delta + 1, 2),
        item(LONGEST.tenths(), 3),
    ];
    let performance = Performance {
        events,
        ..Performance::default()
    };

    assert_eq!(read(&write(&performance)), Ok(performance));
}

#[test]
fn what_is_out_of_range_is_written_as_the_nearest_in_range() {
    let event = |at, kind| Event {
        at: Time::from_tenths(at),
        kind,
    };
    let events = vec![
        event(i64::MAX, Kind::Pedal { value: 255 }),
        event(i64::MIN, Kind::Item(1)),
        event(
            5,
            Kind::Down {
                key: 200,
                velocity: 0,
            },
        ),
    ];
    check(
        &write(&Performance {
            events,
            ..Performance::default()
        }),
        "0i1 5+127/1 864000000p127",
    );
}

/// Words as a file keeps them: no blanks around.
fn words() -> impl Strategy<Value = String> {
    ".{0,12}".prop_map(|words| trim(&words).to_owned())
}

fn kind() -> impl Strategy<Value = Kind> {
    prop_oneof![
        4 => (0..128_u8, 1..128_u8).prop_map(|(key, velocity)| Kind::Down { key, velocity }),
        4 => (0..128_u8).prop_map(|key| Kind::Up { key }),
        1 => (0..128_u8).prop_map(|value| Kind::Pedal { value }),
        1 => words().prop_map(Kind::Answer),
        1 => Just(Kind::Hear),
        1 => Just(Kind::Sounded),
        1 => (0..864_000_000_i64).prop_map(|extra| Kind::Added(Time::from_tenths(extra))),
        1 => words().prop_map(Kind::Void),
        1 => words().prop_map(Kind::Stop),
        2 => Just(Kind::Item(0)),
    ]
}

/// A performance whose items are numbered in order, after gaps of none to hours.
fn performance() -> impl Strategy<Value = Performance> {
    let gap = prop_oneof![3 => Just(0_i64), 6 => 0..20_000_i64, 1 => 0..30_000_000_i64];
    let name = || proptest::option::of(words().prop_filter("named", |name| !name.is_empty()));

    (
        proptest::collection::vec((gap, kind()), 0..24),
        name(),
        name(),
    )
        .prop_map(|(rows, form, exam)| {
            let mut events = vec![Event {
                at: Time::ZERO,
                kind: Kind::Item(1),
            }];
            let (mut at, mut item) = (Time::ZERO, 1);
            for (gap, mut kind) in rows {
                at += Time::from_tenths(gap);
                if let Kind::Item(number) = &mut kind {
                    item += 1;
                    *number = item;
                    // Keys at the very time of a marker come after it.
                    at += Time::from_tenths(1);
                }
                events.push(Event { at, kind });
            }
            Performance {
                events,
                form,
                exam,
                notes: Vec::new(),
            }
        })
}

proptest! {
    #[test]
    fn reading_what_was_written_gives_the_same(performance in performance()) {
        prop_assert_eq!(read(&write(&performance)), Ok(performance));
    }

    #[test]
    fn any_file_that_can_be_read_is_the_same_once_written(
        division in prop_oneof![1..0x8000_u16, Just(0xE728), Just(0xE350)],
        rows in proptest::collection::vec((0..3_usize, 0..4_u8, 0..9_usize), 0..40),
    ) {
        let mut tracks = [ITEM.to_vec(), Vec::new(), Vec::new()];
        for (item, (track, delta, what)) in rows.into_iter().enumerate() {
            let event = match what {
                0 => marker(delta, &format!("item {}", item + 2)),
                1 => text(delta, "answer x"),
                2 => text(delta, "void"),
                3 => text(delta, "hear"),
                4 => [delta, 0xB0, 64, 1].to_vec(),
                5 | 6 => [delta, 0x90, 60, 1].to_vec(),
                _ => [delta, 0x80, 60, 1].to_vec(),
            };
            tracks[track].extend(event);
        }
        let tracks: Vec<[&[u8]; 1]> = tracks.iter().map(|track| [&track[..]]).collect();
        let tracks: Vec<&[&[u8]]> = tracks.iter().map(|track| &track[..]).collect();

        if let Ok(first) = read(&file(1, division, &tracks)) {
            let again = read(&write(&first));
            prop_assert_eq!(again.map(|again| again.events), Ok(first.events));
        }
    }

    #[test]
    fn no_bytes_make_it_panic(
        tail in proptest::collection::vec(any::<u8>(), 0..200),
        format in 0..2_u8,
    ) {
        let start = [b"MThd\0\0\0\x06\0", &[format][..], b"\0\x01"].concat();
        let _ = read(&[&start[..], &tail].concat());
        let _ = read(&single(&[ITEM, &tail]));
        let _ = read(&tail);
    }
}
