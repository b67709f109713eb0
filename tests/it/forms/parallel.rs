//! The forms of a set: alike in their cells, never the same item at the same place.

use std::collections::BTreeSet;

use viva_voicing::exam::code::{Code, SETS};
use viva_voicing::exam::form::Form;
use viva_voicing::exam::{draw, script::Exam};

use super::{content, shipped};

fn set(exam: &Exam, seed: u32) -> Vec<Form> {
    draw::draw_set(exam, seed).unwrap_or_else(|error| panic!("seed {seed}: {error}"))
}

#[test]
fn the_forms_of_a_set_have_the_same_cells() {
    let exam = shipped();
    let cells = |form: &Form| {
        let mut cells: Vec<_> = form
            .items
            .iter()
            .map(|item| (item.section, item.cell))
            .collect();
        cells.sort_unstable();
        cells
    };
    let expected = cells(&set(&exam, 0)[0]);

    for seed in 0..50 {
        for form in set(&exam, seed * 7001) {
            assert_eq!(cells(&form), expected, "{}", form.code);
        }
    }
}

#[test]
fn no_two_forms_of_a_set_have_the_same_item_at_the_same_place() {
    let exam = shipped();

    for seed in 0..100 {
        let forms = set(&exam, seed * 9001 + 17);
        for place in 0..forms[0].items.len() {
            let here: BTreeSet<String> = forms
                .iter()
                .map(|form| content(&form.items[place]))
                .collect();
            assert_eq!(here.len(), forms.len(), "seed {seed}, place {place}");
        }
    }
}

#[test]
fn a_form_drawn_alone_is_the_one_of_its_set() {
    let exam = shipped();

    for seed in [0, 1, 400_000, SETS - 1] {
        for form in set(&exam, seed) {
            assert_eq!(draw::draw(&exam, form.code), Ok(form));
        }
    }
}

#[test]
fn forms_of_other_codes_are_other_forms() {
    let exam = shipped();
    let mut seen = BTreeSet::new();

    for seed in 0..60 {
        for form in set(&exam, seed) {
            let all: Vec<String> = form.items.iter().map(content).collect();
            assert!(seen.insert(all), "{}", form.code);
        }
    }
}

#[test]
fn a_set_has_no_more_seats_than_the_script_says() {
    let exam = shipped();
    let error = draw::draw(&exam, Code::new(5, 13)).expect_err("no seat 13");

    assert_eq!(
        error.to_string(),
        "this exam has 12 parallel forms in a set, there is no seat 13"
    );
}
