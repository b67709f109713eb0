//! Whole sittings over JACK: real MIDI from another process, in real time.

use std::time::{Duration, Instant};

use viva_voicing::exam::form::Task;
use viva_voicing::instruments::fake_speaker::FakeSpeaker;
use viva_voicing::instruments::keyboard::Keyboard as _;
use viva_voicing::instruments::midi;
use viva_voicing::instruments::speaker::Level;
use viva_voicing::room::Change;
use viva_voicing::sitting::{End, Prompt};
use viva_voicing::time::Time;

use super::room::{Player, in_a_room, say};
use super::{SOON, rtkeys};
use crate::live::{Live, Paper, marks};

const SHORT: (&str, &str) = (
    "tests/fixtures/sittings/live/two-of-each.toml",
    "tests/fixtures/sittings/live/two-of-each.mid",
);
const SHIPPED: (&str, &str) = ("exams/guide-tones.toml", "exams/demo/first-sitting.mid");

/// Two items of every section, or the whole shipped exam with `LIVE_SITTING=whole`.
fn paper() -> ((&'static str, &'static str), Duration) {
    if std::env::var("LIVE_SITTING").is_ok_and(|wanted| wanted == "whole") {
        (SHIPPED, Duration::from_secs(2400))
    } else {
        (SHORT, Duration::from_secs(240))
    }
}

/// Connects a keyboard that the player plays.
fn connected(player: &mut Player) -> midi::Keyboard {
    let mut keyboard = midi::Keyboard::follow(rtkeys()).expect("there is a thread left");
    let _ = player.ask("open", SOON);
    let begun = Instant::now();

    while !keyboard.is_there() {
        assert!(begun.elapsed() < SOON, "the keyboard was not found");
        // Told here, so that the sitting begins with a keyboard that is there.
        drop(keyboard.poll(Time::ZERO));
        std::thread::park_timeout(Duration::from_millis(1));
    }

    keyboard
}

fn live(paper: &Paper, player: &mut Player) -> Live {
    let keyboard = connected(player);
    let speaker = FakeSpeaker::new(Time::ZERO);

    Live::new(paper, Box::new(keyboard), Box::new(speaker), Level::START)
}

fn loaded(performance: &str) -> Player {
    let mut player = Player::new();
    player.tell(&format!(
        "load {}/{performance}",
        env!("CARGO_MANIFEST_DIR")
    ));
    assert!(player.strikes(SOON).is_empty());

    player
}

/// A sitting over the MIDI path gives the marks of the same performance replayed from its file.
#[test]
fn a_live_sitting_gives_the_marks_of_its_performance() {
    in_a_room(
        "sitting::a_live_sitting_gives_the_marks_of_its_performance",
        |_| {
            let ((script, performance), within) = paper();
            let paper = Paper::read(script, performance);
            let mut player = loaded(performance);
            let mut live = live(&paper, &mut player);

            live.until(
                "the sitting ends",
                within,
                |prompt, _, _| {
                    if let Prompt::Item(number) = prompt {
                        player.tell(&format!("item {number}"));
                    }
                },
                |_, changes| changes.contains(&Change::Ended),
            );
            let sitting = live.room.sitting();
            say(&format!(
                "{} items in {:.0} s, {} events",
                sitting.showings().len(),
                sitting.now().as_seconds(),
                sitting
                    .showings()
                    .iter()
                    .map(|showing| showing.events.len())
                    .sum::<usize>()
            ));
            assert_eq!(sitting.end(), Some(&End::Complete));
            assert_eq!(sitting.incidents(), []);
            let marks = marks(sitting);
            assert!(marks.len() >= 10);
            assert_eq!(marks, crate::live::marks(&paper.replayed()));
        },
    );
}

/// Unplugged in the middle of an item and plugged in again.
#[test]
fn an_unplugged_keyboard_harms_no_other_mark() {
    in_a_room("sitting::an_unplugged_keyboard_harms_no_other_mark", |_| {
        let paper = Paper::read(SHORT.0, SHORT.1);
        let mut player = loaded(SHORT.1);
        let mut live = live(&paper, &mut player);
        let within = Duration::from_secs(240);
        let first = live.room.sitting().next_item().expect("a first item");

        // The keys of the first item begin, and with the first of them down the cable is pulled.
        live.until(
            "a key is down",
            within,
            |_, _, _| player.tell(&format!("item {first}")),
            |room, _| !room.held().is_empty(),
        );
        let _ = player.ask("close", SOON);
        live.until(
            "the clock stops",
            within,
            |_, _, _| {},
            |room, _| room.is_stopped(),
        );
        assert_eq!(live.room.sitting().open_item(), None);
        assert!(live.room.held().is_empty());
        let stopped = live.now();
        live.until(
            "a second is over",
            within,
            |prompt, _, _| panic!("{prompt:?} is shown while the clock stands still"),
            |room, _| room.sitting().now() > stopped + Time::from_ms(1_000),
        );

        let _ = player.ask("open", SOON);
        let (mut asked, mut struck) = (Vec::new(), Vec::new());
        live.until(
            "the sitting ends",
            within,
            |prompt, item, _| {
                let Prompt::Item(number) = prompt else { return };
                asked.push(number);
                for key in struck.drain(..) {
                    player.tell(&format!("release {key}"));
                }
                match &item.task {
                    // The reserve item is not in the performance; it is played right.
                    Task::Voicing(task) if asked.len() == 1 => {
                        let root = task.chord.root.class();
                        for key in task.voicing.realise(root).expect("it can be played") {
                            player.tell(&format!("strike {} 70", key.number()));
                            struck.push(key.number());
                        }
                    }
                    _ => {
                        player.tell(&format!("item {number}"));
                    }
                }
            },
            |_, changes| changes.contains(&Change::Ended),
        );

        let sitting = live.room.sitting();
        let voided = &sitting.showings()[0];
        assert_eq!(voided.number, first);
        assert_eq!(voided.voided.as_deref(), Some("the keyboard is not there"));
        assert!(!voided.events.is_empty(), "its evidence stays");
        let spare = sitting.showings()[1].number;
        assert!(
            sitting
                .form()
                .reserve
                .iter()
                .any(|item| item.number == spare)
        );
        let kinds: Vec<_> = sitting
            .incidents()
            .iter()
            .map(|it| it.kind.as_str())
            .collect();
        assert_eq!(
            kinds,
            [
                "keyboard lost",
                "clock stopped",
                "keyboard found",
                "clock started"
            ]
        );

        let mut expected = marks(&paper.replayed());
        expected.retain(|(number, ..)| *number != first);
        let mut found = marks(sitting);
        let at = found
            .iter()
            .position(|(number, ..)| *number == spare)
            .expect("it counts");
        let (_, credit, reasons) = found.remove(at);
        assert_eq!(credit, "1", "{reasons:?}");
        assert_eq!(found, expected);
    });
}
