//! Answers as MusicXML: kinds as the schema has them, bars that are full, items by their numbers.

use super::*;
use crate::exam::code::Code;
use crate::exam::draw;
use crate::exam::read;
use crate::theory::symbol;
use crate::theory::{Degree, Quality};

/// Kinds of the MusicXML 4.0 schema with what they sound; see that folder's README.
const KINDS: &str = include_str!("../../../tests/fixtures/reference/musicxml_kinds.csv");

const SCRIPTS: [&str; 5] = [
    include_str!("../../../exams/guide-tones.toml"),
    include_str!("../../../tests/fixtures/scripts/ears.toml"),
    include_str!("../../../tests/fixtures/scripts/good/cross-runs.toml"),
    include_str!("../../../tests/fixtures/scripts/good/cross-voicings.toml"),
    include_str!("../../../tests/fixtures/scripts/good/written.toml"),
];

fn drawn(source: &str) -> (Exam, Form) {
    let exam = read::read(source, "test").0.expect("a sound script");
    let form = draw::draw(&exam, Code::FIRST).expect("a form");

    (exam, form)
}

#[test]
fn kinds_sound_as_the_schema_says() {
    let mut known = 0;
    for line in KINDS.lines().skip(1) {
        let name = line.split(',').next().expect("a kind");
        // The sounds stand after the words in quotation marks.
        let (_, after) = line.rsplit_once("\",").unwrap_or((line, ""));
        let listed: Vec<i32> = after
            .split(',')
            .next()
            .unwrap_or_default()
            .split(' ')
            .filter_map(|number| number.parse().ok())
            .collect();
        let Some((_, degrees)) = harmony::KINDS.iter().find(|(own, _)| *own == name) else {
            continue;
        };
        let own: Vec<i32> = std::iter::once(0)
            .chain(degrees.iter().map(|degree| degree.semitones()))
            .collect();
        if !listed.is_empty() {
            assert_eq!(own, listed, "{name}");
            known += 1;
        }
    }
    assert!(known >= 20, "{known}");
}

#[test]
fn symbols_have_the_nearest_kind_and_what_is_otherwise() {
    let check = |symbol: &str, expected: &str| {
        let quality = symbol::parse_quality(symbol).expect("a quality");
        let (kind, changes) = harmony::kind(quality);
        let mut said = vec![kind.to_owned()];
        said.extend(
            changes
                .iter()
                .map(|of| format!("{} {} {:+}", of.what, of.number, of.alter)),
        );
        assert_eq!(said.join(", "), expected, "{symbol}");
    };
    // As the table of kinds has them.
    check("", "major");
    check("7", "dominant");
    check("maj7", "major-seventh");
    check("m7b5", "half-diminished");
    check("dim7", "diminished-seventh");
    check("m(maj7)", "major-minor");
    check("6", "major-sixth");
    check("9", "dominant-ninth");
    check("7b9", "dominant, add 9 -1");
    check("7#11", "dominant, add 11 +1");
    check("7b13", "dominant, add 13 -1");
    check("maj7#5", "major-seventh, alter 5 +1");
    check("6/9", "major-sixth, add 9 +0");
    check("13", "dominant-13th, subtract 11 +0");
    check("7sus4", "suspended-fourth, add 7 +0");
    check("sus2", "suspended-second");
    check("7alt", "dominant");
}

/// What a kind with its changes sounds is what the quality has.
#[test]
fn kinds_with_their_changes_sound_the_chord() {
    for name in [
        "", "m", "7", "maj7", "m7", "m7b5", "dim7", "6", "m6", "9", "maj9", "m9", "13", "7b9",
        "7#9", "7b9b13", "maj7#11", "7sus4", "6/9", "m11", "m(maj7)", "aug7", "sus4",
    ] {
        let Ok(quality) = symbol::parse_quality(name) else {
            continue;
        };
        let (kind, changes) = harmony::kind(quality);
        let (_, degrees) = harmony::KINDS
            .iter()
            .find(|(own, _)| *own == kind)
            .expect("a kind");
        let mut sounds: Vec<(u8, i32)> = degrees
            .iter()
            .map(|degree| (degree.number(), degree.semitones()))
            .collect();
        for change in changes {
            let usual = [0, 0, 2, 4, 5, 7, 9, 10, 12, 14, 16, 17, 19, 21];
            match change.what {
                "subtract" => sounds.retain(|(number, _)| *number != change.number),
                "alter" => {
                    for (number, semitones) in &mut sounds {
                        if *number == change.number {
                            *semitones += change.alter;
                        }
                    }
                }
                _ => sounds.push((
                    change.number,
                    usual[usize::from(change.number)] + change.alter,
                )),
            }
        }
        let mut classes: Vec<i32> = sounds.iter().map(|(_, semitones)| semitones % 12).collect();
        let mut own: Vec<i32> = quality
            .degrees()
            .filter(|degree| *degree != Degree::Root)
            .map(|degree| degree.semitones() % 12)
            .collect();
        classes.sort_unstable();
        own.sort_unstable();
        assert_eq!(classes, own, "{name}: {kind}");
    }
    assert_eq!(harmony::kind(Quality::MAJOR).0, "major");
}

#[test]
fn every_measure_is_full_on_both_staves() {
    for source in SCRIPTS {
        let (exam, form) = drawn(source);
        for measure in measures(&exam, &form) {
            let mut at = 0;
            for sounding in &measure.soundings {
                assert_eq!(sounding.at, at, "{measure:?}");
                at += sounding.length;
            }
            assert_eq!(at, TWELFTHS, "{measure:?}");
        }
    }
}

#[test]
fn a_chord_over_a_bar_line_is_tied() {
    let hands = Hands::new(&[], &[]);
    let one = |at, length| Sounding {
        at,
        length,
        ..Sounding::whole(None, &hands)
    };
    let bars = measure::bars(&[one(0, 6), one(6, 18)], 2);
    let pieces = |bar: usize| -> Vec<_> {
        let of = bars[bar].soundings.iter();
        of.map(|of| (of.at, of.length, of.tied)).collect()
    };

    assert_eq!(pieces(0), [(0, 6, (false, false)), (6, 6, (false, true))]);
    assert_eq!(pieces(1), [(0, 12, (true, false))]);
}

#[test]
fn every_item_with_an_answer_is_named() {
    for source in SCRIPTS {
        let (exam, form) = drawn(source);
        let text = String::from_utf8(write(&exam, &form).expect("memory")).expect("UTF-8");
        assert!(text.starts_with("<?xml version=\"1.0\" encoding=\"UTF-8\""));
        for item in form.items.iter().chain(&form.reserve) {
            let id = &exam.sections[item.section].id;
            let words = format!("<words>{id} {}</words>", item.number);
            let has_answer = item.task.word() != "panel";
            assert_eq!(text.contains(&words), has_answer, "{words}");
        }
    }
}
