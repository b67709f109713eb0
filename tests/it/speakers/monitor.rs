//! The keyboard sounded by the program: how late, and silent when it has to be.

use std::env;
use std::time::{Duration, Instant};

use viva_voicing::instruments::keyboard::Touch;
use viva_voicing::instruments::playback::Playback;
use viva_voicing::instruments::speaker::{Lag, RATE, Speaker};
use viva_voicing::theory::Key;
use viva_voicing::time::Time;

use super::capture::Recording;
use super::stage::{Stage, on_stage};

const LIMIT: Duration = Duration::from_secs(120);
/// Touches whose latency is measured.
const TOUCHES: usize = 40;

fn down(key: i64) -> Touch {
    Touch::Down {
        key: Key::new(key).unwrap(),
        velocity: 80,
    }
}

/// Lets a time pass.
fn pass(stage: &mut Stage, speaker: &mut Playback, ms: u64) {
    let over = Instant::now() + Duration::from_millis(ms);
    stage.wait(speaker, "a while is over", |_, _| Instant::now() >= over);
}

/// Frames a call, as `MONITOR_FRAMES` says, or what the speaker chooses.
pub(super) fn frames() -> Option<u32> {
    env::var("MONITOR_FRAMES").ok().map(|frames| {
        frames
            .parse()
            .expect("MONITOR_FRAMES is a number of frames")
    })
}

fn is_heard_soon(stage: &mut Stage, output: &str) {
    let mut speaker = stage.monitored(output, frames());
    let capture = stage.listen();
    let mut touched = Vec::new();

    for touch in 0..TOUCHES {
        // Not in step with the device's calls.
        pass(stage, &mut speaker, 150 + 7 * (touch as u64 % 11));
        touched.push(Instant::now());
        speaker.monitor(down(60 + (touch % 12) as i64));
        pass(stage, &mut speaker, 120);
        speaker.hush();
    }
    let recording = capture.end_after(RATE as usize / 2);

    let onsets = onsets(&recording);
    assert_eq!(onsets.len(), TOUCHES);
    let delays: Vec<Time> = touched
        .iter()
        .zip(&onsets)
        .map(|(&touch, &onset)| stage.time(recording.arrival(onset)) - stage.time(touch))
        .collect();
    let lag = Lag::of(&delays).unwrap();
    let stated = speaker.monitoring_latency().unwrap();
    println!(
        "{output}: {} frames a call, {stated} ms stated at most; at the recorder after {} ms, half \
         of them within {} ms of that, from {} to {} ms; {} gaps",
        speaker.buffer().unwrap(),
        lag.median,
        lag.spread,
        delays.iter().min().unwrap(),
        delays.iter().max().unwrap(),
        speaker.gaps()
    );
    assert!(lag.median < Time::from_ms(100), "{} ms", lag.median);
}

/// The first frame of each sound after a silence of 50 ms.
fn onsets(recording: &Recording) -> Vec<usize> {
    let mut quiet = RATE as usize;
    let mut onsets = Vec::new();

    for (index, frame) in recording.frames.iter().enumerate() {
        if *frame == [0.0; 2] {
            quiet += 1;
            continue;
        }
        if quiet > RATE as usize / 20 {
            onsets.push(index);
        }
        quiet = 0;
    }
    onsets
}

#[test]
fn a_touch_is_heard_soon() {
    on_stage("monitor::a_touch_is_heard_soon", LIMIT, |stage| {
        is_heard_soon(stage, "exam");
    });
}
