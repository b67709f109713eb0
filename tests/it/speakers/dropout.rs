//! No dropout while keys are played.

use std::env;
use std::sync::mpsc::{self, TryRecvError};
use std::thread;
use std::time::{Duration, Instant};

use viva_voicing::instruments::speaker::{Clip, Fact, RATE, Speaker};

use super::stage::{noise, on_stage};

/// Events a second that arrive meanwhile.
const EVENTS: u32 = 500;

/// Half a minute, or as many seconds as `UNDERRUN_SECONDS` says: 600 for the whole proof.
fn seconds() -> u32 {
    env::var("UNDERRUN_SECONDS").map_or(30, |seconds| {
        seconds
            .parse()
            .expect("UNDERRUN_SECONDS is a number of seconds")
    })
}

#[test]
fn nothing_is_dropped_while_five_hundred_events_a_second_arrive() {
    let seconds = seconds();
    let limit = Duration::from_secs(2 * u64::from(seconds) + 120);

    on_stage(
        "dropout::nothing_is_dropped_while_five_hundred_events_a_second_arrive",
        limit,
        |stage| {
            let clip = Clip::new(noise((seconds * RATE) as usize));
            let mut speaker = stage.speaker("exam");
            let capture = stage.listen();

            let (keys, events) = mpsc::channel::<[u8; 3]>();
            let total = seconds * EVENTS;
            let player = thread::spawn(move || {
                let start = Instant::now();
                for event in 0..total {
                    let due = start + Duration::from_secs(1) * event / EVENTS;
                    thread::park_timeout(due.saturating_duration_since(Instant::now()));
                    keys.send([0x90, 36 + (event % 48) as u8, (event % 128) as u8])
                        .unwrap();
                }
            });

            let mut arrived = 0;
            let mut is_over = false;
            speaker.play(&clip, stage.now()).unwrap();
            stage.wait_for(limit, &mut speaker, "the clip ends", |_, facts| {
                while !is_over {
                    match events.try_recv() {
                        Ok(_) => arrived += 1,
                        Err(TryRecvError::Empty) => break,
                        Err(TryRecvError::Disconnected) => is_over = true,
                    }
                }
                is_over && matches!(facts.last(), Some(Fact::Ended { .. }))
            });
            player.join().unwrap();
            assert_eq!(arrived, total);

            let recording = capture.end_after(RATE as usize / 2);
            let onset = recording.onset(0);
            println!(
                "{seconds} s at {} frames a call, {arrived} events, {} stretches of silence",
                speaker.buffer().unwrap(),
                recording.gaps(onset, clip.frames.len())
            );
            recording.check(onset, &clip.frames);
        },
    );
}
