//! What is chosen, said and copied, from sittings with known evidence.

use super::*;
use crate::exam::chance::Chance;
use crate::exam::form::{Form, Item, Task};
use crate::exam::script::Kind;
use crate::marking::Event;
use crate::marking::event::Action;
use crate::marking::item::Allowance;
use crate::sitting::{End, Past, Showing};

const SCRIPT: &str = r#"
title = "Small \"exam\""
level = "class"
pass = 60
symbols = "△/−"

[rules]
timing = "It matters."
seats = 2
practise = false

[rubric]
gather_ms = 90

[[form]]
name = "rootless"
order = "as here"
words = "Third, seventh and ninth left"
left = "3 7 9"

[[section]]
id = "A"
title = "Chords"
kind = "voicing"
points = 50
hurdle = 20
seconds = 6
form = "guide-tones"
cells = [
    { count = 6, quality = "7", order = "third on top" },
    { count = 6, quality = "m7", order = "seventh on top" },
]

[[section]]
id = "B"
title = "Other chords"
kind = "voicing"
points = 10
seconds = 5
form = "rootless"
cells = [{ count = 6, quality = "7" }]

[[section]]
id = "C"
title = "Sounds"
kind = "ear"
ask = "quality"
points = 40
seconds = 5
hearings = 3
cells = [
    { count = 6, quality = "maj7" },
    { count = 6, quality = "7" },
    { count = 6, quality = "m7" },
]
"#;

/// What somebody does: the share of an item's limit it takes and whether it is right; for a sound
/// what they answer.
type Doing<'a> = &'a dyn Fn(&Item) -> (i64, Option<&'static str>);

fn form(script: &str) -> (Exam, Form) {
    let (exam, found) = read::read(script, "small");
    let exam = exam.unwrap_or_else(|| panic!("{found:?}"));
    let form = draw::draw(&exam, Code::FIRST).unwrap();

    (exam, form)
}

/// A sitting in which each chord comes after so many percent of its limit, right or not at all.
fn sat(script: &str, doing: Doing<'_>) -> Sitting {
    let (exam, form) = form(script);
    let mut now = 1_000;
    let showings = form
        .items
        .iter()
        .map(|item| {
            let (percent, answer) = doing(item);
            let mut events = Vec::new();
            match &item.task {
                Task::Voicing(task) => {
                    let at = task.limit.scaled(percent, 100);
                    let keys = task.voicing.realise(task.chord.root.class()).unwrap();
                    for key in keys.into_iter().filter(|_| answer.is_some()) {
                        events.push(Event::new(at, Action::Down(key, 70)));
                    }
                }
                Task::Ear(task) => {
                    let right = task.options[0][task.right[0]].clone();
                    let text = answer.map_or(right, str::to_owned);
                    let at = task.limit.scaled(percent, 100);
                    events.push(Event::new(at, Action::Answer(text)));
                }
                _ => {}
            }
            now += 20_000;
            let shown = Time::from_ms(now);
            Showing {
                events,
                ..Showing::new(item.number, shown, shown)
            }
        })
        .collect();
    let past = Past {
        now: Time::from_ms(now + 20_000),
        showings,
        incidents: Vec::new(),
        panel: std::collections::BTreeMap::new(),
        overrules: Vec::new(),
        by_hand: None,
        end: Some(End::Complete),
    };

    Sitting::restored(exam, form, Allowance::NONE, past)
}

fn drawn(script: &str, doing: Doing<'_>, minutes: u32) -> Paper {
    let sitting = sat(script, doing);
    let results = [Sat {
        sitting: &sitting,
        script,
        started: "2026-03-12T10:21:00Z",
    }];

    paper(&results, Wishes { minutes, seed: 1 }).unwrap()
}

/// Whether an item sounds a quality, by its right option.
fn sounds(item: &Item, label: &str) -> bool {
    matches!(&item.task, Task::Ear(task) if task.options[0][task.right[0]] == label)
}

fn right(item: &Item) -> (i64, Option<&'static str>) {
    match item.task {
        Task::Ear(_) => (30, None),
        _ => (30, Some("")),
    }
}

/// How often each label sounds in a form of a paper.
fn count(paper: &Paper, label: &str) -> usize {
    let form = draw::draw(&paper.exam, Code::FIRST).unwrap();

    form.items.iter().filter(|item| sounds(item, label)).count()
}

#[test]
fn what_was_confused_is_offered_against_each_other_and_sounds_more_often() {
    let paper = drawn(
        SCRIPT,
        &|item| match sounds(item, "m7") {
            true => (30, Some("7")),
            false => right(item),
        },
        6,
    );
    let part = paper
        .parts
        .iter()
        .find(|part| part.title.starts_with("Heard against"))
        .unwrap();

    assert!(
        part.because.contains("−7 was taken for 7 6 times of 6"),
        "{}",
        part.because
    );
    assert!(
        part.because.contains("△7, which was sure"),
        "{}",
        part.because
    );
    assert!(count(&paper, "m7") >= 2 * count(&paper, "maj7").max(1));
    assert!(count(&paper, "7") >= 2 * count(&paper, "maj7").max(1));
}

#[test]
fn chords_that_were_right_and_late_are_a_part_of_their_own_with_their_times() {
    let paper = drawn(
        SCRIPT,
        &|item| match &item.task {
            Task::Voicing(task) if task.form == "guide-tones" => (90, Some("")),
            Task::Voicing(_) => (30, None),
            _ => right(item),
        },
        6,
    );
    let part = paper
        .parts
        .iter()
        .find(|part| part.title.starts_with("Slow chords"))
        .unwrap_or_else(|| panic!("{:#?}", paper.parts));

    assert!(
        part.because.contains("5.4\u{a0}s of 6.0\u{a0}s"),
        "{}",
        part.because
    );
}

#[test]
fn where_nothing_went_wrong_the_slowest_and_what_was_not_asked_come_and_it_says_so() {
    let paper = drawn(SCRIPT, &right, 6);

    for part in &paper.parts {
        assert!(
            part.because.starts_with("Nothing went wrong; "),
            "{}",
            part.because
        );
    }
    assert!(
        paper.script.contains("were not asked yet"),
        "{}",
        paper.script
    );
}

#[test]
fn a_section_is_copied_key_by_key_and_nothing_of_the_exam_is_passed_or_failed() {
    let paper = drawn(SCRIPT, &|_| (30, None), 30);
    let script = &paper.script;

    for kept in [
        "symbols = \"△/−\"",
        "gather_ms = 90",
        "timing = \"It matters.\"",
        "left = \"3 7 9\"",
        "hearings = 3",
        "title = \"Practice: Small \\\"exam\\\"\"",
    ] {
        assert!(script.contains(kept), "{kept}:\n{script}");
    }
    for gone in ["pass =", "hurdle", "practise =", "[[band]]"] {
        assert!(!script.contains(gone), "{gone}:\n{script}");
    }
    assert!(paper.exam.rules.practise, "practice goes on from practice");
    assert_eq!(paper.exam.name, "small-practice");
}

/// Two scripts have a form of one name that is not the same: each keeps its own.
#[test]
fn forms_of_one_name_in_two_scripts_stay_apart() {
    let other = SCRIPT
        .replace("left = \"3 7 9\"", "left = \"7 3 5\"")
        .replace("Small", "Other");
    let sittings = [sat(SCRIPT, &|_| (30, None)), sat(&other, &|_| (30, None))];
    let results = [
        Sat {
            sitting: &sittings[0],
            script: SCRIPT,
            started: "2026-03-12T10:21:00Z",
        },
        Sat {
            sitting: &sittings[1],
            script: &other,
            started: "2026-03-14T10:21:00Z",
        },
    ];
    let wishes = Wishes {
        minutes: 40,
        seed: 1,
    };
    let paper = paper(&results, wishes).unwrap();

    let mut lefts: Vec<String> = paper
        .exam
        .forms
        .iter()
        .map(|form| format!("{} {:?}", form.name, form.orders[0].shapes[0].left))
        .collect();
    lefts.sort();
    assert_eq!(lefts.len(), 2, "{lefts:?}");
    assert_ne!(lefts[0], lefts[1]);
    assert_eq!(paper.exam.title, "Practice: Other \"exam\"");
}

#[test]
fn a_newer_result_weighs_more_than_an_older_one() {
    let wrong_then_right = |first: bool| {
        let early = sat(SCRIPT, if first { &|_| (30, None) } else { &right });
        let late = sat(SCRIPT, if first { &right } else { &|_| (30, None) });
        let evidence = Evidence::of(&[
            Sat {
                sitting: &late,
                script: SCRIPT,
                started: "2026-03-14T10:21:00Z",
            },
            Sat {
                sitting: &early,
                script: SCRIPT,
                started: "2026-03-12T10:21:00Z",
            },
        ]);
        let quality = crate::theory::Quality::DOMINANT;
        let at = ("guide-tones".to_owned(), quality);
        (0..12)
            .map(|root| evidence.chords.need(&at, &root, &"third on top".to_owned()))
            .sum::<f64>()
    };

    assert!(wrong_then_right(false) > wrong_then_right(true) + 1.0);
}

#[test]
fn without_evidence_there_is_no_paper_and_it_says_why() {
    assert_eq!(
        paper(
            &[],
            Wishes {
                minutes: 10,
                seed: 1
            }
        ),
        Err(Error::Nothing)
    );
    let (exam, form) = form(SCRIPT);
    let sitting = Sitting::new(exam, form, Allowance::NONE);
    let results = [Sat {
        sitting: &sitting,
        script: SCRIPT,
        started: "",
    }];
    let wishes = Wishes {
        minutes: 10,
        seed: 1,
    };
    assert_eq!(paper(&results, wishes), Err(Error::NoEvidence));
}

/// Whatever happened, there is a paper without fault: right, wrong or late at random.
#[test]
fn random_sittings_give_papers_without_fault() {
    for seed in 0..12 {
        let chance = std::cell::RefCell::new(Chance::new("doings", &[seed]));
        let doing = |item: &Item| {
            let mut chance = chance.borrow_mut();
            let percent = 10 + chance.below(120) as i64;
            let answer = match &item.task {
                Task::Ear(_) => *chance
                    .pick(&[None, Some("7"), Some("m7"), Some("")])
                    .unwrap(),
                _ => *chance.pick(&[None, Some("")]).unwrap(),
            };
            (percent, answer)
        };
        let paper = drawn(SCRIPT, &doing, 3 + seed as u32 * 5);
        let asks = |kind: &Kind| !matches!(kind, Kind::Rest { .. } | Kind::Panel(_));
        assert!(
            paper
                .exam
                .sections
                .iter()
                .any(|section| asks(&section.kind))
        );
    }
}
