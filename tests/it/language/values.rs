//! What can stand after a key: bounds are taken, one beyond is refused; words likewise.

use toml::Value;
use viva_voicing::exam::language::{Key, Kind, parts};

use super::{What, cases, faults, faults_of, set, value};

/// Keys whose bounds no small script can have: there is not enough to draw from, or no such tone.
const DRAWN: [&str; 5] = ["count", "each", "each_root", "each_with", "tones"];

/// Values at the bounds and lists of least and greatest length, and those just beyond.
pub(super) fn bounds(kind: Kind) -> (Vec<Value>, Vec<Value>) {
    match kind {
        Kind::Whole(from, to) => (
            vec![from.into(), to.into()],
            vec![(from - 1).into(), (to + 1).into()],
        ),
        Kind::Number(from, to) => (
            vec![from.into(), to.into()],
            vec![(from - 0.01).into(), (to + 0.01).into()],
        ),
        Kind::Member => (vec![], [0, 2, 4, 6, 8, 9].map(Value::from).to_vec()),
        Kind::List(of, least, most) => lists(*of, least, most),
        _ => (vec![], vec![]),
    }
}

fn lists(of: Kind, least: usize, most: usize) -> (Vec<Value>, Vec<Value>) {
    let list = |items: Vec<Value>| Value::Array(items);
    let numbers = |low: Value, middle: Value, high: Value| {
        let mut items = vec![low, high];
        if least == 3 {
            items.insert(1, middle);
        }
        list(items)
    };
    let (mut within, mut beyond) = (Vec::new(), vec![list(vec![])]);

    match of {
        Kind::Whole(from, to) => {
            let middle = || Value::from(i64::midpoint(from, to));
            within.push(numbers(from.into(), middle(), to.into()));
            beyond.push(numbers((from - 1).into(), middle(), to.into()));
            beyond.push(numbers(from.into(), middle(), (to + 1).into()));
            beyond.push(list((from..=from + most as i64).map(Value::from).collect()));
        }
        Kind::Number(from, to) => {
            let middle = || Value::from(f64::midpoint(from, to));
            within.push(numbers(from.into(), middle(), to.into()));
            beyond.push(numbers((from - 0.01).into(), middle(), to.into()));
            beyond.push(numbers(from.into(), middle(), (to + 0.01).into()));
            beyond.push(list(vec![from.into(); least + 1]));
        }
        Kind::Root => {
            let all = value(
                "[\"C\", \"G\", \"D\", \"A\", \"E\", \"B\", \"F#\", \"C#\", \"G#\", \"Eb\", \"B♭\", \"F♮\"]",
            );
            let mut more = all.as_array().expect("a list").clone();
            more.push("C".into());
            within.push(all);
            beyond.push(list(more));
            beyond.push(value("[\"H\"]"));
            beyond.push(value("[\"Cbb\"]"));
            beyond.push(value("[\"c\"]"));
        }
        // Criteria have to differ, bars do not.
        _ if most == usize::MAX => {
            within.push(list((0..50).map(|i| format!("No. {i}").into()).collect()));
        }
        _ => {
            within.push(list(vec!["C7".into(); most]));
            beyond.push(list(vec!["C7".into(); most + 1]));
        }
    }
    (within, beyond)
}

/// Words that are taken, and some that are not.
pub(super) fn words(kind: Kind) -> (Vec<Value>, Vec<Value>) {
    match kind {
        Kind::Word(words, also) => (
            words
                .iter()
                .chain(also)
                .map(|word| Value::from(*word))
                .collect(),
            vec!["zz".into(), "".into(), format!("{}x", words[0]).into()],
        ),
        Kind::Ask => (
            vec![],
            vec![
                "zz".into(),
                value("[]"),
                value("[\"quality\", \"quality\"]"),
            ],
        ),
        Kind::Line => (vec![], vec!["".into(), "  ".into()]),
        _ => (vec![], vec![]),
    }
}

/// The readers' verdict on everything that can be tried.
#[test]
fn what_is_said_to_be_taken_is_taken_and_nothing_else() {
    let cases = cases();
    assert!(cases.len() > 1000, "{}", cases.len());

    let mut odd = Vec::new();
    for case in cases {
        let all = faults(&case.script);
        let own = faults_of(&case.script, case.key);
        let is_right = match case.what {
            What::Example => all.is_empty(),
            What::Missing => all.iter().any(|(_, message)| {
                message.starts_with(&format!("missing key `{}`", case.key))
                    || *message == format!("missing section [[{}]]", case.key)
            }),
            What::Bound if DRAWN.contains(&case.key) => !own
                .iter()
                .any(|message| message.starts_with("expected ") && message.contains(" to ")),
            what if what.is_taken() => own.is_empty(),
            _ => !own.is_empty(),
        };
        if !is_right {
            odd.push(format!("{case}: {all:?}\n{}", super::text(&case.script)));
        }
    }

    assert!(odd.is_empty(), "\n{}", odd.join("\n"));
}

/// What the message to a wrong value begins with, and such a value.
fn refusal(key: &Key) -> Option<(Value, String)> {
    match key.kind {
        // A hand that nobody has and a pass mark of nothing have messages of their own.
        _ if matches!(key.name, "span" | "pass") => None,
        Kind::Word(words, _) => {
            let words: Vec<String> = words.iter().map(|word| format!("`{word}`")).collect();
            let words = words.join(", ");
            Some(("zz".into(), format!("expected one of {words}")))
        }
        Kind::Whole(from, to) => Some(((to + 1).into(), format!("expected {from} to {to}"))),
        Kind::Number(from, to) => Some(((to + 1.0).into(), format!("expected {from} to {to}"))),
        _ => None,
    }
}

/// What the message offers is what the data have, in the same order; units are the same.
#[test]
fn messages_name_the_same_words_bounds_and_units() {
    let mut odd = Vec::new();

    for part in parts() {
        for key in part.all_keys() {
            let Some((wrong, expected)) = refusal(key) else {
                continue;
            };
            let found = faults_of(&set(part, key, wrong), key.name);
            let unit = found
                .iter()
                .find_map(|message| message.strip_prefix(&expected))
                .and_then(|rest| rest.split_once(", found"))
                .map(|(unit, _)| unit.trim());

            // Where a message has no unit, the data may well have one.
            if unit.is_none_or(|unit| !unit.is_empty() && unit != key.unit) {
                odd.push(format!(
                    "key `{}` of part `{}`: {expected} {}, and the reader says {found:?}",
                    key.name, part.id, key.unit
                ));
            }
        }
    }

    assert!(odd.is_empty(), "\n{}\n", odd.join("\n"));
}
