//! What is refused, and where the message points.

use super::*;
use crate::instruments::performance::read::read_within;

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

    let count =
        |events: &[&[u8]]| read_within(&single(events), 3, false).map(|read| read.events.len());
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
        read_within(&torn, 3, false),
        refused.map(|_: usize| Performance::default())
    );
}
