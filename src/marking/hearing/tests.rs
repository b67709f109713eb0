//! Dictations: each part an equal share, whatever is left out.

use std::sync::Arc;

use super::*;
use crate::exam::script::Ask;
use crate::exam::sound::Sound;

/// Two chords: II minor seventh, and a dominant on the tritone.
fn task() -> EarTask {
    let list = |texts: &[&str]| texts.iter().map(|text| (*text).to_owned()).collect();
    let basses: Vec<String> = list(&["I", "II", "#IV", "V"]);
    let qualities: Vec<String> = list(&["maj7", "7", "m7"]);

    EarTask {
        asks: Arc::new(vec![Ask::Bass, Ask::Quality, Ask::Bass, Ask::Quality]),
        options: Arc::new(vec![basses.clone(), qualities.clone(), basses, qualities]),
        right: Arc::new(vec![1, 2, 2, 1]),
        answers: Arc::new(vec![
            list(&["II", "two"]),
            list(&["m7", "-7"]),
            list(&["#IV", "bV", "sharp four"]),
            list(&["7"]),
        ]),
        root: 0,
        names: Arc::default(),
        sound: Sound {
            strikes: Vec::new(),
            length: Time::from_ms(4000),
            rove: 0,
        },
        hearings: 4,
        limit: Time::from_ms(30_000),
    }
}

#[track_caller]
fn check(answer: &str, credit: (i64, i64), reasons: &[&str]) {
    let of = task();
    let events = [Event::new(
        Time::from_ms(500),
        Action::Answer(answer.to_owned()),
    )];
    let marked = mark(&of, of.limit, 4, Time::from_ms(200), &events);
    assert_eq!(marked.credit, Fraction::new(credit.0, credit.1), "{answer}");
    assert_eq!(marked.reasons, reasons, "{answer}");
}

#[test]
fn bass_and_quality_of_each_chord_are_an_equal_share() {
    check(
        "II / m7 / ♯IV / 7",
        (1, 1),
        &["Bass 2 of 2, quality 2 of 2"],
    );
    check(
        "two / -7 / bV / 7",
        (1, 1),
        &["Bass 2 of 2, quality 2 of 2"],
    );
    check(
        "II / 7 / V / 7",
        (1, 2),
        &[
            "Bass 1 of 2, quality 1 of 2",
            "Chord 1: II 7 for II m7",
            "Chord 2: V 7 for #IV 7",
        ],
    );
}

#[test]
fn a_part_may_be_left_out() {
    let wrong = |of: &'static str| ["Bass 1 of 2, quality 1 of 2", of];
    check("II / m7", (1, 2), &wrong("Chord 2: – – for #IV 7"));
    check("/ / bV / 7", (1, 2), &wrong("Chord 1: – – for II m7"));
    check(" /  / bV / 7", (1, 2), &wrong("Chord 1: – – for II m7"));
    check(
        "II /  /  / 7 ",
        (1, 2),
        &[
            "Bass 1 of 2, quality 1 of 2",
            "Chord 1: II – for II m7",
            "Chord 2: – 7 for #IV 7",
        ],
    );
    // A stroke without blanks is part of a name.
    check(
        "I/I / m7",
        (1, 4),
        &[
            "Bass 0 of 2, quality 1 of 2",
            "Chord 1: I/I m7 for II m7",
            "Chord 2: – – for #IV 7",
        ],
    );
}
