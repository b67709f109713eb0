//! A sitting at the keyboard, written down and entered by hand, comes to the same marks.

use viva_voicing::marking::item::{Allowance, Marked};
use viva_voicing::results::document;
use viva_voicing::sitting::outcome::outcome;
use viva_voicing::sitting::{Event, Sitting};
use viva_voicing::{fraction, time::Time};

use super::{DIGEST, copied, read, table};
use crate::library::sat::{MIDDLING, WEAK, sit};
use crate::library::shipped;
use crate::sittings::room::Room;

/// The same sitting as an examiner would have entered it.
fn by_hand(sitting: &Sitting) -> Sitting {
    let text = table(&copied(sitting, DIGEST));
    let of = (sitting.exam(), sitting.form(), sitting.allowance());
    let written = read(&text, of, Some("Inez")).unwrap_or_else(|faults| panic!("{faults:#?}"));

    Sitting::written_down(
        sitting.exam().clone(),
        sitting.form().clone(),
        sitting.allowance(),
        written,
    )
}

/// Wants every item's credit, every section's mark, the total and the band alike, to the last digit.
#[track_caller]
fn check(sitting: &Sitting, at: &str) {
    let entered = by_hand(sitting);
    let (one, other) = (outcome(sitting), outcome(&entered));

    for of in one.items.iter().filter(|of| of.counts()) {
        let own = other
            .items
            .iter()
            .find(|it| it.item.number == of.item.number);
        let own = own.unwrap_or_else(|| panic!("{at}: item {} is gone", of.item.number));
        assert!(own.counts(), "{at}, item {}", of.item.number);
        assert_eq!(own.credit(), of.credit(), "{at}, item {}", of.item.number);
    }
    assert_eq!(other.grade, one.grade, "{at}");
    // What was taken for what is the same too; what nobody measured is not there.
    let untold = other.items.iter().any(|of| match &of.marked {
        Marked::Ear(marked) => !marked.untold.is_empty(),
        _ => false,
    });
    for (own, of) in other.profile.ears.iter().zip(&one.profile.ears) {
        assert!(untold || own.confusion == of.confusion, "{at}");
        assert_eq!((own.right, own.items), (of.right, of.items), "{at}");
    }
    assert!(other.profile.gaps.is_empty(), "{at}");
    for of in &other.items {
        assert!(of.showing.is_none());
        match &of.marked {
            Marked::Voicing(marked) => assert_eq!(marked.facts.spread, None),
            Marked::Run(marked) => assert!(marked.chords.is_empty() && marked.lag.is_none()),
            Marked::Ear(marked) => assert_eq!((marked.at, marked.hearings), (None, 0)),
            Marked::Spell(marked) => assert_eq!(marked.at, None),
            Marked::Panel(_) | Marked::NotReached => {}
        }
    }

    // A file keeps it all: read back, it comes to the same and is written the same.
    let given = document::Given {
        script: String::new(),
        started: "2026-03-12T10:21:00Z".to_owned(),
        ..document::Given::default()
    };
    let first = document::write(&entered, &given);
    let stored = document::read(&first, Some((sitting.exam(), "", &given.digest))).unwrap();
    assert_eq!(stored.sitting.by_hand(), entered.by_hand(), "{at}");
    assert_eq!(document::write(&stored.sitting, &given), first, "{at}");
}

#[test]
fn every_exam_written_down_by_hand_comes_to_the_same_marks() {
    for shipped in shipped() {
        for (ability, seed) in [(MIDDLING, 3), (WEAK, 8)] {
            let sitting = sit(&shipped, ability, seed);
            check(&sitting, &format!("{}, {seed}", shipped.exam.name));
        }
    }
}

/// Voided items, spare ones, more time, what was not reached, a panel that is awaited.
#[test]
fn whatever_happens_in_a_sitting_can_be_written_down() {
    let (mut voided, mut spare, mut awaited) = (0, 0, 0);

    for seed in 0..60 {
        let mut room = Room::new(seed).sit();
        let panel: Vec<u32> = room
            .sitting
            .form()
            .items
            .iter()
            .filter(|item| item.task.word() == "panel")
            .map(|item| item.number)
            .collect();
        if seed % 3 > 0 {
            for item in panel {
                let credit = fraction::from_hundredths(75);
                let by = "Inez".to_owned();
                room.take(room.sitting.now(), Event::Panel { item, credit, by });
            }
        }
        let sitting = &room.sitting;
        let shown = sitting.showings();
        // What stays void without a spare one starts again, which a table has no second line for.
        let again = |number: u32| shown.iter().filter(|of| of.number == number).count() > 1;
        voided += shown.iter().filter(|of| of.voided.is_some()).count();
        spare += shown
            .iter()
            .filter(|of| of.number as usize > sitting.form().items.len())
            .filter(|of| !again(of.number))
            .count();
        awaited += usize::from(outcome(sitting).grade.total.provisional);
        check(sitting, &format!("seed {seed}"));
    }
    assert!(
        voided > 20 && spare > 20 && awaited > 5,
        "{voided} {spare} {awaited}"
    );
}

#[test]
fn a_time_that_nobody_took_is_left_out_and_never_zero() {
    let sitting = Room::calm(21).sit().sitting;
    let mut lines = copied(&sitting, DIGEST);
    for line in &mut lines {
        line[6].clear();
    }
    let of = (sitting.exam(), sitting.form(), sitting.allowance());
    let written = read(&table(&lines), of, Some("Inez")).unwrap();
    let entered = Sitting::written_down(
        sitting.exam().clone(),
        sitting.form().clone(),
        Allowance {
            lag: Time::ZERO,
            ..sitting.allowance()
        },
        written,
    );
    let text = document::write(&entered, &document::Given::default());
    let evidence = text.split("[[by_hand]]").next().unwrap();

    for key in [
        "length_ms",
        "complete_ms",
        "spread",
        "shown_ms",
        "first_note_ms",
        "attempts",
        "hearings",
        "answered_ms",
        "walked",
        "lag_ms",
        "keys",
        "chords",
        "hands",
    ] {
        let line = format!("\n{key} = ");
        assert!(!evidence.contains(&line), "{key}");
    }
    assert!(!text.contains("[[profile.routine_gap]]"));
    assert!(text.contains("\nmarked_by_hand_by = [\"Inez\"]\n"));
    assert_eq!(outcome(&entered).grade, outcome(&sitting).grade);
    assert_eq!(entered.now(), Time::ZERO);
}
