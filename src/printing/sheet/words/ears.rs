//! Sentences of the ear: what was right, what a guesser reaches, what was taken for what.

use crate::exam::form::EarTask;
use crate::fraction::{self, Fraction};
use crate::marking::hearing::played::{self, Step};
use crate::marking::statistics::FEWEST_SOUNDINGS;
use crate::printing::words::{capital, list, number, times};

/// Right answers, raw and corrected for guessing, and what a guesser reaches.
pub(in crate::printing::sheet) fn summary(
    (right, items): (usize, usize),
    corrected: Option<Fraction>,
    guesser: Option<usize>,
    distinguishable: bool,
) -> String {
    let one = Fraction::from_integer(1);
    let percent = |share: Fraction| fraction::percent(share, one).unwrap_or(0);
    let raw = fraction::of(right as i64, items as i64).map_or(0, percent);
    let corrected = corrected
        .map(|corrected| match percent(corrected) {
            less if less < 0 => {
                ", or less than chance gives when corrected for guessing".to_owned()
            }
            percent => format!(", or {percent} % when corrected for guessing"),
        })
        .unwrap_or_default();
    let guesser = match guesser {
        Some(score) => {
            format!(" A guesser would reach {score} less than once in a hundred times.")
        }
        None => " Even all right would not rule out guessing: there are too few items.".to_owned(),
    };
    let told = if distinguishable || items == 0 {
        ""
    } else {
        " This is not distinguishable from guessing."
    };

    format!("{right} of {items} right: {raw} %{corrected}.{guesser}{told}")
}

/// How many of so many were played back whole.
pub(in crate::printing::sheet) fn backs(whole: usize, items: usize) -> String {
    format!("{whole} of {items} played back whole, in whatever octave.")
}

/// What was asked and what was played, by the names of the keys.
pub(in crate::printing::sheet) fn back(id: &str, task: &EarTask, steps: &[Step]) -> String {
    let asked = played::words(task, &task.steps());

    if steps.is_empty() {
        format!("{id}: it was {asked}; nothing was played.")
    } else {
        format!(
            "{id}: it was {asked}; played {}.",
            played::words(task, steps)
        )
    }
}

/// What was asked, and how much of it an examiner heard rightly played.
pub(in crate::printing::sheet) fn back_by_hand(
    id: &str,
    task: &EarTask,
    credit: Fraction,
) -> String {
    let asked = task.steps();
    let of = asked.len();
    let right = fraction::product(credit, Fraction::from_integer(of as i64));

    format!(
        "{id}: it was {}; {right} of {of} right.",
        played::words(task, &asked)
    )
}

/// A sensitivity, to a tenth.
pub(in crate::printing::sheet) fn sensitivity(value: Option<f64>) -> String {
    match value.filter(|value| value.is_finite()) {
        // A value that rounds to nothing has no sign.
        Some(value) if value.abs() < 0.05 => "0.0".to_owned(),
        Some(value) if value < 0.0 => format!("−{:.1}", value.abs()),
        Some(value) => format!("{value:.1}"),
        None => "–".to_owned(),
    }
}

/// The commonest confusions: what sounded, what it was taken for, how often; and which labels
/// sounded too seldom to say anything of them, or all of them.
pub(in crate::printing::sheet) fn confusions(
    pairs: &[(String, String, usize)],
    few: &[String],
    all_few: bool,
) -> Vec<String> {
    let mut said = Vec::new();
    let texts: Vec<String> = pairs
        .iter()
        .map(|(sounded, answered, count)| {
            format!("{sounded} taken for {answered}, {}", times(*count))
        })
        .collect();

    said.push(if texts.is_empty() {
        "Nothing was taken for another.".to_owned()
    } else {
        format!("Most often confused: {}.", texts.join("; "))
    });
    if all_few && !few.is_empty() {
        said.push(format!(
            "Each sounded fewer than {} times: too seldom to say anything of it alone.",
            number(FEWEST_SOUNDINGS)
        ));
    } else if !few.is_empty() {
        said.push(format!(
            "{} sounded fewer than {} times: too seldom to say anything of {} alone.",
            capital(&list(few)),
            number(FEWEST_SOUNDINGS),
            if few.len() == 1 { "it" } else { "them" }
        ));
    }

    said
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_ear_section_is_set_against_a_guesser() {
        let check = |right: usize, items: usize, guesser: Option<usize>, told, expected: &str| {
            let corrected = crate::marking::statistics::corrected_share(
                Fraction::new(right as i64, items as i64),
                5,
            );
            assert_eq!(summary((right, items), corrected, guesser, told), expected);
        };
        check(
            24,
            30,
            Some(12),
            true,
            "24 of 30 right: 80 %, or 75 % when corrected for guessing. A guesser would reach 12 less than once in a hundred times.",
        );
        check(
            7,
            30,
            Some(12),
            false,
            "7 of 30 right: 23 %, or 4 % when corrected for guessing. A guesser would reach 12 less than once in a hundred times. This is not distinguishable from guessing.",
        );
        check(
            1,
            30,
            Some(12),
            false,
            "1 of 30 right: 3 %, or less than chance gives when corrected for guessing. A guesser would reach 12 less than once in a hundred times. This is not distinguishable from guessing.",
        );
        check(
            2,
            2,
            None,
            false,
            "2 of 2 right: 100 %, or 100 % when corrected for guessing. Even all right would not rule out guessing: there are too few items. This is not distinguishable from guessing.",
        );
    }

    #[test]
    fn confusions_are_said_in_words() {
        let pair = |one: &str, other: &str, count| (one.to_owned(), other.to_owned(), count);
        let check = |pairs: &[_], few: &[&str], all, expected: &[&str]| {
            let few: Vec<String> = few.iter().map(|text| (*text).to_owned()).collect();
            assert_eq!(confusions(pairs, &few, all), expected);
        };
        check(
            &[
                pair("minor seventh", "half-diminished", 2),
                pair("major seventh", "dominant seventh", 1),
            ],
            &[],
            false,
            &[
                "Most often confused: minor seventh taken for half-diminished, twice; major seventh taken for dominant seventh, once.",
            ],
        );
        check(
            &[],
            &["minor seventh"],
            false,
            &[
                "Nothing was taken for another.",
                "Minor seventh sounded fewer than six times: too seldom to say anything of it alone.",
            ],
        );
        check(
            &[],
            &["minor seventh", "major seventh"],
            true,
            &[
                "Nothing was taken for another.",
                "Each sounded fewer than six times: too seldom to say anything of it alone.",
            ],
        );
        assert_eq!(sensitivity(Some(2.84)), "2.8");
        assert_eq!(sensitivity(Some(-0.01)), "0.0");
        assert_eq!(sensitivity(Some(-0.62)), "−0.6");
        assert_eq!(sensitivity(None), "–");
    }
}
