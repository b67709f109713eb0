//! Whatever is done to a right script: no panic, places inside it, and what has no fault is drawn.

use proptest::prelude::*;
use proptest::sample::Index;
use proptest::test_runner::RngSeed;
use viva_voicing::exam::code::Code;
use viva_voicing::exam::diagnostic::{Lines, Severity};
use viva_voicing::exam::{draw, read, table};

use super::right;

/// One thing done to a script.
#[derive(Debug, Clone)]
enum Change {
    /// A sign is put in the place of another.
    Sign(Index, char),
    /// A sign goes.
    Loss(Index),
    /// A piece of language is put in.
    Piece(Index, Index),
    /// Two lines change places.
    Swap(Index, Index),
    /// A line goes.
    Cut(Index),
    /// A line comes twice.
    Twice(Index, Index),
    /// A number becomes another.
    Number(Index, Index),
    /// A text in quotes becomes another of the script.
    Text(Index, Index),
}

/// Pieces of the language, some of them wrong.
const PIECES: &[&str] = &[
    "[[section]]\n",
    "[rules]\n",
    "cells = []\n",
    "kind = \"run\"\n",
    "seats = 31\n",
    "each_root = 1\n",
    "root_heard = false\n",
    "voicing = \"any\"\n",
    "shuffle = true\n",
    "roots = [\"C\"], ",
    "group = \"III\", ",
    "top = 3, ",
    "bass = 5, ",
    "\"",
    "{",
    "]",
    "=",
    "\n",
    "♭",
    "\u{feff}",
    "\u{0}",
];

const NUMBERS: &[&str] = &[
    "0",
    "1",
    "2",
    "3",
    "5",
    "6",
    "7",
    "12",
    "13",
    "24",
    "40",
    "127",
    "200",
    "-1",
    "0.5",
    "1.5",
    "2.0",
    "1e3",
    "nan",
    "99999999999999999999",
];

fn change() -> impl Strategy<Value = Change> {
    let at = any::<Index>;

    prop_oneof![
        (at(), any::<char>()).prop_map(|(at, sign)| Change::Sign(at, sign)),
        (at(), proptest::char::range(' ', '~')).prop_map(|(at, sign)| Change::Sign(at, sign)),
        at().prop_map(Change::Loss),
        (at(), at()).prop_map(|(at, piece)| Change::Piece(at, piece)),
        (at(), at()).prop_map(|(a, b)| Change::Swap(a, b)),
        at().prop_map(Change::Cut),
        (at(), at()).prop_map(|(from, to)| Change::Twice(from, to)),
        (at(), at()).prop_map(|(at, number)| Change::Number(at, number)),
        (at(), at()).prop_map(|(at, number)| Change::Number(at, number)),
        (at(), at()).prop_map(|(at, other)| Change::Text(at, other)),
        (at(), at()).prop_map(|(at, other)| Change::Text(at, other)),
    ]
}

/// Finds the numbers of a script.
fn numbers(text: &str) -> Vec<std::ops::Range<usize>> {
    let is_part = |byte: u8| byte.is_ascii_digit() || byte == b'.';
    let bytes = text.as_bytes();
    let mut all = Vec::new();
    let mut at = 0;

    while at < bytes.len() {
        let end = (at..bytes.len())
            .find(|end| !is_part(bytes[*end]))
            .unwrap_or(bytes.len());
        if end > at {
            all.push(at..end);
        }
        at = end.max(at + 1);
    }

    all
}

/// Finds the texts in quotes, quotes included.
fn texts(text: &str) -> Vec<std::ops::Range<usize>> {
    let quotes: Vec<usize> = text.match_indices('"').map(|(at, _)| at).collect();

    quotes
        .chunks_exact(2)
        .map(|pair| pair[0]..pair[1] + 1)
        .collect()
}

impl Change {
    fn apply(&self, text: &mut String) {
        let boundary = |text: &str, at: &Index| text.floor_char_boundary(at.index(text.len() + 1));
        let swap_lines = |text: &mut String, change: &dyn Fn(&mut Vec<&str>)| {
            let copy = text.clone();
            let mut lines: Vec<&str> = copy.lines().collect();
            if !lines.is_empty() {
                change(&mut lines);
            }
            *text = lines.join("\n") + "\n";
        };

        match self {
            Self::Sign(at, sign) => {
                let at = boundary(text, at);
                if at < text.len() {
                    let _ = text.remove(at);
                }
                text.insert(at, *sign);
            }
            Self::Loss(at) => {
                let at = boundary(text, at);
                if at < text.len() {
                    let _ = text.remove(at);
                }
            }
            Self::Piece(at, piece) => {
                let at = boundary(text, at);
                text.insert_str(at, PIECES[piece.index(PIECES.len())]);
            }
            Self::Swap(a, b) => swap_lines(text, &|lines| {
                let (a, b) = (a.index(lines.len()), b.index(lines.len()));
                lines.swap(a, b);
            }),
            Self::Cut(at) => swap_lines(text, &|lines| {
                let _ = lines.remove(at.index(lines.len()));
            }),
            Self::Twice(from, to) => swap_lines(text, &|lines| {
                let line = lines[from.index(lines.len())];
                lines.insert(to.index(lines.len()), line);
            }),
            Self::Number(at, number) => {
                let places = numbers(text);
                if !places.is_empty() {
                    let place = places[at.index(places.len())].clone();
                    text.replace_range(place, NUMBERS[number.index(NUMBERS.len())]);
                }
            }
            Self::Text(at, other) => {
                let places = texts(text);
                if !places.is_empty() {
                    let other = text[places[other.index(places.len())].clone()].to_owned();
                    text.replace_range(places[at.index(places.len())].clone(), &other);
                }
            }
        }
    }
}

/// How many cases are tried; `FUZZ_CASES=100000 cargo test --release scripts` tries many.
fn cases() -> u32 {
    std::env::var("FUZZ_CASES")
        .ok()
        .and_then(|text| text.parse().ok())
        .unwrap_or(128)
}

/// Returns the lines of a changed script that are new, to be shown with a failure.
fn new_lines(text: &str, before: &str) -> String {
    let known: Vec<&str> = before.lines().collect();
    let new: Vec<&str> = text.lines().filter(|line| !known.contains(line)).collect();

    format!("{} lines, new: {}", text.lines().count(), new.join(" | "))
}

fn vetted(text: &str, before: &str) -> Result<(), TestCaseError> {
    let Ok(source) = table::source(text.as_bytes()) else {
        return Ok(());
    };
    let (exam, diagnostics) = read::read(source, "changed");
    let lines = Lines::new(source);

    for found in &diagnostics {
        prop_assert!(source.get(found.span.clone()).is_some(), "{found:?}");
        prop_assert!(!found.message.is_empty());
        prop_assert!(!lines.render(found, "changed").is_empty());
    }
    let faults = diagnostics
        .iter()
        .any(|found| found.severity == Severity::Fault);
    prop_assert_eq!(exam.is_none(), faults);

    if let Some(exam) = exam {
        for (seed, seat) in [(0, 1), (1, 1), (12_345, 1), (99, exam.rules.seats)] {
            let drawn = draw::draw(&exam, Code::new(seed, seat));
            prop_assert!(
                drawn.is_ok(),
                "seed {seed}, {:?}, {}",
                drawn.err(),
                new_lines(text, before)
            );
        }
    }

    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: cases(),
        max_shrink_iters: 400,
        failure_persistence: None,
        // The same cases each time, unless one goes looking.
        rng_seed: match std::env::var("FUZZ_CASES") {
            Ok(_) => RngSeed::Random,
            Err(_) => RngSeed::Fixed(1),
        },
        ..ProptestConfig::default()
    })]

    #[test]
    fn a_changed_script_is_vetted_and_what_has_no_fault_is_drawn(
        which in any::<Index>(),
        changes in proptest::collection::vec(change(), 1..6),
    ) {
        let scripts = right();
        let before = &scripts[which.index(scripts.len())].1;
        let mut text = before.clone();
        for change in &changes {
            change.apply(&mut text);
        }
        vetted(&text, before)?;
    }

    // Changes that mostly leave TOML whole reach further than the others.
    #[test]
    fn a_script_with_other_numbers_and_texts_is_vetted_and_what_has_no_fault_is_drawn(
        which in any::<Index>(),
        changes in proptest::collection::vec(
            prop_oneof![
                (any::<Index>(), any::<Index>()).prop_map(|(at, to)| Change::Number(at, to)),
                (any::<Index>(), any::<Index>()).prop_map(|(at, to)| Change::Text(at, to)),
                any::<Index>().prop_map(Change::Cut),
            ],
            1..4,
        ),
    ) {
        let scripts = right();
        let before = &scripts[which.index(scripts.len())].1;
        let mut text = before.clone();
        for change in &changes {
            change.apply(&mut text);
        }
        vetted(&text, before)?;
    }
}

/// Scripts that would take long where something is not bounded.
#[test]
fn huge_things_in_a_script_are_told_and_do_not_take_long() {
    let head = "title = \"x\"\n[rules]\nfeedback = true\n";
    let section = |cells: &str| {
        format!(
            "{head}[[section]]\nid = \"A\"\ntitle = \"A\"\nkind = \"voicing\"\npoints = 5\nseconds = 6\nform = \"shell\"\ncells = [{cells}]\n"
        )
    };
    let long = "x".repeat(200_000);
    let texts = [
        format!("{long} = 1\n"),
        format!("title = \"{long}\"\n"),
        section(&format!("{{ count = 1, quality = \"{long}\" }}")),
        section(&format!(
            "{{ count = 1, quality = \"7\", order = \"{long}\" }}"
        )),
        section(&format!(
            "{{ count = 1, quality = \"7\", group = \"{long}\" }}"
        )),
        section(&format!(
            "{{ count = 1, quality = \"7\", form = \"{long}\" }}"
        )),
        section(&format!(
            "{{ count = 1, quality = \"7\", roots = [\"{long}\"] }}"
        )),
        section(&"{ count = 200, quality = \"7\", order = \"third on top\" },\n".repeat(5_000)),
        section(&"{ count = 1, quality = \"7\", order = \"third on top\" },\n".repeat(5_000)),
        format!(
            "{head}[[progression]]\nname = \"long\"\nbars = [{}]\n",
            "\"I I I I\",".repeat(20_000)
        ),
        format!(
            "{head}[[form]]\nname = \"long\"\nwords = \"x\"\nleft = \"{}\"\n",
            "1 ".repeat(50_000)
        ),
        format!("{head}{}", "[[section]]\n".repeat(20_000)),
        format!(
            "{head}{}",
            "[[band]]\nfrom = 1\nname = \"a\"\n".repeat(5_000)
        ),
    ];

    for text in texts {
        let (exam, found) = read::read(&text, "huge");
        assert!(exam.is_none());
        assert!(!found.is_empty());
        for one in found {
            assert!(one.message.len() < 1_000, "{}", one.message.len());
            assert!(one.help.is_none_or(|help| help.len() < 1_000));
        }
    }
}
