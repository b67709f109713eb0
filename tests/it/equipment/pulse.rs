//! With a private sound server, heard through its monitor by a recorder that is none of ours.

use std::time::{Duration, Instant};

use viva_voicing::instruments::speaker::{Level, RATE};

use super::{equipment, settings, unfolded};
use crate::sittings::said;
use crate::speakers::stage::{Stage, on_stage_of};

const LIMIT: Duration = Duration::from_secs(120);

fn on_stage(name: &str, test: impl FnOnce(&mut Stage)) {
    on_stage_of("equipment::pulse", name, LIMIT, test);
}

fn run(stage: &Stage, arguments: &str) -> (i32, String, String) {
    said(&equipment(&stage.folder, arguments).output().unwrap())
}

/// The milliseconds behind some words.
fn ms(text: &str, words: &str) -> f64 {
    let (_, rest) = text.split_once(words).expect(words);
    let figure = rest.split(" ms").next().unwrap();
    figure.parse().expect(words)
}

#[test]
fn sound_is_told_with_its_buffer_and_both_its_delays() {
    on_stage(
        "sound_is_told_with_its_buffer_and_both_its_delays",
        |stage| {
            settings(
                &stage.folder,
                "[sound]\noutput = \"Exam\"\nbuffer = 512\nlevel = 2\n",
            );
            for (arguments, choice, buffer, level) in [
                (
                    "",
                    "Used: it is this computer's own choice.",
                    "Buffer: 2048 frames, 42.7 ms.",
                    "Level: a sitting begins at 3 of 10 (28 dB below full)",
                ),
                (
                    "--settings room.toml",
                    "Used: the settings ask for `Exam`.",
                    "Buffer: 512 frames, 10.7 ms.",
                    "Level: a sitting begins at 2 of 10 (32 dB below full)",
                ),
            ] {
                let (code, printed, complaint) = run(stage, arguments);
                assert_eq!((code, complaint.as_str()), (0, ""), "{printed}");
                let text = unfolded(&printed);
                for words in ["(id pulseaudio:exam)", choice, buffer, level] {
                    assert!(text.contains(words), "{words}\n{printed}");
                }
                assert!(
                    text.ends_with("A sitting can be held, played on the computer's own keys.")
                );

                let stated = ms(&text, "Delay as the output states it: ");
                let measured = ms(&text, "Delay as measured: ");
                // An order waits for the next call for frames, and then as long as the output says.
                assert!(stated > 0.0 && measured > stated / 2.0, "{printed}");
                assert!(measured < 1_000.0, "{printed}");
            }
        },
    );
}

#[test]
fn an_output_that_is_not_there_is_missed_by_name() {
    on_stage("an_output_that_is_not_there_is_missed_by_name", |stage| {
        settings(&stage.folder, "[sound]\noutput = \"Hall\"\n");
        let (code, printed, complaint) = run(stage, "--settings room.toml");
        let text = unfolded(&printed);

        assert_eq!(code, 1);
        assert!(
            text.contains(
                "The settings ask for the sound output `Hall`, which is not there. No other takes \
                 its place. What to do: plug it in, or name another under [sound]"
            ),
            "{printed}"
        );
        assert!(
            text.contains("(id pulseaudio:exam) There, and not used."),
            "{printed}"
        );
        assert!(complaint.contains("there is no sound."), "{complaint}");
    });
}

#[test]
fn a_sound_service_that_does_not_answer_does_not_hold_it_up() {
    on_stage(
        "a_sound_service_that_does_not_answer_does_not_hold_it_up",
        |stage| {
            let server = stage.server.take().unwrap();
            server.signal("STOP");
            let begun = Instant::now();
            let (code, printed, _) = run(stage, "");
            server.signal("CONT");

            assert_eq!(code, 1);
            let text = unfolded(&printed);
            assert!(
                text.contains("This computer's sound service does not answer. What to do: "),
                "{printed}"
            );
            assert!(begun.elapsed() < Duration::from_secs(60));
        },
    );
}

/// The stretches of sound between stretches of silence of 10 ms and more.
fn clips(frames: &[[f32; 2]]) -> Vec<&[[f32; 2]]> {
    let gap = RATE as usize / 100;
    let mut clips = Vec::new();
    let mut begin = None;
    let mut last = 0;

    for (place, frame) in frames.iter().enumerate() {
        if *frame != [0.0; 2] {
            let _ = begin.get_or_insert(place);
            last = place;
        } else if place - last > gap
            && let Some(begin) = begin.take()
        {
            clips.push(&frames[begin..=last]);
        }
    }
    clips.extend(begin.map(|begin| &frames[begin..=last]));

    clips
}

/// The root mean square of a side, in dB.
fn strength(frames: &[[f32; 2]], side: usize) -> f64 {
    let sum: f64 = frames
        .iter()
        .map(|frame| f64::from(frame[side]).powi(2))
        .sum();
    10.0 * (sum / frames.len() as f64).log10()
}

#[test]
fn the_level_check_rises_from_quiet_and_then_goes_left_right_and_both() {
    on_stage(
        "the_level_check_rises_from_quiet_and_then_goes_left_right_and_both",
        |stage| {
            let capture = stage.listen();
            let (code, printed, complaint) = run(stage, "--sound");
            assert_eq!((code, complaint.as_str()), (0, ""), "{printed}");
            assert!(
                printed.contains("  Level 3 of 10, where a sitting begins\n"),
                "{printed}"
            );

            let recording = capture.end_after(RATE as usize / 2);
            let clips = clips(&recording.frames);
            assert_eq!(clips.len(), 8, "five levels, left, right, both");
            let [left, right]: [Vec<f64>; 2] =
                [0, 1].map(|side| clips.iter().map(|clip| strength(clip, side)).collect());

            for step in 1..5 {
                for side in [&left, &right] {
                    let risen = side[step] - side[step - 1];
                    assert!(
                        (risen - 4.0).abs() < 0.1,
                        "{risen} dB to level {}",
                        step + 1
                    );
                }
            }
            // Not even the loudest is louder than a sitting may begin with.
            let loudest = -24.0 + Level::new(5).unwrap().db().unwrap();
            assert!(
                left[4].max(right[4]) < loudest + 3.0,
                "{} {}",
                left[4],
                right[4]
            );

            let silent = f64::NEG_INFINITY;
            assert_eq!((right[5], left[6]), (silent, silent));
            for (found, expected) in [
                (left[5], left[2]),
                (right[6], right[2]),
                (left[7], left[2]),
                (right[7], right[2]),
            ] {
                assert!(
                    (found - expected).abs() < 0.1,
                    "{found} dB, expected {expected} dB"
                );
            }
        },
    );
}
