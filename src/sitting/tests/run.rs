//! Runs: look, count-in, slots and the end.

use super::*;

/// The free run of [`MIXED`], five dominants, shown at 0.
fn free(rules: &str) -> (Room, Vec<Vec<Key>>) {
    let mut room = Room::of(exam(&format!("warm_ups = 0\n{rules}"), MIXED));
    let line = line(&room.item(7));
    let _ = room.at(0, Event::Shown(7));

    (room, line)
}

fn play(room: &mut Room, line: &[Vec<Key>], at: &dyn Fn(usize) -> i64) {
    for (k, keys) in line.iter().enumerate() {
        let _ = room.press(at(k), keys).lift(at(k) + 700, keys);
    }
}

#[test]
fn a_free_run_ends_when_its_chords_have_been_played() {
    let (mut room, line) = free("");
    play(&mut room, &line, &|k| 2_000 + 1_000 * k as i64);
    // The last chord at 6,000, and then nothing for one chord's six seconds.
    let _ = room
        .wait(20_000)
        .expect(&["12000.0 closed 7", "15000.0 show 8"]);
    assert_eq!(room.credit(7), "1.00");
}

#[test]
fn a_free_run_can_be_handed_in() {
    let (mut room, line) = free("");
    play(&mut room, &line, &|k| 2_000 + 1_000 * k as i64);
    let _ = room
        .did(7_000, Action::HandIn)
        .expect(&["7000.0 closed 7"])
        .wait(12_000)
        .expect(&["10000.0 show 8"]);
    assert_eq!(room.credit(7), "1.00");
}

#[test]
fn in_practice_a_free_run_ends_with_its_last_chord() {
    let (mut room, line) = free("feedback = true");
    let early = &line[..4];
    play(&mut room, early, &|k| 2_000 + 1_000 * k as i64);
    let last = wrong(&line[4]);
    let _ = room
        .press(6_000, &last)
        .lift(6_500, &last)
        .press(7_000, &line[4])
        .wait(9_000)
        .expect(&["7200.1 closed 7"]);
}

#[test]
fn a_free_run_ends_at_the_latest_with_the_seconds_of_all_its_chords() {
    let (mut room, _) = free("");
    let Task::Run(task) = room.item(7).task else {
        unreachable!()
    };
    let end = task.timing(100).end;
    let _ = room.wait(60_000);
    let closed = format!("{end} closed 7");
    assert_eq!(room.log[0], closed);
    // Look, and five chords of six seconds.
    assert_eq!(end, task.timing(100).look + Time::from_ms(30_000));
}

#[test]
fn a_run_in_tempo_goes_on_to_its_last_beat() {
    // ♩ = 120, ten seconds to look, one bar counted in, then a bar each and two of the tonic.
    let mut room = Room::mixed();
    let item = room.item(8);
    let Task::Run(task) = &item.task else {
        unreachable!()
    };
    let timing = task.timing(100);
    assert_eq!(timing.look, Time::from_ms(10_000));
    assert_eq!(timing.beats[0], Time::from_ms(12_000));
    let line = line(&item);
    let beats: Vec<i64> = timing.beats.iter().map(|beat| beat.tenths() / 10).collect();
    let _ = room.at(0, Event::Shown(8));
    play(&mut room, &line, &|k| beats[k]);
    let _ = room.did(beats[2] + 900, Action::HandIn).wait(60_000);
    assert_eq!(
        room.log,
        [
            format!("{} closed 8", timing.end),
            format!("{} page 3", timing.end)
        ]
    );
    assert_eq!(room.credit(8), "1.00");
}

#[test]
fn a_time_factor_divides_the_tempo_and_multiplies_the_look() {
    let exam = exam("warm_ups = 0\ntime_factor = [1.0, 3.0]", MIXED);
    let mut room = Room::allowed(
        exam,
        Allowance {
            factor: 200,
            ..Allowance::NONE
        },
    );
    let item = room.item(8);
    let line = line(&item);
    // ♩ = 60: look 20 s, a bar counted in, the first chord at 24 s, then every four seconds.
    let _ = room.at(0, Event::Shown(8));
    play(&mut room, &line, &|k| 24_000 + 4_000 * k as i64);
    let _ = room.wait(100_000);
    assert_eq!(room.credit(8), "1.00");
    assert!(room.log[0].ends_with("closed 8"), "{:?}", room.log);
}

#[test]
fn the_lag_of_one_who_taps_late_is_removed_from_a_run_in_tempo() {
    let credit = |lag: i64, late: i64| {
        let lag = Time::from_ms(lag);
        let mut room = Room::allowed(
            exam("warm_ups = 0", MIXED),
            Allowance {
                lag,
                ..Allowance::NONE
            },
        );
        let item = room.item(8);
        let line = line(&item);
        // ♩ = 120: a beat of 500 ms, and what comes more than half of it late is late.
        let _ = room.at(0, Event::Shown(8));
        play(&mut room, &line, &|k| {
            let Task::Run(task) = &item.task else {
                unreachable!()
            };
            task.timing(100).beats[k].tenths() / 10 + late
        });
        let _ = room.wait(100_000);
        room.credit(8)
    };

    assert_eq!(credit(0, 240), "1.00");
    assert_ne!(credit(0, 260), "1.00");
    assert_eq!(credit(60, 260), "1.00");
    assert_ne!(credit(60, 320), "1.00");
    // One who plays early is not early.
    assert_ne!(credit(0, -260), "1.00");
    assert_eq!(credit(-60, -260), "1.00");
}

#[test]
fn a_run_takes_no_more_time_and_starts_again_instead() {
    let mut room = Room::mixed();
    let _ = room
        .at(0, Event::Shown(8))
        .at(5_000, Event::TimeAdded(Time::from_ms(9_000)))
        .at(
            6_000,
            Event::Voided {
                reason: "noise".to_owned(),
                by: "Inez".to_owned(),
            },
        )
        .wait(10_000)
        .expect(&["6000.0 closed 8", "9000.0 show 8"]);
    assert_eq!(room.showing(8).added, Time::ZERO);
    assert_eq!(
        room.kinds(),
        [
            (
                "time not added",
                "the beats of a run go on; void it, and it starts again"
            ),
            ("voided", "noise"),
        ]
    );

    let line = line(&room.item(8));
    let _ = room.at(20_000, Event::Shown(8));
    play(&mut room, &line, &|k| 32_000 + 2_000 * k as i64);
    let _ = room.wait(60_000);
    assert_eq!(room.credit(8), "1.00");
    assert_eq!(outcome(&room.sitting).grade.sections[1].items, 2);
}
