//! Lines chained, torn, altered and removed.

use super::*;

use proptest::prelude::*;

/// Bodies and their digests as GNU coreutils 9.1 gives them:
/// `h=$(printf '%s' "$h$body" | sha256sum | cut -d' ' -f1)`, from 64 zeros.
const CHECKED: [(&str, &str); 3] = [
    (
        r#"{"key":60,"at":12345}"#,
        "cdfc80d508a8d491a3d320aa31d23b8d2cf6c12747eee7223a25053ef407981e",
    ),
    (
        r#""pause""#,
        "5c3f5772d140edf487552a00a9489788ea42a273340e8a09fd46f72d2cd3efef",
    ),
    (
        r#"{"note":"E♭"}"#,
        "105e6e83a47cc0d9e5d12f1e556fd4f45173dc63f590fe3da60336cfb2d05502",
    ),
];

fn raw(json: &str) -> Box<RawValue> {
    RawValue::from_string(json.to_owned()).unwrap()
}

fn sample() -> String {
    let mut writer = Writer::new();
    CHECKED
        .iter()
        .map(|(body, _)| writer.line(&raw(body)).unwrap())
        .collect()
}

fn bodies(reading: &Reading) -> Vec<&str> {
    reading.bodies.iter().map(|body| body.get()).collect()
}

#[test]
fn each_digest_is_the_one_that_sha256sum_gives() {
    let mut writer = Writer::new();
    for (body, digest) in CHECKED {
        let line = writer.line(&raw(body)).unwrap();
        assert_eq!(line, format!("{{\"h\":\"{digest}\",\"b\":{body}}}\n"));
        assert_eq!(writer.head().to_string(), digest);
    }
    assert_eq!(writer.count(), 3);
}

#[test]
fn a_whole_journal_reads_back_byte_for_byte() {
    let text = sample();
    let reading = read(text.as_bytes()).unwrap();
    assert_eq!(bodies(&reading), CHECKED.map(|(body, _)| body));
    assert_eq!(reading.head.to_string(), CHECKED[2].1);
    assert_eq!(reading.whole_bytes, text.len());
    assert!(!reading.torn);
}

#[test]
fn an_empty_journal_is_whole_and_stands_at_the_start() {
    let reading = read(b"").unwrap();
    assert_eq!(reading.writer(), Writer::new());
    assert!(!reading.torn);
    assert_eq!(reading.head.to_string(), "0".repeat(64));
}

#[test]
fn a_journal_cut_anywhere_keeps_its_whole_lines() {
    let text = sample();
    for cut in 0..text.len() {
        let kept = &text.as_bytes()[..cut];
        let whole = kept
            .iter()
            .rposition(|&byte| byte == b'\n')
            .map_or(0, |at| at + 1);
        let reading = read(kept).unwrap();
        assert_eq!(reading.whole_bytes, whole, "cut at {cut}");
        assert_eq!(reading.torn, whole != cut, "cut at {cut}");
        let lines = text[..whole].lines().count();
        assert_eq!(bodies(&reading), CHECKED.map(|(body, _)| body)[..lines]);
    }
}

#[test]
fn a_torn_last_line_is_tolerated() {
    let check = |tail: &[u8]| {
        let mut text = sample().into_bytes();
        let whole = text.len();
        text.extend_from_slice(tail);
        let reading = read(&text).unwrap();
        assert!(reading.torn, "{tail:?}");
        assert_eq!(
            (reading.whole_bytes, reading.bodies.len()),
            (whole, 3),
            "{tail:?}"
        );
    };
    check(b"{");
    check(b"\0\0\0\0");
    check(b"\n");
    check(b"\xff\xfe\n");
    check(b"{\"h\":\"00\",\"b\":1}\n");
    // A whole line without its line feed was not acknowledged either.
    let mut writer = read(sample().as_bytes()).unwrap().writer();
    check(writer.line("next").unwrap().trim_end().as_bytes());
    // A page of the line that never reached the disk reads as zeros.
    check(
        writer
            .line("next")
            .unwrap()
            .replace("next", "\0\0\0\0")
            .as_bytes(),
    );
}

#[test]
fn every_flipped_bit_is_found() {
    let text = sample().into_bytes();
    for index in 0..text.len() {
        for bit in 0..8 {
            let mut changed = text.clone();
            changed[index] ^= 1 << bit;
            let unseen = read(&changed).is_ok_and(|reading| !reading.torn);
            assert!(!unseen, "bit {bit} of byte {index}");
        }
    }
}

#[test]
fn a_fault_before_the_last_line_names_its_line() {
    let lines: Vec<String> = sample().lines().map(|line| format!("{line}\n")).collect();
    let check = |text: String, expected: &str| {
        let message = read(text.as_bytes()).unwrap_err().to_string();
        assert!(message.starts_with(expected), "{message}");
    };
    let [first, second, third] = &lines[..] else {
        panic!("the sample has three lines")
    };
    let digest =
        |line, expected, found| format!("line {line}: expected digest {expected}, found {found}; ");
    check(
        format!("{first}{}{third}", second.replace("pause", "peace")),
        "line 2: expected digest ",
    );
    check(format!("{second}{third}"), "line 1: expected digest ");
    check(format!("{first}{first}"), "line 2: expected digest ");
    // The last line is torn only when it has not a line's form.
    check(
        format!("{first}{}", second.replace(CHECKED[1].1, CHECKED[2].1)),
        &digest(2, CHECKED[1].1, CHECKED[2].1),
    );
    check(
        format!("{first}\n{second}"),
        r#"line 2: expected a line that begins with {"h":""#,
    );
    check(
        format!("{first}{}{third}", second.to_uppercase()),
        r#"line 2: expected a line that begins with {"h":""#,
    );
    check(
        format!("{first}{}{third}", second.replace("5c3f", "5C3F")),
        "line 2: expected a digest of 64 hexadecimal digits in lower case",
    );
    check(
        format!("{{\"h\":\"5c\"\n{third}"),
        "line 1: expected a digest of 64 hexadecimal digits",
    );
    check(
        format!("{first}{}{third}", second.replace("\"b\"", "\"c\"")),
        r#"line 2: expected a body between "b": and a closing brace"#,
    );
    check(
        format!("{first}{}{third}", second.replace("\"pause\"", "\"pause")),
        "line 2: expected a body in JSON",
    );
    check(
        format!(
            "{first}{}{third}",
            second.replace("\"pause\"", " \"pause\"")
        ),
        "line 2: expected no space around the body",
    );
}

#[test]
fn a_resumed_writer_goes_on_as_if_never_stopped() {
    let (mut straight, mut text) = (Writer::new(), String::new());
    for number in 0..20 {
        let expected = straight.line(&number).unwrap();
        let mut resumed = read(text.as_bytes()).unwrap().writer();
        assert_eq!(resumed.line(&number).unwrap(), expected);
        assert_eq!(resumed, straight);
        text.push_str(&expected);
    }
}

#[test]
fn a_body_that_makes_no_line_leaves_the_head_where_it_was() {
    let mut writer = Writer::resume(Head::START.then(b"x"), 7);
    let before = writer.clone();
    assert!(matches!(writer.line(&raw("[\n1]")), Err(Error::LineFeed)));
    let unnamed = std::collections::BTreeMap::from([((), 1)]);
    assert!(matches!(writer.line(&unnamed), Err(Error::Body(_))));
    assert_eq!(writer, before);
}

#[test]
fn only_the_next_whole_line_is_followed() {
    let text = sample();
    let lines: Vec<&str> = text.split_inclusive('\n').collect();
    let mut writer = Writer::new();
    let mut check = |line: &str, expected: &str| {
        let found = writer
            .follow(line)
            .map_or_else(|error| error.to_string(), |()| "whole".into());
        assert!(found.starts_with(expected), "{line:?}: {found}");
    };
    check(lines[1], "line 1: expected digest");
    check(lines[0], "whole");
    check(lines[0], "line 2: expected digest");
    check(
        lines[1].trim_end(),
        "line 2: expected a line feed at its end",
    );
    check(
        &lines[1..].concat(),
        "line 2: expected nothing after its line feed",
    );
    check("pause\n", "line 2: expected a line that begins with");
    check(lines[1], "whole");
    check(lines[2], "whole");
    assert_eq!(writer, read(text.as_bytes()).unwrap().writer());
}

#[test]
fn an_entry_of_another_kind_names_its_line() {
    let reading = read(sample().as_bytes()).unwrap();
    let message = reading
        .decode::<serde_json::Map<_, _>>()
        .unwrap_err()
        .to_string();
    assert!(
        message.starts_with("line 2: expected another kind of entry"),
        "{message}"
    );
    let values = reading.decode::<serde_json::Value>().unwrap();
    assert_eq!(values[1], "pause");
}

#[test]
fn a_body_nested_without_end_is_no_crash() {
    let depth = 200_000;
    let body = "[".repeat(depth) + &"]".repeat(depth);
    let digest = Head::START.then(body.as_bytes());
    let reading = read(format!("{OPEN}{digest}{MIDDLE}{body}{CLOSE}\n").as_bytes()).unwrap();
    assert!(matches!(
        reading.decode::<serde_json::Value>(),
        Err(Error::Kind { line: 1, .. })
    ));
}

#[test]
fn a_head_has_one_spelling() {
    let hex = CHECKED[0].1;
    assert_eq!(hex.parse::<Head>().unwrap().to_string(), hex);
    for bad in [
        &hex[1..],
        &hex.to_uppercase(),
        "",
        &format!("{hex}0"),
        &hex.replace('c', "é"),
    ] {
        assert!(bad.parse::<Head>().is_err(), "{bad}");
    }
}

proptest! {
    #[test]
    fn any_text_bodies_come_back(texts in prop::collection::vec(any::<String>(), 0..20)) {
        let mut writer = Writer::new();
        let lines: Vec<String> = texts.iter().map(|text| writer.line(text).unwrap()).collect();
        let reading = read(lines.concat().as_bytes()).unwrap();
        prop_assert!(!reading.torn);
        prop_assert_eq!(reading.decode::<String>().unwrap(), texts);
        prop_assert_eq!(reading.writer(), writer);
    }

    #[test]
    fn any_bytes_written_over_a_journal_are_found(
        at in 0_usize..400,
        bytes in prop::collection::vec(any::<u8>(), 1..40),
    ) {
        let text = sample().into_bytes();
        let at = at.min(text.len());
        let end = (at + bytes.len()).min(text.len());
        let changed = [&text[..at], &bytes, &text[end..]].concat();
        let unseen = read(&changed).is_ok_and(|reading| !reading.torn);
        prop_assert_eq!(unseen, changed == text);
    }
}
