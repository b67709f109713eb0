//! Answers are what the form's own keys say, spelled.

use super::*;
use crate::exam::code::Code;
use crate::exam::draw;
use crate::exam::form::{Form, Task};
use crate::exam::read;

fn drawn(source: &str) -> (Exam, Form) {
    let exam = read::read(source, "test").0.expect("a sound script");
    let form = draw::draw(&exam, Code::FIRST).expect("a form");

    (exam, form)
}

const SHIPPED: &str = include_str!("../../../exams/guide-tones.toml");
const EARS: &str = include_str!("../../../tests/fixtures/scripts/ears.toml");

fn classes(pitches: &[Pitch]) -> Vec<u8> {
    pitches.iter().map(|pitch| pitch.key.class()).collect()
}

#[test]
fn a_voicing_has_the_degrees_asked_in_each_hand() {
    let (_, form) = drawn(SHIPPED);
    for item in &form.items {
        let Task::Voicing(task) = &item.task else {
            continue;
        };
        let hands = voicing(task);
        let root = task.chord.root.class();
        for (notes, degrees) in [
            (&hands.left, &task.voicing.hands.left),
            (&hands.right, &task.voicing.hands.right),
        ] {
            let pitches: Vec<Pitch> = notes.iter().map(|note| note.pitch).collect();
            let asked: Vec<u8> = degrees.iter().map(|of| of.class_over(root)).collect();
            assert_eq!(classes(&pitches), asked, "item {}", item.number);
        }
    }
}

#[test]
fn a_run_has_hands_for_each_chord() {
    let (_, form) = drawn(SHIPPED);
    for item in &form.items {
        let Task::Run(task) = &item.task else {
            continue;
        };
        let hands = run(task);
        assert_eq!(hands.len(), task.chords.len());
        assert!(hands.iter().all(|of| of.left.len() + of.right.len() == 4));
        assert!(bars(task) >= placed(task).last().expect("a chord").bar);
    }
}

#[test]
fn every_key_that_sounds_is_written() {
    let (exam, form) = drawn(EARS);
    let mut count = 0;
    for item in &form.items {
        let Task::Ear(task) = &item.task else {
            continue;
        };
        let strikes = sounded(&exam, item, task);
        assert_eq!(strikes.len(), task.sound.strikes.len());
        for (written, strike) in strikes.iter().zip(&task.sound.strikes) {
            let keys: Vec<u8> = written.pitches.iter().map(|of| of.key.number()).collect();
            let sounded: Vec<u8> = strike.keys.iter().map(|(key, _)| *key).collect();
            assert_eq!(keys, sounded, "item {}", item.number);
        }
        count += 1;
    }
    assert!(count > 20);
}

#[test]
fn intervals_have_their_letters() {
    let check = |root: u8, semitones: u8, expected: &str| {
        let keys: Vec<Key> = [60 + root, 60 + root + semitones]
            .iter()
            .filter_map(|key| Key::new(i64::from(*key)).ok())
            .collect();
        let names: Vec<String> = interval(root, semitones, &keys)
            .iter()
            .map(|pitch| pitch.name.to_string())
            .collect();
        assert_eq!(names.join(" "), expected);
    };
    check(0, 4, "C E");
    check(3, 3, "E♭ G♭");
    check(11, 6, "B F");
    check(2, 12, "D D");
    check(1, 10, "D♭ C♭");
}

#[test]
fn spelled_tones_rise_from_the_root() {
    let (_, form) = drawn(SHIPPED);
    let mut count = 0;
    for item in &form.items {
        let Task::Spell(task) = &item.task else {
            continue;
        };
        let pitches = tones(task);
        assert_eq!(pitches.len(), task.tones.len());
        assert!(pitches.windows(2).all(|pair| pair[0].key < pair[1].key));
        assert_eq!(pitches[0].name, task.chord.root);
        count += 1;
    }
    assert!(count > 0);
}
