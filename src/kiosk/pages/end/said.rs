//! What stands beside the total, in the language of the pages.

use crate::exam::script::Exam;
use crate::fraction::{self, Fraction};
use crate::kiosk::words::{Words, fill};
use crate::marking::grade::{Each, Grade};
use crate::marking::statistics::{self, StandardError};

/// What computing with roots may lose, as the marking has it.
const NOISE: f64 = 1e-9;

/// Returns the sentences, the standard error first.
pub(super) fn sentences(words: &Words, exam: &Exam, grade: &Grade) -> Vec<String> {
    let total = &grade.total;
    let mut said = Vec::new();
    let pass = exam
        .pass
        .map(|pass| fraction::from_hundredths(i64::from(pass)));

    // The total alone would say otherwise.
    if total.passed == Some(false)
        && !total.provisional
        && pass.is_some_and(|pass| total.mark >= pass)
    {
        said.push(words.not_by_part.to_owned());
    }
    said.push(true_mark(words, total.mark, total.error, total.out_of));

    if pass.is_some_and(|pass| statistics::near_pass(total.mark, total.error, pass).is_some()) {
        said.push(words.near_pass.to_owned());
    }
    let items = grade
        .sections
        .iter()
        .filter(|section| section.error.is_some())
        .map(|section| section.items)
        .sum();
    if statistics::feedback_note(items).is_some() {
        said.push(words.only_feedback.to_owned());
    }
    if total.provisional {
        said.push(words.not_final.to_owned());
    }

    said
}

/// Says what a standard for each answer needs and how it came out.
pub(super) fn each(words: &Words, each: &Each) -> String {
    let missed: Vec<String> = each
        .answers
        .iter()
        .filter(|answer| !answer.is_reached())
        .map(|answer| answer.counted(words.each_of))
        .collect();
    let needed = words.each((each.least, each.sounds(), each.is_quality));

    match missed.split_last() {
        None => fill(words.each_reached, &[&needed]),
        Some((last, others)) => {
            let all = match others {
                [] => last.clone(),
                _ => format!("{}{}{last}", others.join(", "), words.and),
            };
            fill(words.each_missed, &[&needed, &all])
        }
    }
}

/// Says between which whole marks the true mark lies, rounded outwards.
fn true_mark(words: &Words, mark: Fraction, error: StandardError, out_of: Fraction) -> String {
    let (reach, text) = match error {
        StandardError::AtLeastHalfItem { .. } => return words.error_half_item.to_owned(),
        StandardError::AtLeast(reach) if reach.is_finite() => (reach, words.true_mark_at_most),
        StandardError::Known(reach) if reach.is_finite() => (reach, words.true_mark),
        _ => return words.error_unknown.to_owned(),
    };
    let mark = fraction::to_f64(mark);
    let top = fraction::to_f64(out_of).max(0.0).floor();
    let low = (mark - reach + NOISE).floor().clamp(0.0, top);
    let high = (mark + reach - NOISE).ceil().clamp(0.0, top);

    fill(text, &[&format!("{low:.0}"), &format!("{high:.0}")])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::kiosk::words::ENGLISH;
    use crate::kiosk::words::number::capital;

    #[test]
    fn the_english_sentence_is_that_of_the_marking() {
        let out_of = Fraction::new(100, 1);
        let errors = [
            StandardError::Unknown,
            StandardError::AtLeastHalfItem { points: 1.0 },
            StandardError::AtLeast(2.5),
            StandardError::Known(0.4),
            StandardError::Known(3.0),
            StandardError::Known(40.0),
        ];
        for error in errors {
            for mark in [0, 1, 37, 86, 99] {
                let mark = Fraction::new(mark * 7 + 1, 7);
                let theirs = statistics::true_mark_sentence(mark, error, out_of);
                let ours = true_mark(&ENGLISH, mark, error, out_of);
                assert_eq!(ours, capital(&theirs) + ".", "{error:?}");
            }
        }
    }
}
