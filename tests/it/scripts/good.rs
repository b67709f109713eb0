//! Right scripts: no fault, and every form of a set drawn.

use std::collections::BTreeSet;

use viva_voicing::exam::code::Code;
use viva_voicing::exam::diagnostic::Severity;
use viva_voicing::exam::script::{Ask, Exam, Kind, Line, Pace, Start};
use viva_voicing::exam::{draw, read};

use super::right;

fn exams() -> Vec<(String, Exam)> {
    right()
        .into_iter()
        .map(|(path, source)| {
            let name = path.display().to_string();
            let (exam, diagnostics) = read::read(&source, "right");
            let faults: Vec<_> = diagnostics
                .iter()
                .filter(|diagnostic| diagnostic.severity == Severity::Fault)
                .collect();
            assert!(faults.is_empty(), "{name}: {faults:#?}");
            (name, exam.expect("a script without faults is an exam"))
        })
        .collect()
}

#[test]
fn right_scripts_have_no_fault_and_draw_every_form_of_a_set() {
    for (name, exam) in exams() {
        for seed in [0, 1, 77, 65_521] {
            let forms =
                draw::draw_set(&exam, seed).unwrap_or_else(|error| panic!("{name}: {error}"));
            assert_eq!(forms.len(), usize::from(exam.rules.seats), "{name}");
        }
        let form = draw::draw(&exam, Code::FIRST).unwrap_or_else(|error| panic!("{name}: {error}"));
        assert!(!form.items.is_empty(), "{name}");
    }
}

#[test]
fn the_options_of_every_ear_item_hold_its_answer() {
    use viva_voicing::exam::form::Task;
    use viva_voicing::exam::item::same_answer;

    for (name, exam) in exams() {
        let form = draw::draw(&exam, Code::FIRST).expect("vetted");
        for item in &form.items {
            let Task::Ear(task) = &item.task else {
                continue;
            };
            for (part, right) in task.right.iter().enumerate() {
                let option = &task.options[part][*right];
                assert!(
                    task.answers[part]
                        .iter()
                        .any(|answer| same_answer(answer, option)),
                    "{name}: item {}: {option} for {:?}",
                    item.number,
                    task.answers[part]
                );
            }
        }
    }
}

// So that nothing of the language is left untried.
#[test]
fn together_they_use_every_kind_of_section_and_every_question() {
    let exams: Vec<Exam> = exams().into_iter().map(|(_, exam)| exam).collect();
    let sections = || exams.iter().flat_map(|exam| &exam.sections);
    let kinds: BTreeSet<&str> = sections().map(|section| section.kind.word()).collect();
    assert_eq!(
        kinds.into_iter().collect::<Vec<_>>(),
        ["ear", "panel", "rest", "run", "spell", "voicing"]
    );

    for (word, ask) in Ask::WORDS {
        let asked = sections().any(|section| match &section.kind {
            Kind::Ear(ear) => ear.asks.contains(&ask),
            _ => false,
        });
        assert!(asked, "{word}");
    }

    let runs = || {
        sections().filter_map(|section| match &section.kind {
            Kind::Run(run) => Some(run),
            _ => None,
        })
    };
    let cells = || runs().flat_map(|run| &run.cells);
    assert!(cells().any(|cell| cell.start == Start::Open));
    assert!(cells().any(|cell| matches!(cell.start, Start::Order(_))));
    assert!(cells().any(|cell| cell.form.is_none()));
    assert!(cells().any(|cell| matches!(cell.pace, Pace::Free { .. })));
    assert!(cells().any(|cell| matches!(cell.line, Line::Cycle { .. })));
    assert!(runs().any(|run| run.weights.harmony != 40));
    assert!(exams.iter().any(|exam| !exam.forms.is_empty()));
    assert!(exams.iter().any(|exam| !exam.progressions.is_empty()));
    assert!(exams.iter().any(|exam| !exam.bands.is_empty()));
    assert!(sections().any(|section| section.hurdle.is_some()));
    for name in viva_voicing::theory::voicing::form::all() {
        let asked = sections().any(|section| match &section.kind {
            Kind::Voicing(of) => of.cells.iter().any(|cell| cell.form.name == name.name),
            _ => false,
        });
        assert!(asked, "form {}", name.name);
    }
}
