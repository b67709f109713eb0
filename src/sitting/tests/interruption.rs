//! Pauses, voided items and what takes their place, stops.

use super::*;

fn paused(why: &str) -> Event {
    Event::Paused(why.to_owned())
}

fn voided(why: &str) -> Event {
    Event::Voided {
        reason: why.to_owned(),
        by: "Inez".to_owned(),
    }
}

/// The item that the last `show` asked for.
fn shown(room: &Room) -> u32 {
    let last = room.log.last().expect("something happened");
    let (_, number) = last.split_once(" show ").expect("a prompt was asked for");

    number.parse().unwrap()
}

fn root(room: &Room, number: u32) -> u8 {
    room.item(number).task.root().unwrap()
}

#[test]
fn a_pause_voids_the_open_item_and_a_spare_one_takes_its_place() {
    let mut room = Room::mixed();
    let keys = room.right(2);
    let _ = room
        .at(0, Event::Shown(1))
        .at(20_000, Event::Shown(2))
        .press(22_000, &keys)
        .at(22_500, paused("keyboard lost"));
    assert_eq!(room.sitting.deadline(), None);
    room.log.clear();
    let _ = room.at(60_000, Event::Resumed).wait(62_001);
    assert_eq!(room.log.len(), 1);
    let spare = shown(&room);
    assert!(room.log[0].starts_with("62000.0 "), "{:?}", room.log);
    assert!(spare > 15, "{spare}");

    // Of the same cell, and cold between the voided item and the next.
    let (old, new) = (room.item(2), room.item(spare));
    assert_eq!((old.section, old.cell), (new.section, new.cell));
    let roots = [root(&room, 2), root(&room, spare), root(&room, 3)];
    for pair in roots.windows(2) {
        assert!(
            pair[0] != pair[1] && (pair[0] + 5) % 12 != pair[1],
            "{roots:?}"
        );
    }

    // It has its full time, and the order goes on after it.
    let keys = room.right(spare);
    room.log.clear();
    let _ = room
        .at(70_000, Event::Shown(spare))
        .press(75_900, &keys)
        .wait(80_001);
    assert_eq!(
        room.log,
        [
            format!("78000.0 closed {spare}"),
            "80000.0 show 3".to_owned()
        ]
    );
    assert_eq!(room.credit(spare), "1.00");
    assert_eq!(room.credit(2), "none");
    assert_eq!(outcome(&room.sitting).grade.sections[0].items, 6);
    assert_eq!(
        room.kinds(),
        [("clock stopped", "keyboard lost"), ("clock started", "")]
    );
    assert_eq!(room.sitting.incidents()[0].item, Some(2));
    assert_eq!(room.showing(2).voided.as_deref(), Some("keyboard lost"));
    assert_eq!(room.showing(2).ended, Some(Time::from_ms(2_500)));
}

#[test]
fn the_clock_stands_still_between_items() {
    let mut room = Room::mixed();
    let _ = room
        .at(0, Event::Shown(1))
        .wait(12_500)
        .expect(&["12000.0 closed 1"])
        // The next prompt is due at 14,000.
        .at(12_500, paused("fire drill"))
        .expect(&["12500.0 clock stopped"])
        .at(100_000, Event::Go)
        .at(100_000, Event::Shown(2))
        .expect(&[])
        .at(500_000, Event::Resumed)
        .wait(600_000)
        .expect(&["501500.0 show 2"]);
    assert_eq!(room.showing(1).voided, None);
    assert_eq!(room.sitting.showings().len(), 1);

    // A prompt that had been asked for is asked for again.
    let _ = room
        .at(600_000, paused("again"))
        .at(700_000, Event::Resumed)
        .wait(700_001)
        .expect(&["600000.0 clock stopped", "700000.0 show 2"]);
}

#[test]
fn the_clock_stands_still_in_a_rest() {
    let mut room = Room::mixed();
    let _ = room
        .at(0, Event::Shown(6))
        .wait(20_000)
        .at(20_000, Event::Go)
        .at(30_000, paused("noise"))
        .at(90_000, Event::Resumed)
        .wait(200_000)
        .expect(&[
            "12000.0 closed 6",
            "12000.0 page 1",
            "20000.0 rest until 50000.0",
            "30000.0 clock stopped",
            "90000.0 rest until 110000.0",
            "110000.0 page 2",
        ]);
}

#[test]
fn the_clock_stands_still_on_a_page() {
    let mut room = Room::mixed();
    let _ = room
        .at(10, paused("late"))
        .at(20, Event::Go)
        .at(30, paused("later still"))
        .at(40, Event::Resumed)
        .at(50, Event::Resumed)
        .at(60, Event::Go)
        .expect(&["10.0 clock stopped", "60.0 show 1"]);
    assert_eq!(
        room.kinds(),
        [
            ("clock stopped", "late"),
            ("clock stopped", "later still"),
            ("clock started", "")
        ]
    );
}

#[test]
fn an_invigilator_voids_the_item_shown_last() {
    let mut room = Room::mixed();
    let keys = room.right(1);
    let _ = room
        .at(0, Event::Shown(1))
        .press(1_000, &keys)
        .wait(4_000)
        .expect(&["3100.0 closed 1"])
        .at(4_000, voided("coughing"))
        .wait(6_001);
    assert!(room.log[0].starts_with("6000.0 show "), "{:?}", room.log);
    assert!(shown(&room) > 15);
    // It had closed by itself before.
    assert_eq!(room.showing(1).ended, None);
    assert_eq!(room.credit(1), "none");
}

#[test]
fn voiding_again_changes_nothing() {
    let mut room = Room::mixed();
    let _ = room
        .at(0, voided("nothing was shown"))
        .at(0, Event::Shown(1))
        .at(1_000, voided("noise"))
        .at(1_500, voided("noise"))
        .at(1_600, paused("noise"))
        .at(1_700, voided("noise"));
    assert_eq!(
        room.kinds(),
        [("voided", "noise"), ("clock stopped", "noise")]
    );
    assert_eq!(room.sitting.incidents()[0].by, "Inez");
}

#[test]
fn voiding_while_the_clock_stands_does_not_start_it() {
    let mut room = Room::mixed();
    let _ = room
        .at(0, Event::Shown(1))
        .wait(13_000)
        .at(13_000, paused("noise"))
        .at(20_000, voided("noise"))
        .wait(90_000);
    assert_eq!(room.sitting.deadline(), None);
    room.log.clear();
    let _ = room.at(100_000, Event::Resumed).wait(102_001);
    assert!(room.log[0].starts_with("102000.0 show "), "{:?}", room.log);
    assert_ne!(shown(&room), 2);
}

#[test]
fn an_item_voided_after_its_section_is_replaced_before_the_next_page() {
    let mut room = Room::mixed();
    let _ = room
        .at(0, Event::Shown(6))
        .wait(20_000)
        .expect(&["12000.0 closed 6", "12000.0 page 1"])
        .at(20_000, voided("noise"))
        .wait(22_001);
    let spare = shown(&room);
    room.log.clear();
    let _ = room.at(30_000, Event::Shown(spare)).wait(50_000);
    assert_eq!(
        room.log,
        [
            format!("42000.0 closed {spare}"),
            "42000.0 page 1".to_owned()
        ]
    );
}

#[test]
fn an_item_can_be_interrupted_until_no_spare_one_is_left() {
    let mut room = Room::mixed();
    let cell = room.item(1).cell;
    let mut open = 1;
    let mut seen = vec![1];
    let mut at = 0;
    loop {
        let _ = room.at(at, Event::Shown(open));
        let _ = room
            .at(at + 1_000, paused("cable"))
            .at(at + 2_000, Event::Resumed)
            .wait(at + 4_001);
        let next = shown(&room);
        assert_eq!(room.item(next).cell, cell);
        at += 10_000;
        if seen.contains(&next) {
            assert_eq!(next, open, "the one that was interrupted starts again");
            break;
        }
        seen.push(next);
        open = next;
    }
    // Two spare ones a cell; the cold rule may have left one out.
    assert!((2..=3).contains(&seen.len()), "{seen:?}");
    assert!(
        room.kinds()
            .contains(&("no spare item left", "the item starts again"))
    );

    // The last one counts, with its full time; the others have left.
    let keys = room.right(open);
    let _ = room
        .at(at, Event::Shown(open))
        .press(at + 5_900, &keys)
        .wait(at + 9_000);
    assert_eq!(room.credit(open), "1.00");
    let outcome = outcome(&room.sitting);
    assert_eq!(outcome.grade.sections[0].items, 6);
    let counted = |number| {
        let items = outcome.items.iter();
        items
            .filter(|item| item.item.number == number && item.counts())
            .count()
    };
    assert_eq!(counted(open), 1);
}

#[test]
fn a_run_starts_again() {
    let mut room = Room::mixed();
    let _ = room
        .at(0, Event::Shown(8))
        .at(11_000, paused("power"))
        .at(20_000, Event::Resumed)
        .wait(23_001)
        .expect(&[
            "11000.0 closed 8",
            "11000.0 clock stopped",
            "23000.0 show 8",
        ]);
    // It is no lack of spare items.
    assert_eq!(
        room.kinds(),
        [("clock stopped", "power"), ("clock started", "")]
    );
    let line = line(&room.item(8));
    let _ = room.at(30_000, Event::Shown(8));
    for (k, keys) in line.iter().enumerate() {
        let at = 42_000 + 2_000 * k as i64;
        let _ = room.press(at, keys).lift(at + 900, keys);
    }
    let _ = room.wait(100_000);
    assert_eq!(room.credit(8), "1.00");
}

#[test]
fn a_chord_after_a_voided_neighbour_is_not_cold() {
    // Items are drawn cold, so a passed-over order makes the neighbours here.
    let room = Room::mixed();
    let numbers: Vec<u32> = (1..=6).chain(16..=19).collect();
    let pair = numbers
        .iter()
        .flat_map(|a| numbers.iter().map(move |b| (*a, *b)))
        .find(|(a, b)| (root(&room, *a) + 5) % 12 == root(&room, *b))
        .expect("two of ten chords are neighbours");
    let mut room = Room::mixed();
    let _ = room
        .at(0, Event::Shown(pair.0))
        .at(3_000, voided("noise"))
        .at(10_000, Event::Shown(pair.1))
        .wait(30_000);
    let profile = outcome(&room.sitting).profile;
    assert_eq!(profile.cells.len(), 1);
    assert!(!profile.cells[0].cold);
}

#[test]
fn a_stop_ends_the_sitting_and_pain_voids_it() {
    let check = |reason: &str, void: bool| {
        let mut room = Room::mixed();
        let keys = room.right(1);
        let _ = room
            .at(0, Event::Shown(1))
            .press(1_000, &keys)
            .at(1_500, Event::Stopped(reason.to_owned()))
            .expect(&["1500.0 ended"]);
        let expected = match void {
            true => End::Void(reason.to_owned()),
            false => End::Stopped(reason.to_owned()),
        };
        assert_eq!(room.sitting.end(), Some(&expected), "{reason}");
        assert_eq!(outcome(&room.sitting).void, void, "{reason}");
        assert_eq!(room.kinds(), [("stopped", reason)]);
        // What was held when it stopped is marked.
        assert_eq!(room.credit(1), "1.00");
    };
    for reason in [
        "pain",
        "Pain in the left wrist",
        "candidate in distress",
        "fell ill",
        "unwell (illness)",
    ] {
        check(reason, true);
    }
    for reason in ["", "misconduct", "still painting the hall", "fire alarm"] {
        check(reason, false);
    }
}

#[test]
fn a_stop_ends_a_pause_too() {
    let mut room = Room::mixed();
    let _ = room
        .at(0, Event::Shown(1))
        .at(1_000, paused("power"))
        .at(2_000, Event::Stopped("power".to_owned()))
        .at(3_000, Event::Resumed)
        .wait(100_000);
    assert_eq!(room.sitting.end(), Some(&End::Stopped("power".to_owned())));
    assert_eq!(room.sitting.now(), Time::from_ms(2_000));
}

#[test]
fn an_incident_is_noted_at_its_time_and_item() {
    let mut room = Room::mixed();
    let incident = |kind: &str| Incident {
        at: Time::ZERO,
        item: Some(99),
        kind: kind.to_owned(),
        text: "a door".to_owned(),
        by: "Inez".to_owned(),
    };
    let _ = room
        .at(500, Event::Noted(incident("late")))
        .at(1_000, Event::Shown(1))
        .at(2_000, Event::Noted(incident("noise")))
        .at(3_000, Event::Finished)
        .at(9_000, Event::Noted(incident("help given")));
    let noted: Vec<_> = room
        .sitting
        .incidents()
        .iter()
        .map(|incident| (incident.at, incident.item, incident.kind.as_str()))
        .collect();
    assert_eq!(
        noted,
        [
            (Time::from_ms(500), None, "late"),
            (Time::from_ms(2_000), Some(1), "noise"),
            (Time::from_ms(9_000), Some(1), "help given"),
        ]
    );
}
