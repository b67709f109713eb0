//! Scripts with little to draw from: still drawn where they can be, and told where they cannot.

use std::collections::BTreeSet;

use viva_voicing::exam::draw;

use super::{content, exam, root, section};

fn script(seats: u8, section: &str) -> String {
    format!(
        "title = \"Small\"\nlevel = \"test\"\nedition = \"1\"\n\
         [rules]\nseats = {seats}\nwarm_ups = 2\ntiming = \"Because.\"\n\
         [[section]]\nid = \"S\"\ntitle = \"S\"\npoints = 10\n{section}"
    )
}

#[test]
fn roots_of_a_group_come_round_without_replacement() {
    let source = script(
        4,
        "kind = \"ear\"\nask = \"quality\"\nseconds = 9\ncells = [\n\
         { count = 6, quality = \"7\", group = \"I\" },\n\
         { count = 6, quality = \"m7\", group = \"I\" },\n]",
    );
    let exam = exam(&source);

    for seed in 0..200 {
        for form in draw::draw_set(&exam, seed).expect("a set") {
            for five in section(&form, 0).chunks(5) {
                let roots: BTreeSet<u8> = five.iter().map(|item| root(item)).collect();
                assert_eq!(roots.len(), five.len(), "{}", form.code);
            }
        }
    }
}

#[test]
fn cells_with_roots_of_their_own_can_be_drawn() {
    let source = script(
        3,
        "kind = \"ear\"\nask = \"quality\"\nseconds = 9\ncells = [\n\
         { count = 5, quality = \"7\", group = \"II\" },\n\
         { count = 5, quality = \"m7\", group = \"I\" },\n]",
    );
    let exam = exam(&source);

    for seed in 0..200 {
        for form in draw::draw_set(&exam, seed).expect("a set") {
            for pair in section(&form, 0).windows(2) {
                let up = (root(pair[1]) + 12 - root(pair[0])) % 12;
                assert!(up != 0 && up != 5, "{}", form.code);
            }
        }
    }
}

#[test]
fn one_cell_with_as_many_chords_as_roots_can_be_drawn() {
    let source = script(
        6,
        "kind = \"voicing\"\nseconds = 6\nform = \"guide-tones\"\ncells = [\n\
         { count = 12, quality = \"7\", order = \"third on top\" },\n]",
    );
    let exam = exam(&source);

    for seed in 0..100 {
        for form in draw::draw_set(&exam, seed).expect("a set") {
            let chords: BTreeSet<String> = form.items.iter().map(content).collect();
            assert_eq!(chords.len(), 12, "{}", form.code);
            assert_eq!(form.warm_ups.len(), 2);
            // All that the cell has is in the form.
            assert!(form.reserve.is_empty());
        }
    }
}

/// Twenty of the one order and four of the other: no balance is to be had, and none is kept to.
#[test]
fn orders_that_cannot_be_balanced_are_drawn_as_they_come() {
    let source = script(
        2,
        "kind = \"voicing\"\nseconds = 6\nform = \"guide-tones\"\neach_root = 2\ncells = [\n\
         { count = 12, quality = \"7\", order = \"third on top\" },\n\
         { count = 8, quality = \"m7\", order = \"third on top\" },\n\
         { count = 4, quality = \"m7\", order = \"seventh on top\" },\n]",
    );
    let exam = exam(&source);

    for seed in 0..100 {
        for form in draw::draw_set(&exam, seed).expect("a set") {
            for class in 0..12 {
                let count = form.items.iter().filter(|item| root(item) == class).count();
                assert_eq!(count, 2, "{}", form.code);
            }
        }
    }
}

#[test]
fn more_seats_than_a_pool_can_bear_are_told() {
    let source = script(
        12,
        "kind = \"spell\"\nseconds = 20\ncells = [\n\
         { count = 1, quality = \"7\", roots = [\"C\", \"F\"] },\n\
         { count = 1, quality = \"m7\", roots = [\"C\", \"F\"] },\n]",
    );
    let (exam, found) = viva_voicing::exam::read::read(&source, "small");
    let messages: Vec<&str> = found.iter().map(|found| found.message.as_str()).collect();

    assert_eq!(exam, None);
    assert!(
        messages
            .iter()
            .any(|message| message.starts_with("the pool is too small for 12 forms in a set")),
        "{messages:?}"
    );
}
