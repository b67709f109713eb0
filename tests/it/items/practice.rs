//! Practice: feedback after each item, hearing, trying again, and ten times the time.

use viva_voicing::kiosk::act::{Act, Key as Meaning};
use viva_voicing::kiosk::model::Screen;
use viva_voicing::kiosk::seat::Phase;
use viva_voicing::sitting::outcome::outcome;

use super::scripts::*;
use super::stand::Stand;

fn begun(section: &str) -> Stand {
    let mut stand = Stand::new(&practice(section));
    stand.begin();
    stand
}

#[track_caller]
fn looks(stand: &Stand) {
    assert_eq!(stand.phase(), &Phase::Review, "{:?}", stand.sheet().said);
}

#[test]
fn a_right_voicing_is_told_so_and_waits_for_the_candidate() {
    let mut stand = begun(VOICING);
    let keys = stand.asked();
    stand.play(&keys, 600);
    stand.wait(500);
    looks(&stand);
    stand.says("As asked");
    stand.says("the whole mark");
    stand.says("Practice · Cold voicings · 1 of 3");
    stand.says("seconds of 6");
    // However long it is looked at.
    stand.wait(30_000);
    looks(&stand);
    stand.press(Meaning::Enter);
    stand.wait(60);
    stand.says("Practice · Cold voicings · 2 of 3");
}

#[test]
fn what_was_asked_and_played_can_be_heard_by_key_and_by_pointer() {
    let mut stand = begun(VOICING);
    let mut keys = stand.asked();
    let _ = keys.pop();
    stand.play(&keys, 600);
    stand.until("feedback", |stand| stand.item().is_none());
    looks(&stand);
    stand.says("Asked: ");
    stand.says("Played: ");
    let before = stand.speaker.lock().played.len();
    stand.types("1");
    stand.types("2");
    stand.point(Act::HearAsked);
    stand.point(Act::HearOwn);
    assert_eq!(stand.speaker.lock().played.len(), before + 4);
    // A page that sounds is left at once, and the next item is not sounded over.
    stand.point(Act::Go);
    stand.wait(60);
    assert!(stand.item().is_some());
}

#[test]
fn a_second_try_changes_no_mark() {
    let mut stand = begun(VOICING);
    stand.until("feedback", |stand| stand.item().is_none());
    stand.says("no mark");
    let before = outcome(stand.seat().sitting()).grade;
    stand.types("3");
    stand.until("the item again", |stand| stand.item().is_some());
    stand.wait(60);
    stand.says("once more, not marked");
    let keys = stand.asked();
    stand.play(&keys, 600);
    stand.until("feedback", |stand| stand.item().is_none());
    looks(&stand);
    stand.says("As asked");
    stand.says("tried again, not marked");
    assert_eq!(outcome(stand.seat().sitting()).grade, before);
    assert_eq!(stand.seat().sitting().showings().len(), 1);
    stand.point(Act::Again);
    stand.until("the item a third time", |stand| stand.item().is_some());
    stand.keys.unplug(stand.time());
    stand.wait(60);
    // A broken rehearsal leads back to what was done.
    looks(&stand);
}

#[test]
fn the_last_item_is_looked_at_before_the_end() {
    for section in [FREE, TEMPO] {
        let mut stand = begun(section);
        while matches!(stand.kiosk.screen, Screen::Seat(_)) {
            stand.until("feedback", |stand| stand.item().is_none());
            looks(&stand);
            stand.says("chords right at first sounding");
            stand.press(Meaning::Enter);
            stand.wait(100);
        }
        assert!(matches!(stand.kiosk.screen, Screen::End(_)), "{section}");
    }
}

#[test]
fn an_ear_item_puts_the_right_answer_beside_ones_own() {
    for section in [EAR, PARTS, TWELVE] {
        let mut stand = begun(section);
        stand.until("silence", |stand| !stand.seat().sounding);
        stand.types("11");
        stand.press(Meaning::Enter);
        stand.wait(60);
        looks(&stand);
        stand.says("It was");
        stand.says("You answered");
        let before = stand.speaker.lock().played.len();
        stand.types("1");
        assert_eq!(stand.speaker.lock().played.len(), before + 1, "{section}");
    }
}

#[test]
fn a_wrong_ear_answer_can_be_heard_where_the_exam_has_its_sound() {
    let mut stand = begun(EAR);
    stand.until("silence", |stand| !stand.seat().sounding);
    stand.types("2");
    stand.press(Meaning::Enter);
    stand.wait(60);
    let before = stand.speaker.lock().played.len();
    stand.point(Act::HearOwn);
    assert_eq!(stand.speaker.lock().played.len(), before + 1);
}

#[test]
fn a_spelling_is_engraved_as_asked_and_as_written() {
    let mut stand = begun(SPELL);
    stand.types("c_e");
    stand.press(Meaning::Enter);
    stand.wait(60);
    looks(&stand);
    stand.says("Asked");
    stand.says("Written");
    stand.says("C double flat 4, E 4");
    let before = stand.speaker.lock().played.len();
    stand.types("12");
    assert_eq!(stand.speaker.lock().played.len(), before + 2);
}

#[test]
fn nothing_played_is_no_fault_of_the_page() {
    for section in [VOICING, EAR, SPELL] {
        let mut stand = begun(section);
        stand.until("feedback", |stand| stand.item().is_none());
        looks(&stand);
        let sheet = stand.sheet();
        assert!(
            !sheet.targets.iter().any(|it| it.act == Act::HearOwn),
            "{section}"
        );
    }
}

#[test]
fn an_item_can_have_ten_times_its_time() {
    // WCAG 2.2, 2.2.1 Timing Adjustable: at least ten times the default.
    for section in [VOICING, EAR, SPELL] {
        let mut stand = begun(section);
        stand.until("silence", |stand| !stand.seat().sounding);
        stand.wait(60);
        let (_, limit) = stand.seat().time_left(stand.now).unwrap();
        stand.says("ten times the time");
        stand.press(Meaning::Function(9));
        let (left, ten) = stand.seat().time_left(stand.now).unwrap();
        assert_eq!(ten, limit.scaled(10, 1), "{section}");
        assert!(left > limit.scaled(9, 1));
        // Once is enough.
        stand.press(Meaning::Function(9));
        assert_eq!(stand.seat().time_left(stand.now).unwrap().1, ten);
        stand.wait(40_000);
        assert!(stand.item().is_some(), "{section}");
    }
    let mut stand = begun(VOICING);
    stand.point(Act::MoreTime);
    stand.says_nothing_of("ten times");
}

#[test]
fn the_keyboard_is_not_missed_while_feedback_is_read() {
    let mut stand = begun(VOICING);
    stand.until("feedback", |stand| stand.item().is_none());
    stand.keys.unplug(stand.time());
    stand.speaker.lock().lose();
    stand.wait(100);
    looks(&stand);
    stand.types("1");
    stand.press(Meaning::Enter);
    stand.wait(100);
    stand.says("We can’t hear the keyboard.");
}

#[test]
fn practice_is_stopped_by_f10_from_an_item_and_from_its_feedback() {
    for looks_first in [true, false] {
        let mut stand = begun(SPELL);
        if looks_first {
            stand.press(Meaning::Enter);
        }
        stand.wait(60);
        stand.press(Meaning::Function(10));
        stand.says("Do you want to stop?");
        stand.press(Meaning::Enter);
        stand.wait(60);
        assert_eq!(stand.phase() == &Phase::Review, looks_first);
        stand.press(Meaning::Function(10));
        stand.point(Act::Stop(viva_voicing::kiosk::act::Reason::Done));
        stand.wait(60);
        assert!(matches!(stand.kiosk.screen, Screen::End(_)));
    }
}
