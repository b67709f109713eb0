//! Spare items: of the cell of what they replace, not in the form, and able to stand in its place.

use std::collections::BTreeSet;

use viva_voicing::exam::draw;
use viva_voicing::exam::form::{Form, Item};

use super::{content, root, section, shipped};

/// Sections whose items may not lead to the next one: cold voicings, and sounds.
const COLD: usize = 0;
const HEARD: usize = 3;

fn forms() -> impl Iterator<Item = Form> {
    let exam = shipped();

    (0..60).flat_map(move |seed| draw::draw_set(&exam, seed * 12_007).expect("a set"))
}

fn leads(from: &Item, to: &Item) -> bool {
    root(from) == root(to) || (root(from) + 5) % 12 == root(to)
}

#[test]
fn every_cell_has_a_spare_item_that_the_form_does_not_have() {
    for form in forms() {
        let cells = |items: &[Item]| {
            items
                .iter()
                .map(|item| (item.section, item.cell))
                .collect::<BTreeSet<_>>()
        };
        assert_eq!(cells(&form.reserve), cells(&form.items), "{}", form.code);

        let mut all: BTreeSet<String> = form.items.iter().map(content).collect();
        for item in &form.reserve {
            assert!(all.insert(content(item)), "{} {}", form.code, item.prompt);
        }
    }
}

#[test]
fn spare_items_are_drawn_like_those_of_their_cell() {
    for form in forms() {
        for spare in &form.reserve {
            let like = form
                .items
                .iter()
                .find(|item| (item.section, item.cell) == (spare.section, spare.cell))
                .expect("the cell has items");
            assert_eq!(spare.task.word(), like.task.word());
            assert_eq!(spare.task.limit(), like.task.limit());
        }
    }
}

/// Of the places of a section, on how many a spare item of the cell may stand: not led to by the
/// voided item, nor leading to the next.
fn usable(form: &Form, number: usize) -> (usize, usize) {
    let items = section(form, number);
    let count = (0..items.len())
        .filter(|at| {
            let item = items[*at];
            form.reserve.iter().any(|spare| {
                (spare.section, spare.cell) == (item.section, item.cell)
                    && !leads(item, spare)
                    && items.get(at + 1).is_none_or(|next| !leads(spare, next))
            })
        })
        .count();

    (count, items.len())
}

#[test]
fn a_spare_item_can_nearly_always_stand_where_one_was_voided() {
    let (mut cold, mut heard) = ((0, 0), (0, 0));

    for form in forms() {
        for (number, sum) in [(COLD, &mut cold), (HEARD, &mut heard)] {
            let (count, of) = usable(&form, number);
            sum.0 += count;
            sum.1 += of;
        }
    }

    let percent = |(count, of): (usize, usize)| 100 * count / of;
    assert_eq!(percent(heard), 100, "{heard:?}");
    assert!(percent(cold) >= 95, "{cold:?}");
}
