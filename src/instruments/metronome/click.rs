//! One click: a short dying tone, soft at its very start.

use std::f64::consts::TAU;

use crate::instruments::speaker::RATE;

/// How a click sounds.
struct Click {
    /// Its pitch. Both pitches lie a quarter tone between two keys of the piano, so that a click
    /// gives no key and helps nobody to one.
    hz: f64,
    /// How long it lasts, in frames; shorter than the shortest beat, 7,200.
    frames: usize,
    /// How far its tone reaches from zero before it dies away.
    amplitude: f64,
}

/// The rise at the start: 1 ms, which is sharp to the ear and no crack.
const ATTACK: usize = RATE as usize / 1_000;

/// The first beat of a bar: higher by more than a fifth, twice as long and a little stronger, so
/// that it is told from the others at any level.
pub(super) fn accent() -> Vec<f32> {
    render(&Click {
        hz: 1_613.9,
        frames: 3_840,
        amplitude: 0.5,
    })
}

/// Any other beat.
pub(super) fn plain() -> Vec<f32> {
    render(&Click {
        hz: 1_016.7,
        frames: 1_920,
        amplitude: 0.4,
    })
}

fn render(click: &Click) -> Vec<f32> {
    let last = click.frames as f64;

    (0..click.frames)
        .map(|frame| {
            let at = frame as f64;
            let rise = ((at + 1.0) / ATTACK as f64).min(1.0);
            // 60 dB down at the end, and the straight line takes the rest to nothing.
            let fall = 10_f64.powf(-3.0 * at / last) * (1.0 - at / last);
            let tone = (TAU * click.hz * at / f64::from(RATE)).cos();

            (click.amplitude * rise * fall * tone) as f32
        })
        .collect()
}
