//! Each exam sat from start to end by candidates of known ability: the marks come in their order,
//! and who has the routine alone is found out.

use std::collections::BTreeMap;

use viva_voicing::exam::chance::Chance;
use viva_voicing::exam::code::Code;
use viva_voicing::exam::draw;
use viva_voicing::exam::form::{Item, Task};
use viva_voicing::exam::script::Kind;
use viva_voicing::fraction;
use viva_voicing::marking::event::Action;
use viva_voicing::marking::item::Allowance;
use viva_voicing::results::document;
use viva_voicing::sitting::outcome::{Outcome, outcome};
use viva_voicing::sitting::{End, Event, Sitting};
use viva_voicing::time::Time;

use super::{Shipped, shipped};
use crate::cohort::class::{Ability, played};
use crate::sittings::room::Room;
use crate::sittings::student::Doing;

/// So many candidates of each sort sit each exam.
const CANDIDATES: u64 = 3;

const STRONG: Ability = Ability {
    cold: 96,
    routine: 100,
    ear: 95,
    slips: 1,
    found: (15, 35),
    step: (900, 1_800),
    named: (400, 3_000),
    misspelt: 3,
};

pub(crate) const MIDDLING: Ability = Ability {
    cold: 74,
    routine: 84,
    ear: 74,
    slips: 1,
    found: (25, 60),
    step: (1_500, 3_500),
    named: (600, 4_000),
    misspelt: 3,
};

pub(crate) const WEAK: Ability = Ability {
    cold: 48,
    routine: 56,
    ear: 48,
    slips: 1,
    found: (40, 80),
    step: (2_600, 5_000),
    named: (900, 4_900),
    misspelt: 5,
};

/// Flies round the cycle and is lost outside it; the ear was never trained.
const ROUTINE_ONLY: Ability = Ability {
    cold: 30,
    routine: 100,
    ear: 15,
    slips: 3,
    found: (70, 98),
    step: (900, 1_800),
    named: (400, 3_000),
    misspelt: 3,
};

pub(crate) const SORTS: [(&str, Ability); 4] = [
    ("strong", STRONG),
    ("middling", MIDDLING),
    ("weak", WEAK),
    ("routine-only", ROUTINE_ONLY),
];

/// What somebody of an ability does, as a sitting hears it.
fn doings(item: &Item, ability: &Ability, chance: &mut Chance) -> Vec<Doing> {
    let sound = match &item.task {
        Task::Ear(task) => task.sound.length,
        _ => Time::ZERO,
    };
    let mut doings: Vec<Doing> = played(item, ability, chance)
        .into_iter()
        .map(|event| ((event.at + sound).tenths(), Event::Did(event.action)))
        .collect();

    if sound > Time::ZERO {
        doings.push((sound.tenths(), Event::Sounded));
    }
    doings
}

/// Sits an exam from the first page to the last, before a panel that gives everybody the same.
pub(crate) fn sit(shipped: &Shipped, ability: Ability, seed: u64) -> Sitting {
    let code = Code::new(seed as u32 * 31 + 7, 1);
    let form = draw::draw(&shipped.exam, code).unwrap();
    let panel: Vec<u32> = form
        .items
        .iter()
        .filter(|item| matches!(item.task, Task::Panel(_)))
        .map(|item| item.number)
        .collect();
    let sitting = Sitting::new(shipped.exam.clone(), form, Allowance::NONE);
    let play = move |item: &Item, _: u32, chance: &mut Chance| doings(item, &ability, chance);
    let mut room = Room::of(sitting, shipped.source.clone(), seed, play).sit();

    for item in panel {
        let event = Event::Panel {
            item,
            credit: fraction::from_hundredths(70),
            by: "Inez".to_owned(),
        };
        room.take(room.sitting.now(), event);
    }
    room.sitting
}

fn share(outcome: &Outcome<'_>) -> f64 {
    let total = &outcome.grade.total;

    fraction::to_f64(total.mark) / fraction::to_f64(total.out_of)
}

/// How much later a chord comes cold than inside the run, in seconds: the middle over the qualities.
fn gap(outcome: &Outcome<'_>) -> Option<f64> {
    let mut gaps: Vec<f64> = outcome
        .profile
        .gaps
        .iter()
        .filter_map(|gap| gap.medians)
        .map(|(cold, run)| cold.as_seconds() - run.as_seconds())
        .collect();
    gaps.sort_by(f64::total_cmp);

    (!gaps.is_empty()).then(|| gaps[gaps.len() / 2])
}

/// The figures of one exam: for each sort, the shares and the gaps of its candidates.
fn figures(shipped: &Shipped) -> BTreeMap<&'static str, (Vec<f64>, Vec<Option<f64>>)> {
    let mut figures = BTreeMap::new();

    for (name, ability) in SORTS {
        let mut all = (Vec::new(), Vec::new());
        for candidate in 0..CANDIDATES {
            let sitting = sit(shipped, ability, candidate);
            let outcome = outcome(&sitting);
            let at = format!("{}, {name} {candidate}", shipped.exam.name);
            assert!(matches!(sitting.end(), Some(End::Complete)), "{at}");
            assert!(outcome.items.iter().all(|item| item.counts()), "{at}");
            assert!(!outcome.grade.total.provisional, "{at}");
            all.0.push(share(&outcome));
            all.1.push(gap(&outcome));
        }
        let _ = figures.insert(name, all);
    }

    figures
}

/// Tells whether an exam has a free line and the same chords cold.
fn shows_the_gap(shipped: &Shipped) -> bool {
    ["guide-tones", "cycle-drills", "one-hand"].contains(&shipped.exam.name.as_str())
}

#[test]
fn marks_come_in_the_order_of_ability_and_the_routine_alone_is_found_out() {
    for shipped in &shipped() {
        let figures = figures(shipped);
        let name = &shipped.exam.name;
        let of = |sort: &str| {
            let shares = &figures[sort].0;
            shares.iter().sum::<f64>() / shares.len() as f64
        };
        let marks = SORTS.map(|(sort, _)| of(sort));

        assert!(marks.is_sorted_by(|a, b| a > b), "{name}: {marks:.2?}");

        for (sort, (_, gaps)) in &figures {
            for gap in gaps.iter().flatten() {
                let is_wide = *gap > 2.0;
                assert_eq!(
                    is_wide,
                    *sort == "routine-only",
                    "{name}, {sort}: {gap:.2} s"
                );
            }
            if shows_the_gap(shipped) {
                assert!(gaps.iter().all(Option::is_some), "{name}, {sort}: {gaps:?}");
            }
        }
    }
}

/// A strong candidate reaches each pass mark and hurdle, and a weak one none.
#[test]
fn the_strong_pass_and_the_weak_do_not() {
    for shipped in shipped()
        .iter()
        .filter(|shipped| shipped.exam.pass.is_some())
    {
        for (ability, passes) in [(STRONG, true), (WEAK, false)] {
            let sitting = sit(shipped, ability, 11);
            let outcome = outcome(&sitting);
            let total = &outcome.grade.total;
            assert_eq!(
                total.passed,
                Some(passes),
                "{}: {total:?}",
                shipped.exam.name
            );
        }
    }
}

/// Half an hour at an item is a mistake in the script, not a long exam.
#[test]
fn nobody_sits_longer_than_the_header_says_by_much() {
    for shipped in &shipped() {
        let said: f64 = minutes(&shipped.source);
        let sitting = sit(shipped, WEAK, 5);
        let sat = sitting.now().as_seconds() / 60.0;
        let panels = shipped
            .exam
            .sections
            .iter()
            .any(|section| matches!(section.kind, Kind::Panel(_)));
        // The check of the equipment and the panel are no part of the sitting.
        let beside = if panels { 8.0 } else { 4.0 };
        assert!(
            sat < said + 4.0 && sat > said - beside - said * 0.4,
            "{}: {sat:.1} minutes, and {said} are said",
            shipped.exam.name
        );
    }
}

/// The minutes of the header: the first number in words before `minutes`.
fn minutes(source: &str) -> f64 {
    const WORDS: [(&str, f64); 11] = [
        ("twenty-five", 25.0),
        ("twenty", 20.0),
        ("sixteen", 16.0),
        ("eighteen", 18.0),
        ("thirteen", 13.0),
        ("thirty", 30.0),
        ("twelve", 12.0),
        ("fifteen", 15.0),
        ("ten", 10.0),
        ("eight", 8.0),
        ("six", 6.0),
    ];
    let head: String = source
        .lines()
        .take_while(|line| line.starts_with('#'))
        .map(|line| line.trim_start_matches("# "))
        .collect::<Vec<_>>()
        .join(" ");
    let said = ["It takes about ", "It is "]
        .iter()
        .find_map(|before| head.split_once(before))
        .expect("the header says how long it takes")
        .1;

    WORDS
        .iter()
        .find(|(word, _)| said.starts_with(&format!("{word} minutes")))
        .unwrap_or_else(|| panic!("{said}"))
        .1
}

/// Thirty-seven of forty are right, and the exam is not passed: three of eight of one quality are
/// taken for another.
#[test]
fn who_cannot_hear_one_quality_does_not_pass() {
    let shipped = shipped();
    let sevenths = shipped
        .iter()
        .find(|shipped| shipped.exam.name == "hearing-sevenths")
        .unwrap();

    for (mistakes, passes) in [(2, true), (3, false)] {
        let form = draw::draw(&sevenths.exam, Code::new(77, 2)).unwrap();
        let key = |item: &Item| match &item.task {
            Task::Ear(task) => task.options[0][task.right[0]].clone(),
            _ => String::new(),
        };
        let mistaken: Vec<u32> = form
            .items
            .iter()
            .filter(|item| key(item) == "m7b5")
            .map(|item| item.number)
            .take(mistakes)
            .collect();
        let sitting = Sitting::new(sevenths.exam.clone(), form, Allowance::NONE);
        let play = move |item: &Item, _: u32, _: &mut Chance| {
            let answer = match mistaken.contains(&item.number) {
                true => "dim7".to_owned(),
                false => key(item),
            };
            let Task::Ear(task) = &item.task else {
                return Vec::new();
            };
            let heard = task.sound.length.tenths();
            vec![
                (heard, Event::Sounded),
                (heard + 10_000, Event::Did(Action::Answer(answer))),
            ]
        };
        let room = Room::of(sitting, sevenths.source.clone(), 3, play).sit();
        let text = document::write(&room.sitting, &room.given());
        let outcome = outcome(&room.sitting);
        let total = &outcome.grade.total;

        assert_eq!(fraction::whole(total.mark), 40 - mistakes as i64);
        assert_eq!(total.passed, Some(passes), "{total:?}");
        let each = outcome
            .grade
            .sections
            .iter()
            .find_map(|of| of.each.as_ref());
        let said = match passes {
            true => "6 of 8 of each quality: reached",
            false => "6 of 8 of each quality: not reached for m7♭5 (5)",
        };
        assert_eq!(each.unwrap().words(), said);
        assert!(text.contains(&format!("each_is = \"{said}\"")), "{text}");
        assert!(text.contains(&format!("each_passed = {passes}")));
        assert!(text.contains(&format!("passed = {passes}")));
    }
}
