//! Things heard and written: hearings, limits, handing in.

use super::*;

/// Shows the first ear item at 0 and returns the length of its hearing in ms and a right answer.
fn first(room: &mut Room) -> (i64, String) {
    let item = room.item(9);
    let Task::Ear(task) = &item.task else {
        panic!("not an ear item: {item:?}");
    };
    let _ = room.at(0, Event::Shown(9)).expect(&["0.0 sound 9"]);

    (task.sound.length.tenths() / 10, task.answers[0][0].clone())
}

#[test]
fn the_time_to_answer_begins_at_the_end_of_the_compulsory_hearing() {
    let mut room = Room::mixed();
    let (sound, answer) = first(&mut room);
    let _ = room.answer(sound + 10_000, &answer).wait(sound + 11_000);
    assert_eq!(room.log, [format!("{}.0 closed 9", sound + 10_000)]);
    assert_eq!(room.credit(9), "1.00");
}

#[test]
fn an_answer_during_the_hearing_counts_and_can_be_changed() {
    let mut room = Room::mixed();
    let (sound, answer) = first(&mut room);
    let _ = room.answer(500, &answer);
    assert_eq!(room.showing(9).events[0].at, Time::from_ms(500 - sound));
    assert_eq!(room.credit(9), "1.00");
    let _ = room.answer(900, "none of these");
    assert_eq!(room.credit(9), "0.00");
    let _ = room
        .answer(950, &answer)
        .answer(990, " ")
        .wait(sound + 20_000);
    assert_eq!(room.reasons(9), [format!("No answer: it was {answer}")]);
}

#[test]
fn handing_in_closes_the_item() {
    let mut room = Room::mixed();
    let (sound, answer) = first(&mut room);
    let end = sound + 3_000;
    let _ = room
        .answer(end - 100, &answer)
        .did(end, Action::HandIn)
        .answer(end + 100, "7")
        .wait(end + 2_001);
    assert_eq!(
        room.log,
        [
            format!("{end}.0 closed 9"),
            format!("{}.0 show 10", end + 2_000)
        ]
    );
    assert_eq!(room.credit(9), "1.00");
}

#[test]
fn a_hearing_on_request_stops_the_clock() {
    let mut room = Room::mixed();
    let (sound, answer) = first(&mut room);
    assert_eq!(room.sitting.hearings_left(), Some(1));
    let _ = room
        .did(sound - 100, Action::Hear)
        .expect(&[])
        .did(sound + 4_000, Action::Hear);
    assert_eq!(room.log, [format!("{}.0 sound 9", sound + 4_000)]);
    room.log.clear();
    assert_eq!(room.sitting.hearings_left(), Some(0));
    // There is no third.
    let _ = room
        .did(sound + 9_000, Action::Hear)
        .expect(&[])
        .answer(2 * sound + 10_000, &answer)
        .wait(2 * sound + 10_001);
    assert_eq!(room.log, [format!("{}.0 closed 9", 2 * sound + 10_000)]);
    assert_eq!(room.credit(9), "1.00");
}

#[test]
fn extra_hearings_come_on_top() {
    let mut room = Room::allowed(
        exam("warm_ups = 0", MIXED),
        Allowance {
            hearings: 2,
            ..Allowance::NONE
        },
    );
    let (sound, _) = first(&mut room);
    let mut at = sound;
    for left in [2, 1, 0, 0] {
        let _ = room.did(at, Action::Hear);
        assert_eq!(room.sitting.hearings_left(), Some(left));
        at += sound + 100;
    }
}

#[test]
fn a_hearing_that_ends_late_moves_the_zero() {
    let mut room = Room::mixed();
    let (sound, answer) = first(&mut room);
    let _ = room
        .answer(sound - 200, "7")
        .at(sound + 350, Event::Sounded)
        .answer(sound + 10_350, &answer)
        .wait(sound + 10_351);
    assert_eq!(room.log, [format!("{}.0 closed 9", sound + 10_350)]);
    assert_eq!(room.credit(9), "1.00");

    let showing = room.showing(9);
    assert_eq!(showing.zero, Time::from_ms(sound + 350));
    // What came before keeps its moment.
    assert_eq!(showing.events[0].at, Time::from_ms(-550));
    assert_eq!(showing.events[1].at, Time::from_ms(10_000));
}

#[test]
fn only_the_compulsory_hearing_moves_the_zero() {
    let mut room = Room::mixed();
    let (sound, _) = first(&mut room);
    let _ = room
        .at(sound, Event::Sounded)
        .did(sound + 100, Action::Hear)
        .at(2 * sound + 100, Event::Sounded);
    assert_eq!(room.showing(9).zero, Time::from_ms(sound));

    // Nor does a stray report move that of an item without a sound.
    let _ = room
        .at(100_000, Event::Shown(12))
        .at(101_000, Event::Sounded);
    assert_eq!(room.showing(12).zero, Time::from_ms(100_000));
}

#[test]
fn more_time_is_given_to_what_is_heard_and_written() {
    let mut room = Room::mixed();
    let (sound, answer) = first(&mut room);
    let _ = room
        .at(1_000, Event::TimeAdded(Time::from_ms(5_000)))
        .at(sound + 10, Event::Sounded)
        .answer(sound + 14_000, &answer)
        .wait(sound + 15_011);
    assert_eq!(room.log, [format!("{}.0 closed 9", sound + 15_010)]);
    assert_eq!(room.credit(9), "1.00");

    let item = room.item(12);
    let Task::Spell(task) = &item.task else {
        unreachable!()
    };
    let names: Vec<String> = task
        .tones
        .iter()
        .map(|(_, names)| names[0].ascii())
        .collect();
    let _ = room.wait(90_000);
    room.log.clear();
    let _ = room
        .at(100_000, Event::Shown(12))
        .at(119_000, Event::TimeAdded(Time::from_ms(3_000)))
        .answer(122_900, &names.join(" "))
        .wait(124_000)
        .expect(&["123000.0 closed 12"]);
    assert_eq!(room.credit(12), "1.00");
}

#[test]
fn a_time_factor_multiplies_the_time_to_answer() {
    let mut room = Room::allowed(
        exam("warm_ups = 0\ntime_factor = [1.0, 2.0]", MIXED),
        Allowance {
            factor: 200,
            ..Allowance::NONE
        },
    );
    let (sound, answer) = first(&mut room);
    let _ = room.answer(sound + 19_900, &answer).wait(sound + 20_001);
    assert_eq!(room.log, [format!("{}.0 closed 9", sound + 20_000)]);
    assert_eq!(room.credit(9), "1.00");
}

#[test]
fn answers_are_kept_on_one_line_and_cut_at_a_thousand_bytes() {
    let mut room = Room::mixed();
    let long = format!(" a\r\n\tb{}", "é".repeat(900));
    let _ = room.at(0, Event::Shown(12)).answer(10, &long);
    let Action::Answer(kept) = &room.showing(12).events[0].action else {
        panic!("no answer");
    };
    assert!(kept.starts_with("a   bé") && kept.len() <= 1_000, "{kept}");
}
