//! A candidate who learns: the paper drawn from their result helps more than a random one.
//!
//! The model, and it is a model: a candidate has for each cell (chords: quality and root; sounds:
//! what is to be named; spelling: quality and root; lines: line and key) a chance to be right. It is
//! drawn for the quality, the root and the cell, weak on the whole and uneven. An item that is
//! practised, its answer shown, closes a fixed part of what the cell lacks: `p` becomes
//! `p + step × (1 − p)`, whatever the answer was, so that practising what is sure, or one thing over
//! and over, brings little. The model does not know which paper it practises from; how an exam is
//! marked, and what the paper's chooser sees, is the program's own business.
//!
//! Both papers last as long: the random one takes items of fresh forms of the same exam, so of the
//! same cells in the same shares, until its time is up. Where an exam has one kind of item alone, what
//! differs is which cells are practised and nothing else. Both candidates are the same person before practice, and sit the same other form
//! after it; the expected mark of each item in place of luck in the last sitting takes noise out that
//! both would share.

use std::collections::BTreeMap;

use rayon::prelude::*;

use viva_voicing::exam::chance::Chance;
use viva_voicing::exam::code::Code;
use viva_voicing::exam::form::{Form, Item, Task};
use viva_voicing::exam::script::Exam;
use viva_voicing::exam::{draw, duration};
use viva_voicing::marking::item::Allowance;
use viva_voicing::practise::{self, Paper, Sat, Wishes};
use viva_voicing::sitting::{End, Past, Showing, Sitting};
use viva_voicing::theory::symbol;
use viva_voicing::time::Time;

use crate::cohort::class::{Ability, played};
use crate::library::{Shipped, shipped};

/// What an item that is practised closes of what its cell lacks: chords, lines and spelling.
const STEP: f64 = 0.3;
/// The same of sounds, which are few and come often: an ear learns slowly.
const STEP_OF_EAR: f64 = 0.03;
/// How far what, where and both together lie from the person's middle at most.
const SPREAD: f64 = 0.25;
/// How long is practised, in minutes.
const MINUTES: u32 = 10;
/// How many candidates practise, for each exam.
const CANDIDATES: u64 = 50;

/// Somebody who plays as they know, neither early nor late.
const PLAYER: Ability = Ability {
    cold: 0,
    routine: 0,
    ear: 0,
    slips: 3,
    found: (30, 60),
    step: (1_500, 3_000),
    named: (600, 3_000),
    misspelt: 3,
};

/// The chance to be right in each cell.
#[derive(Debug, Clone)]
struct Learner {
    known: BTreeMap<String, f64>,
    seed: u64,
}

/// What of an item is known or not: what it asks, and where.
fn cell(item: &Item) -> (String, String) {
    match &item.task {
        Task::Voicing(task) => (
            format!("chord {}", symbol::ascii_quality(task.chord.quality)),
            task.chord.root.class().to_string(),
        ),
        Task::Run(task) => (
            format!("line {}", task.name),
            task.chords[0].chord.root.class().to_string(),
        ),
        Task::Ear(task) => (
            "sound".to_owned(),
            task.right
                .iter()
                .zip(task.options.iter())
                .map(|(right, options)| options[*right].clone())
                .collect::<Vec<_>>()
                .join(" / "),
        ),
        Task::Spell(task) => (
            format!("spelling {}", symbol::ascii_quality(task.chord.quality)),
            task.chord.root.class().to_string(),
        ),
        Task::Panel(_) => ("panel".to_owned(), String::new()),
    }
}

impl Learner {
    fn new(seed: u64) -> Self {
        Self {
            known: BTreeMap::new(),
            seed,
        }
    }

    /// The chance to be right in an item: as practised, or as it was drawn for this person.
    fn knows(&self, item: &Item) -> f64 {
        let (what, place) = cell(item);
        let drawn = |purpose: &str, spread: f64| {
            let numbers = [self.seed];
            let share = Chance::new(purpose, &numbers).below(1001) as f64 / 1000.0;
            (2.0 * share - 1.0) * spread
        };

        self.known
            .get(&format!("{what} {place}"))
            .copied()
            .unwrap_or_else(|| {
                let person = 0.5 + drawn("person", 0.1);
                let of_both = drawn(&what, SPREAD) + drawn(&format!("place {place}"), SPREAD);
                (person + of_both + drawn(&format!("{what} {place}"), SPREAD)).clamp(0.05, 0.95)
            })
    }

    fn practise(&mut self, item: &Item) {
        let (what, place) = cell(item);
        let before = self.knows(item);
        let step = match item.task {
            Task::Ear(_) => STEP_OF_EAR,
            _ => STEP,
        };
        let after = before + step * (1.0 - before);
        let _ = self.known.insert(format!("{what} {place}"), after);
    }

    /// Sits a form, as evidence for the chooser.
    fn sit(&self, shipped: &Shipped, form: &Form) -> Sitting {
        let mut chance = Chance::new("sits", &[self.seed]);
        let mut now = 10_000;
        let showings = form
            .items
            .iter()
            .filter(|item| !matches!(item.task, Task::Panel(_)))
            .map(|item| {
                let right = chance.below(1000) < (1000.0 * self.knows(item)) as usize;
                let share = if right { 100 } else { 0 };
                let ability = Ability {
                    cold: share,
                    routine: share,
                    ear: share,
                    ..PLAYER
                };
                let events = played(item, &ability, &mut chance);
                let shown = Time::from_ms(now);
                now += 60_000;
                let zero = match &item.task {
                    Task::Ear(task) => shown + task.sound.length,
                    _ => shown,
                };
                Showing {
                    events,
                    ..Showing::new(item.number, shown, zero)
                }
            })
            .collect();
        let past = Past {
            now: Time::from_ms(now),
            showings,
            incidents: Vec::new(),
            panel: BTreeMap::new(),
            overrules: Vec::new(),
            by_hand: None,
            end: Some(End::Complete),
        };

        Sitting::restored(shipped.exam.clone(), form.clone(), Allowance::NONE, past)
    }

    /// The expected share of the marks in a form, each section worth its points.
    fn expected(&self, shipped: &Shipped, form: &Form) -> f64 {
        let sections = &shipped.exam.sections;
        let (mut sum, mut points) = (0.0, 0.0);

        for (index, section) in sections.iter().enumerate() {
            let known: Vec<f64> = form
                .items
                .iter()
                .filter(|item| item.section == index)
                .filter(|item| !matches!(item.task, Task::Panel(_)))
                .map(|item| self.knows(item))
                .collect();
            if !known.is_empty() {
                let own = f64::from(section.points);
                sum += own * known.iter().sum::<f64>() / known.len() as f64;
                points += own;
            }
        }

        sum / points
    }
}

fn lasts(exam: &Exam, item: &Item) -> f64 {
    duration::with_gap(exam, item, 100).usual.as_seconds()
}

/// What the paper asks in a form of its own.
fn asked(paper: &Paper, seed: u64) -> Vec<(Item, f64)> {
    let form = draw::draw(&paper.exam, Code::new(seed as u32, 1)).expect("a form of the paper");

    form.items
        .into_iter()
        .map(|item| {
            let takes = lasts(&paper.exam, &item);
            (item, takes)
        })
        .collect()
}

/// Random items of an exam, of forms that are drawn afresh, until as much time is up as the paper
/// takes: in all, or of each kind of item.
fn random(exam: &Exam, paper: &[(Item, f64)], seed: u64, by_kind: bool) -> Vec<(Item, f64)> {
    let kind = |item: &Item| if by_kind { item.task.word() } else { "any" };
    let mut chance = Chance::new("random", &[seed]);
    let mut items = Vec::new();
    let mut left: BTreeMap<&str, f64> = BTreeMap::new();
    for (item, takes) in paper {
        *left.entry(kind(item)).or_default() += takes;
    }

    for turn in 0..8 {
        let code = Code::new(5_000 + 31 * seed as u32 + turn, 1);
        let mut all = draw::draw(exam, code).expect("a form").items;
        all.retain(|item| !matches!(item.task, Task::Panel(_)));
        chance.shuffle(&mut all);
        for item in all {
            let takes = lasts(exam, &item);
            let left = left.entry(kind(&item)).or_default();
            // The last one may go as far over as the ones that had no room fell short.
            if *left >= takes / 2.0 {
                *left -= takes;
                items.push((item, takes));
            }
        }
    }

    items
}

/// What one candidate gains in the next sitting, in hundredths of its marks: by the paper, by
/// chance, by chance with as much time for each kind as the contrary of the paper, and by that; and
/// how long the first two practised, in seconds.
#[derive(Debug, Clone, Copy)]
struct Gains {
    paper: f64,
    chance: f64,
    by_kind: f64,
    sure: f64,
    times: [f64; 2],
}

fn gains_of(shipped: &Shipped, seed: u64) -> Gains {
    let form = |number: u64| {
        draw::draw(&shipped.exam, Code::new((17 * seed + number) as u32, 1)).expect("a form")
    };
    let learner = Learner::new(seed);
    let first = learner.sit(shipped, &form(1));
    let next = form(2);
    let before = learner.expected(shipped, &next);
    let sat = [Sat {
        sitting: &first,
        script: &shipped.source,
        started: "2026-03-12T10:21:00Z",
    }];
    let wishes = Wishes {
        minutes: MINUTES,
        seed,
    };
    let gain = |items: &[(Item, f64)]| {
        let mut learner = learner.clone();
        for (item, _) in items {
            learner.practise(item);
        }
        100.0 * (learner.expected(shipped, &next) - before)
    };
    let time = |items: &[(Item, f64)]| items.iter().map(|(_, takes)| takes).sum::<f64>();

    let drawn = asked(&practise::paper(&sat, wishes).expect("a paper"), seed);
    let sure = practise::paper_of_what_is_sure(&sat, wishes).expect("its contrary");
    let sure = asked(&sure, seed);
    let chance = random(&shipped.exam, &drawn, seed, false);
    let by_kind = random(&shipped.exam, &sure, seed, true);

    Gains {
        paper: gain(&drawn),
        chance: gain(&chance),
        by_kind: gain(&by_kind),
        sure: gain(&sure),
        times: [time(&drawn), time(&chance)],
    }
}

/// The mean of paired differences, and its standard error.
fn paired(all: &[Gains], difference: impl Fn(&Gains) -> f64) -> (f64, f64) {
    let all: Vec<f64> = all.iter().map(difference).collect();
    let count = all.len() as f64;
    let mean = all.iter().sum::<f64>() / count;
    let variance = all.iter().map(|of| (of - mean).powi(2)).sum::<f64>() / (count - 1.0);

    (mean, (variance / count).sqrt())
}

/// What all candidates gain in an exam of the folder, worked out once.
fn gains(name: &'static str) -> Vec<Gains> {
    let all = shipped();
    let shipped = all
        .iter()
        .find(|shipped| shipped.exam.name == name)
        .expect("an exam of the folder");

    (0..CANDIDATES)
        .into_par_iter()
        .map(|seed| gains_of(shipped, seed))
        .collect()
}

/// Each candidate against themselves. The margin: three thousandths of the marks at least, and more
/// than three standard errors.
#[test]
fn a_weak_candidate_gains_more_from_the_paper_than_from_a_random_one_and_least_from_its_contrary() {
    for name in ["guide-tones", "hearing-sevenths", "spelling"] {
        let all = gains(name);
        let (paper, _) = paired(&all, |of| of.paper);
        let (chance, _) = paired(&all, |of| of.chance);
        let (sure, _) = paired(&all, |of| of.sure);
        let said = format!("{name}: paper {paper:.2}, chance {chance:.2}, contrary {sure:.2}");

        let (more, error) = paired(&all, |of| of.paper - of.chance);
        assert!(
            more >= 0.3 && more > 3.0 * error,
            "{said}: {more:.2} ± {error:.2}"
        );
        // The simulation can fail: a chooser turned upside down, who practises what is sure, loses
        // against chance that gives as much time to each kind.
        let (less, error) = paired(&all, |of| of.sure - of.by_kind);
        assert!(less < -3.0 * error, "{said}: {less:.2} ± {error:.2}");
        // Neither has more time.
        let [paper, chance] = [0, 1].map(|at| paired(&all, |of| of.times[at]).0);
        assert!(
            (0.97..1.03).contains(&(chance / paper)),
            "{chance} s, {paper} s"
        );
    }
}
