//! The same code gives the same form on every machine and in every version.
//!
//! What is pinned here may change only together with `GENERATOR`: a form that was sat must be drawn
//! again when it is marked again. `UPDATE=1 cargo test golden` writes the new expectations.

use std::fmt::Write as _;
use std::path::PathBuf;

use sha2::{Digest, Sha256};
use viva_voicing::exam::code::{Code, SETS};
use viva_voicing::exam::draw;
use viva_voicing::exam::form::{Form, GENERATOR, Item, Task};
use viva_voicing::exam::script::Exam;

use super::{content, exam, keys, shipped};

const EARS: &str = include_str!("../../fixtures/scripts/ears.toml");

/// Compares a text with the one that is kept, or keeps it where `UPDATE` is set.
fn check(name: &str, found: &str) {
    let path: PathBuf = [env!("CARGO_MANIFEST_DIR"), "tests/fixtures/expected", name]
        .iter()
        .collect();

    if std::env::var_os("UPDATE").is_some() {
        std::fs::write(&path, found).expect("the folder is there");
    }
    let expected = std::fs::read_to_string(&path).expect("the expectation is kept");
    let different = expected
        .lines()
        .zip(found.lines())
        .position(|(expected, found)| expected != found);
    assert!(
        expected == found,
        "{name} differs from line {}: the same codes give other forms now. Raise GENERATOR in \
         src/exam/form.rs, then write the new expectations with UPDATE=1",
        different.map_or(0, |line| line + 1)
    );
}

/// All that a candidate could see or hear of an item, and its key.
fn line(item: &Item) -> String {
    let mut text = format!(
        "{:3} {}.{} | {}",
        item.number, item.section, item.cell, item.prompt
    );

    match &item.task {
        Task::Voicing(task) => {
            let _ = write!(
                text,
                " | left {:?} right {:?} | neighbours {:?}",
                task.voicing.hands.left, task.voicing.hands.right, task.neighbours
            );
        }
        Task::Run(task) => {
            for (k, placed) in task.chords.iter().enumerate() {
                let rights: Vec<_> = task
                    .lines
                    .iter()
                    .map(|line| super::degrees(&line[k].hands.right))
                    .collect();
                let _ = write!(
                    text,
                    " | {}+{} {}",
                    placed.at_twelfths,
                    placed.twelfths,
                    rights.join(" or ")
                );
            }
        }
        Task::Ear(task) => {
            let _ = write!(
                text,
                " | {:?} | {:?} | rove {}",
                task.answers, task.sound.strikes, task.sound.rove
            );
        }
        Task::Spell(task) => {
            let _ = write!(text, " | {:?}", task.tones);
        }
        Task::Panel(_) => {}
    }

    text
}

fn whole(form: &Form) -> String {
    let all = form.items.iter().chain(&form.reserve).chain(&form.warm_ups);

    all.fold(String::new(), |text, item| text + &line(item) + "\n")
}

fn digests(exam: &Exam) -> String {
    let mut text = format!("generator {GENERATOR}\n");

    for i in 0..25 {
        let seed = i * (SETS / 25) + i;
        for seat in [1 + i as u8 % exam.rules.seats, exam.rules.seats] {
            let form = draw::draw(exam, Code::new(seed, seat)).expect("a form");
            let digest = Sha256::digest(whole(&form));
            let _ = write!(text, "{} ", form.code);
            for byte in &digest[..16] {
                let _ = write!(text, "{byte:02x}");
            }
            text.push('\n');
        }
    }

    text
}

#[test]
fn fifty_forms_of_the_shipped_exam_are_as_they_were() {
    check("forms.txt", &digests(&shipped()));
}

#[test]
fn fifty_forms_of_an_exam_for_the_ear_are_as_they_were() {
    check("ears.txt", &digests(&exam(EARS)));
}

#[test]
fn a_form_can_be_read_as_it_was() {
    let form = draw::draw(&shipped(), Code::new(1959, 3)).expect("a form");
    let mut text = format!("form {}, generator {GENERATOR}\n", form.code);
    let parts = [
        ("items", &form.items),
        ("reserve", &form.reserve),
        ("warm-ups", &form.warm_ups),
    ];

    for (name, items) in parts {
        let _ = writeln!(text, "\n{name}");
        for item in items {
            let _ = match &item.task {
                Task::Ear(task) => writeln!(
                    text,
                    "{:3} {} {:?}",
                    item.number,
                    task.options[0][task.right[0]],
                    keys(task)[0]
                ),
                Task::Spell(_) => writeln!(text, "{:3} {}", item.number, content(item)),
                _ => writeln!(text, "{:3} {}", item.number, item.prompt),
            };
        }
    }

    check("form.txt", &text);
}

/// Sums in floating point and the order of hashes may differ between machines.
#[test]
fn nothing_that_draws_counts_in_floating_point_or_goes_through_hashes() {
    let mut folders = vec![PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("src/exam")];
    let mut read = 0;

    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder).expect("a folder") {
            let path = entry.expect("an entry").path();
            let name = path
                .strip_prefix(env!("CARGO_MANIFEST_DIR"))
                .expect("inside");
            let name = name.display().to_string().replace('\\', "/");
            // Reading and vetting may count as they like.
            let draws = ["draw", "item", "sound", "chance", "code", "form"]
                .iter()
                .any(|part| name.starts_with(&format!("src/exam/{part}")));
            if !draws {
                continue;
            }
            if path.is_dir() {
                folders.push(path);
                continue;
            }
            let text = std::fs::read_to_string(&path).expect("a source file");
            for word in ["f64", "f32", "as_seconds", "as_ms", "HashMap", "HashSet"] {
                assert!(!text.contains(word), "{name} has `{word}`");
            }
            read += 1;
        }
    }

    assert!(read >= 14, "{read}");
}
