//! The table of forms: one row an order and family, one line a form for how it lies.
//!
//! Contents after the trade's voicing families (project notes on the trade, 1.2: graduate jazz
//! theory review guide; a published rootless chart, which keeps the root in half-diminished
//! chords and accepts it in the major seventh with the seventh at the bottom). A new form is a
//! row here, or a `[[form]]` in an exam script.

use std::sync::LazyLock;

use super::Register;
use super::form::{Form, Order, Shape, Tone};
use crate::theory::quality::Family;

/// Form, order, families (empty for all), left hand, right hand, what is asked in words.
type Row = (
    &'static str,
    &'static str,
    &'static [Family],
    &'static str,
    &'static str,
    &'static str,
);

/// The forms, row by row.
///
/// Rows of one form and order that fit the same chord are equal answers, the first being asked.
const ROWS: &[Row] = &[
    (
        "guide-tones",
        "third on top",
        &[],
        "1 5",
        "7 3",
        "Root and fifth left, seventh and third right, third on top",
    ),
    (
        "guide-tones",
        "seventh on top",
        &[],
        "1 5",
        "3 7",
        "Root and fifth left, third and seventh right, seventh on top",
    ),
    (
        "guide-tones-with-root",
        "third on top",
        &[],
        "1",
        "7 3",
        "Root left, seventh and third right, third on top",
    ),
    (
        "guide-tones-with-root",
        "seventh on top",
        &[],
        "1",
        "3 7",
        "Root left, third and seventh right, seventh on top",
    ),
    (
        "shell",
        "seventh on top",
        &[],
        "1 7",
        "",
        "Left hand alone, root and seventh",
    ),
    (
        "shell",
        "third on top",
        &[],
        "1 3",
        "",
        "Left hand alone, root and third",
    ),
    (
        "three-note-shell",
        "seventh on top",
        &[],
        "1 3 7",
        "",
        "Left hand alone, root, third and seventh, seventh on top",
    ),
    (
        "three-note-shell",
        "third on top",
        &[],
        "1 7",
        "3",
        "Root and seventh left, third right",
    ),
    (
        "rootless",
        "third at the bottom",
        &[Family::Dominant, Family::Suspended],
        "3 13 7 9",
        "",
        "Left hand alone, rootless, third at the bottom",
    ),
    (
        "rootless",
        "third at the bottom",
        &[Family::HalfDiminished, Family::Diminished],
        "3 5 7 1",
        "",
        "",
    ),
    (
        "rootless",
        "third at the bottom",
        &[Family::Major, Family::Minor, Family::HalfDiminished],
        "3 5 7 9",
        "",
        "",
    ),
    (
        "rootless",
        "seventh at the bottom",
        &[Family::Dominant, Family::Suspended],
        "7 9 3 13",
        "",
        "Left hand alone, rootless, seventh at the bottom",
    ),
    (
        "rootless",
        "seventh at the bottom",
        &[Family::HalfDiminished, Family::Diminished],
        "7 1 3 5",
        "",
        "",
    ),
    (
        "rootless",
        "seventh at the bottom",
        &[Family::Major, Family::Minor, Family::HalfDiminished],
        "7 9 3 5",
        "",
        "",
    ),
    (
        "rootless",
        "seventh at the bottom",
        &[Family::Major],
        "7 1 3 5",
        "",
        "",
    ),
    (
        "close",
        "seventh on top",
        &[],
        "",
        "1 3 5 7",
        "Right hand alone, close position, seventh on top",
    ),
    (
        "close",
        "root on top",
        &[],
        "",
        "3 5 7 1",
        "Right hand alone, close position, root on top",
    ),
    (
        "close",
        "third on top",
        &[],
        "",
        "5 7 1 3",
        "Right hand alone, close position, third on top",
    ),
    (
        "close",
        "fifth on top",
        &[],
        "",
        "7 1 3 5",
        "Right hand alone, close position, fifth on top",
    ),
    (
        "drop-2",
        "seventh on top",
        &[],
        "5 1",
        "3 7",
        "Drop two, two notes in each hand, seventh on top",
    ),
    (
        "drop-2",
        "root on top",
        &[],
        "7 3",
        "5 1",
        "Drop two, two notes in each hand, root on top",
    ),
    (
        "drop-2",
        "third on top",
        &[],
        "1 5",
        "7 3",
        "Drop two, two notes in each hand, third on top",
    ),
    (
        "drop-2",
        "fifth on top",
        &[],
        "3 7",
        "1 5",
        "Drop two, two notes in each hand, fifth on top",
    ),
    (
        "spread",
        "seventh left",
        &[],
        "1 7",
        "3 5 9",
        "Spread: root and seventh left, third, fifth and ninth right",
    ),
    (
        "spread",
        "fifth left",
        &[],
        "1 5",
        "3 7 9",
        "Spread: root and fifth left, third, seventh and ninth right",
    ),
    (
        "quartal",
        "third and fifth on top",
        &[Family::Minor],
        "1 4",
        "=b7 =b3 =5",
        "Three fourths and a third, from the root up",
    ),
    (
        "upper-structure",
        "two",
        &[Family::Dominant],
        "3 7",
        "=9 #11 =13",
        "Third and seventh left, right hand the major triad on the ninth",
    ),
    (
        "upper-structure",
        "flat three",
        &[Family::Dominant],
        "3 7",
        "#9 =5 7",
        "Third and seventh left, right hand the major triad on the sharp ninth",
    ),
    (
        "upper-structure",
        "flat five",
        &[Family::Dominant],
        "3 7",
        "#11 7 b9",
        "Third and seventh left, right hand the major triad on the sharp eleventh",
    ),
    (
        "upper-structure",
        "flat six",
        &[Family::Dominant],
        "3 7",
        "b13 1 #9",
        "Third and seventh left, right hand the major triad on the flat thirteenth",
    ),
    (
        "upper-structure",
        "six",
        &[Family::Dominant],
        "3 7",
        "=13 b9 3",
        "Third and seventh left, right hand the major triad on the thirteenth",
    ),
    (
        "upper-structure",
        "sharp four minor",
        &[Family::Dominant],
        "3 7",
        "#11 =13 b9",
        "Third and seventh left, right hand the minor triad on the sharp eleventh",
    ),
    (
        "tritone-substitute",
        "third on top",
        &[Family::Dominant],
        "b5 b9",
        "7 3",
        "Tritone substitute: its root and fifth left, the guide tones right, third of the written chord on top",
    ),
    (
        "tritone-substitute",
        "seventh on top",
        &[Family::Dominant],
        "b5 b9",
        "3 7",
        "Tritone substitute: its root and fifth left, the guide tones right, seventh of the written chord on top",
    ),
];

/// Where each form lies and what it allows.
fn lie(name: &str) -> (Register, bool, bool) {
    let anywhere = Register::ANYWHERE;

    // The register, whether the hands are joined, whether any inversion is as good.
    match name {
        "guide-tones" | "guide-tones-with-root" | "tritone-substitute" => {
            (Register::GUIDE_TONES, false, false)
        }
        // Bass shells lie from C2 to G4.
        "shell" | "three-note-shell" => (
            Register {
                left_lowest: 34..=60,
                top: 0..=76,
                ..anywhere
            },
            false,
            false,
        ),
        // Four-note left-hand forms have their top note between C4 and C5.
        "rootless" => (
            Register {
                top: 60..=72,
                ..anywhere
            },
            false,
            false,
        ),
        "close" => (
            Register {
                right_lowest: 48..=77,
                ..anywhere
            },
            false,
            false,
        ),
        "drop-2" => (
            Register {
                left_lowest: 41..=67,
                ..anywhere
            },
            true,
            false,
        ),
        "quartal" => (
            Register {
                left_lowest: 38..=60,
                ..anywhere
            },
            true,
            false,
        ),
        "spread" => (
            Register {
                left_lowest: 34..=55,
                right_lowest: 48..=72,
                ..anywhere
            },
            false,
            false,
        ),
        "upper-structure" => (
            Register {
                left_lowest: 46..=60,
                right_lowest: 53..=79,
                ..anywhere
            },
            false,
            true,
        ),
        _ => (anywhere, false, false),
    }
}

pub(super) fn forms() -> &'static [Form] {
    static FORMS: LazyLock<Vec<Form>> = LazyLock::new(build);

    &FORMS
}

fn build() -> Vec<Form> {
    let mut forms: Vec<Form> = Vec::new();

    for (name, order, families, left, right, words) in ROWS {
        if forms.last().is_none_or(|form| form.name != *name) {
            let (register, joined, invertible) = lie(name);
            forms.push(Form {
                name: (*name).to_owned(),
                orders: Vec::new(),
                open: false,
                joined,
                doubling: false,
                invertible,
                optional: Vec::new(),
                register,
            });
        }
        let Some(form) = forms.last_mut() else {
            continue;
        };
        if form.orders.last().is_none_or(|last| last.name != *order) {
            form.orders.push(Order {
                name: (*order).to_owned(),
                words: (*words).to_owned(),
                shapes: Vec::new(),
            });
        }
        if let Some(order) = form.orders.last_mut() {
            let tones = |text: &str| Tone::parse_list(text).expect("the table has degrees only");
            order.shapes.push(Shape {
                families: families.to_vec(),
                left: tones(left),
                right: tones(right),
            });
        }
    }

    forms
}
