//! Items for the ear: the question, its options and answers, and the sound.

use std::sync::Arc;

use super::answer::{accepted, dictated, same_answer};
use crate::exam::chance::Chance;
use crate::exam::draw::Pick;
use crate::exam::form::{EarTask, Item, Task};
use crate::exam::script::{Ask, EarSection, Exam, Kind, Stimulus};
use crate::exam::sound::{self, Sound};
use crate::theory::pitch::Pitch;
use crate::theory::progression::{Progression, parse_degree};
use crate::theory::{Chord, Key, Name, Quality, symbol};

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
        if section.is_played() {
            return Self {
                question: Ask::PlayBack.question().to_owned(),
                asks: Arc::new(section.asks.clone()),
                options: Arc::clone(options),
                right: Arc::default(),
                answers: Arc::default(),
                root_first: false,
            };
        }
        if let (true, Stimulus::Progression { progression }) = (section.is_dictation(), stimulus) {
            return Self::dictation(section, progression, style);
        }
        let answers: Vec<Vec<String>> = section
            .asks
            .iter()
            .map(|ask| accepted(*ask, stimulus, pick, style))
            .collect();
        let right = places(&answers, options);
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

    /// Two parts for each chord: its bass and its quality.
    fn dictation(section: &EarSection, progression: &Progression, style: symbol::Style) -> Self {
        let answers: Vec<Vec<String>> =
            dictated(progression, style).into_iter().flatten().collect();
        let chords = answers.len() / 2;
        let options: Vec<Vec<String>> = std::iter::repeat_n(&section.options, chords)
            .flatten()
            .cloned()
            .collect();

        Self {
            question: DICTATION.to_owned(),
            asks: Arc::new(section.asks.repeat(chords)),
            right: Arc::new(places(&answers, &options)),
            options: Arc::new(options),
            answers: Arc::new(answers),
            root_first: false,
        }
    }
}

/// The names of what sounds, step by step: of a chord its own, of a motive those over its root.
fn spelled(stimulus: &Stimulus, root: u8, sound: &Sound) -> Vec<Vec<Name>> {
    let chords: Vec<Chord> = match stimulus {
        Stimulus::Chord { quality, .. } => vec![Chord::new(quality.printed_root(root), *quality)],
        Stimulus::Line { progression, .. } => progression
            .in_key(progression.tonic(root))
            .iter()
            .map(|placed| placed.chord)
            .collect(),
        _ => Vec::new(),
    };
    let over = Chord::new(Name::plain(root), Quality::MAJOR);
    let name = |step: usize, class: u8| chords.get(step).unwrap_or(&over).name_class(class);

    sound
        .strikes
        .iter()
        .enumerate()
        .map(|(step, strike)| {
            strike
                .keys
                .iter()
                .map(|(key, _)| name(step, key % 12))
                .collect()
        })
        .collect()
}

/// Where what is to be played back begins: the note of a motive, the lowest of a chord.
fn begins(stimulus: &Stimulus, sound: &Sound, name: Option<Name>) -> String {
    let first = sound.strikes.first().and_then(|strike| strike.keys.first());
    let name = first
        .and_then(|(key, _)| Key::new(i64::from(*key)).ok())
        .zip(name)
        .and_then(|(key, name)| Pitch::new(name, key))
        .map(|pitch| pitch.to_string())
        .unwrap_or_default();

    match stimulus {
        Stimulus::Motive { .. } => format!("It begins on {name}."),
        Stimulus::Line { .. } => format!("The lowest note of its first chord is {name}."),
        _ => format!("Its lowest note is {name}."),
    }
}

/// What a dictation asks.
const DICTATION: &str = "Which bass and which quality has each chord?";

/// The place of the right option of each part. Vetting has made sure that there is one.
fn places(answers: &[Vec<String>], options: &[Vec<String>]) -> Vec<usize> {
    answers
        .iter()
        .zip(options)
        .map(|(texts, options)| {
            let is_right = |option: &String| texts.iter().any(|text| same_answer(text, option));
            options.iter().position(is_right).unwrap_or(0)
        })
        .collect()
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
    let mut sound = sound::build(stimulus, pick.root, pick.variant, shared.root_first);
    let names = match section.is_played() {
        true => spelled(stimulus, pick.root, &sound),
        false => Vec::new(),
    };
    let prompt = match stimulus {
        _ if section.is_played() => {
            let first = names.first().and_then(|step| step.first()).copied();
            format!("{} {}", shared.question, begins(stimulus, &sound, first))
        }
        Stimulus::WrongVoice { quality, .. } => {
            let chord = Chord::new(quality.printed_root(pick.root), *quality);
            format!("{}: {}", symbol::print(chord, style), shared.question)
        }
        _ => shared.question.clone(),
    };
    sound.draw(chance);

    (
        prompt,
        Task::Ear(EarTask {
            asks: Arc::clone(&shared.asks),
            options: Arc::clone(&shared.options),
            right: Arc::clone(&shared.right),
            answers: Arc::clone(&shared.answers),
            root: pick.root,
            names: Arc::new(names),
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
    if let (true, Stimulus::Progression { progression }) = (section.is_dictation(), own) {
        return dictation_as(progression, task, answered);
    }
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

/// A dictation as it was answered: what is right of it as it was, all else over its bass. Nothing
/// where a part was left open.
fn dictation_as(
    progression: &Progression,
    task: &EarTask,
    answered: &[Option<usize>],
) -> Option<Sound> {
    let option = |part: usize| {
        let place = answered.get(part).copied().flatten()?;
        task.options.get(part)?.get(place)
    };
    let chords: Vec<Chord> = progression
        .in_key(progression.tonic(task.root))
        .iter()
        .enumerate()
        .map(|(place, placed)| {
            let (bass, quality) = (2 * place, 2 * place + 1);
            let is_right = [bass, quality].iter().all(|part| {
                answered.get(*part).copied().flatten() == task.right.get(*part).copied()
            });
            if is_right {
                return Some(placed.chord);
            }
            let above = parse_degree(option(bass)?)?;
            let quality = symbol::parse_quality(option(quality)?).ok()?;
            let root = quality.printed_root((task.root + above) % 12);
            Some(Chord::new(root, quality))
        })
        .collect::<Option<_>>()?;

    Some(sound::in_key(&chords, task.root, progression.is_minor()))
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
