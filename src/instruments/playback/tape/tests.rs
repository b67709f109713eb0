//! What a device gets, by samples.

use std::sync::mpsc;

use cpal::{BufferSize, StreamConfig};

use super::super::deck::{Deck, Order};
use super::super::stamp::{Marks, Stamp};
use super::Tape;
use crate::instruments::speaker::{Clip, RATE};

/// A tape for a device, with a clip on it.
fn tape(channels: u16, rate: u32, clip: Vec<[f32; 2]>) -> Tape {
    let (orders, taken) = mpsc::channel();
    let stamp = Stamp::default();
    let config = StreamConfig {
        channels,
        sample_rate: rate,
        buffer_size: BufferSize::Default,
    };

    orders.send(Order::Level(1.0)).unwrap();
    orders
        .send(Order::Play(Clip::new(clip), Marks::default()))
        .unwrap();
    Tape::new(Deck::new(taken, None, stamp.clone()), stamp, &config).unwrap()
}

fn check<const N: usize>(channels: u16, expected: [f32; N]) {
    let mut data = [9.0_f32; N];
    tape(channels, RATE, vec![[0.5, -0.25], [0.125, 0.375]]).fill(&mut data, 0, 0);
    assert_eq!(data, expected);
}

#[test]
fn each_number_of_channels_gets_both_sides() {
    check(2, [0.5, -0.25, 0.125, 0.375, 0.0, 0.0]);
    check(1, [0.125, 0.25, 0.0]);
    check(4, [0.5, -0.25, 0.0, 0.0, 0.125, 0.375, 0.0, 0.0]);
}

#[test]
fn whole_numbers_are_filled_too() {
    let mut data = [9_i16; 4];
    tape(2, RATE, vec![[0.5, -0.25]]).fill(&mut data, 0, 0);
    assert_eq!(data, [16_384, -8_192, 0, 0]);

    let mut data = [9_u8; 4];
    tape(2, RATE, vec![[0.5, -0.25]]).fill(&mut data, 0, 0);
    assert_eq!(data, [192, 96, 128, 128]);
}

#[test]
fn a_device_of_another_rate_plays_at_the_same_pitch_and_length() {
    let clip: Vec<[f32; 2]> = (0..RATE)
        .map(|frame| {
            let phase = f64::from(frame) / f64::from(RATE) * 440.0 * std::f64::consts::TAU;
            [(0.5 * phase.cos()) as f32; 2]
        })
        .collect();
    let mut data = vec![0.0_f32; 2 * 88_200];
    tape(2, 44_100, clip).fill(&mut data, 0, 0);

    let left: Vec<f32> = data.iter().step_by(2).copied().collect();
    let last = left.iter().rposition(|&sample| sample != 0.0).unwrap();
    let turns = left[..last]
        .windows(2)
        .filter(|pair| pair[0] < 0.0 && pair[1] >= 0.0)
        .count();

    assert!(
        (44_098..=44_101).contains(&last),
        "the last frame is {last}"
    );
    assert_eq!(turns, 440);
}

#[test]
fn no_channel_at_all_is_refused() {
    let (_, taken) = mpsc::channel();
    let stamp = Stamp::default();
    let config = StreamConfig {
        channels: 0,
        sample_rate: RATE,
        buffer_size: BufferSize::Default,
    };

    assert!(Tape::new(Deck::new(taken, None, stamp.clone()), stamp, &config).is_none());
}
