//! What the rows of the page do.

use super::*;
use crate::fraction::Fraction;

#[test]
fn added_time_goes_to_the_item_that_comes_next() {
    let mut stand = Stand::with(&drawer());
    stand.sit("3118");
    let _ = stand.open_item(100);
    stand.open("2468");
    stand.choose("Add time to this item");
    stand.choose("10 seconds");
    stand.choose("Go on with the exam");
    stand.wait(3_100);
    let number = stand.open_item(200);
    let showing = stand.seat().sitting().showings().last().unwrap();
    assert_eq!(
        (showing.number, showing.added),
        (number, Time::from_ms(10_000))
    );
    assert_eq!(
        stand.kinds(),
        [
            "clock stopped",
            "time granted",
            "clock started",
            "time added"
        ]
    );
    // The one after has its own time again.
    stand.open("2468");
    stand.choose("Go on with the exam");
    stand.wait(3_100);
    let _ = stand.open_item(200);
    let showing = stand.seat().sitting().showings().last().unwrap();
    assert_eq!(showing.added, Time::ZERO);
}

#[test]
fn an_item_is_voided_once() {
    let mut stand = Stand::with(&drawer());
    stand.sit("3118");
    let _ = stand.open_item(100);
    stand.open("2468");
    // It was open: the stop has voided it already.
    stand.says("done: another one takes its place");
    stand.choose("Void this item");
    let showings = stand.seat().sitting().showings();
    assert_eq!(showings.len(), 1);
    assert_eq!(stand.kinds(), ["clock stopped"]);
    stand.choose("Go on with the exam");
    stand.wait(3_100);
    // In the gap after an item that closed, the row voids that one.
    let _ = stand.open_item(100);
    while stand.seat().sitting().open_item().is_some() {
        stand.wait(100);
    }
    stand.open("2468");
    let last = |stand: &Stand| stand.seat().sitting().showings().last().unwrap().clone();
    assert_eq!(last(&stand).voided, None);
    stand.choose("Void this item");
    assert_eq!(last(&stand).voided.as_deref(), Some("invigilator"));
    stand.says("done: another one takes its place");
}

#[test]
fn incidents_are_noted_with_their_words() {
    let drawer = drawer();
    let mut stand = Stand::with(&drawer);
    stand.sit("3118");
    let _ = stand.open_item(100);
    stand.open("2468");
    stand.choose("Note an incident");
    stand.choose("Noise");
    // A figure is text here, not a row.
    stand.write("Drill next door, 2 min");
    stand.says("Drill next door, 2 min");
    stand.press(Meaning::Enter);
    let incident = stand.seat().sitting().incidents().last().unwrap().clone();
    assert_eq!(
        (
            incident.kind.as_str(),
            incident.text.as_str(),
            incident.by.as_str()
        ),
        ("noise", "Drill next door, 2 min", "invigilator")
    );
    stand.says("noise, Drill next door, 2 min");
    stand.choose("Note an incident");
    stand.choose("Back");
    assert_eq!(*stand.page(), Page::Desk);

    let mut stand = Stand::with(&drawer);
    stand.open("2468");
    stand.choose("Note an incident");
    stand.choose("Equipment");
    stand.write("a key sticks");
    stand.press(Meaning::Enter);
    assert!(
        drawer
            .borrow()
            .log
            .contains(&"equipment: a key sticks".to_owned())
    );
}

#[test]
fn a_sitting_is_stopped_for_its_reason() {
    let check = |label: &str, words: &str, end: End| {
        let mut stand = Stand::with(&drawer());
        stand.sit("3118");
        let _ = stand.open_item(100);
        stand.open("2468");
        // There is no way out before.
        stand.choose("Leave the program");
        assert!(!stand.kiosk.has_left());
        stand.choose("Stop the sitting");
        stand.choose(label);
        if !words.is_empty() {
            stand.write(words);
            stand.press(Meaning::Enter);
        }
        let Screen::End(ended) = &stand.kiosk.screen else {
            panic!("it has not ended");
        };
        assert_eq!(ended.sitting.end(), Some(&end));
        stand.choose("Leave the program");
        assert!(stand.kiosk.has_left());
    };
    check(
        "Illness, pain or distress",
        "",
        End::Void("illness".to_owned()),
    );
    check("Equipment", "", End::Stopped("equipment".to_owned()));
    check(
        "Another reason",
        "fire drill",
        End::Stopped("fire drill".to_owned()),
    );
}

#[test]
fn what_is_allowed_holds_for_one_sitting_and_within_the_exam() {
    let drawer = drawer();
    let mut stand = Stand::with(&drawer);
    stand.open("2468");
    stand.choose("Allow the next candidate");
    for _ in 0..3 {
        stand.write("1");
    }
    stand.choose("0 extra hearings");
    stand.choose("Back");
    stand.says("time factor 2.00, 1 extra hearings");
    stand.choose("Close this page");
    stand.sit("3118");
    assert_eq!(drawer.borrow().factor, (200, 1));
    let allowance = stand.seat().sitting().allowance();
    assert_eq!((allowance.factor, allowance.hearings), (200, 1));
    stand.kiosk.act(Act::AskToStop);
    stand.kiosk.act(Act::Stop(Reason::Done));
    stand.kiosk.act(Act::Go);
    stand.sit("3119");
    assert_eq!(drawer.borrow().factor, (100, 0));
}

#[test]
fn a_panel_marks_after_the_sitting_and_a_new_result_is_stored() {
    let drawer = drawer();
    let mut stand = Stand::with(&drawer);
    stand.sit("3118");
    stand.kiosk.act(Act::AskToStop);
    stand.kiosk.act(Act::Stop(Reason::Done));
    assert_eq!(drawer.borrow().stored, [(0, true)]);
    stand.open("2468");
    // The page does not close under the invigilator's hands.
    stand.wait(61_000);
    stand.choose("The panel’s marks");
    let items = stand.kiosk.panel_items().len();
    for _ in 0..items {
        stand.write("101");
        stand.says("10");
        stand.write("0");
        stand.press(Meaning::Enter);
        stand.says("Who gives this mark?");
        stand.write("JW");
        stand.press(Meaning::Enter);
    }
    stand.says("It is result 2.");
    assert_eq!(drawer.borrow().stored, [(0, true), (items, true)]);
    let Screen::End(ended) = &stand.kiosk.screen else {
        panic!("it has ended");
    };
    let marks: Vec<_> = ended.sitting.panel().values().collect();
    assert!(
        items > 0
            && marks
                .iter()
                .all(|(credit, by)| *credit == Fraction::new(1, 1) && by == "JW")
    );
}
