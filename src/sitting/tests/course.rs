//! Pages, prompts, gaps, rests, the end; unmarked items; what a person marks.

use super::*;

#[test]
fn a_sitting_goes_from_page_to_page() {
    let mut room = Room::mixed();
    let _ = room
        .at(100, Event::Go)
        .expect(&["100.0 show 1"])
        .at(150, Event::Shown(1))
        .wait(12_151)
        .expect(&["12150.0 closed 1"])
        .wait(60_000)
        .expect(&["14150.0 show 2"]);

    // A prompt counts from the moment it appeared, whenever it was asked for.
    for number in 2..=6 {
        let shown = 100_000 * i64::from(number);
        let _ = room.at(shown, Event::Shown(number)).wait(shown + 50_000);
        let closed = format!("{}.0 closed {number}", shown + 12_000);
        let next = match number {
            6 => format!("{}.0 page 1", shown + 12_000),
            _ => format!("{}.0 show {}", shown + 14_000, number + 1),
        };
        let _ = room.expect(&[&closed, &next]);
    }

    let _ = room
        .at(700_000, Event::Go)
        .expect(&["700000.0 rest until 730000.0"])
        .wait(800_000)
        .expect(&["730000.0 page 2"]);
}

#[test]
fn the_last_section_ends_the_sitting() {
    let mut room = Room::mixed();
    let mut at = 0;
    for number in 1..=13 {
        at += 100_000;
        let _ = room.at(at, Event::Shown(number));
    }
    room.log.clear();
    let _ = room
        .wait(at + 200_000)
        .expect(&["1320000.0 closed 13", "1320000.0 ended"]);
    assert_eq!(room.sitting.end(), Some(&End::Complete));

    // Afterwards nothing moves any more, and the length of the sitting stands.
    let length = room.sitting.now();
    let _ = room
        .at(at + 900_000, Event::Go)
        .at(at + 900_000, Event::Shown(1))
        .at(at + 900_000, Event::Stopped("fire".to_owned()))
        .expect(&[]);
    assert_eq!(room.sitting.showings().len(), 13);
    assert_eq!(room.sitting.now(), length);
    assert_eq!(room.sitting.end(), Some(&End::Complete));
}

#[test]
fn a_sitting_that_ends_early_says_so() {
    let mut room = Room::mixed();
    let _ = room
        .at(0, Event::Shown(1))
        .at(3_000, Event::Finished)
        .expect(&["3000.0 ended"]);
    assert_eq!(room.sitting.end(), Some(&End::Early));
    assert_eq!(room.showing(1).ended, Some(Time::from_ms(3_000)));
    assert_eq!(room.credit(2), "0.00");
    assert_eq!(room.reasons(2), ["Not reached"]);
}

#[test]
fn items_that_are_passed_over_are_not_reached() {
    let mut room = Room::mixed();
    let keys = room.right(3);
    let _ = room
        .at(0, Event::Shown(3))
        .press(1_000, &keys)
        .wait(9_000)
        .expect(&["3100.0 closed 3", "5100.0 show 4"]);
    assert_eq!(room.credit(1), "0.00");
    assert_eq!(room.credit(3), "1.00");
    let section = &outcome(&room.sitting).grade.sections[0];
    assert_eq!(fraction::hundredths(section.mark), "6.67");
    assert_eq!(section.items, 6);
}

#[test]
fn the_next_prompt_takes_an_open_item_away() {
    let mut room = Room::mixed();
    let keys = room.right(1);
    let _ = room
        .at(0, Event::Shown(1))
        .press(1_000, &keys)
        .at(1_050, Event::Shown(2))
        .expect(&["1050.0 closed 1"]);

    // What was held at that moment was the last attempt.
    assert_eq!(room.showing(1).ended, Some(Time::from_ms(1_050)));
    assert_eq!(room.credit(1), "1.00");
    assert_eq!(room.credit(2), "0.00");
}

#[test]
fn keys_struck_at_the_very_moment_of_a_prompt_belong_to_it() {
    let mut room = Room::mixed();
    let keys = room.right(2);
    let _ = room
        .at(0, Event::Shown(1))
        .press(1_000, &keys)
        .at(1_000, Event::Shown(2))
        .wait(4_000)
        .expect(&["1000.0 closed 1", "3100.0 closed 2"]);
    assert!(room.showing(1).events.is_empty());
    assert_eq!(room.showing(2).events.len(), keys.len());
    assert_eq!(room.credit(2), "1.00");
}

#[test]
fn times_never_run_backwards() {
    let mut room = Room::mixed();
    let _ = room.at(5_000, Event::Shown(1));
    drop(
        room.sitting
            .update(Event::Did(Action::Hear), Time::from_ms(10)),
    );
    assert_eq!(room.sitting.now(), Time::from_ms(5_000));
    assert_eq!(room.showing(1).events[0].at, Time::ZERO);
}

#[test]
fn unmarked_items_come_first_and_leave_nothing_behind() {
    let mut room = Room::of(exam("warm_ups = 3", MIXED));
    let first = right(&room.sitting.form().warm_ups[0].clone());
    let _ = room
        .at(0, Event::Go)
        .expect(&["0.0 warm-up 0"])
        .at(500, Event::WarmUpShown(0))
        .press(1_500, &first)
        .wait(6_000)
        .expect(&["3600.0 closed 0", "5600.0 warm-up 1"])
        .at(6_000, Event::WarmUpShown(1));
    assert_eq!(room.sitting.open_item(), None);
    let _ = room
        .wait(30_000)
        .expect(&["18000.0 closed 0", "20000.0 warm-up 2"])
        .at(30_000, Event::WarmUpShown(2))
        .wait(50_000)
        .expect(&["42000.0 closed 0", "42000.0 page 0"])
        .at(50_000, Event::Go)
        .expect(&["50000.0 show 1"]);

    assert!(room.sitting.showings().is_empty());
    assert!(room.sitting.incidents().is_empty());
    assert_eq!(outcome(&room.sitting).items.len(), 15);
}

#[test]
fn an_interrupted_unmarked_item_is_shown_again() {
    let mut room = Room::of(exam("warm_ups = 1", MIXED));
    let _ = room
        .at(0, Event::Go)
        .at(0, Event::WarmUpShown(0))
        .at(1_000, Event::Paused("cable".to_owned()))
        .at(9_000, Event::Resumed)
        .wait(9_001)
        .expect(&[
            "0.0 warm-up 0",
            "1000.0 closed 0",
            "1000.0 clock stopped",
            "9000.0 warm-up 0",
        ]);
    assert!(room.sitting.showings().is_empty());
}

#[test]
fn a_performance_may_leave_the_unmarked_items_out() {
    let mut room = Room::of(exam("warm_ups = 3", MIXED));
    let keys = room.right(1);
    let _ = room.at(0, Event::Shown(1)).press(2_000, &keys).wait(5_000);
    assert_eq!(room.credit(1), "1.00");
}

#[test]
fn a_person_marks_what_a_panel_is_asked() {
    let mut room = Room::mixed();
    let panel = |item, numerator, denominator| Event::Panel {
        item,
        credit: crate::fraction::of(numerator, denominator).unwrap(),
        by: "Inez".to_owned(),
    };
    // Its items have no prompt.
    let _ = room.at(0, Event::Shown(14)).expect(&[]);
    assert!(room.sitting.showings().is_empty());

    let total = |room: &Room| outcome(&room.sitting).grade.total;
    assert!(total(&room).provisional);
    let _ = room
        .at(10, Event::Finished)
        .at(20, panel(14, 3, 4))
        .at(20, panel(15, 3, 2))
        .at(20, panel(15, -1, 2))
        .at(20, panel(1, 1, 1));
    assert_eq!(room.sitting.panel().len(), 1);
    assert!(total(&room).provisional);
    let _ = room.at(30, panel(15, 1, 2));
    assert!(!total(&room).provisional);
    assert_eq!(fraction::hundredths(total(&room).mark), "6.25");
    assert_eq!(room.reasons(14), ["Marked by Inez"]);
}
