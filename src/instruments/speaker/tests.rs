//! Levels, clips and lags.

use super::{CEILING, Clip, Error, Lag, Level, delay, tap_along};
use crate::time::Time;

fn ms(times: &[i64]) -> Vec<Time> {
    times.iter().map(|&time| Time::from_ms(time)).collect()
}

fn lag(median: i64, spread: i64) -> Option<Lag> {
    Some(Lag {
        median: Time::from_ms(median),
        spread: Time::from_ms(spread),
    })
}

#[test]
fn full_level_changes_nothing_and_zero_is_silent() {
    assert_eq!(Level::FULL.factor().to_bits(), 1.0_f32.to_bits());
    assert_eq!(Level::SILENT.factor(), 0.0);
    assert_eq!(Level::SILENT.db(), None);
    assert_eq!(Level::new(11), None);
}

#[test]
fn each_step_is_four_decibels() {
    for step in 1..10 {
        let [low, high] = [step, step + 1].map(|step| Level::new(step).unwrap());
        let ratio = f64::from(high.factor()) / f64::from(low.factor());

        assert!((20.0 * ratio.log10() - 4.0).abs() < 1e-5, "from {step}");
        assert_eq!(high.db().unwrap() - low.db().unwrap(), 4.0);
    }
}

#[test]
fn a_sitting_begins_soft_and_levels_stay_within_their_ends() {
    assert_eq!(Level::default().db(), Some(-28.0));
    assert_eq!(Level::FULL.louder(), Level::FULL);
    assert_eq!(Level::SILENT.softer(), Level::SILENT);
    assert_eq!(Level::START.louder().softer(), Level::START);
}

#[test]
fn the_ceiling_is_one_decibel_below_full_scale() {
    assert!((20.0 * f64::from(CEILING).log10() + 1.0).abs() < 1e-6);
}

#[test]
fn a_clip_tells_its_length_and_peak() {
    let clip = Clip::new(vec![[0.1, -0.5]; 24_000]);

    assert_eq!(clip.length(), Time::from_ms(500));
    assert_eq!(clip.peak(), 0.5);
    assert_eq!(Clip::new(Vec::new()).peak(), 0.0);
}

#[test]
fn the_median_of_an_even_number_lies_between_the_two_in_the_middle() {
    let check = |readings: &[i64], expected| assert_eq!(Lag::of(&ms(readings)), expected);

    check(&[], None);
    check(&[7], lag(7, 0));
    check(&[10, 20], lag(15, 5));
    check(&[30, 10, 20], lag(20, 10));
    check(&[-30, -20, -10, 1_000], lag(-15, 10));
}

#[test]
fn a_delay_is_the_middle_of_what_was_heard_after_each_click() {
    let check = |played: &[i64], heard: &[i64], expected| {
        assert_eq!(delay(&ms(played), &ms(heard)), expected);
    };
    let played = [1_000, 2_000, 3_000, 4_000];

    check(&played, &[1_040, 2_040, 3_042, 4_040], lag(40, 0));
    // An echo after a click and a noise before all do not count.
    check(
        &played,
        &[500, 1_040, 1_100, 2_040, 3_040, 4_040],
        lag(40, 0),
    );
    // A click that was not heard is left out, and one of another size does not move the middle.
    check(&played, &[1_040, 3_040, 4_900], lag(40, 0));
    check(&played, &[1_040, 3_040, 5_040], None);
    check(&played, &[1_040, 3_040], None);
    check(&played, &[], None);
    check(&[], &[1_040], None);
}

#[test]
fn tapping_along_tells_the_lag() {
    let beats = [0, 500, 1_000, 1_500, 2_000, 2_500, 3_000, 3_500];
    let check = |taps: &[i64], expected| {
        assert_eq!(tap_along(&ms(taps), &ms(&beats)), expected);
    };

    let late = beats.map(|beat| beat + 20);
    check(&late, lag(20, 0));
    check(&beats.map(|beat| beat - 35), lag(-35, 0));
    check(
        &[10, 530, 1_010, 1_530, 2_010, 2_530, 3_010, 3_530],
        lag(20, 10),
    );
    // Five are enough, four are not.
    check(&late[3..], lag(20, 0));
    check(&late[4..], None);
    // Of two taps at a beat the nearer counts.
    check(&[20, 150, 520, 1_020, 1_520, 2_020], lag(20, 0));
    // Taps far before the first beat and long after the last are dropped.
    check(&[-900, -260, 520, 1_020, 1_520, 2_020, 9_000], None);
    check(&[-260, 520, 1_020, 1_520, 2_020, 2_520, 9_000], lag(20, 0));
    check(&[], None);
}

#[test]
fn tapping_needs_beats_to_tap_to() {
    assert_eq!(tap_along(&ms(&[0]), &ms(&[0])), None);
    assert_eq!(tap_along(&ms(&[0]), &[]), None);
}

#[test]
fn errors_say_what_to_do() {
    let check = |error: Error, expected: &str| assert_eq!(error.to_string(), expected);

    check(
        Error::Missing {
            wanted: "Hall".to_owned(),
            found: vec!["Studio".to_owned(), "Desk".to_owned()],
        },
        "expected the sound output `Hall`, found `Studio`, `Desk`; plug it in or name another",
    );
    check(
        Error::Gone {
            name: "Studio".to_owned(),
        },
        "expected the sound output `Studio`, found that it is gone; plug it in again or restart \
         the sound service, and it will be found by itself",
    );
    check(
        Error::None,
        "expected a sound output, found none; plug in loudspeakers or headphones, see that the \
         sound service of this computer runs, and try again",
    );
}
