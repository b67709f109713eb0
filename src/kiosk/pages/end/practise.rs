//! What to practise, in sentences of the pages' language.

use crate::exam::script::Exam;
use crate::kiosk::words::number::capital;
use crate::kiosk::words::{Words, fill};
use crate::results::advice::{self, Weak};
use crate::sitting::outcome::Outcome;
use crate::theory::symbol;

/// Returns at most two sentences: the weakest chords when they come cold, the commonest confusion
/// of the ear, and where these say nothing the weakest sections.
pub(super) fn sentences(words: &Words, exam: &Exam, outcome: &Outcome<'_>) -> Vec<String> {
    advice::weak(exam, outcome)
        .iter()
        .map(|weak| sentence(words, exam, weak))
        .collect()
}

fn sentence(words: &Words, exam: &Exam, weak: &Weak) -> String {
    match weak {
        Weak::Cold(chords) => {
            let names: Vec<String> = chords
                .iter()
                .map(|chord| symbol::print(*chord, exam.style))
                .collect();
            let list = match names.split_last() {
                None => String::new(),
                Some((last, [])) => last.clone(),
                Some((last, others)) => format!("{}{}{last}", others.join(", "), words.and),
            };
            capital(&fill(words.practise_cold, &[&list]))
        }
        Weak::Heard {
            sounded,
            answered,
            count,
            of,
        } => fill(
            words.practise_ear,
            &[
                &name(exam, sounded),
                &name(exam, answered),
                &count.to_string(),
                &of.to_string(),
            ],
        ),
        Weak::Section { section, percent } => {
            let title = &exam.sections[*section].title;
            fill(words.practise_section, &[title, &percent.to_string()])
        }
    }
}

fn name(exam: &Exam, label: &str) -> String {
    symbol::parse_quality(label).map_or_else(
        |_| label.to_owned(),
        |quality| symbol::print_quality(quality, exam.style),
    )
}
