//! Practice: nothing comes by itself after an item, and what is tried again counts for nothing.

use super::*;
use crate::sitting::wire::Line;

fn practice() -> Room {
    Room::of(exam("warm_ups = 0\nfeedback = true", MIXED))
}

#[test]
fn the_next_prompt_waits_for_the_candidate() {
    let mut room = practice();
    let keys = room.right(1);
    let _ = room
        .at(100, Event::Go)
        .expect(&["100.0 show 1"])
        .at(150, Event::Shown(1))
        .press(1_000, &keys)
        .wait(60_000)
        .expect(&["1080.0 closed 1"]);
    let review = room.sitting.review().unwrap();
    assert_eq!((review.item.number, review.is_rehearsal), (1, false));
    assert_eq!(review.marked.level(), 4);
    assert_eq!(room.sitting.at_hand(), None);

    let _ = room
        .at(60_000, Event::Go)
        .expect(&["60000.0 show 2"])
        .at(60_050, Event::Shown(2));
    assert!(room.sitting.review().is_none());
}

#[test]
fn a_section_and_the_sitting_end_when_the_candidate_goes_on() {
    let mut room = practice();
    let mut at = 0;
    for number in 1..=13 {
        at += 100_000;
        let _ = room.at(at, Event::Shown(number)).wait(at + 90_000);
        assert_eq!(room.sitting.looked_at(), Some(number), "{number}");
    }
    room.log.clear();
    let _ = room.at(at + 90_000, Event::Go).expect(&["1390000.0 ended"]);
    assert_eq!(room.sitting.end(), Some(&End::Complete));

    let mut room = practice();
    let _ = room.at(100, Event::Shown(6)).wait(50_000);
    room.log.clear();
    let _ = room.at(50_000, Event::Go).expect(&["50000.0 page 1"]);
}

#[test]
fn a_performance_that_does_not_wait_gives_the_same_showings() {
    // A file shows its items whenever it likes, and ends without a last word.
    let mut room = practice();
    for number in 1..=13 {
        let _ = room.at(100_000 * i64::from(number), Event::Shown(number));
    }
    let _ = room.at(1_500_000, Event::Finished);
    assert_eq!(room.sitting.end(), Some(&End::Complete));
    assert_eq!(room.sitting.showings().len(), 13);
}

#[test]
fn an_item_tried_again_is_in_no_showing() {
    let mut room = practice();
    let keys = room.right(1);
    let _ = room.at(100, Event::Shown(1)).wait(30_000);
    room.log.clear();
    let shown = room.sitting.showings().to_vec();
    let _ = room
        .at(30_000, Event::Again)
        .expect(&["30000.0 again 1"])
        .at(30_050, Event::AgainShown(1))
        .press(31_000, &keys)
        .wait(40_000)
        .expect(&["31080.0 closed 0"]);
    assert_eq!(room.sitting.showings(), shown);
    assert_eq!(room.credit(1), "0.00");
    let review = room.sitting.review().unwrap();
    assert!(review.is_rehearsal);
    assert_eq!(review.marked.level(), 4);

    // Once more, and without an end the next item comes all the same.
    let _ = room
        .at(50_000, Event::Again)
        .at(50_050, Event::AgainShown(1))
        .at(51_000, Event::Shown(2));
    assert_eq!(room.sitting.showings().len(), 2);
    assert_eq!(room.sitting.showings()[0], shown[0]);
}

#[test]
fn a_stopped_clock_leads_a_rehearsal_back_to_what_was_done() {
    let mut room = practice();
    let _ = room
        .at(100, Event::Shown(1))
        .at(20_000, Event::Again)
        .at(20_050, Event::AgainShown(1))
        .at(21_000, Event::Paused("cable".to_owned()));
    assert_eq!(room.sitting.looked_at(), Some(1));
    let _ = room.at(30_000, Event::Resumed);
    assert_eq!(room.sitting.looked_at(), Some(1));
    assert!(room.sitting.showings()[0].voided.is_none());
    room.log.clear();
    let _ = room.at(31_000, Event::Go).expect(&["31000.0 show 2"]);
}

#[test]
fn only_what_is_looked_at_is_shown_again() {
    let mut graded = Room::mixed();
    let _ = graded.at(100, Event::Shown(1)).wait(30_000);
    let mut practice = practice();
    let _ = practice.at(100, Event::Shown(1)).wait(30_000);
    for room in [&mut graded, &mut practice] {
        room.log.clear();
        let _ = room.at(30_000, Event::AgainShown(2)).expect(&[]);
        assert_eq!(room.sitting.open(), None);
    }
    let _ = graded.at(30_100, Event::Again).expect(&[]);
}

#[test]
fn trying_again_is_stored_and_read_back() {
    for event in [Event::Again, Event::AgainShown(7)] {
        let line = Line::new(Time::from_ms(5), &event);
        let text = serde_json::to_string(&line).unwrap();
        let read: Line = serde_json::from_str(&text).unwrap();
        assert_eq!(read.event(), Some(event));
    }
}
