//! Whole sittings in a room whose clock goes as fast as it can.

use std::time::Duration;

use viva_voicing::instruments::fake_keyboard::Fake;
use viva_voicing::instruments::fake_speaker::FakeSpeaker;
use viva_voicing::instruments::keyboard::{Fact, Touch};
use viva_voicing::instruments::speaker::Level;
use viva_voicing::marking::event::Action;
use viva_voicing::room::Change;
use viva_voicing::sitting::{End, Prompt};
use viva_voicing::time::Time;

use crate::live::{Live, Paper, marks};

/// Sits a paper with the hands of its performance, and compares the marks.
fn check(script: &str, performance: &str, delay: Time) {
    let paper = Paper::read(script, performance);
    let hands = paper.hands();
    let keyboard = Fake::new("stage piano");
    let speaker = FakeSpeaker::new(delay);
    let played = keyboard.clone();
    let mut live =
        Live::new(&paper, Box::new(keyboard), Box::new(speaker), Level::START).in_no_time();

    live.until(
        "the sitting ends",
        Duration::from_secs(3600),
        |prompt, _, zero| {
            let Prompt::Item(number) = prompt else { return };
            for (at, action) in hands.get(&number).into_iter().flatten() {
                let touch = match *action {
                    Action::Down(key, velocity) => Touch::Down { key, velocity },
                    Action::Up(key) => Touch::Up { key },
                    Action::Pedal(value) => Touch::Pedal(value),
                    _ => continue,
                };
                played.tell(zero + *at, Fact::Touched(touch));
            }
        },
        |_, changes| changes.contains(&Change::Ended),
    );
    let sitting = live.room.sitting();
    assert_eq!(sitting.end(), Some(&End::Complete));
    assert_eq!(sitting.incidents(), []);
    let found = marks(sitting);
    assert!(found.len() >= 10);
    assert_eq!(found, marks(&paper.replayed()));
}

#[test]
fn a_sitting_in_a_room_gives_the_marks_of_its_performance() {
    let two = "tests/fixtures/sittings/live/two-of-each";
    check(&format!("{two}.toml"), &format!("{two}.mid"), Time::ZERO);
    // A late output delays nothing that is marked.
    check(
        &format!("{two}.toml"),
        &format!("{two}.mid"),
        Time::from_ms(63),
    );
}

#[test]
fn the_shipped_exam_gives_the_marks_of_its_first_sitting() {
    check(
        "exams/guide-tones.toml",
        "exams/demo/first-sitting.mid",
        Time::from_ms(40),
    );
}
