//! Small files made byte by byte: what each part of the standard means, and every error.

use proptest::prelude::*;

use super::read::read_within;
use super::*;

/// A track's bytes with an end-of-track event.
fn ended(events: &[&[u8]]) -> Vec<u8> {
    [&events.concat(), &[0x00, 0xFF, 0x2F, 0x00][..]].concat()
}

/// A chunk.
fn chunk(name: &[u8; 4], data: &[u8]) -> Vec<u8> {
    let length = u32::try_from(data.len()).unwrap();
    [name, &length.to_be_bytes()[..], data].concat()
}

/// A file of these tracks, each without its end.
fn file(format: u16, division: u16, tracks: &[&[&[u8]]]) -> Vec<u8> {
    let count = u16::try_from(tracks.len()).unwrap();
    let header = [format, count, division].map(u16::to_be_bytes).concat();
    let tracks = tracks.iter().map(|events| chunk(b"MTrk", &ended(events)));
    [chunk(b"MThd", &header)]
        .into_iter()
        .chain(tracks)
        .collect::<Vec<_>>()
        .concat()
}

/// A file of one track whose tick is a tenth of a millisecond.
fn single(events: &[&[u8]]) -> Vec<u8> {
    file(0, 5_000, &[events])
}

/// A meta event of a delta below 128.
fn meta(delta: u8, kind: u8, words: &str) -> Vec<u8> {
    let length = u8::try_from(words.len()).unwrap();
    [&[delta, 0xFF, kind, length], words.as_bytes()].concat()
}

fn marker(delta: u8, words: &str) -> Vec<u8> {
    meta(delta, 0x06, words)
}

fn text(delta: u8, words: &str) -> Vec<u8> {
    meta(delta, 0x01, words)
}

const ITEM: &[u8] = b"\x00\xFF\x06\x06item 1";

/// The events in short: time in tenths and what.
fn short(performance: &Performance) -> String {
    let one = |event: &Event| {
        let at = event.at.tenths();
        match &event.kind {
            Kind::Down { key, velocity } => format!("{at}+{key}/{velocity}"),
            Kind::Up { key } => format!("{at}-{key}"),
            Kind::Pedal { value } => format!("{at}p{value}"),
            Kind::Item(number) => format!("{at}i{number}"),
            Kind::Answer(answer) => format!("{at}a[{answer}]"),
            Kind::Hear => format!("{at}h"),
            Kind::Void(reason) => format!("{at}v[{reason}]"),
            Kind::Stop(reason) => format!("{at}s[{reason}]"),
        }
    };
    performance
        .events
        .iter()
        .map(one)
        .collect::<Vec<_>>()
        .join(" ")
}

fn check(bytes: &[u8], expected: &str) {
    assert_eq!(short(&read(bytes).unwrap()), expected);
}

fn check_error(bytes: &[u8], expected: &str) {
    let error = read(bytes).unwrap_err().to_string();
    assert!(
        error.contains(expected),
        "expected `{expected}` in `{error}`"
    );
    assert!(!error.contains('\n') && !error.ends_with('.'), "{error}");
}

fn check_notes(bytes: &[u8], expected: &[&str]) {
    assert_eq!(read(bytes).unwrap().notes, expected);
}

#[test]
fn notes_on_any_channel_are_the_hands() {
    check(
        &single(&[
            ITEM,
            &[1, 0x93, 60, 5],
            &[1, 0x8F, 60, 64],
            &[2, 0x90, 61, 1],
            &[0, 61, 0],
        ]),
        "0i1 1+60/5 2-60 4+61/1 4-61",
    );
}

#[test]
fn control_change_64_alone_is_the_pedal() {
    check(
        &single(&[ITEM, &[1, 0xB2, 64, 127], &[1, 66, 127], &[1, 64, 0]]),
        "0i1 1p127 3p0",
    );
}

#[test]
fn texts_say_what_the_candidate_and_the_invigilator_did() {
    check(
        &single(&[
            ITEM,
            &text(1, "answer  B\u{266d} maj7 \0"),
            &text(1, "Answer"),
            &text(1, "HEAR"),
            &text(1, "void power cut"),
            &text(1, "stop pain in the wrist"),
        ]),
        "0i1 1a[B\u{266d} maj7] 2a[] 3h 4v[power cut] 5s[pain in the wrist]",
    );
}

#[test]
fn form_and_exam_are_named_once() {
    let bytes = single(&[
        &text(0, "form AB-1"),
        &text(0, "exam Shells, all keys"),
        ITEM,
        &text(9, "form AB-1"),
        &text(9, "form CD-2"),
    ]);
    let performance = read(&bytes).unwrap();

    assert_eq!(performance.form.as_deref(), Some("AB-1"));
    assert_eq!(performance.exam.as_deref(), Some("Shells, all keys"));
    assert_eq!(
        performance.notes,
        ["track 1: the text \"form CD-2\" is ignored; \"AB-1\" came first"]
    );
}

#[test]
fn a_text_that_is_no_utf_8_is_latin_1() {
    check(
        &single(&[ITEM, b"\x01\xFF\x01\x09answer r\xE9"]),
        "0i1 1a[r\u{e9}]",
    );
}

#[test]
fn a_marker_comes_before_what_is_struck_at_its_tick() {
    // In its own track and across tracks, wherever it stands.
    check(
        &single(&[&[5, 0x90, 60, 9], &marker(0, "item 1")]),
        "5i1 5+60/9",
    );
    check(
        &file(1, 5_000, &[&[&[5, 0x90, 60, 9]], &[&marker(5, "item 1")]]),
        "5i1 5+60/9",
    );
    check(
        &file(
            1,
            5_000,
            &[&[&text(5, "answer m7")], &[&marker(5, "item 1")]],
        ),
        "5i1 5a[m7]",
    );
}

#[test]
fn an_answer_that_brings_on_the_next_prompt_stays_before_it() {
    check(
        &single(&[
            ITEM,
            &text(7, "answer m7"),
            &[0, 0x90, 60, 9],
            &marker(0, "item 2"),
        ]),
        "0i1 7a[m7] 7i2 7+60/9",
    );
    check(
        &single(&[
            ITEM,
            &text(7, "void noise"),
            &marker(0, "item 2"),
            &text(0, "hear"),
        ]),
        "0i1 7v[noise] 7i2 7h",
    );
}

#[test]
fn at_one_tick_keys_of_any_track_go_up_before_others_go_down() {
    check(
        &file(
            1,
            5_000,
            &[
                &[ITEM, &text(9, "hear")],
                &[&[9, 0x90, 60, 9]],
                &[&[1, 0x90, 60, 8], &[8, 60, 0], &[0, 62, 7]],
            ],
        ),
        "0i1 1+60/8 9-60 9+60/9 9+62/7 9h",
    );
}

#[test]
fn a_track_keeps_its_own_order_at_one_tick() {
    // A note of no length goes down and up again, and is not left sounding.
    check(
        &single(&[
            ITEM,
            &[9, 0x90, 60, 9],
            &[0, 60, 0],
            &text(0, "hear"),
            &[0, 0x90, 60, 8],
        ]),
        "0i1 9+60/9 9-60 9h 9+60/8",
    );
}

#[test]
fn times_are_rounded_once_from_the_exact_time() {
    // 480 ticks a quarter note of half a second are 10.41666… tenths each: rounding every step
    // would lose 41.7 ms over a hundred of them.
    let step: &[u8] = &[1, 0x90, 60, 9];
    let mut events = vec![ITEM];
    events.resize(1_001, step);
    let last = read(&file(0, 480, &[&events]))
        .unwrap()
        .events
        .pop()
        .unwrap();
    assert_eq!(last.at, Time::from_tenths(10_417));

    // Halves go up: three ticks of 2.5 tenths.
    check(
        &file(0, 2_000, &[&[ITEM, &[1, 0x90, 60, 9], &[2, 60, 0]]]),
        "0i1 3+60/9 8-60",
    );
}

#[test]
fn tempo_changes_count_from_their_tick_on_whatever_track_they_are_on() {
    let slow: &[u8] = &[10, 0xFF, 0x51, 3, 0x0F, 0x42, 0x40]; // 1,000,000 µs
    let fast: &[u8] = &[10, 0xFF, 0x51, 3, 0x03, 0xD0, 0x90]; // 250,000 µs
    let keys: &[&[u8]] = &[&[10, 0x90, 60, 9], &[1, 61, 9], &[9, 62, 9], &[2, 63, 9]];
    let expected = "0i1 10+60/9 12+61/9 30+62/9 31+63/9";

    check(&file(1, 5_000, &[&[ITEM, slow, fast], keys]), expected);
    check(&file(1, 5_000, &[&[ITEM], keys, &[slow, fast]]), expected);
    check(
        &file(1, 5_000, &[&[ITEM, slow], keys, &[&[10, 0xB0, 1, 1], fast]]),
        expected,
    );
}

#[test]
fn of_two_tempos_at_one_tick_the_last_counts() {
    let slow: &[u8] = &[0, 0xFF, 0x51, 3, 0x0F, 0x42, 0x40];
    let usual: &[u8] = &[0, 0xFF, 0x51, 3, 0x07, 0xA1, 0x20];
    check(
        &single(&[ITEM, slow, usual, &[9, 0x90, 60, 9]]),
        "0i1 9+60/9",
    );
    check(
        &single(&[ITEM, usual, slow, &[9, 0x90, 60, 9]]),
        "0i1 18+60/9",
    );
}

#[test]
fn smpte_ticks_are_parts_of_a_second() {
    // Standard MIDI Files 1.0: the upper byte is minus the frames a second, 29 for drop frame.
    let note: &[&[u8]] = &[ITEM, &[100, 0x90, 60, 9]];
    let tempo: &[&[u8]] = &[ITEM, &[0, 0xFF, 0x51, 3, 0, 0, 1], &[100, 0x90, 60, 9]];
    check(&file(0, 0xE764, &[note]), "0i1 400+60/9"); // 25 × 100: 40 ms
    check(&file(0, 0xE728, &[note]), "0i1 1000+60/9"); // 25 × 40: 1 ms a tick
    check(&file(0, 0xE728, &[tempo]), "0i1 1000+60/9");
    check(&file(0, 0xE801, &[note]), "0i1 41667+60/9"); // 24
    check(&file(0, 0xE201, &[note]), "0i1 33333+60/9"); // 30
    check(&file(0, 0xE301, &[note]), "0i1 33367+60/9"); // 30000/1001
}

#[test]
fn an_item_may_appear_again_after_it_was_voided() {
    check(
        &single(&[
            ITEM,
            &text(1, "void bell"),
            &marker(1, "item 1"),
            &marker(1, "item 2"),
        ]),
        "0i1 1v[bell] 2i1 3i2",
    );
}

#[test]
fn items_without_a_marker_are_noted() {
    check_notes(
        &single(&[
            &marker(0, "item 2"),
            &marker(1, "item 3"),
            &marker(1, "ITEM  7"),
        ]),
        &["item 1 has no marker", "items 4 to 6 have no marker"],
    );
}

#[test]
fn what_writers_get_slightly_wrong_is_read_and_noted() {
    let after = [0, 0x90, 60, 9];
    let case = |event: &[u8]| single(&[ITEM, event, &after]);
    let system = "track 1 holds real-time or common messages, which do not belong in a file; \
                  ignored";
    let content = "track 1 holds a meta event whose content does not fit its type; ignored";

    for event in [
        &[1, 0xF8][..],
        &[1, 0xFE, 0, 0xFA],
        &[1, 0xF1, 0x33],
        &[1, 0xF2, 1, 2],
        &[1, 0xF3, 1],
        &[1, 0xF6],
        &[1, 0xF8, 0, 0xFF, 0x01, 0],
    ] {
        check(&case(event), "0i1 1+60/9");
        check_notes(&case(event), &[system]);
    }
    for event in [
        &[1, 0xFF, 0x59, 1, 2][..],           // a key signature of one byte
        &[1, 0xFF, 0x21, 1, 0xFF],            // a port above 127
        &[1, 0xFF, 0x54, 5, 0, 99, 99, 0, 0], // the ninety-ninth minute
    ] {
        check(&case(event), "0i1 1+60/9");
        check_notes(&case(event), &[content]);
    }
    check_notes(
        &single(&[&after, ITEM, &[1, 60, 0]]),
        &["track 1 holds messages whose status is left out after another kind of event; read"],
    );
}

#[test]
fn running_status_goes_on_after_real_time_bytes() {
    // MIDI 1.0: real-time bytes may stand anywhere, even inside a message.
    check(
        &single(&[
            ITEM,
            &[1, 0x90, 0xF8, 60, 0xFE, 9],
            &[0, 0xF8],
            &[1, 61, 8],
            &[1, 60, 0xF8, 0],
        ]),
        "0i1 1+60/9 2+61/8 3-60",
    );
}

#[test]
fn strange_chunks_and_ends_are_noted() {
    let good = single(&[ITEM]);
    let with = |more: &[u8]| [&good, more].concat();
    let (header, track) = good.split_at(14);

    check_notes(&with(&[0; 7]), &["bytes after the last track, ignored: 7"]);
    check_notes(
        &with(&[0xAA; 20]),
        &["bytes after the last track, ignored: 20"],
    );
    check_notes(
        &with(&chunk(b"XFIH", b"abc")),
        &["the chunk \"XFIH\" at byte 36 is ignored"],
    );
    check_notes(
        &with(&chunk(b"MTrk", &ended(&[&marker(3, "item 2")]))),
        &["tracks the header promises: 1; all 2 are read"],
    );
    check_notes(
        &[header, &chunk(b"MTrk", ITEM)[..]].concat(),
        &["track 1 has no end-of-track event"],
    );
    check_notes(
        &[
            header,
            &chunk(b"MTrk", &[&track[8..], &[1, 2, 3]].concat())[..],
        ]
        .concat(),
        &["track 1: bytes after its end, ignored: 3"],
    );
    check_notes(
        &file(0, 96, &[&[ITEM], &[]]),
        &["format 0 has one track, this file 2; all are read"],
    );
    // A longer header, as a later version of the standard may bring (Standard MIDI Files 1.0).
    let long = chunk(b"MThd", &[0, 0, 0, 1, 0, 96, 7, 7]);
    check(&[&long, track].concat(), "0i1");
}

#[test]
fn unknown_texts_and_other_messages_are_noted() {
    check_notes(
        &single(&[
            ITEM,
            &text(0, "take\n2"),
            &text(0, ""),
            &marker(0, "verse"),
            &text(0, "item 2"),
            &text(0, "hear me"),
            &[0, 0xB0, 7, 100],
            &[0, 0xE0, 0, 64],
            &[0, 0xF0, 2, 1, 0xF7],
        ]),
        &[
            "track 1: the text \"take\\n2\" is ignored",
            "track 1: the marker \"verse\" is ignored",
            "track 1: the text \"item 2\" is ignored",
            "track 1: the text \"hear me\" is ignored",
            "messages that are neither notes nor pedal, ignored: 3",
        ],
    );
}

#[test]
fn notes_are_bounded_in_number_and_length() {
    let long = text(0, &"x".repeat(100));
    let mut events = vec![ITEM];
    events.resize(1_001, &long);
    let notes = read(&single(&events)).unwrap().notes;

    assert_eq!(notes.len(), super::notes::MOST + 1);
    assert_eq!(notes.last().unwrap(), "and 980 more such notes");
    assert!(notes.iter().all(|note| note.chars().count() < 100));
}

#[test]
fn a_text_of_monstrous_length_is_cut() {
    let words = format!("answer {}", "é".repeat(1_000));
    let length = [
        0x80 | u8::try_from(words.len() >> 7).unwrap(),
        (words.len() & 0x7F) as u8,
    ];
    let event = [&[0, 0xFF, 1], &length[..], words.as_bytes()].concat();
    let performance = read(&single(&[ITEM, &event])).unwrap();

    assert_eq!(performance.events[1].kind, Kind::Answer("é".repeat(500)));
    assert_eq!(
        performance.notes,
        ["track 1: the text at byte 32 is cut at 1000 bytes"]
    );
}

#[test]
fn what_is_no_midi_file_is_refused() {
    check_error(b"", "found an empty file");
    check_error(b"MTh", "found \"MTh\"");
    check_error(b"RIFF\x10\0\0\0RMID", "found \"RIFF\\x10\\x00\\x00\\x00\"");
    check_error(b"MThd", "expected a header of 6 bytes, found 0");
    check_error(b"MThd\0\0\0\x06\0\0\0", "found 3");
    check_error(b"MThd\0\0\0\x04\0\0\0\x01\0\0", "found 4");
    check_error(
        &file(2, 96, &[&[ITEM]]),
        "expected format 0 or 1, found format 2",
    );
    check_error(&file(9, 96, &[&[ITEM]]), "found format 9");
}

#[test]
fn a_division_without_length_is_refused() {
    check_error(&file(0, 0, &[&[ITEM]]), "found 0x0000");
    check_error(&file(0, 0xE700, &[&[ITEM]]), "found 0xe700");
    check_error(
        &file(0, 0xF001, &[&[ITEM]]),
        "24, 25, 29 or 30 SMPTE frames a second, found 16",
    );
}

#[test]
fn what_is_cut_off_is_refused_with_its_place() {
    let good = file(1, 96, &[&[ITEM], &[&[0, 0x90, 60, 9]]]);
    let second = 14 + 8 + 14;

    check_error(
        &good[..good.len() - 1],
        "track 2 at byte 36 is cut off: expected 8 bytes, found 7",
    );
    check_error(&good[..second], "the header says, 2, found 1 up to byte 36");
    check_error(
        &good[..second + 5],
        "the header says, 2, found 1 up to byte 36",
    );

    let cut = |data: &[u8]| [&good[..10], &[0, 1, 0, 96], &chunk(b"MTrk", data)[..]].concat();
    for event in [
        &[0x81][..],
        &[0],
        &[0, 0x90],
        &[0, 0x90, 60],
        &[0, 0xFF],
        &[0, 0xFF, 1],
        &[0, 0xFF, 1, 2, 65],
        &[0, 0xF0, 2, 65],
        &[0, 0xF2, 1],
    ] {
        check_error(
            &cut(&[ITEM, event].concat()),
            "track 1 ends inside the event at byte 32",
        );
    }
}

#[test]
fn damaged_events_are_refused_with_their_place() {
    let place = "track 1, event at byte 32: expected ";
    let case = |event: &[u8], expected: &str| {
        check_error(&single(&[ITEM, event]), &format!("{place}{expected}"));
    };

    case(
        &[0x80, 0x80, 0x80, 0x80, 0],
        "a time or length of at most 4 bytes",
    );
    case(
        &[0, 0xFF, 1, 0xFF, 0xFF, 0xFF, 0xFF, 0],
        "a time or length of at most 4 bytes",
    );
    case(&[0, 60, 9], "a status byte, found 0x3c");
    case(&[0, 0xF5], "a defined status, found 0xf5");
    case(&[0, 0x90, 60, 0x90], "a data byte below 0x80, found 0x90");
    case(
        &[0, 0xFF, 0x51, 3, 0, 0, 0],
        "a tempo of three bytes above zero",
    );
    case(
        &[0, 0xFF, 0x51, 2, 7, 0],
        "a tempo of three bytes above zero",
    );
}

#[test]
fn markers_that_do_not_number_the_items_are_refused() {
    check_error(&single(&[]), "found no marker `item N`");
    check_error(&single(&[&text(0, "item 1")]), "marker (FF 06, not a text)");
    for words in [
        "item",
        "item one",
        "item 0",
        "item -1",
        "item 1 2",
        "item 4294967296",
    ] {
        let expected = format!(
            "track 1, marker at byte 32: expected `item` and a number from 1, found {words:?}"
        );
        check_error(&single(&[ITEM, &marker(0, words)]), &expected);
    }
    check_error(
        &single(&[&marker(9, "item 3"), &marker(1, "item 2")]),
        "item 2 at 1.0 ms comes after item 3 at 0.9 ms",
    );
    check_error(
        &single(&[ITEM, &marker(9, "item 1")]),
        "item 1 at 0.9 ms has appeared at 0.0 ms",
    );
    check_error(
        &single(&[
            ITEM,
            &text(1, "void"),
            &marker(1, "item 2"),
            &marker(1, "item 2"),
        ]),
        "item 2 at 0.3 ms has appeared at 0.2 ms",
    );
}

#[test]
fn times_beyond_a_day_are_refused() {
    let far: &[u8] = &[0xFF, 0xFF, 0xFF, 0x7F, 0x90, 60, 9];
    check(&single(&[ITEM, far]), "0i1 268435455+60/9");
    check_error(
        &single(&[ITEM, far, far, far, far]),
        "track 1 has an event more than 29 hours",
    );
    check_error(&file(0, 1, &[&[ITEM, far]]), "more than 37282 hours");

    // Not even a file of nothing but the longest steps under the slowest tempo overflows.
    let tempo: &[u8] = &[0, 0xFF, 0x51, 3, 0xFF, 0xFF, 0xFF];
    let mut events = vec![ITEM, tempo];
    events.resize(10_000, &[0xFF, 0xFF, 0xFF, 0x7F, 0xB0, 1, 1]);
    check(&file(0, 1, &[&events]), "0i1");
    events.push(far);
    check_error(&file(0, 1, &[&events]), "hours after the start");
}

#[test]
fn a_limit_bounds_what_is_kept_but_not_what_is_ignored() {
    let refused = Err(Error::TooMany { limit: 3 });
    let key: &[u8] = &[0, 0x90, 60, 9];
    let bend: &[u8] = &[0, 0xE0, 0, 0];
    let tempo: &[u8] = &[0, 0xFF, 0x51, 3, 7, 0, 0];
    let remark: &[u8] = &[0, 0xFF, 1, 1, 65];

    let count = |events: &[&[u8]]| read_within(&single(events), 3).map(|read| read.events.len());
    assert_eq!(count(&[ITEM, key, key]), Ok(3));
    assert_eq!(count(&[ITEM, key, key, key]), refused);
    assert_eq!(
        count(&[
            ITEM, tempo, tempo, tempo, bend, bend, bend, remark, remark, remark
        ]),
        Ok(1)
    );
    assert_eq!(count(&[ITEM, tempo, tempo, tempo, tempo]), refused);

    // The limit is met before the rest of the file is looked at.
    let mut torn = single(&[ITEM, key, key, key]);
    torn.extend(chunk(b"MTrk", &[0xFF; 9]));
    assert_eq!(
        read_within(&torn, 3),
        refused.map(|_: usize| Performance::default())
    );
}

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
    ".{0,12}".prop_map(|words| super::text::trim(&words).to_owned())
}

fn kind() -> impl Strategy<Value = Kind> {
    prop_oneof![
        4 => (0..128_u8, 1..128_u8).prop_map(|(key, velocity)| Kind::Down { key, velocity }),
        4 => (0..128_u8).prop_map(|key| Kind::Up { key }),
        1 => (0..128_u8).prop_map(|value| Kind::Pedal { value }),
        1 => words().prop_map(Kind::Answer),
        1 => Just(Kind::Hear),
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
