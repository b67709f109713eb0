//! Sentences of the grade: how sure the mark is, pass mark and hurdles, what was sure and weak.

use crate::fraction::{self, Fraction};
use crate::marking::grade::Each;
use crate::marking::statistics::{self, StandardError};
use crate::printing::words::{counted, hundredths, list, marks, number, sentence};
use crate::results::advice::{Sure, Weak};
use crate::theory::symbol;

/// What the standard error is and means.
pub(in crate::printing::sheet) fn error(
    mark: Fraction,
    error: StandardError,
    out_of: Fraction,
) -> String {
    let meaning = statistics::true_mark_sentence(mark, error, out_of);

    match error {
        StandardError::Known(points) => {
            format!("The standard error is {}: {meaning}.", of_marks(points))
        }
        StandardError::AtLeast(points) => format!(
            "The standard error is at least {}: {meaning}.",
            of_marks(points)
        ),
        StandardError::AtLeastHalfItem { points } => format!(
            "All items came out alike, which tells nothing of their scatter: {meaning}, {}.",
            of_marks(points)
        ),
        StandardError::Unknown => format!("{}: single items show no scatter.", upper(&meaning)),
    }
}

fn of_marks(points: f64) -> String {
    let text = marks(points);
    let unit = if text == "1" { "mark" } else { "marks" };

    format!("{text} {unit}")
}

fn upper(text: &str) -> String {
    crate::printing::words::capital(text)
}

/// What the pass mark says of the total, both in marks.
pub(in crate::printing::sheet) fn pass(
    mark: Fraction,
    error: StandardError,
    pass: Fraction,
) -> String {
    let text = exact(pass);

    if statistics::near_pass(mark, error, pass).is_some() {
        return format!(
            "The total lies within one standard error of the pass mark, {text}: the examiner decides."
        );
    }
    let passed = if mark >= pass { "passed" } else { "missed" };
    match error {
        StandardError::Unknown => format!("The pass mark, {text}, is {passed}."),
        StandardError::Known(_) => {
            format!("The pass mark, {text}, is {passed} by more than one standard error.")
        }
        // The error may be larger than what is known of it.
        _ => format!(
            "The pass mark, {text}, is {passed} by more than what is known of the standard error."
        ),
    }
}

/// What a hurdle says of its section.
pub(in crate::printing::sheet) fn hurdle(
    id: &str,
    mark: Fraction,
    (hurdle, out_of): (Fraction, Fraction),
    error: Option<StandardError>,
) -> String {
    let needs = format!(
        "Section {id} needs {} of {} marks",
        exact(hurdle),
        exact(out_of)
    );
    let near = error.is_some_and(|error| statistics::near_pass(mark, error, hurdle).is_some());
    let near = if near {
        ", within one standard error of it"
    } else {
        ""
    };

    if mark >= hurdle {
        format!("{needs} and has {}{near}: passed.", exact(mark))
    } else {
        format!(
            "{needs} and has {}{near}: not passed, whatever the total.",
            exact(mark)
        )
    }
}

/// What a standard for each answer says, answer by answer where it is missed.
pub(in crate::printing::sheet) fn each(id: &str, each: &Each) -> String {
    let with = match each.with.as_slice() {
        [] => String::new(),
        with => format!(", counted with {}", list(with)),
    };
    let whatever = if each.is_reached() {
        ""
    } else {
        ", whatever the total"
    };

    format!("Section {id}{with}: {}{whatever}.", each.words())
}

/// Says the exact total, where its whole number would seem to reach what it does not.
pub(in crate::printing::sheet) fn exact_total(
    mark: Fraction,
    bounds: &[Fraction],
) -> Option<String> {
    let shown = Fraction::from_integer(fraction::whole(mark));

    bounds
        .iter()
        .any(|bound| (shown >= *bound) != (mark >= *bound))
        .then(|| {
            format!(
                "The exact total is {}; the grade is cut on it, not on the whole number.",
                exact(mark)
            )
        })
}

/// Too few items for a certificate.
pub(in crate::printing::sheet) fn feedback(items: usize) -> Option<String> {
    statistics::feedback_note(items).map(|note| {
        format!(
            "With {} {note}.",
            counted(items, "item alone", "items alone")
        )
    })
}

/// Marks in hundredths, without needless ones.
pub(in crate::printing::sheet) fn exact(mark: Fraction) -> String {
    let hundred = fraction::product(mark, Fraction::from_integer(100));

    hundredths(fraction::whole(hundred))
}

/// What was sure.
pub(in crate::printing::sheet) fn sure(
    sure: &Sure,
    title: impl Fn(usize) -> String,
    style: symbol::Style,
) -> String {
    match sure {
        Sure::Chords { quality, right, of } => {
            let chords = crate::printing::words::chords(*quality, style);
            if right == of {
                sentence(&format!(
                    "Sure: all {} {chords} were right at once",
                    number(*of)
                ))
            } else {
                sentence(&format!(
                    "Sure: {} of {} {chords} were right at once",
                    number(*right),
                    number(*of)
                ))
            }
        }
        Sure::Heard { label, of } => sentence(&format!(
            "Sure: the {} was named each of the {} times it sounded",
            crate::printing::words::label(label, style),
            number(*of)
        )),
        Sure::Section { section, percent } => sentence(&format!(
            "Surest was “{}”, with {percent} % of its marks",
            title(*section)
        )),
    }
}

/// What to practise.
pub(in crate::printing::sheet) fn weak(
    weak: &Weak,
    title: impl Fn(usize) -> String,
    style: symbol::Style,
) -> String {
    match weak {
        Weak::Cold(chords) => {
            let names: Vec<String> = chords
                .iter()
                .map(|chord| symbol::print(*chord, style))
                .collect();
            sentence(&format!(
                "To practise: {}, each out of order, without its neighbours",
                list(&names)
            ))
        }
        Weak::Heard {
            sounded,
            answered,
            count,
            of,
        } => sentence(&format!(
            "To practise by ear: telling {} from {}, mistaken {count} of {of} times",
            crate::printing::words::label(sounded, style),
            crate::printing::words::label(answered, style),
        )),
        Weak::Section { section, percent } => sentence(&format!(
            "To practise: “{}”, which brought {percent} % of its marks",
            title(*section)
        )),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::theory::{Quality, symbol::Style};

    fn of(hundredths: i64) -> Fraction {
        fraction::from_hundredths(hundredths)
    }

    #[test]
    fn the_standard_error_is_worded_as_the_marking_rules_have_it() {
        let check = |is: StandardError, expected: &str| {
            assert_eq!(error(of(8600), is, of(10_000)), expected);
        };
        check(
            StandardError::Known(3.0),
            "The standard error is 3 marks: the true mark lies between 83 and 89 in about two cases of three.",
        );
        check(
            StandardError::Known(1.0),
            "The standard error is 1 mark: the true mark lies between 85 and 87 in about two cases of three.",
        );
        check(
            StandardError::AtLeast(2.5),
            "The standard error is at least 2.5 marks: the true mark lies between 83 and 89 in at most two cases of three.",
        );
        check(
            StandardError::AtLeastHalfItem { points: 1.25 },
            "All items came out alike, which tells nothing of their scatter: the standard error is at least half an item, 1.2 marks.",
        );
        check(
            StandardError::Unknown,
            "The standard error is not known: single items show no scatter.",
        );
    }

    #[test]
    fn the_pass_mark_is_passed_missed_or_the_examiners() {
        let check = |mark: i64, is: StandardError, expected: &str| {
            assert_eq!(pass(of(mark), is, of(7500)), expected);
        };
        let known = StandardError::Known(3.0);
        check(
            8600,
            known,
            "The pass mark, 75, is passed by more than one standard error.",
        );
        check(
            6100,
            known,
            "The pass mark, 75, is missed by more than one standard error.",
        );
        for mark in [7200, 7400, 7500, 7800] {
            check(
                mark,
                known,
                "The total lies within one standard error of the pass mark, 75: the examiner decides.",
            );
        }
        check(
            8600,
            StandardError::AtLeast(1.0),
            "The pass mark, 75, is passed by more than what is known of the standard error.",
        );
        check(
            6000,
            StandardError::Unknown,
            "The pass mark, 75, is missed.",
        );
    }

    #[test]
    fn a_hurdle_says_what_it_needs_and_has() {
        let check = |mark: i64, is: f64, expected: &str| {
            let known = Some(StandardError::Known(is));
            let hurdles = (of(3000), of(4000));
            assert_eq!(hurdle("A", of(mark), hurdles, known), expected);
        };
        check(
            3433,
            2.0,
            "Section A needs 30 of 40 marks and has 34.33: passed.",
        );
        check(
            3100,
            2.0,
            "Section A needs 30 of 40 marks and has 31, within one standard error of it: passed.",
        );
        check(
            2500,
            2.0,
            "Section A needs 30 of 40 marks and has 25: not passed, whatever the total.",
        );
    }

    #[test]
    fn a_total_that_seems_more_than_it_is_is_told_exactly() {
        let bounds = [of(8200), of(7500)];
        assert_eq!(
            exact_total(of(8160), &bounds).as_deref(),
            Some("The exact total is 81.6; the grade is cut on it, not on the whole number.")
        );
        assert_eq!(exact_total(of(8140), &bounds), None);
        assert_eq!(exact_total(of(8200), &bounds), None);
    }

    #[test]
    fn few_items_are_feedback() {
        assert_eq!(
            feedback(19).as_deref(),
            Some("With nineteen items alone this is feedback, not a certificate.")
        );
        assert_eq!(feedback(20), None);
    }

    #[test]
    fn advice_names_chords_and_what_was_heard() {
        let title = |_| "Spelling".to_owned();
        let style = Style::DEFAULT;
        let say = |weak: &Weak| super::weak(weak, title, style);
        let chord = |text: &str| symbol::parse(text).expect("a symbol");
        assert_eq!(
            say(&Weak::Cold(vec![chord("Ab7"), chord("Gb7"), chord("C#m7")])),
            "To practise: A♭7, G♭7 and C♯m7, each out of order, without its neighbours."
        );
        assert_eq!(
            say(&Weak::Heard {
                sounded: "m7b5".to_owned(),
                answered: "m7".to_owned(),
                count: 3,
                of: 6
            }),
            "To practise by ear: telling half-diminished from minor seventh, mistaken 3 of 6 times."
        );
        assert_eq!(
            say(&Weak::Section {
                section: 4,
                percent: 40
            }),
            "To practise: “Spelling”, which brought 40 % of its marks."
        );
        let say = |sure: &Sure| super::sure(sure, title, style);
        let quality = Quality::DOMINANT;
        assert_eq!(
            say(&Sure::Chords {
                quality,
                right: 9,
                of: 12
            }),
            "Sure: nine of twelve dominant sevenths were right at once."
        );
        assert_eq!(
            say(&Sure::Chords {
                quality,
                right: 12,
                of: 12
            }),
            "Sure: all twelve dominant sevenths were right at once."
        );
        assert_eq!(
            say(&Sure::Heard {
                label: "maj7".to_owned(),
                of: 6
            }),
            "Sure: the major seventh was named each of the six times it sounded."
        );
        assert_eq!(
            say(&Sure::Section {
                section: 4,
                percent: 88
            }),
            "Surest was “Spelling”, with 88 % of its marks."
        );
    }
}
