//! Forms as they are laid out: nothing is cut, nothing says an answer that should not.

use std::sync::Arc;

use super::super::tests::meeting;
use super::*;
use crate::exam::code::Code;
use crate::exam::draw;
use crate::exam::form::Task;
use crate::exam::read;
use crate::printing::answers;
use crate::printing::page::Kind as Piece;
use crate::printing::pdf;
use crate::theory::Name;
use crate::theory::voicing::{Hands, Voicing};

/// Scripts of every kind of item.
const SCRIPTS: [(&str, &str); 15] = [
    ("shipped", include_str!("../../../exams/guide-tones.toml")),
    (
        "long-ears",
        include_str!("../../../tests/fixtures/scripts/long-ears.toml"),
    ),
    (
        "ears",
        include_str!("../../../tests/fixtures/scripts/ears.toml"),
    ),
    (
        "cross-longer-ears",
        include_str!("../../../tests/fixtures/scripts/good/cross-longer-ears.toml"),
    ),
    (
        "cross-ears",
        include_str!("../../../tests/fixtures/scripts/good/cross-ears.toml"),
    ),
    (
        "cross-figures",
        include_str!("../../../tests/fixtures/scripts/good/cross-figures.toml"),
    ),
    (
        "cross-practice",
        include_str!("../../../tests/fixtures/scripts/good/cross-practice.toml"),
    ),
    (
        "cross-runs",
        include_str!("../../../tests/fixtures/scripts/good/cross-runs.toml"),
    ),
    (
        "cross-voicings",
        include_str!("../../../tests/fixtures/scripts/good/cross-voicings.toml"),
    ),
    (
        "dealt",
        include_str!("../../../tests/fixtures/scripts/good/dealt.toml"),
    ),
    (
        "hands",
        include_str!("../../../tests/fixtures/scripts/good/hands.toml"),
    ),
    (
        "hearing",
        include_str!("../../../tests/fixtures/scripts/good/hearing.toml"),
    ),
    (
        "runs",
        include_str!("../../../tests/fixtures/scripts/good/runs.toml"),
    ),
    (
        "tune",
        include_str!("../../../tests/fixtures/scripts/good/tune.toml"),
    ),
    (
        "written",
        include_str!("../../../tests/fixtures/scripts/good/written.toml"),
    ),
];

/// The shipped exams by their names.
macro_rules! exams {
    ($($name:literal),* $(,)?) => {
        &[$(($name, include_str!(concat!("../../../exams/", $name, ".toml")))),*]
    };
}

const EXAMS: &[(&str, &str)] = exams![
    "audition",
    "class-quiz",
    "cycle-drills",
    "guide-tones",
    "hearing-cadences",
    "hearing-nine-qualities",
    "hearing-sevenths",
    "hearing-tensions",
    "hearing-triads",
    "jury",
    "one-hand",
    "spelling",
];

fn drawn(name: &str, source: &str) -> (Exam, Form) {
    let (exam, found) = read::read(source, name);
    let exam = exam.unwrap_or_else(|| panic!("{name}: {found:?}"));
    let form = draw::draw(&exam, Code::FIRST).expect("a form");

    (exam, form)
}

fn laid(exam: &Exam, form: &Form, key: bool, size: Size) -> Document {
    super::form(
        &Paper {
            exam,
            form,
            digest: "0123456789abcdef",
            key,
        },
        size,
    )
}

fn whole(document: &Document) -> String {
    let said = document.said().join(" ").replace('\u{a0}', " ");

    said.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Checks that no mark leaves the printed area, and that what is read stays above the foot.
#[track_caller]
fn check_bounds(name: &str, document: &Document) {
    let size = document.size;
    let margin = (size.width() - 666.0) / 2.0;

    for (number, page) in document.pages.iter().enumerate() {
        for piece in &page.pieces {
            for mark in &piece.marks {
                let bounds = mark.bounds();
                let text = format!("{name}, {size:?}, page {}: {mark:?} {bounds:?}", number + 1);
                assert!(bounds.left >= margin - 4.0, "{text}");
                assert!(bounds.right <= margin + 666.0 + 4.0, "{text}");
                assert!(bounds.top >= 50.0, "{text}");
                let foot = match piece.kind {
                    Piece::Running => size.height() - 30.0,
                    _ => size.height() - 59.0,
                };
                assert!(bounds.bottom <= foot, "{text}");
            }
        }
    }
}

#[test]
fn nothing_leaves_its_page() {
    for (name, source) in SCRIPTS {
        let (exam, form) = drawn(name, source);
        for key in [false, true] {
            for size in [Size::A4, Size::Letter] {
                let document = laid(&exam, &form, key, size);
                check_bounds(name, &document);
                let painted = pdf::write(&document).expect("a form is painted");
                assert!(painted.starts_with(b"%PDF-1.7"));
            }
        }
    }
}

#[test]
fn nothing_of_a_shipped_exam_leaves_its_page() {
    for (name, source) in EXAMS {
        let (exam, form) = drawn(name, source);
        for (key, size) in [(true, Size::A4), (false, Size::Letter)] {
            check_bounds(name, &laid(&exam, &form, key, size));
        }
    }
}

#[test]
fn no_two_texts_meet() {
    for (name, source) in SCRIPTS {
        let (exam, form) = drawn(name, source);
        for key in [false, true] {
            let document = laid(&exam, &form, key, Size::A4);
            assert_eq!(meeting(&document), [""; 0], "{name}");
        }
    }
}

#[test]
fn every_item_is_there_with_and_without_its_key() {
    for (name, source) in SCRIPTS {
        let (exam, form) = drawn(name, source);
        for key in [false, true] {
            let said = laid(&exam, &form, key, Size::A4).said();
            for item in form.items.iter().chain(&form.reserve) {
                let number = item.number.to_string();
                assert!(
                    said.iter().any(|line| line.trim() == number),
                    "{name}: {number}"
                );
            }
            let all = said.join(" ");
            for section in &exam.sections {
                assert!(all.contains(&section.title), "{name}: {}", section.title);
            }
        }
    }
}

/// The form with other answers to the same questions.
fn otherwise(form: &Form) -> Form {
    let mut other = form.clone();
    let items = other
        .items
        .iter_mut()
        .chain(&mut other.reserve)
        .chain(&mut other.warm_ups);

    for item in items {
        match &mut item.task {
            Task::Voicing(task) => {
                let task = Arc::make_mut(task);
                task.voicing = Voicing::new(Hands::default());
                task.neighbours.clear();
            }
            Task::Run(task) => {
                let task = Arc::make_mut(task);
                let lines = Arc::make_mut(&mut task.lines);
                for voicing in lines.iter_mut().flatten() {
                    *voicing = Voicing::new(Hands::default());
                }
            }
            Task::Ear(task) => {
                for right in Arc::make_mut(&mut task.right) {
                    *right = (*right + 1) % 2;
                }
                Arc::make_mut(&mut task.answers).clear();
                task.sound.strikes.truncate(1);
                task.sound.rove = 7;
            }
            Task::Spell(task) => {
                let task = Arc::make_mut(task);
                for (_, names) in task.tones.iter_mut().skip(1) {
                    *names = vec![Name::plain(0)];
                }
            }
            Task::Panel(_) => {}
        }
    }

    other
}

#[test]
fn without_its_key_a_form_says_nothing_that_hangs_on_an_answer() {
    for (name, source) in SCRIPTS {
        let (exam, form) = drawn(name, source);
        let other = otherwise(&form);
        let plain = |form: &Form| laid(&exam, form, false, Size::A4);

        assert_eq!(plain(&form), plain(&other), "{name}");
        let has_answers = form.items.iter().any(|item| item.task.word() != "panel");
        assert!(has_answers);
        assert_ne!(
            laid(&exam, &form, true, Size::A4),
            laid(&exam, &other, true, Size::A4),
            "{name}"
        );
    }
}

#[test]
fn with_its_key_a_form_says_every_answer() {
    for (name, source) in SCRIPTS {
        let (exam, form) = drawn(name, source);
        let keyed = whole(&laid(&exam, &form, true, Size::A4));
        let plain = whole(&laid(&exam, &form, false, Size::A4));

        for item in form.items.iter().chain(&form.reserve) {
            let answer = match &item.task {
                Task::Voicing(task) => vec![answers::voicing(task).words()],
                Task::Run(task) => answers::run(task).iter().map(|of| of.words()).collect(),
                Task::Ear(task) => answers::sounded(&exam, item, task)
                    .iter()
                    .filter(|strike| strike.chord.is_some())
                    .flat_map(|strike| &strike.pitches)
                    .map(|pitch| crate::engraving::words::pitch(*pitch))
                    .collect(),
                Task::Spell(task) => {
                    let pitches = answers::tones(task);
                    vec![crate::engraving::words::pitches(&pitches)]
                }
                Task::Panel(_) => Vec::new(),
            };
            // A lone note may be said for another reason, such as a root that is given.
            let is_lone = matches!(item.task, Task::Ear(_));
            for words in answer {
                assert!(keyed.contains(&words), "{name}: {words}\n{keyed}");
                assert!(is_lone || !plain.contains(&words), "{name}: {words}");
            }
        }
    }
}
