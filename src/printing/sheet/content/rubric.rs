//! How marks are worked out: levels, criteria, and the rest in sentences.

use super::{Criterion, Level, Rubric, Source, Weighed};
use crate::exam::script::{Exam, Kind, RunSection, Weights};
use crate::printing::words::list;

pub(super) fn rubric(source: &Source<'_>) -> Rubric {
    let exam = source.exam;

    Rubric {
        levels: levels(exam),
        criteria: criteria(exam),
        weights: weights(exam),
        words: words(exam),
    }
}

fn levels(exam: &Exam) -> Vec<Level> {
    let grace: Vec<u32> = exam
        .sections
        .iter()
        .filter_map(|section| match &section.kind {
            Kind::Voicing(of) => Some(of.grace),
            _ => None,
        })
        .collect();
    let Some(grace) = grace.into_iter().max() else {
        return Vec::new();
    };
    // What the grace does not leave time for is not offered.
    let late = match grace {
        ..150 => ("", ""),
        150..200 => (", or up to half as long again", ""),
        _ => (
            ", or up to half as long again",
            "; or right within twice the limit",
        ),
    };
    let words = [
        "right at the first attempt, no foreign key before it, within the limit".to_owned(),
        format!(
            "right after one earlier attempt or two foreign keys at most{}",
            late.0
        ),
        format!(
            "the right notes in another order, register or hand{}; or found by way of a neighbour",
            late.1
        ),
        "root, third and seventh right; a fifth or a colour tone wrong, missing or added"
            .to_owned(),
        "anything else: a wrong third or seventh is another chord".to_owned(),
    ];

    words
        .into_iter()
        .zip((0..=4).rev())
        .map(|(words, level)| Level {
            level,
            credit: level * 25,
            words,
        })
        .collect()
}

/// A criterion's name, its weight, and what it is.
type Known = (&'static str, fn(&Weights) -> u32, &'static str);

const KNOWN: [Known; 5] = [
    (
        "harmony",
        |of| of.harmony,
        "right notes and root at first sounding; late ones count half",
    ),
    (
        "voicing",
        |of| of.voicing,
        "the form asked at first sounding; late ones count half",
    ),
    (
        "voice leading",
        |of| of.leading,
        "how little the right hand moves, times harmony",
    ),
    (
        "readiness",
        |of| of.readiness,
        "time to complete against the limit, times harmony; in one’s own time",
    ),
    (
        "time",
        |of| of.time,
        "closeness to the beat, times harmony; in tempo",
    ),
];

fn runs(exam: &Exam) -> Vec<(&str, &RunSection)> {
    exam.sections
        .iter()
        .filter_map(|section| match &section.kind {
            Kind::Run(of) => Some((section.id.as_str(), of)),
            _ => None,
        })
        .collect()
}

fn weights(exam: &Exam) -> Vec<Weighed> {
    let mut all: Vec<Weighed> = Vec::new();

    for (id, of) in runs(exam) {
        let weights: Vec<(&str, u32)> = KNOWN
            .into_iter()
            .map(|(name, weight, _)| (name, weight(&of.weights)))
            .collect();
        match all.iter_mut().find(|other| other.weights == weights) {
            Some(other) => other.sections.push(id.to_owned()),
            None => all.push(Weighed {
                sections: vec![id.to_owned()],
                weights,
            }),
        }
    }

    all
}

fn criteria(exam: &Exam) -> Vec<Criterion> {
    let sections = runs(exam);
    let occurs = |name: &str| {
        use crate::exam::script::Pace;
        sections
            .iter()
            .flat_map(|(_, of)| &of.cells)
            .any(|cell| match name {
                "voicing" | "voice leading" => cell.form.is_some(),
                "readiness" => matches!(cell.pace, Pace::Free { .. }),
                "time" => matches!(cell.pace, Pace::Tempo { .. }),
                _ => true,
            })
    };

    KNOWN
        .into_iter()
        .filter(|(name, ..)| !sections.is_empty() && occurs(name))
        .map(|(name, weight, words)| {
            let weights: Vec<u32> = sections.iter().map(|(_, of)| weight(&of.weights)).collect();
            let alike = weights.windows(2).all(|pair| pair[0] == pair[1]);
            let weight = match weights.first() {
                Some(first) if alike => first.to_string(),
                _ => list(
                    &sections
                        .iter()
                        .zip(&weights)
                        .map(|((id, _), weight)| format!("{weight} ({id})"))
                        .collect::<Vec<_>>(),
                ),
            };
            Criterion {
                name,
                weight,
                words,
            }
        })
        .collect()
}

fn words(exam: &Exam) -> Vec<String> {
    let has = |of: fn(&Kind) -> bool| exam.sections.iter().any(|section| of(&section.kind));
    let mut words = Vec::new();

    if has(|kind| matches!(kind, Kind::Run(_))) {
        words.push(
            "A run’s mark is the mean of the criteria that apply to it, by their weights."
                .to_owned(),
        );
    }
    if has(|kind| matches!(kind, Kind::Ear(_))) {
        words.push("Listening: right 1, wrong or no answer 0; nothing is deducted.".to_owned());
    }
    if has(|kind| matches!(kind, Kind::Spell(_))) {
        words.push(
            "Spelling: the chord tones above the printed root share the mark; letter and accidental \
             must be right."
                .to_owned(),
        );
    }
    words.push("A section’s mark is its points times the mean credit of its items.".to_owned());

    words
}
