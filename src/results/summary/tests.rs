//! What a result states, whichever reader reads it.

use super::*;
use crate::exam::code::Code;
use crate::exam::{draw, read as script};
use crate::marking::item::Allowance;
use crate::results::document::{self, Given};
use crate::sitting::{End, Sitting};

const SCRIPT: &str = r#"
title = "Small"

[[section]]
id = "A"
title = "Cold voicings"
kind = "voicing"
points = 40
seconds = 6
form = "guide-tones"
cells = [{ count = 3, quality = "7", order = "third on top" }]
"#;

/// A result whose incident text looks like a line of the file.
fn result(incident: &str) -> String {
    let (exam, diagnostics) = script::read(SCRIPT, "small");
    let exam = exam.unwrap_or_else(|| panic!("{diagnostics:?}"));
    let form = draw::draw(&exam, Code::FIRST).expect("a form");
    let past = crate::sitting::Past {
        now: crate::time::Time::from_ms(61_000),
        showings: Vec::new(),
        incidents: vec![crate::sitting::Incident {
            at: crate::time::Time::ZERO,
            item: None,
            kind: "noise".to_owned(),
            text: incident.to_owned(),
            by: "JW".to_owned(),
        }],
        panel: std::collections::BTreeMap::new(),
        overrules: Vec::new(),
        by_hand: None,
        end: Some(End::Early),
    };
    let given = Given {
        program: "0.1.0".to_owned(),
        script: SCRIPT.to_owned(),
        candidate: "3118".to_owned(),
        started: "2026-03-12T10:21:00Z".to_owned(),
        ..Given::default()
    };

    document::write(
        &Sitting::restored(exam, form, Allowance::NONE, past),
        &given,
    )
}

#[test]
fn what_is_stated_is_read_without_marking() {
    let read = read(&result("a door")).expect("whole");

    assert_eq!(
        (read.exam.as_str(), read.candidate.as_str()),
        ("small", "3118")
    );
    assert_eq!((read.mark, read.out_of, read.factor), (0, 4000, 100));
    assert_eq!(
        (read.items.len(), read.incidents, read.overrules),
        (3, 1, 0)
    );
    let item = &read.items[0];
    assert!(!item.reached && item.counts);
    assert_eq!((item.cell, item.credit), (1, Some(0)));
    assert!(item.chord.ends_with('7'), "{}", item.chord);
}

#[test]
fn texts_that_look_like_the_files_own_lines_are_read_whole() {
    for text in [
        "\nevidence = [",
        "\n[exam]\ndigest = 1",
        "\n[seal]\n",
        "'''",
    ] {
        let read = read(&result(text)).unwrap_or_else(|error| panic!("{text:?}: {error}"));
        assert_eq!(read.incidents, 1, "{text:?}");
    }
}

#[test]
fn a_changed_byte_is_refused() {
    let whole = result("a door");
    let changed = whole.replacen("mark = 0.00", "mark = 9.00", 1);

    assert!(matches!(
        read(&changed),
        Err(Error::Seal(Fault::Block { .. }))
    ));
    assert!(matches!(read("no result"), Err(Error::Seal(Fault::NoSeal))));
    let other = "[result]\nversion = 1\n";
    let sealed = other.to_owned() + &seal::seal(&[other], None);
    assert!(matches!(read(&sealed), Err(Error::NotAResult(_))));
}

#[test]
fn a_result_tells_which_sitting_it_is_of() {
    let text = result("a door");
    let identity = identify(&text).expect("whole");
    let read = read(&text).expect("whole");

    assert_eq!(identity.digest, read.digest);
    assert_eq!(
        (identity.exam, identity.candidate, identity.form),
        (read.exam, read.candidate, read.form)
    );
    assert_eq!(identity.started, "2026-03-12T10:21:00Z");
    assert_eq!((identity.journal, identity.remark_of), (None, None));
    let changed = text.replacen("candidate = \"3118\"", "candidate = \"3119\"", 1);
    assert!(matches!(identify(&changed), Err(Error::Seal(_))));
}

#[test]
fn evidence_is_read_with_what_is_stated() {
    let text = result("a door");
    let whole = read_with_evidence(&text).expect("whole");
    assert_eq!(whole.summary, read(&text).expect("whole"));
    assert_eq!(whole.evidence, vec![Vec::new(); 3]);

    let (_, blocks) = seal::open(&text).expect("whole");
    let check = |line: &str| {
        let lines = format!("evidence = [\"{line}\"]");
        let body = blocks.concat().replacen("evidence = []", &lines, 1);
        let parts = seal::split(&body);
        read_with_evidence(&(body.clone() + &seal::seal(&parts, None)))
    };
    let whole = check("1234.5 down 60 80").expect("an event");
    assert_eq!(whole.evidence[0].len(), 1);
    assert_eq!(whole.evidence[0][0].at.tenths(), 12_345);
    let fault = check("1234.5 down 200 80").expect_err("no such key");
    assert!(
        matches!(&fault, Error::Evidence { item: 1, line } if line.contains("200")),
        "{fault}"
    );
}

/// What the fast reader says, where it says anything; and what TOML says.
fn both(text: &str) -> (Option<Summary>, Summary) {
    let (verified, blocks) = seal::open(text).expect("whole");
    let fast = raw::read_simple(&blocks, verified.head).map(|read| read.expect("a result"));

    (fast, read_as_toml(text).expect("a result"))
}

#[test]
fn the_fast_reader_reads_what_is_usual() {
    let (fast, toml) = both(&result("a door"));
    assert_eq!(fast, Some(toml));

    for unusual in ["\n", "a\\b", "'\"", "\u{7}"] {
        let (fast, toml) = both(&result(unusual));
        assert!(fast.is_none_or(|fast| fast == toml), "{unusual:?}");
    }
}

proptest::proptest! {
    #[test]
    fn the_fast_reader_says_what_toml_says(
        incident in "[\\PC\n\"'\\\\\\[\\] =,]{0,24}",
        candidate in "[\\PC\"'\\\\]{0,12}",
        started in "[ -~\n]{0,12}",
    ) {
        let text = result(&incident)
            .replace("\"3118\"", &toml::Value::String(candidate).to_string())
            .replace("\"2026-03-12T10:21:00Z\"", &toml::Value::String(started).to_string());
        let end = text.rfind("\n[seal]\n").expect("a seal");
        let blocks = seal::split(&text[..end]);
        let sealed = blocks.concat() + &seal::seal(&blocks, None);
        let (verified, blocks) = seal::open(&sealed).expect("whole");
        let toml = general(&blocks, verified.head);
        if let Some(fast) = raw::read_simple(&blocks, verified.head) {
            proptest::prop_assert_eq!(fast, toml);
        }
    }
}
