//! What a small result states.

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
