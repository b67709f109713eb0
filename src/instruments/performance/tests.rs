//! Small files made byte by byte: what each part of the standard means, and every error.

mod refused;
mod written;

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
            Kind::Sounded => format!("{at}z"),
            Kind::Added(extra) => format!("{at}t[{extra}]"),
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
fn a_spare_item_may_follow_one_that_was_voided() {
    let voided = text(1, "void bell");
    let item = |number| marker(1, &format!("item {number}"));
    let fine = |numbers: &[Option<u32>], expected: &str| {
        let events: Vec<Vec<u8>> = numbers
            .iter()
            .map(|number| number.map_or_else(|| voided.clone(), item))
            .collect();
        let events: Vec<&[u8]> = events.iter().map(Vec::as_slice).collect();
        check(&single(&events), expected);
    };

    fine(&[Some(1), None, Some(71), Some(2)], "1i1 2v[bell] 3i71 4i2");
    // The spare one is voided in its turn, and no other is left.
    fine(
        &[
            Some(1),
            None,
            Some(71),
            None,
            Some(70),
            None,
            Some(70),
            Some(2),
        ],
        "1i1 2v[bell] 3i71 4v[bell] 5i70 6v[bell] 7i70 8i2",
    );
    check_error(
        &single(&[&item(1), &voided, &item(71), &item(2), &item(71)]),
        "item 71 at 0.5 ms has appeared at 0.3 ms",
    );
    check_error(
        &single(&[&item(5), &voided, &item(71), &item(4)]),
        "item 4 at 0.4 ms comes after item 5 at 0.1 ms",
    );
    let rest = single(&[&item(71), &item(6), &item(7)]);
    check_error(&rest, "item 6 at 0.2 ms comes after item 71");
    assert_eq!(read_on(&rest).unwrap().notes, [] as [&str; 0]);
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
    // MIDI 1.0: real-time bytes may stand anywhere, even inside a message, and leave the running
    // status as it is.
    let bytes = single(&[
        ITEM,
        &[1, 0x90, 0xF8, 60, 0xFE, 9],
        &[0, 0xF8],
        &[1, 61, 8],
        &[1, 60, 0xF8, 0],
    ]);
    check(&bytes, "0i1 1+60/9 2+61/8 3-60");
    check_notes(
        &bytes,
        &["track 1 holds real-time or common messages, which do not belong in a file; ignored"],
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
