//! Papers for every shipped exam and candidates of known strength, read back and looked through.

use rayon::prelude::*;

use viva_voicing::exam::code::Code;
use viva_voicing::exam::duration::{PLAYED_WITHOUT_REST, PROMPTS_WITHOUT_REST};
use viva_voicing::exam::form::{Form, Task};
use viva_voicing::exam::script::{Exam, Kind};
use viva_voicing::exam::{draw, duration, read};
use viva_voicing::practise::{self, Paper, Sat, Wishes};
use viva_voicing::sitting::Sitting;
use viva_voicing::time::Time;

use crate::library::sat::{SORTS, sit};
use crate::library::{Shipped, shipped};

fn sat<'a>(sitting: &'a Sitting, script: &'a str, started: &'a str) -> Sat<'a> {
    Sat {
        sitting,
        script,
        started,
    }
}

fn paper(shipped: &Shipped, sitting: &Sitting, minutes: u32, seed: u64) -> Paper {
    let sat = sat(sitting, &shipped.source, "2026-03-12T10:21:00Z");

    practise::paper(&[sat], Wishes { minutes, seed })
        .unwrap_or_else(|error| panic!("{}, {minutes} minutes: {error}", shipped.exam.name))
}

fn lasts(exam: &Exam, form: &Form) -> Time {
    (0..exam.sections.len())
        .map(|index| duration::section(exam, form, index, 100).usual)
        .fold(Time::ZERO, |sum, time| sum + time)
}

/// What hands may play without a rest, common practice, no source: see the trade's cautions.
fn rests(exam: &Exam, form: &Form, name: &str) {
    let (mut prompts, mut played) = (0, Time::ZERO);

    for (index, section) in exam.sections.iter().enumerate() {
        match section.kind {
            Kind::Voicing(_) | Kind::Run(_) => {
                let of = form.items.iter().filter(|item| item.section == index);
                prompts += of.count() as u32;
                played += duration::section(exam, form, index, 100).usual;
                assert!(prompts <= PROMPTS_WITHOUT_REST, "{name}: {prompts} prompts");
                assert!(played <= PLAYED_WITHOUT_REST, "{name}: {played:?}");
            }
            _ => (prompts, played) = (0, Time::ZERO),
        }
    }
}

#[test]
fn every_exam_gives_every_candidate_a_paper_without_fault_of_the_length_asked() {
    let all = shipped();
    let cases: Vec<_> = all
        .iter()
        .flat_map(|shipped| SORTS.map(|(sort, ability)| (shipped, sort, ability)))
        .collect();

    cases.par_iter().for_each(|(shipped, sort, ability)| {
        let sitting = sit(shipped, *ability, 5);
        for minutes in [3, 10, 30] {
            let name = format!("{}, {sort}, {minutes} minutes", shipped.exam.name);
            let paper = paper(shipped, &sitting, minutes, 1);
            let (exam, found) = read::read(&paper.script, &paper.exam.name);
            assert!(found.is_empty(), "{name}: {found:?}\n{}", paper.script);
            assert_eq!(exam.as_ref(), Some(&paper.exam), "{name}");
            assert!(
                paper.exam.rules.feedback && paper.exam.pass.is_none(),
                "{name}"
            );
            assert_eq!(paper.exam.points(), 10_000, "{name}");

            let form = draw::draw(&paper.exam, Code::FIRST).unwrap();
            let most = Time::from_ms(60_000 * i64::from(minutes));
            assert!(lasts(&paper.exam, &form) <= most, "{name}");
            rests(&paper.exam, &form, &name);
            assert_eq!(
                paper.parts.len(),
                paper
                    .exam
                    .sections
                    .iter()
                    .filter(|section| !matches!(section.kind, Kind::Rest { .. }))
                    .count(),
                "{name}"
            );
            for part in &paper.parts {
                assert!(part.because.ends_with('.'), "{name}: {}", part.because);
                let line = part.because.split(' ').take(3).collect::<Vec<_>>();
                assert!(paper.script.contains(&line.join(" ")), "{name}");
            }
        }
    });
}

#[test]
fn half_the_time_asked_is_used_at_least_where_there_is_enough_to_practise() {
    let all = shipped();

    for shipped in &all {
        let sitting = sit(shipped, SORTS[2].1, 3);
        let paper = paper(shipped, &sitting, 10, 1);
        let form = draw::draw(&paper.exam, Code::FIRST).unwrap();
        assert!(
            lasts(&paper.exam, &form) >= Time::from_ms(5 * 60_000),
            "{}: {:?}\n{}",
            shipped.exam.name,
            lasts(&paper.exam, &form),
            paper.script
        );
    }
}

#[test]
fn the_same_seed_gives_the_same_paper_and_another_one_another() {
    let all = shipped();
    let sitting = sit(&all[0], SORTS[2].1, 3);
    let of = |seed| paper(&all[0], &sitting, 10, seed).script;

    assert_eq!(of(1), of(1));
    assert_ne!(of(1), of(2));
}

/// The result of a practice paper is a result: practice goes on from it, alone and beside the exam's.
#[test]
fn a_practice_result_can_be_practised_from_again() {
    let all = shipped();

    for shipped in all.iter().filter(|shipped| shipped.exam.name != "jury") {
        let first = sit(shipped, SORTS[2].1, 3);
        let paper = paper(shipped, &first, 10, 1);
        let practised = Shipped {
            exam: paper.exam.clone(),
            source: paper.script.clone(),
        };
        let second = sit(&practised, SORTS[1].1, 4);
        let alone = [sat(&second, &paper.script, "2026-03-13T10:00:00Z")];
        let both = [
            sat(&first, &shipped.source, "2026-03-12T10:00:00Z"),
            alone[0],
        ];
        for results in [&alone[..], &both[..]] {
            let wishes = Wishes {
                minutes: 10,
                seed: 1,
            };
            let again = practise::paper(results, wishes).unwrap();
            let (_, found) = read::read(&again.script, "practice");
            assert!(found.is_empty(), "{found:?}\n{}", again.script);
            assert!(!again.exam.title.contains("Practice: Practice"));
        }
    }
}

#[test]
fn results_of_different_exams_go_into_one_paper() {
    let all = shipped();
    let sittings: Vec<Sitting> = all
        .iter()
        .map(|shipped| sit(shipped, SORTS[2].1, 3))
        .collect();
    let results: Vec<Sat<'_>> = all
        .iter()
        .zip(&sittings)
        .map(|(shipped, sitting)| sat(sitting, &shipped.source, "2026-03-12T10:00:00Z"))
        .collect();
    let wishes = Wishes {
        minutes: 60,
        seed: 1,
    };
    let paper = practise::paper(&results, wishes).unwrap();
    let (exam, found) = read::read(&paper.script, "practice");

    assert!(found.is_empty(), "{found:?}\n{}", paper.script);
    let kinds: Vec<&str> = exam
        .unwrap()
        .sections
        .iter()
        .map(|section| section.kind.word())
        .collect();
    for kind in ["voicing", "ear", "run", "spell"] {
        assert!(kinds.contains(&kind), "{kinds:?}");
    }
}

/// Nothing that leads on: in a drawn paper no chord follows the one before it round the cycle.
#[test]
fn cold_chords_come_in_leaps() {
    let all = shipped();
    let guide = all
        .iter()
        .find(|shipped| shipped.exam.name == "guide-tones")
        .unwrap();
    let sitting = sit(guide, SORTS[3].1, 2);
    let paper = paper(guide, &sitting, 20, 1);
    assert!(
        paper
            .parts
            .iter()
            .any(|part| part.title.contains("routine")),
        "{:#?}",
        paper.parts
    );

    for seed in 0..40 {
        let form = draw::draw(&paper.exam, Code::new(seed, 1)).unwrap();
        let mut before: Option<(usize, u8)> = None;
        for item in &form.items {
            let Task::Voicing(task) = &item.task else {
                continue;
            };
            let root = task.chord.root.class();
            if let Some((_, last)) = before.filter(|(section, _)| *section == item.section) {
                assert_ne!((last + 5) % 12, root);
                assert_ne!(last, root);
            }
            before = Some((item.section, root));
        }
    }
}
