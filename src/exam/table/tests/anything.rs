//! Properties of any text at all.

use proptest::prelude::*;

use super::super::{Table, Value, parse, source};
use crate::exam::diagnostic::{Diagnostics, Lines};

/// A right script with every form that TOML has.
const SCRIPT: &str = "# Exam\n\
    title = \"Blues in F♯\"\n\
    'limit' = 90.5\n\
    notes = [\n  \"C\", 'E', # comment\n  \"\"\"G\\\n  7\"\"\",\n]\n\
    weights.ear = 0x1F\n\
    weights.hand = -1_000\n\
    \n\
    [exam . \"marks\"]\n\
    pass = { at = 1e3, of = [[1, 2], [3]], sure = true }\n\
    \r\n\
    [[question]]\n\
    ask = '''\nC♭maj7'''\n\
    [[question.step]]\n\
    beat = inf\n\
    [question.hint]\n\
    day = 2024-02-29\n\
    [[question]]\n\
    ask = \"\\u00e9\\t\"\n";

/// Pieces that are likely to upset a reader of TOML.
const PIECES: &[&str] = &[
    "\"",
    "'",
    "\"\"\"",
    "'''",
    "[",
    "]",
    "[[",
    "]]",
    "{",
    "}",
    "=",
    ",",
    ".",
    "#",
    "\\",
    "\n",
    "\r",
    "\r\n",
    " ",
    "\t",
    "a",
    "a = 1\n",
    "[a]\n",
    "[[a]]\n",
    "a.b",
    "true",
    "nan",
    "-",
    "_",
    "0x",
    "1e",
    "♭",
    "é",
    "\u{feff}",
    "\u{0}",
    "\u{1}",
    "“",
    "\\u{",
    "\\x",
    "2024-01-01",
    "12:30",
    "title = ",
    "question",
    "[question.step]\n",
];

/// Reads every value of a table in every way.
fn read(table: Table<'_>) {
    let _ = table.required_text("title");
    let _ = table.parsed::<(), _>("notes", |text| Err((1..text.len(), String::new())));
    let _ = table.required_table("exam");
    for question in table.required_array_of_tables("question") {
        let _ = question.required_number("limit", 0.0..);
        question.finish();
    }
    for (_, value) in table.entries() {
        descend(value);
    }
}

fn descend(value: Value<'_>) {
    let _ = value.clone().text();
    let _ = value.clone().integer(1..=9);
    let _ = value.clone().number(..);
    let _ = value.clone().boolean();
    let _ = value.clone().texts();
    let _ = value.clone().choice(&[("C", 1), ("E", 2)]);
    let _ = value
        .clone()
        .parsed::<(), _>(|text| Err((0..text.len() / 2, text.to_owned())));
    for table in value.clone().tables().unwrap_or_default() {
        table.finish();
    }
    for item in value
        .clone()
        .list()
        .map(|list| list.value)
        .unwrap_or_default()
    {
        descend(item);
    }
    if value.is_table()
        && let Some(table) = value.table()
    {
        for (_, value) in table.entries() {
            descend(value);
        }
    }
}

/// Reads a text and checks what holds of every text.
fn check(script: &str) -> Result<(), TestCaseError> {
    let out = Diagnostics::new();
    let document = parse(script, &out);
    let is_toml = toml::de::DeTable::parse(script).is_ok();
    prop_assert_eq!(out.is_empty(), is_toml, "the standard reader disagrees");
    prop_assert!(document.is_some() || out.has_faults());
    if let Some(document) = &document {
        read(document.root(&out));
    }
    let lines = Lines::new(script);
    for found in out.into_vec() {
        prop_assert!(script.get(found.span.clone()).is_some(), "{:?}", found);
        prop_assert!(lines.plain(&found, "f").lines().count() <= 2);
        let rendered = lines.render(&found, "f");
        prop_assert!(rendered.lines().count() <= 4);
        prop_assert!(!rendered.chars().any(|c| c.is_control() && c != '\n'));
    }
    Ok(())
}

/// Changes a script in one place: deletes, doubles, or puts in a piece.
fn mutate(script: &mut String, at: usize, length: usize, piece: &str) {
    let at = script.floor_char_boundary(at % (script.len() + 1));
    let end = script.ceil_char_boundary((at + length).min(script.len()));
    script.replace_range(at..end, piece);
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_text_is_read_or_refused(script in any::<String>()) {
        check(&script)?;
    }

    #[test]
    fn any_bytes_are_read_or_refused(bytes in proptest::collection::vec(any::<u8>(), 0..64)) {
        if let Ok(script) = source(&bytes) {
            check(script)?;
        }
    }

    #[test]
    fn any_pieces_are_read_or_refused(
        pieces in proptest::collection::vec(proptest::sample::select(PIECES), 0..40)
    ) {
        check(&pieces.concat())?;
    }

    #[test]
    fn a_changed_script_is_read_or_refused(
        changes in proptest::collection::vec(
            (any::<usize>(), 0..12_usize, proptest::sample::select(PIECES)),
            0..6,
        )
    ) {
        let mut script = SCRIPT.to_owned();
        for (at, length, piece) in changes {
            mutate(&mut script, at, length, piece);
        }
        check(&script)?;
    }
}

#[test]
fn the_unchanged_script_is_right() {
    let out = Diagnostics::new();
    assert!(parse(SCRIPT, &out).is_some());
    assert_eq!(out.into_vec(), []);
}

#[test]
fn every_beginning_of_a_script_is_read_or_refused() {
    for (at, _) in SCRIPT.char_indices() {
        check(&SCRIPT[..at]).unwrap();
        check(&SCRIPT[at..]).unwrap();
    }
}
