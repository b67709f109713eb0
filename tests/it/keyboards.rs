//! Keyboards, held against the tables of MIDI, and against real servers and independent players.

#[cfg(all(feature = "jack", target_os = "linux"))]
pub(crate) mod jack;

use std::path::PathBuf;

use viva_voicing::instruments::keyboard::Touch;
use viva_voicing::instruments::keyboard::decoder::Decoder;
use viva_voicing::time::Time;

fn decode(bytes: &[u8]) -> Vec<Touch> {
    let mut touches = Vec::new();
    Decoder::new(None, 0).take(0, Time::ZERO, bytes, &mut touches);
    touches.into_iter().map(|(_, touch)| touch).collect()
}

fn numbers(touches: &[Touch]) -> Vec<(u8, u8)> {
    touches
        .iter()
        .map(|touch| match touch {
            Touch::Down { key, velocity } => (key.number(), *velocity),
            Touch::Up { key } => (key.number(), 0),
            Touch::Pedal(value) => (255, *value),
        })
        .collect()
}

/// MIDI 1.0 Detailed Specification, table of messages (`midi_messages.csv`): whatever kind of
/// message comes first, its data are taken as its own, and the note after it is heard.
#[test]
fn every_kind_of_message_has_the_length_that_the_standard_gives() {
    let path: PathBuf = [
        env!("CARGO_MANIFEST_DIR"),
        "tests/fixtures/reference/midi_messages.csv",
    ]
    .iter()
    .collect();
    let mut kinds = 0;

    for row in csv::Reader::from_path(path)
        .expect("the table is there")
        .records()
    {
        let row = row.expect("the table is whole");
        let range: Vec<_> = row[1]
            .split('-')
            .map(|text| {
                u8::from_str_radix(text.trim_start_matches("0x"), 16).expect("a status byte")
            })
            .collect();
        let statuses = range[0]..=*range.last().expect("a range has an end");
        // A system exclusive message has any length; it ends by its own byte.
        let length = row[2].parse::<usize>().unwrap_or(40);

        for status in statuses {
            // Data that would be the pedal, were they taken for a control change.
            let mut bytes = vec![status];
            bytes.extend([64, 99].iter().cycle().take(length - 1));
            let meant: &[(u8, u8)] = match &row[0] {
                "note_on" => &[(64, 99)],
                "control_change" => &[(255, 99)],
                _ => &[],
            };
            assert_eq!(numbers(&decode(&bytes)), meant, "{}", &row[0]);

            bytes.extend([0x95, 60, 100]);
            let heard = decode(&bytes);
            assert_eq!(numbers(&heard)[meant.len()..], [(60, 100)], "{}", &row[0]);

            // Within a note, only real-time messages leave it as it is; a reset begins all anew.
            let within = [&[0x95, 60][..], &bytes[..length], &[100]].concat();
            let is_whole = numbers(&decode(&within)).contains(&(60, 100));
            let is_borne = &row[4] == "system real-time" && &row[0] != "reset";
            assert_eq!(is_whole, is_borne, "{}", &row[0]);
        }
        kinds += 1;
    }

    assert_eq!(kinds, 18);
}

/// Whether this computer has a MIDI service or none, both ways of asking say the same.
#[cfg(all(feature = "kiosk", not(feature = "jack")))]
#[test]
fn a_missing_service_is_a_fact_and_no_panic() {
    use std::time::{Duration, Instant};

    use viva_voicing::instruments::keyboard::{Fact, Keyboard as _, Preference};
    use viva_voicing::instruments::midi;

    let listed = midi::inputs();
    let nobody = Preference {
        name: Some("an instrument that nobody has".to_owned()),
        ..Preference::default()
    };
    let mut keyboard = midi::Keyboard::follow(nobody).expect("there is a thread left");
    let begun = Instant::now();
    let mut facts = Vec::new();

    while facts.is_empty() && begun.elapsed() < Duration::from_secs(3) {
        let now = Time::from_ms(begun.elapsed().as_millis() as i64);
        facts.extend(keyboard.poll(now).into_iter().map(|event| event.fact));
        std::thread::park_timeout(Duration::from_millis(5));
        if listed.is_ok() && begun.elapsed() > Duration::from_millis(200) {
            break;
        }
    }

    match listed {
        Ok(_) => assert_eq!(facts, []),
        Err(error) => {
            assert_eq!(error, midi::Error::NoService);
            assert_eq!(facts, [Fact::ServerGone]);
        }
    }
    assert!(!keyboard.is_there());
}
