//! What comes out is what was rendered, when it is said to.

use std::time::Duration;

use viva_voicing::instruments::speaker::{Clip, Lag, RATE, Speaker};
use viva_voicing::time::Time;

use super::stage::{Stage, noise, on_stage, tone};

const LIMIT: Duration = Duration::from_secs(120);

/// Two seconds: noise, then a chord of three tones.
fn noise_and_chord() -> Clip {
    let second = RATE as usize;
    let chord = (0..second).map(|frame| {
        let at = frame as f64 / f64::from(RATE) * std::f64::consts::TAU;
        let fade = 1.0 - frame as f64 / second as f64;
        let sum: f64 = [261.63, 329.63, 392.0]
            .iter()
            .map(|hz| (at * hz).sin())
            .sum();
        [(0.25 * fade * sum) as f32, (-0.2 * fade * sum) as f32]
    });

    Clip::new(noise(second).into_iter().chain(chord).collect())
}

fn comes_out_exactly(stage: &mut Stage, output: &str) {
    let clip = noise_and_chord();
    let mut speaker = stage.speaker(output);
    let capture = stage.listen();

    let (start, end) = stage.play(&mut speaker, &clip);
    let recording = capture.end_after(RATE as usize / 2);

    let onset = recording.onset(0);
    recording.check(onset, &clip.frames);
    recording.check_silence(0, onset);
    recording.check_silence(onset + clip.frames.len(), recording.frames.len());
    assert_eq!(speaker.gaps(), 0);

    let buffer = Time::from_seconds(f64::from(speaker.buffer().unwrap()) / f64::from(RATE));
    println!("a clip of {} ms from {start} to {end} ms", clip.length());
    assert!(
        ((end - start) - clip.length()).abs() <= buffer,
        "a clip of {} ms from {start} to {end} ms",
        clip.length()
    );
}

#[test]
fn what_comes_out_is_what_was_rendered_bit_by_bit() {
    on_stage(
        "exact::what_comes_out_is_what_was_rendered_bit_by_bit",
        LIMIT,
        |stage| comes_out_exactly(stage, "exam"),
    );
}

#[test]
fn it_is_so_through_alsa_as_well() {
    on_stage("exact::it_is_so_through_alsa_as_well", LIMIT, |stage| {
        comes_out_exactly(stage, "alsa:pulse");
    });
}

fn starts_are_told_truly(stage: &mut Stage, output: &str) {
    let mut speaker = stage.speaker(output);
    let buffer = speaker.buffer().unwrap();
    let within = Time::from_seconds(f64::from(buffer) / f64::from(RATE));
    let capture = stage.listen();
    let clip = Clip::new(tone(4_800, 0.5));

    let starts: Vec<Time> = (0..20).map(|_| stage.play(&mut speaker, &clip).0).collect();
    let recording = capture.end_after(RATE as usize / 4);

    let mut from = 0;
    let mut onsets = Vec::new();
    for _ in &starts {
        let onset = recording.onset(from);
        onsets.push(onset);
        from = onset + clip.frames.len() - 1;
    }
    // A recording has no clock but its frames, so starts are held against the first one's.
    let errors: Vec<Time> = starts
        .iter()
        .zip(&onsets)
        .map(|(&start, &onset)| {
            let heard = Time::from_seconds((onset - onsets[0]) as f64 / f64::from(RATE));
            (start - starts[0]) - heard
        })
        .collect();
    let middle = Lag::of(&errors).unwrap();
    let delays: Vec<Time> = starts
        .iter()
        .zip(&onsets)
        .map(|(&start, &onset)| stage.time(recording.arrival(onset)) - start)
        .collect();
    let lag = Lag::of(&delays).unwrap();
    println!(
        "{buffer} frames a call, {} ms stated ahead; starts off by {} ms, half of them within \
             {} ms, the worst by {} ms; at the recorder {} ms later",
        speaker.latency().unwrap(),
        middle.median,
        middle.spread,
        errors.iter().map(|error| error.abs()).max().unwrap(),
        lag.median
    );

    // What is told is not only even but true: the recorder gets the sound soon after.
    assert!(lag.median.abs() <= within, "{} ms", lag.median);
    for error in errors {
        assert!(
            (error - middle.median).abs() <= within,
            "a start is off by {error} ms, the middle by {} ms",
            middle.median
        );
    }
}

#[test]
fn the_start_is_told_to_within_a_buffer() {
    on_stage(
        "exact::the_start_is_told_to_within_a_buffer",
        LIMIT,
        |stage| starts_are_told_truly(stage, "exam"),
    );
}

#[test]
fn the_start_is_told_through_alsa_as_well() {
    on_stage(
        "exact::the_start_is_told_through_alsa_as_well",
        LIMIT,
        |stage| starts_are_told_truly(stage, "alsa:pulse"),
    );
}
