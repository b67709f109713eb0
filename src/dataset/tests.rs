//! Tables written and read back, and where they lie.

use std::io::Write as _;

use parquet::basic::{LogicalType, Type as Physical};
use parquet::file::reader::{ChunkReader, FileReader, SerializedFileReader};
use parquet::record::Field;

use super::tables::{Row, Sitting};
use super::*;
use crate::marking;
use crate::marking::event::Action;
use crate::results::summary::{Item, Summary, Whole};
use crate::sitting::journal::Head;
use crate::theory::Key;
use crate::time::Time;

fn item(number: u32) -> Item {
    Item {
        number,
        section: "A".to_owned(),
        kind: "voicing".to_owned(),
        cell: 1,
        prompt: "B♭7".to_owned(),
        chord: String::new(),
        counts: true,
        reached: true,
        level: 3,
        credit: Some(75),
        mark: 150,
        out_of: 200,
        overruled: false,
        reason: "one foreign key".to_owned(),
        right: Vec::new(),
        answered: vec!["♭9".to_owned(), String::new()],
        answer: String::new(),
        by_hand: String::new(),
        time_ms: Some(1234.5),
        walked: false,
        attempts: 1,
        hearings: 0,
        keys: vec![46, 56, 62],
    }
}

fn whole(seed: &str, started: &str) -> Whole {
    let key = Key::new(60).unwrap();
    let at = |tenths, action| marking::Event::new(Time::from_tenths(tenths), action);
    let awaited = Item {
        credit: None,
        time_ms: None,
        keys: Vec::new(),
        ..item(2)
    };

    Whole {
        summary: Summary {
            digest: Head::START.then(seed.as_bytes()),
            program: "0.1.0".to_owned(),
            rubric: 1,
            remark_of: None,
            exam: "guide-tones".to_owned(),
            title: "Guide tones".to_owned(),
            edition: String::new(),
            exam_digest: "0".repeat(64),
            form: "222-229".to_owned(),
            candidate: "3118".to_owned(),
            started: started.to_owned(),
            length_ms: Some(60_000.1),
            by_hand: Vec::new(),
            ended: "complete".to_owned(),
            factor: 125,
            mark: 7_550,
            out_of: 10_000,
            band: "pass".to_owned(),
            passed: Some(true),
            error: None,
            provisional: false,
            sections: Vec::new(),
            items: vec![item(1), awaited],
            walked: 0,
            chords: Vec::new(),
            gaps: Vec::new(),
            ears: Vec::new(),
            overrules: 0,
            incidents: 2,
        },
        evidence: vec![
            vec![
                at(-5, Action::Down(key, 80)),
                at(12_345, Action::Up(key)),
                at(12_346, Action::Pedal(127)),
            ],
            vec![
                at(1, Action::Hear),
                at(2, Action::Answer("♯9 13".to_owned())),
                at(3, Action::HandIn),
            ],
        ],
    }
}

fn written(results: &[Whole]) -> (Counts, [Vec<u8>; 3]) {
    let mut part = Part::new([Vec::new(), Vec::new(), Vec::new()]).unwrap();
    for result in results {
        part.add(result).unwrap();
    }

    part.finish().unwrap()
}

/// The bytes as a file.
fn file(bytes: &[u8]) -> impl ChunkReader + use<> {
    let mut file = tempfile::tempfile().unwrap();
    file.write_all(bytes).unwrap();
    file
}

fn reader(bytes: &[u8]) -> SerializedFileReader<impl ChunkReader + use<>> {
    SerializedFileReader::new(file(bytes)).unwrap()
}

/// Reads a table as text: `column=value` in the order of the schema.
fn rows(bytes: &[u8]) -> Vec<Vec<String>> {
    reader(bytes)
        .get_row_iter(None)
        .unwrap()
        .map(|row| {
            let row = row.unwrap();
            let columns = row.get_column_iter();
            columns
                .map(|(name, field)| match field {
                    Field::Str(text) => format!("{name}={text}"),
                    field => format!("{name}={field}"),
                })
                .collect()
        })
        .collect()
}

const STARTED: &str = "2026-03-12T10:21:00Z";

#[test]
fn what_is_written_is_read_back() {
    let (counts, [sittings, items, events]) = written(&[whole("a", STARTED)]);
    assert_eq!((counts.sittings, counts.items, counts.events), (1, 2, 6));

    let digest = whole("a", STARTED).summary.digest;
    let sitting = &rows(&sittings)[0];
    for expected in [
        &format!("result={digest}"),
        "remark_of=null",
        "candidate=3118",
        "started=2026-03-12 10:21:00.000 +00:00",
        "length_us=60000100",
        "time_factor_percent=125",
        "mark_hundredths=7550",
        "passed=true",
        "standard_error=null",
        "incidents=2",
    ] {
        assert!(
            sitting.iter().any(|of| of == expected),
            "{expected}: {sitting:?}"
        );
    }

    let items = rows(&items);
    for expected in [
        "place=1",
        "prompt=B♭7",
        "chord=null",
        "credit_hundredths=75",
        "right=null",
        "answered=♭9 | ",
        "time_us=1234500",
        "keys=46 56 62",
    ] {
        assert!(
            items[0].iter().any(|of| of == expected),
            "{expected}: {items:?}"
        );
    }
    for expected in [
        "place=2",
        "credit_hundredths=null",
        "time_us=null",
        "keys=null",
    ] {
        assert!(
            items[1].iter().any(|of| of == expected),
            "{expected}: {items:?}"
        );
    }

    let line = |row: &Vec<String>| row[1..].join(" ");
    let lines: Vec<String> = rows(&events).iter().map(line).collect();
    assert_eq!(
        lines,
        [
            "place=1 number=1 at_us=-500 action=down key=60 velocity=80 pedal=null text=null",
            "place=1 number=2 at_us=1234500 action=up key=60 velocity=null pedal=null text=null",
            "place=1 number=3 at_us=1234600 action=pedal key=null velocity=null pedal=127 text=null",
            "place=2 number=1 at_us=100 action=hear key=null velocity=null pedal=null text=null",
            "place=2 number=2 at_us=200 action=answer key=null velocity=null pedal=null text=♯9 13",
            "place=2 number=3 at_us=300 action=hand-in key=null velocity=null pedal=null text=null",
        ]
    );
}

#[test]
fn other_engines_find_signed_numbers_and_a_moment_in_utc() {
    let (_, tables) = written(&[whole("a", STARTED)]);

    for table in &tables {
        let reader = reader(table);
        let file = reader.metadata().file_metadata();
        let note = file.key_value_metadata().unwrap();
        let is_ours = note
            .iter()
            .any(|note| note.key == "viva_voicing.dataset" && note.value.as_deref() == Some("1"));
        assert!(is_ours, "{note:?}");
        for column in file.schema_descr().columns() {
            let logical = column.logical_type_ref();
            let expected = match (column.name(), column.physical_type()) {
                ("started", _) => matches!(logical, Some(LogicalType::Timestamp { .. })),
                (_, Physical::BYTE_ARRAY) => logical == Some(&LogicalType::String),
                (_, Physical::INT96) => false,
                _ => logical.is_none(),
            };
            assert!(expected, "{}: {logical:?}", column.name());
        }
    }
    let schema = Sitting::SCHEMA;
    assert!(
        schema.contains("started (TIMESTAMP(MILLIS,true))"),
        "{schema}"
    );
}

#[test]
fn the_same_results_make_the_same_bytes() {
    let some = [whole("a", STARTED), whole("b", STARTED)];
    let (one, other) = (written(&some), written(&some));
    assert!(one == other);

    let results = results_in(file(&one.1[2])).unwrap();
    let digests = some.each_ref().map(|of| of.summary.digest.to_string());
    assert_eq!(results, digests.into());
    assert!(results_in(file(b"PAR1 no, not at all PAR1")).is_err());
}

#[test]
fn many_rows_make_several_groups() {
    let mut much = whole("a", STARTED);
    much.evidence[0] = vec![much.evidence[0][1].clone(); 150_000];
    let (counts, [.., events]) = written(&[much]);

    let reader = reader(&events);
    assert_eq!(counts.events, 150_003);
    assert_eq!(reader.metadata().num_row_groups(), 3);
    assert_eq!(reader.metadata().file_metadata().num_rows(), 150_003);
}

#[test]
fn a_result_is_filed_under_its_day_in_utc() {
    let check = |exam: &str, started: &str, expected: &str| {
        assert_eq!(Partition::new(exam, started).unwrap().path(), expected);
    };

    check("guide-tones", STARTED, "exam=guide-tones/date=2026-03-12");
    check(
        "guide-tones",
        "2026-03-12T00:30:00+02:00",
        "exam=guide-tones/date=2026-03-11",
    );
    check("Übung 1", STARTED, "exam=Übung 1/date=2026-03-12");
    check("a/b=c%", STARTED, "exam=a%2Fb%3Dc%25/date=2026-03-12");
    for started in ["", "yesterday", "2026-03-12"] {
        let error = Partition::new("a", started).unwrap_err();
        assert!(error.to_string().contains(started), "{error}");
    }
}

#[test]
fn a_part_is_named_by_what_is_in_it() {
    // SHA-256 of "a\nb\n", by the command `sha256sum`.
    assert_eq!(part_name(["a", "b"]), "part-911169ddaaf146af.parquet");
    assert_ne!(part_name(["a", "b"]), part_name(["ab"]));
}
