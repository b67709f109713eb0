//! Performance files of an independent writer, and tables of the MIDI standards.
//!
//! `tests/fixtures/performances/make.py` writes the files with mido 1.3.3, and says in
//! `expected.csv` what they hold.

use std::path::PathBuf;

use viva_voicing::instruments::performance::{self, Error, Kind, Performance, read, write};
use viva_voicing::time::Time;

fn fixture(name: &str) -> PathBuf {
    [env!("CARGO_MANIFEST_DIR"), "tests", "fixtures", name]
        .iter()
        .collect()
}

fn bytes(name: &str) -> Vec<u8> {
    std::fs::read(fixture(name)).expect("the fixture is there")
}

fn table(name: &str) -> Vec<csv::StringRecord> {
    csv::Reader::from_path(fixture(name))
        .expect("the table is there")
        .records()
        .map(|row| row.expect("the table is whole"))
        .collect()
}

/// Every performance file with its name, in order of name.
fn files() -> Vec<(String, Vec<u8>)> {
    let mut files: Vec<_> = std::fs::read_dir(fixture("performances"))
        .expect("the folder is there")
        .map(|entry| entry.expect("the folder can be listed").path())
        .filter(|path| path.extension().is_some_and(|extension| extension == "mid"))
        .map(|path| {
            let name = path
                .file_stem()
                .expect("a file has a name")
                .display()
                .to_string();
            (name, std::fs::read(path).expect("the file can be read"))
        })
        .collect();
    files.sort();
    assert_eq!(files.len(), 11);
    files
}

/// The events as `expected.csv` writes them.
fn rows(name: &str, performance: &Performance) -> Vec<[String; 4]> {
    let row = |event: &performance::Event| {
        let (word, value) = match &event.kind {
            Kind::Down { key, velocity } => ("down", format!("{key} {velocity}")),
            Kind::Up { key } => ("up", key.to_string()),
            Kind::Pedal { value } => ("pedal", value.to_string()),
            Kind::Item(number) => ("item", number.to_string()),
            Kind::Answer(answer) => ("answer", answer.clone()),
            Kind::Hear => ("hear", String::new()),
            Kind::Sounded => ("sounded", String::new()),
            Kind::Added(extra) => ("added", extra.to_string()),
            Kind::Void(reason) => ("void", reason.clone()),
            Kind::Stop(reason) => ("stop", reason.clone()),
        };
        [
            name.to_owned(),
            event.at.to_string(),
            word.to_owned(),
            value,
        ]
    };
    performance.events.iter().map(row).collect()
}

/// A file of format 1 with the marker `item 1` on a track of its own, and these track chunks.
fn with_item(division: u16, tracks: &[&[u8]]) -> Vec<u8> {
    let count = u16::try_from(tracks.len() + 1).expect("a handful of tracks");
    let header = [1, count, division].map(u16::to_be_bytes).concat();
    let marker = b"MTrk\0\0\0\x0E\0\xFF\x06\x06item 1\0\xFF\x2F\0";
    [b"MThd\0\0\0\x06", &header[..], marker, &tracks.concat()].concat()
}

fn track(events: &[u8]) -> Vec<u8> {
    let length = u32::try_from(events.len() + 4)
        .expect("a handful of bytes")
        .to_be_bytes();
    [b"MTrk", &length[..], events, b"\0\xFF\x2F\0"].concat()
}

#[test]
fn files_of_an_independent_writer_hold_what_it_says() {
    let expected = table("performances/expected.csv");

    for (name, bytes) in files() {
        let mut expected: Vec<[String; 4]> = expected
            .iter()
            .filter(|row| row[0] == name)
            .map(|row| [0, 1, 2, 3].map(|column| row[column].to_owned()))
            .collect();
        let mut found = rows(&name, &read(&bytes).unwrap());

        assert!(!expected.is_empty(), "{name}");
        expected.sort();
        found.sort();
        assert_eq!(found, expected);
    }
}

#[test]
fn a_file_names_its_exam_and_form() {
    let performance = read(&bytes("performances/format_0_division_120.mid")).unwrap();

    assert_eq!(
        performance.exam.as_deref(),
        Some("Shells in the cycle of fourths")
    );
    assert_eq!(performance.form.as_deref(), Some("AB-17"));
    assert_eq!(performance.notes, [""; 0]);
}

#[test]
fn what_a_file_holds_beside_the_performance_is_noted() {
    let performance = read(&bytes("performances/all_that_is_ignored.mid")).unwrap();

    assert_eq!(
        performance.notes,
        [
            "track 1: the marker \"verse\" is ignored",
            "track 1: the text \"a remark\" is ignored",
            "messages that are neither notes nor pedal, ignored: 6",
        ]
    );
}

#[test]
fn files_are_in_order_of_time_and_the_same_once_written() {
    for (name, bytes) in files() {
        let first = read(&bytes).unwrap();
        assert!(first.events.is_sorted_by_key(|event| event.at), "{name}");

        let again = read(&write(&first)).unwrap();
        assert_eq!(
            again,
            Performance {
                notes: Vec::new(),
                ..first
            },
            "{name}"
        );
    }
}

#[test]
fn a_file_cut_at_any_byte_is_refused() {
    for (name, bytes) in files() {
        for end in 0..bytes.len() {
            assert!(read(&bytes[..end]).is_err(), "{name} cut at {end}");
        }
    }
}

#[test]
fn a_file_with_any_byte_changed_is_read_or_refused() {
    let (mut read_all_the_same, mut refused) = (0, 0);

    for (_, bytes) in files() {
        for at in 0..bytes.len() {
            let old = bytes[at];
            for new in [
                0x00,
                0x7F,
                0x80,
                0xFF,
                !old,
                old ^ 1,
                old ^ 0x10,
                old.wrapping_add(1),
            ] {
                let mut changed = bytes.clone();
                changed[at] = new;
                match read(&changed) {
                    Ok(performance) => {
                        read_all_the_same += 1;
                        assert!(read(&write(&performance)).is_ok());
                    }
                    Err(error) => {
                        refused += 1;
                        assert!(!error.to_string().contains('\n'));
                    }
                }
            }
        }
    }

    assert!(read_all_the_same > 1_000 && refused > 1_000);
}

/// Standard MIDI Files 1.0, table of variable-length quantities.
#[test]
fn delta_times_are_those_of_the_standard() {
    for row in table("reference/smf_vlq.csv") {
        let value: i64 = row[0].parse().unwrap();
        let delta: Vec<u8> = row[1]
            .split(' ')
            .map(|byte| u8::from_str_radix(byte, 16).unwrap())
            .collect();

        // Read: at division 5000 a tick is a tenth of a millisecond.
        let note = track(&[&delta, &[0x90, 60, 64][..]].concat());
        let read = read(&with_item(5_000, &[&note])).unwrap();
        assert_eq!(read.events[1].at, Time::from_tenths(value), "{}", &row[1]);

        // Written.
        let events = vec![
            performance::Event {
                at: Time::ZERO,
                kind: Kind::Item(1),
            },
            performance::Event {
                at: Time::from_tenths(value),
                kind: Kind::Pedal { value: 1 },
            },
        ];
        let written = write(&Performance {
            events,
            ..Performance::default()
        });
        let tail = [b"item 1", &delta[..], &[0xB0, 64, 1], b"\0\xFF\x2F\0"].concat();
        assert!(written.ends_with(&tail), "{value}");
    }
}

/// MIDI 1.0, table of messages. None but notes and pedal counts, and each has its length: what
/// follows it is found.
#[test]
fn every_message_of_the_standard_has_its_length() {
    for row in table("reference/midi_messages.csv") {
        let (first, last) = row[1].split_once('-').unwrap_or((&row[1], &row[1]));
        let [first, last] = [first, last]
            .map(|status| u8::from_str_radix(status.trim_start_matches("0x"), 16).unwrap());

        for status in first..=last {
            let message = match (status, row[2].parse::<usize>()) {
                // FF is a meta event in a file, not a reset; F0 gives its length.
                (0xFF, _) => continue,
                (0xF0, _) => vec![status, 3, 1, 2, 0xF7],
                (_, Ok(length)) => [&[status][..], &[64, 77][..length - 1]].concat(),
                (_, Err(error)) => panic!("{}: {error}", &row[0]),
            };
            let events = [&[1], &message[..], &[1, 0x9F, 62, 9]].concat();
            let read = read(&with_item(5_000, &[&track(&events)])).unwrap();
            let mut kinds = read.events.into_iter().skip(1).map(|event| event.kind);

            let own = match &row[0] {
                "note_off" => Some(Kind::Up { key: 64 }),
                "note_on" => Some(Kind::Down {
                    key: 64,
                    velocity: 77,
                }),
                "control_change" => Some(Kind::Pedal { value: 77 }),
                _ => None,
            };
            if own.is_some() {
                assert_eq!(kinds.next(), own, "{status:#x}");
            }
            assert_eq!(
                kinds.next(),
                Some(Kind::Down {
                    key: 62,
                    velocity: 9
                }),
                "{status:#x}"
            );
            assert_eq!(kinds.next(), None, "{status:#x}");
        }
    }
}

/// A file written by a reference library: a C major triad in running status, division 480.
#[test]
fn a_triad_in_running_status_is_read() {
    let triad = bytes("reference/running_status_triad.mid");
    assert_eq!(read(&triad), Err(Error::NoItem));

    let performance = read(&with_item(480, &[&triad[14..]])).unwrap();
    let found: Vec<_> = rows("", &performance)
        .into_iter()
        .map(|row| row[1..].join(" "))
        .collect();
    assert_eq!(
        found,
        [
            "0.0 item 1",
            "0.0 down 60 64",
            "0.0 down 64 64",
            "0.0 down 67 64",
            "500.0 up 60",
            "500.0 up 64",
            "500.0 up 67",
        ]
    );
}
