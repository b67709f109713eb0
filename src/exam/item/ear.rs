//! Items for the ear: the question, its options and answers, and the sound.

use std::sync::Arc;

use super::answer::{accepted, same_answer};
use crate::exam::chance::Chance;
use crate::exam::draw::Pick;
use crate::exam::form::{EarTask, Item, Task};
use crate::exam::script::{Ask, EarSection, Exam, Kind, Stimulus};
use crate::exam::sound::{self, Sound};
use crate::theory::{Chord, symbol};

/// What the items of an ear cell and variant share.
#[derive(Debug)]
pub(super) struct Shared {
    question: String,
    asks: Arc<Vec<Ask>>,
    options: Arc<Vec<Vec<String>>>,
    right: Arc<Vec<usize>>,
    answers: Arc<Vec<Vec<String>>>,
    /// Whether the root sounds alone first.
    root_first: bool,
}

impl Shared {
    pub(super) fn new(
        section: &EarSection,
        pick: Pick,
        style: symbol::Style,
        options: &Arc<Vec<Vec<String>>>,
    ) -> Self {
        let stimulus = &section.cells[usize::from(pick.cell)].stimulus;
        let answers: Vec<Vec<String>> = section
            .asks
            .iter()
            .map(|ask| accepted(*ask, stimulus, pick, style))
            .collect();
        // Vetting has made sure that each answer is among the options.
        let right = answers
            .iter()
            .zip(options.iter())
            .map(|(texts, options)| {
                let is_right = |option: &String| texts.iter().any(|text| same_answer(text, option));
                options.iter().position(is_right).unwrap_or(0)
            })
            .collect();
        let questions: Vec<&str> = section.asks.iter().map(|ask| ask.question()).collect();

        Self {
            question: questions.join(" "),
            asks: Arc::new(section.asks.clone()),
            options: Arc::clone(options),
            right: Arc::new(right),
            answers: Arc::new(answers),
            // All items of a section sound alike: where one has an inversion, all have this.
            root_first: section.rooted && section.cells.iter().any(|cell| inverted(&cell.stimulus)),
        }
    }
}

const fn inverted(stimulus: &Stimulus) -> bool {
    matches!(stimulus, Stimulus::Chord { bass, .. } if *bass != 1)
}

pub(super) fn item(
    section: &EarSection,
    shared: &Shared,
    pick: Pick,
    style: symbol::Style,
    chance: &mut Chance,
) -> (String, Task) {
    let stimulus = &section.cells[usize::from(pick.cell)].stimulus;
    let prompt = match stimulus {
        Stimulus::WrongVoice { quality, .. } => {
            let chord = Chord::new(quality.printed_root(pick.root), *quality);
            format!("{}: {}", symbol::print(chord, style), shared.question)
        }
        _ => shared.question.clone(),
    };
    let mut sound = sound::build(stimulus, pick.root, pick.variant, shared.root_first);
    sound.draw(chance);

    (
        prompt,
        Task::Ear(EarTask {
            asks: Arc::clone(&shared.asks),
            options: Arc::clone(&shared.options),
            right: Arc::clone(&shared.right),
            answers: Arc::clone(&shared.answers),
            root: pick.root,
            sound,
            hearings: section.hearings,
            limit: section.limit,
        }),
    )
}

/// Returns what an answer would have sounded like in an item's place: the sound of a cell of its
/// section with that answer, spread like the item's own where there is one. Parts without an answer
/// are left open. Nothing where nothing was answered, or no cell has that answer.
pub fn sounded_as(exam: &Exam, item: &Item, answered: &[Option<usize>]) -> Option<Sound> {
    let whole = as_answered(exam, item, answered);
    let Task::Ear(task) = &item.task else {
        return None;
    };
    let first = answered.first().copied().flatten();

    // Where no cell has all parts of the answer, a wrong first part still tells something.
    whole.or_else(|| {
        (first.is_some() && first != task.right.first().copied())
            .then(|| as_answered(exam, item, &answered[..1]))
            .flatten()
    })
}

fn as_answered(exam: &Exam, item: &Item, answered: &[Option<usize>]) -> Option<Sound> {
    let (Kind::Ear(section), Task::Ear(task)) =
        (&exam.sections.get(item.section)?.kind, &item.task)
    else {
        return None;
    };
    if answered.iter().all(Option::is_none) {
        return None;
    }
    let own = &section.cells.get(item.cell)?.stimulus;
    let root_first = section.rooted && section.cells.iter().any(|cell| inverted(&cell.stimulus));
    let fits = |stimulus: &Stimulus, variant: u8| {
        let pick = Pick {
            cell: 0,
            root: task.root,
            variant,
        };
        task.asks.iter().enumerate().all(|(part, ask)| {
            let option = answered
                .get(part)
                .copied()
                .flatten()
                .and_then(|place| task.options.get(part)?.get(place));
            option.is_none_or(|option| {
                accepted(*ask, stimulus, pick, exam.style)
                    .iter()
                    .any(|text| same_answer(text, option))
            })
        })
    };
    let found: Vec<(&Stimulus, u8)> = section
        .cells
        .iter()
        .flat_map(|cell| {
            (0..sound::variants(&cell.stimulus)).map(move |variant| (&cell.stimulus, variant))
        })
        .filter(|(stimulus, variant)| fits(stimulus, *variant))
        .collect();
    let (stimulus, variant) = found
        .iter()
        .find(|(stimulus, _)| spread_alike(own, stimulus))
        .or(found.first())?;

    Some(sound::build(stimulus, task.root, *variant, root_first))
}

fn spread_alike(one: &Stimulus, other: &Stimulus) -> bool {
    match (one, other) {
        (Stimulus::Chord { spacing: one, .. }, Stimulus::Chord { spacing: other, .. }) => {
            one == other
        }
        (Stimulus::Interval { motion: one, .. }, Stimulus::Interval { motion: other, .. }) => {
            one == other
        }
        _ => false,
    }
}
