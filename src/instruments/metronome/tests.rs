//! Clicks by samples.

use super::{Metronome, Plan};
use crate::instruments::speaker::{CEILING, RATE};
use crate::time::Time;

/// 120 beats a minute, two bars of four.
const PLAN: Plan = Plan {
    tempo: 12_000,
    factor: 100,
    bar: 4,
    bars_in: 2,
    beats_on: 0,
};

fn metronome(plan: Plan) -> Metronome {
    Metronome::new(plan).unwrap()
}

/// The frames on which sound begins after silence of 100 frames at least, or at the very start.
fn onsets(frames: &[[f32; 2]]) -> Vec<usize> {
    let mut silence = usize::MAX;
    let mut found = Vec::new();

    for (index, frame) in frames.iter().enumerate() {
        if *frame == [0.0; 2] {
            silence = silence.saturating_add(1);
        } else {
            if silence >= 100 {
                found.push(index);
            }
            silence = 0;
        }
    }
    found
}

/// The sound of the click that begins at a frame.
fn click(frames: &[[f32; 2]], from: usize) -> Vec<f32> {
    let sound: Vec<f32> = frames[from..]
        .iter()
        .take(RATE as usize / 10)
        .map(|frame| frame[0])
        .collect();
    let length = sound.iter().rposition(|&side| side != 0.0).unwrap() + 1;

    sound[..length].to_vec()
}

/// The pitch, from the turns of the sign.
fn pitch(sound: &[f32]) -> f64 {
    let turns = sound
        .windows(2)
        .filter(|pair| (pair[0] < 0.0) != (pair[1] < 0.0))
        .count();

    turns as f64 / 2.0 * f64::from(RATE) / sound.len() as f64
}

#[test]
fn each_beat_clicks_on_its_very_frame() {
    // From 20 to 400 beats a minute, uneven ones, a time factor, and a metronome that goes on.
    for (tempo, factor, beats_on) in [
        (12_000, 100, 0),
        (2_000, 100, 0),
        (40_000, 100, 64),
        (13_007, 100, 400),
        (9_999, 125, 16),
        (33_333, 133, 7),
    ] {
        let metronome = metronome(Plan {
            tempo,
            factor,
            beats_on,
            ..PLAN
        });
        let expected: Vec<usize> = (0..8 + beats_on)
            .map(|beat| {
                let seconds = f64::from(beat) * 60.0 * f64::from(factor) / f64::from(tempo);
                (seconds * f64::from(RATE)).round() as usize
            })
            .collect();

        assert_eq!(onsets(&metronome.clip().frames), expected, "at {tempo}");
    }
}

#[test]
fn beats_are_told_as_the_exam_counts_them() {
    let metronome = metronome(Plan {
        tempo: 13_007,
        ..PLAN
    });

    assert_eq!(metronome.at(0), Time::ZERO);
    // 60 s ÷ 130.07 = 0.461290 s; a thousand beats later nothing has added up.
    assert_eq!(metronome.at(1), Time::from_tenths(4_613));
    assert_eq!(metronome.at(1_000), Time::from_tenths(4_612_901));
    assert_eq!(metronome.run_starts(), metronome.at(8));
    assert_eq!(metronome.clicks(), 8);
}

#[test]
fn the_first_beat_of_a_bar_is_higher_and_longer() {
    let metronome = metronome(Plan {
        bar: 3,
        beats_on: 4,
        ..PLAN
    });
    let frames = metronome.clip().frames;
    let sounds: Vec<Vec<f32>> = (0..10)
        .map(|beat| click(&frames, metronome.frame(beat)))
        .collect();

    for (beat, sound) in sounds.iter().enumerate() {
        let is_first = beat % 3 == 0;
        let (hz, frames) = if is_first {
            (1_614.0, 3_840)
        } else {
            (1_017.0, 1_920)
        };

        assert!((pitch(sound) - hz).abs() < 20.0, "{} Hz", pitch(sound));
        assert!(frames - sound.len() < 4, "{} frames", sound.len());
    }
}

#[test]
fn clicks_neither_crack_nor_clip() {
    let clip = metronome(PLAN).clip();
    let first = click(&clip.frames, 0);

    assert!(clip.peak() <= CEILING);
    assert!(clip.peak() >= 0.4, "a peak of {}", clip.peak());
    // 1 ms rises to the peak, and the end has died away.
    assert!(first[0].abs() < 0.02);
    assert!(first[..12].iter().all(|side| side.abs() < 0.25));
    assert!(
        first[first.len() - 100..]
            .iter()
            .all(|side| side.abs() < 1e-4)
    );
    assert!(clip.frames.iter().all(|frame| frame[0] == frame[1]));
}

#[test]
fn without_beats_there_is_nothing() {
    let metronome = metronome(Plan { bars_in: 0, ..PLAN });

    assert_eq!(metronome.clip().frames.len(), 0);
    assert_eq!(metronome.run_starts(), Time::ZERO);
}

#[test]
fn numbers_out_of_range_are_refused() {
    let check = |plan, expected: &str| {
        assert_eq!(Metronome::new(plan).unwrap_err().to_string(), expected);
    };

    check(
        Plan { tempo: 0, ..PLAN },
        "expected a tempo in hundredths of a beat a minute from 2000 to 40000, found 0",
    );
    check(
        Plan { factor: 99, ..PLAN },
        "expected a time factor in hundredths from 100 to 1000, found 99",
    );
    check(
        Plan { bar: 0, ..PLAN },
        "expected beats in a bar from 1 to 16, found 0",
    );
    check(
        Plan { bars_in: 9, ..PLAN },
        "expected bars counted in from 0 to 8, found 9",
    );
    check(
        Plan {
            beats_on: 4_097,
            ..PLAN
        },
        "expected beats after the count-in from 0 to 4096, found 4097",
    );
}
