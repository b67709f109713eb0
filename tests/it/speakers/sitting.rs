//! A sitting whose sound goes and comes back.

use std::time::{Duration, Instant};

use viva_voicing::exam::form::Task;
use viva_voicing::instruments::fake_keyboard::Fake;
use viva_voicing::instruments::piano::Piano;
use viva_voicing::instruments::speaker::Level;
use viva_voicing::marking::event::Action;
use viva_voicing::room::{Change, render};
use viva_voicing::sitting::{End, Event};
use viva_voicing::time::Time;

use super::capture::Recording;
use super::server::Server;
use super::stage::on_stage;
use crate::live::{Live, Paper};

const LIMIT: Duration = Duration::from_secs(180);
const WITHIN: Duration = Duration::from_secs(40);

/// Finds a clip in a recording from a frame on, bit by bit, and returns where it ends.
fn check(recording: &Recording, from: usize, clip: &[[f32; 2]]) -> usize {
    let quiet = clip.iter().position(|frame| *frame != [0.0; 2]).unwrap();
    let start = recording.onset(from) - quiet;
    recording.check(start, clip);

    start + clip.len()
}

#[test]
fn a_killed_server_stops_the_clock_and_the_exam_goes_on_with_the_next() {
    on_stage(
        "sitting::a_killed_server_stops_the_clock_and_the_exam_goes_on_with_the_next",
        LIMIT,
        |stage| {
            let paper = Paper::blank("tests/fixtures/sittings/live/two-to-hear.toml");
            let speaker = stage.speaker("exam");
            let keyboard = Fake::new("stage piano");
            let mut live = Live::new(&paper, Box::new(keyboard), Box::new(speaker), Level::FULL);

            live.until(
                "it sounds",
                WITHIN,
                |_, _, _| {},
                |_, changes| {
                    changes
                        .iter()
                        .any(|change| matches!(change, Change::Hearing(_)))
                },
            );
            drop(stage.server.take());
            let killed = Instant::now();
            live.until(
                "the clock stops",
                WITHIN,
                |_, _, _| {},
                |room, _| room.is_stopped(),
            );
            println!("killed to stopped: {:?}", killed.elapsed());
            let stopped = live.now();
            live.until(
                "two seconds are over",
                WITHIN,
                |prompt, _, _| panic!("{prompt:?} is shown while the clock stands still"),
                |room, _| room.sitting().now() > stopped + Time::from_ms(2_000),
            );
            let kinds: Vec<_> = live
                .room
                .sitting()
                .incidents()
                .iter()
                .map(|incident| incident.kind.clone())
                .collect();
            assert_eq!(kinds, ["sound lost", "clock stopped"], "told once");

            stage.server = Some(Server::start(&stage.folder));
            let capture = stage.listen();
            live.until(
                "it ends",
                WITHIN,
                |_, _, _| {},
                |_, changes| changes.contains(&Change::Ended),
            );
            let recording = capture.end_after(4_800);

            let sitting = live.room.sitting();
            assert_eq!(sitting.end(), Some(&End::Complete));
            let numbers: Vec<u32> = sitting.showings().iter().map(|it| it.number).collect();
            let spare = sitting.form().reserve.iter().map(|item| item.number);
            assert!(spare.collect::<Vec<_>>().contains(&numbers[1]));
            assert_eq!((numbers.len(), numbers[0], numbers[2]), (3, 1, 2));
            let voided: Vec<bool> = sitting
                .showings()
                .iter()
                .map(|it| it.voided.is_some())
                .collect();
            assert_eq!(voided, [true, false, false]);
            let kinds: Vec<_> = sitting
                .incidents()
                .iter()
                .map(|it| it.kind.as_str())
                .collect();
            assert_eq!(
                kinds,
                [
                    "sound lost",
                    "clock stopped",
                    "sound found",
                    "clock started"
                ]
            );

            // What came out after that is what was rendered, sample for sample.
            let piano = Piano::bundled().unwrap();
            let mut from = 0;
            for number in &numbers[1..] {
                let Task::Ear(task) = &sitting.form().item(*number).unwrap().task else {
                    unreachable!()
                };
                let clip = render(&piano, &task.sound).unwrap();
                from = check(&recording, from, &clip.frames);
            }
        },
    );
}

/// The time to answer begins when the hearing was heard to end, within one buffer of the device.
#[test]
fn the_time_to_answer_begins_when_the_last_frame_was_heard() {
    on_stage(
        "sitting::the_time_to_answer_begins_when_the_last_frame_was_heard",
        LIMIT,
        |stage| {
            let paper = Paper::blank("tests/fixtures/sittings/live/two-to-hear.toml");
            let speaker = stage.speaker("exam");
            let buffer = speaker.buffer().unwrap();
            let keyboard = Fake::new("stage piano");
            let capture = stage.listen();
            let mut live = Live::new(&paper, Box::new(keyboard), Box::new(speaker), Level::FULL);
            let begun = Instant::now();
            let offset = live.now();
            live.until(
                "it is heard",
                WITHIN,
                |_, _, _| {},
                |_, changes| {
                    changes
                        .iter()
                        .any(|change| matches!(change, Change::Heard(_)))
                },
            );
            drop(live.room.take(Event::Did(Action::HandIn), live.now()));
            let recording = capture.end_after(4_800);

            let Task::Ear(task) = &live.room.sitting().form().items[0].task else {
                unreachable!()
            };
            let clip = render(&Piano::bundled().unwrap(), &task.sound).unwrap();
            let end = check(&recording, 0, &clip.frames);
            let heard = recording.arrival(end - 1).saturating_duration_since(begun);
            let heard = heard.as_secs_f64() * 1000.0 + offset.as_ms();
            let zero = live.room.sitting().showings()[0].zero.as_ms();
            // The recorder itself adds some milliseconds, 20 as it was asked for.
            println!(
                "the recorder had the last frame {:.1} ms after the time to answer began; a \
                 buffer is {:.1} ms",
                heard - zero,
                f64::from(buffer) / 48.0
            );
            assert!((heard - zero).abs() < 20.0 + f64::from(buffer) / 48.0 + 40.0);
        },
    );
}
