//! Fuzz targets: whatever the bytes, nothing panics and nothing hangs.
//!
//! Each target mutates a corpus by a seeded stream, so that a failure can be had again. Short here;
//! `FUZZ_CASES=1000000 cargo test --release fuzz` runs them for long.

use viva_voicing::cli::disk;
use viva_voicing::exam::chance::Chance;
use viva_voicing::exam::{code::Code, draw, read, table};
use viva_voicing::instruments::performance;
use viva_voicing::results::{document, seal};
use viva_voicing::sitting::{journal, wire};
use viva_voicing::theory::symbol;

/// How many cases each target gets.
fn cases(usual: usize) -> usize {
    std::env::var("FUZZ_CASES")
        .ok()
        .and_then(|text| text.parse().ok())
        .unwrap_or(usual)
}

/// Changes bytes of a sample: flips, inserts, deletes, repeats, cuts, and splices of another.
fn mutate(chance: &mut Chance, sample: &[u8], other: &[u8], words: &[&[u8]]) -> Vec<u8> {
    let mut bytes = sample.to_vec();

    for _ in 0..=chance.below(6) {
        let at = chance.below(bytes.len() + 1);
        match chance.below(8) {
            0 if at < bytes.len() => bytes[at] ^= 1 << chance.below(8),
            1 if at < bytes.len() => bytes[at] = chance.below(256) as u8,
            2 => bytes.insert(at, chance.below(256) as u8),
            3 if at < bytes.len() => {
                let end = (at + chance.below(40)).min(bytes.len());
                drop(bytes.drain(at..end));
            }
            4 if at < bytes.len() => {
                let end = (at + chance.below(200)).min(bytes.len());
                let piece = bytes[at..end].to_vec();
                drop(bytes.splice(at..at, piece));
            }
            5 => bytes.truncate(at),
            6 if !other.is_empty() => {
                let from = chance.below(other.len());
                let to = (from + chance.below(200)).min(other.len());
                drop(bytes.splice(at..at, other[from..to].iter().copied()));
            }
            _ => {
                if let Some(word) = chance.pick(words) {
                    drop(bytes.splice(at..at, word.iter().copied()));
                }
            }
        }
    }

    bytes
}

fn run(name: &str, usual: usize, corpus: &[Vec<u8>], words: &[&[u8]], target: &dyn Fn(&[u8])) {
    let mut chance = Chance::new(name, &[1]);

    for sample in corpus {
        target(sample);
    }
    for _ in 0..cases(usual) {
        let sample = chance.pick(corpus).cloned().unwrap_or_default();
        let other = chance.pick(corpus).cloned().unwrap_or_default();
        target(&mutate(&mut chance, &sample, &other, words));
    }
}

fn file(path: &str) -> Vec<u8> {
    std::fs::read(path).unwrap_or_else(|error| panic!("{path}: {error}"))
}

fn files(folder: &str, ending: &str) -> Vec<Vec<u8>> {
    let mut paths: Vec<_> = std::fs::read_dir(folder)
        .unwrap_or_else(|error| panic!("{folder}: {error}"))
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.to_string_lossy().ends_with(ending))
        .collect();
    paths.sort();

    paths
        .iter()
        .map(|path| std::fs::read(path).unwrap())
        .collect()
}

#[test]
fn any_text_as_a_chord_symbol() {
    let corpus: Vec<Vec<u8>> = [
        "C",
        "Bbmaj7",
        "F♯m7♭5",
        "C7(♭9♯11♭13)",
        "C6/9",
        "E♭−△7",
        "Gø7/B♭",
        "D7sus4",
        "A°7",
        "C+7",
        "CMI(MA7)",
        "C7alt",
        "Cadd9",
        "C13(♭9)",
    ]
    .iter()
    .map(|text| text.as_bytes().to_vec())
    .collect();
    let words: [&[u8]; 8] = [
        b"maj",
        b"(",
        b")",
        "♭".as_bytes(),
        b"13",
        b"sus",
        "△".as_bytes(),
        b"/",
    ];

    run("symbols", 20_000, &corpus, &words, &|bytes| {
        let text = String::from_utf8_lossy(bytes);
        match symbol::parse(&text) {
            Ok(chord) => {
                // What can be read can be printed and read again.
                let again = symbol::parse(&symbol::print(chord, symbol::Style::DEFAULT));
                assert_eq!(again, Ok(chord), "{text}");
                assert_eq!(symbol::parse(&symbol::ascii(chord)), Ok(chord), "{text}");
            }
            Err(error) => {
                assert!(text.get(error.span.clone()).is_some(), "{text}: {error:?}");
            }
        }
    });
}

#[test]
fn any_bytes_as_a_script() {
    let corpus = files("exams", ".toml");
    let words: [&[u8]; 10] = [
        b"[[section]]\n",
        b"count = 99",
        b"\"",
        b"'''",
        b"{",
        b"]",
        b"quality = \"7alt\"",
        b"-1",
        b"1e308",
        b"kind = \"ear\"\n",
    ];

    run("scripts", 60, &corpus, &words, &|bytes| {
        let Ok(source) = table::source(bytes) else {
            return;
        };
        let (exam, diagnostics) = read::read(source, "fuzz");
        for diagnostic in &diagnostics {
            assert!(
                source.get(diagnostic.span.clone()).is_some(),
                "{diagnostic:?}"
            );
        }
        if let Some(exam) = exam {
            // What vets can be drawn.
            let form = draw::draw(&exam, Code::new(12345, 1));
            assert!(form.is_ok(), "{form:?}");
        }
    });
}

#[test]
fn any_bytes_as_a_performance() {
    let corpus = files("tests/fixtures/performances", ".mid");
    let words: [&[u8]; 6] = [
        b"MTrk",
        b"MThd",
        b"\xff\x06\x06item 1",
        b"\xff\x2f\x00",
        b"\xf0",
        b"\x81\x80\x00",
    ];

    run("performances", 4_000, &corpus, &words, &|bytes| {
        if let Ok(read) = performance::read(bytes) {
            let written = performance::write(&read);
            let again = performance::read(&written).expect("what was written can be read");
            assert_eq!(again.events, read.events);
        }
    });
}

#[test]
fn any_bytes_as_a_journal() {
    let mut writer = journal::Writer::new();
    let mut text = String::new();
    for (t, what) in [
        (0, wire::What::Shown(1)),
        (10_000, wire::What::Down(60, 80)),
        (12_345, wire::What::Up(60)),
        (20_000, wire::What::Answer("m7b5".to_owned())),
        (30_000, wire::What::Paused("cable".to_owned())),
    ] {
        text += &writer
            .line(&wire::Line { t, what })
            .expect("a line can be written");
    }
    let words: [&[u8]; 4] = [b"\n", b"{\"h\":\"", b"\"b\":{}", b"\xff"];

    run("journals", 5_000, &[text.into_bytes()], &words, &|bytes| {
        if let Ok(reading) = journal::read(bytes) {
            assert!(reading.whole_bytes <= bytes.len());
            for body in &reading.bodies {
                if let Ok(line) = serde_json::from_str::<wire::Line>(body.get()) {
                    let _ = line.event();
                }
            }
        }
    });
}

#[test]
fn any_bytes_as_a_result() {
    let script = String::from_utf8(file("exams/guide-tones.toml")).unwrap();
    let (exam, _) = read::read(&script, "guide-tones");
    let exam = exam.expect("the shipped exam is sound");
    let form = draw::draw(&exam, Code::FIRST).expect("the first form can be drawn");
    let sitting = viva_voicing::sitting::Sitting::new(
        exam,
        form,
        viva_voicing::marking::item::Allowance::NONE,
    );
    let given = document::Given {
        script,
        ..document::Given::default()
    };
    let whole = document::write(&sitting, &given);
    assert!(seal::audit(&whole).is_ok());
    let words: [&[u8]; 5] = [
        b"[[item]]\n",
        b"\"1 down 300 0\"",
        b"credit = nan\n",
        b"'''",
        b"shown_ms = 1e300\n",
    ];

    run(
        "results",
        150,
        &[whole.clone().into_bytes()],
        &words,
        &|bytes| {
            let text = String::from_utf8_lossy(bytes);
            if *text != *whole {
                assert!(seal::audit(&text).is_err(), "a change was not found");
            }
            if let Ok(stored) = document::read(&text, None) {
                let _ = viva_voicing::sitting::outcome::outcome(&stored.sitting);
            }
        },
    );
}

#[test]
fn reading_a_file_is_limited() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("long");
    std::fs::write(&path, vec![b'x'; 1000]).unwrap();

    assert!(disk::read_limited(&path, 999).is_err());
    assert_eq!(disk::read_limited(&path, 1000).unwrap().len(), 1000);
}
