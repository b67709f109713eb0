//! Single voicings: when they close, and what counts.

use super::*;

/// Shows item 1 at 1,000 ms, plays, and returns what happened and the credit.
fn play(rules: &str, events: &dyn Fn(&mut Room)) -> (Vec<String>, String) {
    let mut room = Room::of(exam(&format!("warm_ups = 0\n{rules}"), MIXED));
    let _ = room.at(1_000, Event::Shown(1));
    events(&mut room);
    let _ = room.wait(15_000);

    (std::mem::take(&mut room.log), room.credit(1))
}

fn check(rules: &str, events: &dyn Fn(&mut Room), closed: &str, credit: &str) {
    let (log, found) = play(rules, events);
    assert_eq!((log[0].as_str(), found.as_str()), (closed, credit));
}

#[test]
fn an_item_closes_a_second_and_a_half_after_any_offer_right_or_wrong() {
    // Held: it has settled after 600 ms.
    check(
        "",
        &|room| {
            let keys = room.right(1);
            let _ = room.press(3_000, &keys);
        },
        "5100.0 closed 1",
        "1.00",
    );
    check(
        "",
        &|room| {
            let keys = wrong(&room.right(1));
            let _ = room.press(3_000, &keys);
        },
        "5100.0 closed 1",
        "0.00",
    );
    // Lifted before it settled.
    for other in [false, true] {
        let credit = if other { "0.00" } else { "1.00" };
        check(
            "",
            &|room| {
                let keys = room.right(1);
                let keys = if other { wrong(&keys) } else { keys };
                let _ = room.press(3_000, &keys).lift(3_300, &keys);
            },
            "4800.0 closed 1",
            credit,
        );
    }
}

#[test]
fn a_new_key_keeps_the_item_open() {
    check(
        "",
        &|room| {
            let keys = room.right(1);
            let wrong = wrong(&keys);
            let _ = room
                .press(3_000, &wrong)
                .lift(3_200, &wrong)
                .press(4_600, &keys);
        },
        "5200.0 closed 1",
        "0.75",
    );
}

#[test]
fn there_are_as_many_attempts_as_the_rules_say() {
    let thrice: &dyn Fn(&mut Room) = &|room| {
        let keys = room.right(1);
        let other = wrong(&keys);
        let _ = room
            .press(2_000, &other)
            .lift(2_200, &other)
            .press(3_000, &other)
            .lift(3_200, &other)
            .press(4_000, &keys)
            .lift(4_200, &keys);
    };
    check("", thrice, "3200.0 closed 1", "0.00");
    check("tries = 3", thrice, "4200.0 closed 1", "0.50");
}

#[test]
fn an_item_closes_at_its_grace() {
    check("", &|_| {}, "13000.0 closed 1", "0.00");
    // The limit is 6 s: 4.8 s late is within twice the limit.
    check(
        "",
        &|room| {
            let keys = room.right(1);
            let _ = room.press(11_800, &keys);
        },
        "13000.0 closed 1",
        "0.50",
    );
}

#[test]
fn a_strict_exam_has_no_grace() {
    let mut room = Room::of(exam(
        "warm_ups = 0",
        &MIXED.replace("seconds = 6\ngap = 2", "seconds = 6\ngrace = 1\ngap = 2"),
    ));
    let keys = room.right(1);
    let _ = room
        .at(1_000, Event::Shown(1))
        .press(7_000, &keys)
        .press(7_100, &keys)
        .wait(9_000)
        .expect(&["7000.0 closed 1", "9000.0 show 2"][..1]);
    assert_eq!(room.credit(1), "1.00");
}

#[test]
fn in_practice_an_item_closes_as_soon_as_it_matches() {
    let mut room = Room::of(exam("warm_ups = 0\nfeedback = true", MIXED));
    let keys = room.right(1);
    let other = wrong(&keys);
    let _ = room
        .at(0, Event::Shown(1))
        .press(1_000, &other)
        .lift(1_200, &other)
        .press(5_000, &keys)
        .wait(6_000)
        .expect(&["5080.0 closed 1"]);
    assert_eq!(room.credit(1), "0.75");
}

#[test]
fn added_time_moves_the_limit_and_the_end() {
    let mut room = Room::mixed();
    let keys = room.right(1);
    let _ = room
        .at(0, Event::Shown(1))
        .at(5_000, Event::TimeAdded(Time::from_ms(4_000)))
        .press(9_900, &keys)
        .wait(13_000)
        .expect(&["12000.0 closed 1"])
        .at(14_000, Event::Shown(2))
        .at(15_000, Event::TimeAdded(Time::from_ms(-500)))
        .at(16_000, Event::TimeAdded(Time::from_ms(1_000)))
        .wait(40_000)
        .expect(&["27000.0 closed 2", "29000.0 show 3"]);
    assert_eq!(room.credit(1), "1.00");
    assert_eq!(room.showing(1).added, Time::from_ms(4_000));
    assert_eq!(
        room.kinds(),
        [("time added", "4.0 s"), ("time added", "1.0 s")]
    );
}

#[test]
fn a_time_factor_multiplies_the_limit() {
    let exam = exam("warm_ups = 0\ntime_factor = [1.0, 3.0]", MIXED);
    let mut room = Room::allowed(
        exam,
        Allowance {
            factor: 150,
            ..Allowance::NONE
        },
    );
    let keys = room.right(1);
    let _ = room
        .at(0, Event::Shown(1))
        .press(8_900, &keys)
        .wait(12_000)
        .expect(&["11000.0 closed 1"])
        .at(13_000, Event::Shown(2))
        .wait(40_000)
        .expect(&["31000.0 closed 2", "33000.0 show 3"]);
    assert_eq!(room.credit(1), "1.00");
}
