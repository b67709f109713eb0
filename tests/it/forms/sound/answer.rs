//! The answer key of an ear item says what really sounds, and only one option is right.

use viva_voicing::exam::draw;
use viva_voicing::exam::form::{EarTask, Item};
use viva_voicing::exam::item::same_answer;

use super::super::{ear, exam, keys};
use super::{check_clear, classes};

/// An exam with every kind of question.
const EARS: &str = include_str!("../../../fixtures/scripts/ears.toml");

fn items() -> Vec<(String, Item)> {
    let exam = exam(EARS);
    let names: Vec<String> = exam
        .sections
        .iter()
        .map(|section| section.id.clone())
        .collect();

    (0..20)
        .flat_map(|seed| draw::draw_set(&exam, seed * 31_337).expect("a set"))
        .flat_map(|form| form.items.into_iter().chain(form.reserve))
        .map(|item| (names[item.section].clone(), item))
        .collect()
}

/// The option that the key says is right, for each part.
fn right(task: &EarTask) -> Vec<&str> {
    task.right
        .iter()
        .zip(task.options.iter())
        .map(|(right, options)| options[*right].as_str())
        .collect()
}

/// The four-note qualities by their classes over the root, from memory.
fn quality(classes: u16) -> &'static str {
    match classes {
        0b1000_1001_0001 => "maj7",
        0b0100_1001_0001 => "7",
        0b0100_1000_1001 => "m7",
        0b0100_0100_1001 => "m7b5",
        0b0010_0100_1001 => "dim7",
        0b0010_1001_0001 => "6",
        0b0000_1001_0001 => "major triad",
        0b0000_1000_1001 => "minor triad",
        0b0001_0001_0001 => "augmented triad",
        0b0000_0100_1001 => "diminished triad",
        other => panic!("{other:012b} is no quality of this exam"),
    }
}

/// The chord tone that a key is, by its distance above the root.
fn member(key: u8, root: u8) -> &'static str {
    match (key + 12 - root) % 12 {
        0 => "root",
        3 | 4 => "third",
        6..=8 => "fifth",
        9 => "sixth or seventh",
        10 | 11 => "seventh",
        other => panic!("{other} semitones above the root"),
    }
}

fn check_member(answer: &str, key: u8, root: u8, what: &str) {
    assert!(member(key, root).contains(answer), "{what}: {answer}");
}

#[test]
fn the_key_says_what_sounds() {
    let mut seen = std::collections::BTreeMap::new();

    for (section, item) in items() {
        let task = ear(&item);
        let sounded = keys(task);
        let last = sounded.last().expect("something sounds");
        let root = task.root;
        let answers = right(task);
        let what = format!("{section}: {sounded:?} on {root}");
        *seen.entry(section.clone()).or_insert(0) += 1;
        for keys in &sounded {
            check_clear(keys, &what);
        }

        match section.as_str() {
            "quality" | "triads" => {
                assert_eq!(last[0] % 12, root, "{what}");
                assert!(
                    same_answer(answers[0], quality(classes(last, root)))
                        || task.answers[0]
                            .iter()
                            .any(|text| text == quality(classes(last, root))),
                    "{what}: {answers:?}"
                );
            }
            "top" => check_member(answers[0], last[last.len() - 1], root, &what),
            "both" => {
                assert_eq!(answers[0], quality(classes(last, root)), "{what}");
                check_member(answers[1], last[0], root, &what);
                assert_eq!(sounded.len(), 2, "{what}: every item has its root first");
                assert_eq!(sounded[0].len(), 1, "{what}");
                assert_eq!(sounded[0][0] % 12, root, "{what}");
            }
            "interval" => {
                let all: Vec<u8> = sounded.concat();
                let size = usize::from(all[0].abs_diff(all[1]));
                let names = [
                    "m2", "M2", "m3", "M3", "P4", "TT", "P5", "m6", "M6", "m7", "M7", "P8",
                ];
                assert_eq!(answers[0], names[size - 1], "{what}");
            }
            "tension" => {
                let above = (last[last.len() - 1] - last[0]) % 12;
                let name = ["", "b9", "9", "#9", "", "", "#11", "", "b13", "13"];
                assert_eq!(answers[0], name[usize::from(above)], "{what}");
                assert_eq!(sounded[0], last[..3], "{what}");
            }
            "motion" => {
                let by = i16::from(last[0]) - i16::from(sounded[0][0]);
                let name = match by {
                    5 => "up a fourth",
                    -1 => "down a semitone",
                    2 => "up a tone",
                    -3 => "down a minor third",
                    6 => "a tritone",
                    other => panic!("{what}: {other}"),
                };
                assert_eq!(answers[0], name, "{what}");
            }
            "formula" => {
                let bass: Vec<u8> = sounded[1..]
                    .iter()
                    .map(|keys| (keys[0] + 12 - root) % 12)
                    .collect();
                let name = match bass.as_slice() {
                    [2, 7, 0] => "ii-V-I",
                    [2, 1, 0] => "ii-bII-I",
                    [5, 10, 0] => "iv-bVII-I",
                    [7, 9] => "V-vi",
                    other => panic!("{what}: {other:?}"),
                };
                assert_eq!(answers[0], name, "{what}");
                assert_eq!(sounded[0][0] % 12, root, "{what}");
            }
            "wrong" => {
                let printed = item.prompt.split(':').next().expect("a symbol");
                assert!(printed.ends_with("m7"), "{what}: {printed}");
                let found = classes(last, root);
                // What a minor seventh has and this has not.
                let missing = 0b0100_1000_1001 & !found;
                let name = match missing.trailing_zeros() {
                    0 => "root",
                    3 => "third",
                    7 => "fifth",
                    10 => "seventh",
                    other => panic!("{what}: {other}"),
                };
                assert_eq!(missing.count_ones(), 1, "{what}");
                assert_eq!(answers[0], name, "{what}");
            }
            other => panic!("section {other}"),
        }
    }

    assert_eq!(seen.len(), 9, "{seen:?}");
}

#[test]
fn one_option_alone_is_right() {
    for (section, item) in items() {
        let task = ear(&item);
        assert_eq!(task.options.len(), task.asks.len());
        for (part, options) in task.options.iter().enumerate() {
            let right: Vec<usize> = (0..options.len())
                .filter(|at| {
                    let fits = |text: &String| same_answer(text, &options[*at]);
                    task.answers[part].iter().any(fits)
                })
                .collect();
            assert_eq!(right, [task.right[part]], "{section}: {options:?}");
        }
    }
}
