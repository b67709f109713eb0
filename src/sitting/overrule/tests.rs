//! Levels set by a person.

use super::*;
use crate::exam::code::Code;
use crate::exam::{draw, read};
use crate::marking::item::Allowance;
use crate::sitting::Event;
use crate::time::Time;

/// A sitting of three chords in which nothing was played.
fn silent() -> Sitting {
    let script = "title = \"Small\"\n[[section]]\nid = \"A\"\ntitle = \"Cold\"\nkind = \"voicing\"\n\
                  points = 40\nseconds = 6\nform = \"guide-tones\"\n\
                  cells = [{ count = 3, quality = \"7\", order = \"third on top\" }]\n";
    let (exam, diagnostics) = read::read(script, "small");
    let exam = exam.unwrap_or_else(|| panic!("{diagnostics:?}"));
    let form = draw::draw(&exam, Code::FIRST).expect("a form");
    let mut sitting = Sitting::new(exam, form, Allowance::NONE);
    let _ = sitting.update(Event::Stopped("the bell".to_owned()), Time::from_ms(1));

    sitting
}

const WHO: (&str, &str, &str) = ("the key stuck", "JW", "2026-03-13T09:00:00Z");

#[test]
fn the_last_overruling_counts_and_changes_grade_and_table() {
    let mut sitting = silent();
    sitting.overrule(2, 4, WHO).expect("a level");
    sitting.overrule(2, 2, WHO).expect("another level");

    let outcome = outcome(&sitting);
    let of = outcome.items.iter().find(|of| of.item.number == 2);
    let of = of.expect("the item");
    assert_eq!(of.credit(), Some(Fraction::new(1, 2)));
    assert_eq!(of.reasons()[0], "Level 2 by JW: the key stuck");
    assert_eq!(of.marked.level(), 0, "the program's own mark stays");
    assert_eq!(outcome.grade.total.mark, Fraction::new(20, 3));
    assert_eq!(sitting.overrules()[1].was, Some(Fraction::new(1, 1)));
}

#[test]
fn an_overruling_says_who_and_why_and_changes_something() {
    let check = |item, level, who, expected| {
        let mut sitting = silent();
        assert_eq!(sitting.overrule(item, level, who), Err(expected));
        assert!(sitting.overrules().is_empty());
    };

    check(9, 4, WHO, Error::NoItem(9));
    check(1, 5, WHO, Error::Level(5));
    check(1, 4, (" ", "JW", ""), Error::NoReason);
    check(1, 4, ("a reason", "", ""), Error::Nobody);
    check(1, 0, WHO, Error::Same { item: 1, level: 0 });
}
