//! When frames are heard, from what a device says.

use super::Pace;

const MS: u64 = 1_000_000;

/// Calls of 480 frames, 10 ms, each with how far what the device says is off, in ms; returns how
/// far what is believed is off.
fn check<const N: usize>(off: [u64; N], expected: [u64; N]) {
    let mut pace = Pace::default();
    let base = 1_000 * MS;
    let found: Vec<u64> = off
        .iter()
        .zip(0..)
        .map(|(&off, call)| {
            let even = base + call * 10 * MS;
            (pace.call(even + off * MS, 480, 48_000) - even) / MS
        })
        .collect();

    assert_eq!(found, expected);
}

#[test]
fn an_even_pace_is_believed_as_it_is() {
    check([0; 12], [0; 12]);
}

#[test]
fn a_stray_reading_is_outvoted() {
    check([0, 0, 0, 7, 0, 9, 0, 0, 3], [0; 9]);
}

#[test]
fn after_a_gap_the_new_pace_is_believed_within_five_calls() {
    check(
        [0, 0, 0, 0, 0, 0, 0, 0, 0, 30, 30, 30, 30, 30, 30],
        [0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 30, 30],
    );
}
