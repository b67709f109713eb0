//! The keyboard sounded by the program: how late, and silent when it has to be.

use std::env;
use std::time::{Duration, Instant};

use viva_voicing::instruments::keyboard::Touch;
use viva_voicing::instruments::playback::Playback;
use viva_voicing::instruments::speaker::{Clip, Fact, RATE, Speaker, delay};
use viva_voicing::theory::Key;
use viva_voicing::time::Time;

use super::capture::Recording;
use super::server::Server;
use super::stage::{Stage, noise, on_stage};

const LIMIT: Duration = Duration::from_secs(120);
/// Touches whose latency is measured.
const TOUCHES: usize = 24;

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

/// The buffer that does not run dry on a busy machine, for what is not about latency.
pub(super) const STEADY: Option<u32> = Some(2_048);

#[test]
fn a_touch_is_heard_soon() {
    on_stage("monitor::a_touch_is_heard_soon", LIMIT, |stage| {
        let mut speaker = stage.monitored("exam", frames());
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

        let touched: Vec<Time> = touched.iter().map(|&touch| stage.time(touch)).collect();
        let heard: Vec<Time> = onsets(&recording)
            .iter()
            .map(|&onset| stage.time(recording.arrival(onset)))
            .collect();
        // A busy machine may drop a stretch of sound, and what comes after it begins anew.
        let lag = delay(&touched, &heard).unwrap();
        let delays: Vec<Time> = touched
            .iter()
            .filter_map(|&touch| Some(*heard.iter().find(|&&heard| heard >= touch)? - touch))
            .collect();
        let stated = speaker.monitoring_latency().unwrap();
        println!(
            "{} frames a call, {stated} ms stated at most; at the recorder after {} ms, half \
         of them within {} ms of that, from {} to {} ms; {} gaps",
            speaker.buffer().unwrap(),
            lag.median,
            lag.spread,
            delays.iter().min().unwrap(),
            delays.iter().max().unwrap(),
            speaker.gaps()
        );
        // The recorder gets its sound in pieces of up to 20 ms.
        assert!(
            lag.median <= stated + Time::from_ms(20),
            "{} ms",
            lag.median
        );
    });
}

#[test]
fn nothing_sounds_where_monitoring_is_off() {
    on_stage(
        "monitor::nothing_sounds_where_monitoring_is_off",
        LIMIT,
        |stage| {
            let mut speaker = stage.speaker("exam");
            speaker.set_monitoring(true);
            assert!(!speaker.is_monitoring(), "it was not opened for it");
            assert_eq!(speaker.monitoring_latency(), None);
            let mut other = stage.monitored("exam", STEADY);
            other.set_monitoring(false);
            let capture = stage.listen();

            for speaker in [&mut speaker, &mut other] {
                speaker.monitor(down(60));
                pass(stage, speaker, 300);
            }
            let recording = capture.end_after(RATE as usize / 4);
            recording.check_silence(0, recording.frames.len());
        },
    );
}

#[test]
fn while_nobody_plays_a_clip_comes_out_bit_by_bit() {
    on_stage(
        "monitor::while_nobody_plays_a_clip_comes_out_bit_by_bit",
        LIMIT,
        |stage| {
            let clip = Clip::new(noise(2 * RATE as usize));
            let mut speaker = stage.monitored("exam", STEADY);
            let capture = stage.listen();

            let _ = stage.play(&mut speaker, &clip);
            let recording = capture.end_after(RATE as usize / 4);
            let onset = recording.onset(0);
            recording.check(onset, &clip.frames);
            recording.check_silence(onset + clip.frames.len(), recording.frames.len());
        },
    );
}

#[test]
fn all_keys_fall_silent_when_asked_and_when_it_is_switched_off() {
    on_stage(
        "monitor::all_keys_fall_silent_when_asked_and_when_it_is_switched_off",
        LIMIT,
        |stage| {
            let mut speaker = stage.monitored("exam", STEADY);
            let hushes: [fn(&mut Playback); 2] =
                [Playback::hush, |speaker| speaker.set_monitoring(false)];

            for hush in hushes {
                let capture = stage.listen();
                speaker.monitor(Touch::Pedal(127));
                for key in [48, 64, 70] {
                    speaker.monitor(down(key));
                }
                pass(stage, &mut speaker, 500);
                hush(&mut speaker);
                pass(stage, &mut speaker, 500);
                let recording = capture.end_after(RATE as usize / 4);

                // Half a second, two buffers more or less, and silence at least as long.
                let onset = recording.onset(0);
                let quarter = RATE as usize / 4;
                assert!(recording.frames.len() > onset + 3 * quarter);
                assert_eq!(recording.gaps(onset, quarter), []);
                recording.check_silence(onset + 3 * quarter, recording.frames.len());
            }
        },
    );
}

#[test]
fn a_device_found_again_begins_with_no_key_down() {
    on_stage(
        "monitor::a_device_found_again_begins_with_no_key_down",
        LIMIT,
        |stage| {
            let mut speaker = stage.monitored("exam", STEADY);
            speaker.monitor(down(60));
            pass(stage, &mut speaker, 100);

            drop(stage.server.take());
            stage.wait(&mut speaker, "the loss is told", |_, facts| {
                matches!(facts, [Fact::Lost { .. }])
            });
            assert!(speaker.is_monitoring());
            assert_eq!(speaker.monitoring_latency(), None);
            speaker.monitor(down(64));

            stage.server = Some(Server::start(&stage.folder));
            stage.wait(&mut speaker, "it is found again", |_, facts| {
                matches!(facts, [Fact::Lost { .. }, Fact::Found { .. }])
            });
            let capture = stage.listen();
            pass(stage, &mut speaker, 300);
            speaker.monitor(down(72));
            pass(stage, &mut speaker, 300);
            let recording = capture.end_after(RATE as usize / 4);

            let quarter = RATE as usize / 4;
            recording.check_silence(0, quarter);
            let _ = recording.onset(quarter);
        },
    );
}
