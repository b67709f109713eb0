//! The PIN: right, wrong, new, and who has none.

use super::*;
use crate::kiosk::invigilator::pin::LONGEST_WAIT;

#[test]
fn the_clock_goes_on_until_the_pin_is_right_and_then_the_item_is_replaced() {
    let mut stand = Stand::with(&drawer());
    stand.sit("3118");
    let item = stand.open_item(500);
    stand.press(Meaning::Function(12));
    stand.says("With the PIN it stops, and an item that is open is replaced");
    assert_eq!(stand.seat().sitting().open_item(), Some(item));
    stand.write("2468");
    stand.says("••••");
    assert!(!stand.sheet().says("2468"));
    stand.press(Meaning::Enter);

    stand.says("The clock has stopped");
    stand.says("Section A, item 1 of 4.");
    stand.says("minutes of the examination remain");
    stand.says("Signed in, form");
    stand.says("10:21:00");
    assert_eq!(stand.seat().sitting().open_item(), None);
    let voided = stand.seat().sitting().showings()[0].voided.as_deref();
    assert_eq!(voided, Some("invigilator"));
    assert_eq!(stand.kinds(), ["clock stopped"]);

    // A count of three, in which nothing happens, and then another item of the same cell.
    stand.press(Meaning::Enter);
    stand.says("The clock goes on");
    stand.wait(2_900);
    assert!(stand.kiosk.invigilator.is_open());
    stand.says("1");
    stand.wait(200);
    assert!(!stand.kiosk.invigilator.is_open());
    let other = stand.open_item(0);
    assert_ne!(other, item);
    assert_eq!(stand.kinds(), ["clock stopped", "clock started"]);
}

#[test]
fn wrong_pins_wait_longer_each_time_and_are_noted() {
    let drawer = drawer();
    let mut stand = Stand::with(&drawer);
    stand.sit("3118");
    let item = stand.open_item(100);
    stand.press(Meaning::Function(12));
    for wait in [1_000, 2_000] {
        stand.write("9999");
        stand.press(Meaning::Enter);
        stand.says("That is not the PIN");
        // Even the right one is not looked at before.
        stand.write("2468");
        stand.wait(wait - 100);
        stand.press(Meaning::Enter);
        assert!(matches!(stand.page(), Page::Pin { .. }));
        for _ in 0..4 {
            stand.press(Meaning::Backspace);
        }
        stand.wait(200);
    }
    assert_eq!(stand.kinds(), ["wrong PIN", "wrong PIN"]);
    assert_eq!(stand.seat().sitting().open_item(), Some(item));
    stand.write("2468");
    stand.press(Meaning::Enter);
    assert_eq!(*stand.page(), Page::Desk);

    // Between sittings the log of the room has them, and a wait has its bound.
    let mut stand = Stand::with(&drawer);
    stand.press(Meaning::Function(12));
    for _ in 0..9 {
        stand.write("1");
        stand.press(Meaning::Enter);
        assert!(stand.kiosk.invigilator.next_try - stand.now <= LONGEST_WAIT);
        stand.wait(60_020);
    }
    let log = &drawer.borrow().log;
    assert_eq!(log.iter().filter(|line| *line == "wrong PIN").count(), 9);
}

#[test]
fn a_new_pin_is_typed_twice_and_only_between_sittings() {
    let drawer = Shared::default();
    drawer.borrow_mut().has_file = true;
    let mut stand = Stand::with(&drawer);
    // The settings file has none: it is asked for at the start.
    stand.says("Choose a PIN for the invigilator");
    stand.write("12");
    stand.press(Meaning::Enter);
    stand.says("too short");
    for (first, second) in [("1234", "1235"), ("1234", "1234")] {
        stand.write(first);
        stand.press(Meaning::Enter);
        stand.says("The same PIN once more");
        stand.write(second);
        stand.press(Meaning::Enter);
    }
    stand.says("in the room’s settings file");
    stand.press(Meaning::Enter);
    assert!(!stand.kiosk.invigilator.is_open());
    assert_eq!(drawer.borrow().pin.as_deref(), Some("1234"));

    // Without a settings file F12 asks, but not a candidate in the middle of a sitting.
    let drawer = Shared::default();
    let mut stand = Stand::with(&drawer);
    assert!(!stand.kiosk.invigilator.is_open());
    stand.sit("3118");
    let item = stand.open_item(100);
    stand.open("");
    assert!(!stand.kiosk.invigilator.is_open());
    assert_eq!(stand.seat().sitting().open_item(), Some(item));
    let mut stand = Stand::with(&drawer);
    stand.open("1234");
    stand.write("1234");
    stand.press(Meaning::Enter);
    stand.says("It holds until the program ends");
}

#[test]
fn the_pin_can_be_touched() {
    let mut stand = Stand::with(&drawer());
    stand.press(Meaning::Function(12));
    for sign in "2468".chars() {
        let sheet = stand.sheet();
        let name = sign.to_string();
        let target = sheet.targets.iter().find(|target| target.name == name);
        let bounds = target.unwrap().bounds;
        let at = crate::engraving::Point::new(bounds.left + 2.0, bounds.top + 2.0);
        stand.kiosk.point(at, paper());
    }
    stand.press(Meaning::Enter);
    assert_eq!(*stand.page(), Page::Desk);
}

#[test]
fn nothing_but_the_invigilator_leaves_the_program() {
    let mut stand = Stand::with(&drawer());
    // Escape and the fourth function key with Alt come from the window as any other key.
    for key in [Meaning::Other, Meaning::Function(4), Meaning::Function(10)] {
        stand.press(key);
    }
    assert!(matches!(stand.kiosk.screen, Screen::Cover));
    stand.press(Meaning::Function(12));
    stand.press(Meaning::Other);
    assert!(matches!(stand.page(), Page::Pin { .. }));
    stand.kiosk.act(Act::Invigilator(Do::Back));
    assert!(!stand.kiosk.invigilator.is_open() && !stand.kiosk.has_left());
    // Acts of the page below do nothing while another lies over it.
    stand.press(Meaning::Function(12));
    stand.kiosk.act(Act::Go);
    stand
        .keys
        .down(Time::from_ms(20), crate::theory::Key::MIDDLE_C, 80);
    stand.wait(100);
    assert!(matches!(stand.kiosk.screen, Screen::Cover));
    stand.write("2468");
    stand.press(Meaning::Enter);
    stand.choose("Leave the program");
    assert!(stand.kiosk.has_left());
}

#[test]
fn a_candidate_cannot_end_the_invigilators_pause() {
    let mut stand = Stand::with(&drawer());
    stand.sit("3118");
    let _ = stand.open_item(100);
    stand.open("2468");
    stand.kiosk.act(Act::AskToStop);
    stand.kiosk.act(Act::Back);
    stand.kiosk.invigilator.page = None;
    stand.kiosk.act(Act::AskToStop);
    stand.kiosk.act(Act::Back);
    assert!(matches!(stand.seat().phase, Phase::Stopped { .. }));
    // Asked by themselves they may go on.
    stand.open("2468");
    stand.press(Meaning::Enter);
    stand.wait(3_100);
    let _ = stand.open_item(100);
    stand.kiosk.act(Act::AskToStop);
    stand.kiosk.act(Act::Back);
    assert!(!matches!(stand.seat().phase, Phase::Stopped { .. }));
}
