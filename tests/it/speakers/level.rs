//! Levels, glides and stops, as they come out.

use std::f64::consts::TAU;
use std::time::Duration;

use viva_voicing::instruments::speaker::{Clip, Fact, Level, RATE, Speaker};

use super::stage::{on_stage, tone};

const LIMIT: Duration = Duration::from_secs(120);
/// The largest step from sample to sample of a tone of 441 Hz, as a share of its amplitude.
const STEEPEST: f64 = TAU * 441.0 / RATE as f64;

/// The root mean square of the left side.
fn strength(frames: &[[f32; 2]]) -> f64 {
    let sum: f64 = frames.iter().map(|frame| f64::from(frame[0]).powi(2)).sum();
    (sum / frames.len() as f64).sqrt()
}

/// The largest step from sample to sample.
fn step(frames: &[[f32; 2]]) -> f64 {
    frames
        .windows(2)
        .map(|pair| f64::from((pair[1][0] - pair[0][0]).abs()))
        .fold(0.0, f64::max)
}

#[test]
fn each_level_is_as_many_decibels_softer_as_it_says() {
    on_stage(
        "level::each_level_is_as_many_decibels_softer_as_it_says",
        LIMIT,
        |stage| {
            let clip = Clip::new(tone(12_000, 0.8));
            let steps = [10, 9, 5, 3, 1, 0, 10];
            let mut speaker = stage.speaker("exam");
            let capture = stage.listen();

            for step in steps {
                speaker.set_level(Level::new(step).unwrap());
                let _ = stage.play(&mut speaker, &clip);
            }
            let recording = capture.end_after(RATE as usize / 4);

            // The ends of the tone are too soft to be found at each level, so its middle is taken.
            let middle = 2_000..10_000;
            let full = strength(&clip.frames[middle.clone()]);
            let mut from = 0;
            let mut before = 0;
            for step in steps {
                let Some(expected) = Level::new(step).unwrap().db() else {
                    continue;
                };
                let onset = recording.onset(from);
                let heard = &recording.frames[onset..onset + clip.frames.len()];
                let found = 20.0 * (strength(&heard[middle.clone()]) / full).log10();

                assert!(
                    (found - expected).abs() < 0.01,
                    "level {step}: expected {expected} dB, found {found} dB"
                );
                if from > 0 && step == 10 {
                    // The silent level lay between.
                    assert!(onset - before >= 2 * clip.frames.len());
                }
                before = onset;
                from = onset + clip.frames.len();
            }
        },
    );
}

#[test]
fn a_level_glides_without_a_click() {
    on_stage("level::a_level_glides_without_a_click", LIMIT, |stage| {
        let clip = Clip::new(tone(2 * RATE as usize, 0.8));
        let mut speaker = stage.speaker("exam");
        let capture = stage.listen();

        speaker.play(&clip, stage.now()).unwrap();
        for level in [Level::START, Level::FULL, Level::SILENT, Level::FULL] {
            stage.beat(&mut speaker);
            speaker.set_level(level);
        }
        stage.wait(&mut speaker, "the clip ends", |_, facts| {
            matches!(facts, [.., Fact::Ended { .. }])
        });
        let recording = capture.end_after(RATE as usize / 4);

        assert!(step(&recording.frames) < 1.1 * 0.8 * STEEPEST);
    });
}

#[test]
fn a_stop_fades_and_leaves_clean_silence() {
    on_stage(
        "level::a_stop_fades_and_leaves_clean_silence",
        LIMIT,
        |stage| {
            let clip = Clip::new(tone(60 * RATE as usize, 0.8));
            let mut speaker = stage.speaker("exam");
            let capture = stage.listen();

            speaker.play(&clip, stage.now()).unwrap();
            stage.beat(&mut speaker);
            let stopped = stage.now();
            speaker.stop();
            stage.wait(&mut speaker, "the clip ends", |_, facts| {
                matches!(facts, [Fact::Started { .. }, Fact::Ended { .. }])
            });
            let Some(Fact::Ended { at }) = stage.facts.pop() else {
                unreachable!("it was just waited for");
            };
            let recording = capture.end_after(RATE as usize / 2);

            let onset = recording.onset(0);
            let heard = &recording.frames[onset..];
            let fades = heard
                .iter()
                // The tone's own first frame is zero, and silent to the ear of the recording.
                .zip(&clip.frames[1..])
                .position(|(heard, played)| heard != played)
                .unwrap();
            let silent = fades
                + heard[fades..]
                    .iter()
                    .position(|frame| *frame == [0.0; 2])
                    .unwrap();

            println!("stopped at {stopped} ms, silent at {at} ms");
            assert!(silent - fades <= 480, "a fade of {} frames", silent - fades);
            assert!(step(&heard[..silent + 1]) < 1.1 * 0.8 * STEEPEST);
            recording.check_silence(onset + silent, recording.frames.len());
            assert!(at >= stopped);
        },
    );
}
