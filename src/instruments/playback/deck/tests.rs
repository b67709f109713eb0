//! What the deck mixes, by samples.

use std::sync::mpsc::{self, Sender};

use super::{Deck, FADE, Order};
use crate::instruments::playback::stamp::{Marks, Stamp};
use crate::instruments::speaker::{CEILING, Clip, Level};

/// A deck and a device that calls it.
struct Rig {
    orders: Sender<Order>,
    stamp: Stamp,
    deck: Deck,
}

impl Rig {
    fn new() -> Self {
        let (orders, taken) = mpsc::channel();
        let stamp = Stamp::default();
        let rig = Self {
            orders,
            deck: Deck::new(taken, None, stamp.clone()),
            stamp,
        };

        rig.level(1.0);
        rig
    }

    fn level(&self, factor: f32) {
        self.orders.send(Order::Level(factor)).unwrap();
    }

    fn play(&self, frames: Vec<[f32; 2]>) -> Marks {
        let marks = Marks::default();
        self.orders
            .send(Order::Play(Clip::new(frames), marks.clone()))
            .unwrap();
        marks
    }

    /// A call of the device for frames that are heard from a time on, in nanoseconds.
    fn call(&mut self, heard: u64, frames: usize) -> Vec<[f32; 2]> {
        self.stamp.call(heard, 0, frames);
        (0..frames)
            .map(|_| [self.deck.next().unwrap(), self.deck.next().unwrap()])
            .collect()
    }
}

const SILENCE: [f32; 2] = [0.0; 2];

/// The largest step from sample to sample.
fn step(frames: &[[f32; 2]]) -> f32 {
    frames
        .windows(2)
        .map(|pair| (pair[1][0] - pair[0][0]).abs())
        .fold(0.0, f32::max)
}

#[test]
fn without_a_clip_it_is_silent_and_never_ends() {
    let mut rig = Rig::new();
    assert_eq!(rig.call(0, 1_000), [SILENCE; 1_000]);
}

#[test]
fn a_clip_passes_bit_by_bit() {
    let clip = vec![[-0.0, 0.0], [CEILING, -CEILING], [1e-30, -0.123_456_7]];
    let mut rig = Rig::new();
    let _ = rig.play(clip.clone());

    let heard = rig.call(0, 5);
    let bits = |frames: &[[f32; 2]]| -> Vec<[u32; 2]> {
        frames.iter().map(|frame| frame.map(f32::to_bits)).collect()
    };
    assert_eq!(bits(&heard[..3]), bits(&clip));
    assert_eq!(heard[3..], [SILENCE; 2]);
}

#[test]
fn a_clip_begins_with_a_call_and_marks_its_first_frame_and_the_one_after_its_last() {
    let mut rig = Rig::new();
    let _ = rig.call(0, 480);
    let marks = rig.play(vec![[0.5; 2]; 960 + 48]);
    assert_eq!((marks.started(), marks.ended()), (None, None));

    let _ = rig.call(100_000_000, 480);
    assert_eq!((marks.started(), marks.ended()), (Some(100_000_000), None));

    let _ = rig.call(110_000_000, 480);
    let _ = rig.call(120_000_000, 480);
    assert_eq!(marks.ended(), Some(121_000_000));
}

#[test]
fn a_clip_as_long_as_the_call_ends_at_the_next() {
    let mut rig = Rig::new();
    let marks = rig.play(vec![[0.5; 2]; 480]);

    let _ = rig.call(0, 480);
    assert_eq!(marks.ended(), None);
    let _ = rig.call(10_000_000, 480);
    assert_eq!(marks.ended(), Some(10_000_000));
}

#[test]
fn an_empty_clip_starts_and_ends_at_once() {
    let mut rig = Rig::new();
    let marks = rig.play(Vec::new());

    assert_eq!(rig.call(7, 2), [SILENCE; 2]);
    assert_eq!((marks.started(), marks.ended()), (Some(7), Some(7)));
}

#[test]
fn a_stop_fades_within_ten_milliseconds_to_silence() {
    let mut rig = Rig::new();
    let marks = rig.play(vec![[0.8; 2]; 48_000]);
    let _ = rig.call(0, 480);

    rig.orders.send(Order::Stop).unwrap();
    let heard = rig.call(10_000_000, 960);

    assert_eq!(heard[0], [0.8; 2]);
    assert!(heard[..480].windows(2).all(|pair| pair[1][0] <= pair[0][0]));
    assert!(step(&heard) < 0.8 * 4.0 / FADE as f32);
    assert_eq!(heard[480..], [SILENCE; 480]);
    assert_eq!(marks.ended(), Some(20_000_000));
}

#[test]
fn a_second_stop_does_not_make_the_fade_longer() {
    let mut rig = Rig::new();
    let _ = rig.play(vec![[0.8; 2]; 48_000]);

    for _ in 0..2 {
        rig.orders.send(Order::Stop).unwrap();
        let _ = rig.call(0, 240);
    }
    assert_eq!(rig.call(0, 1), [SILENCE]);
}

#[test]
fn a_new_clip_begins_at_once_while_the_old_one_fades_below_it() {
    let mut rig = Rig::new();
    let _ = rig.play(vec![[0.25, 0.0]; 48_000]);
    let _ = rig.call(0, 480);
    let _ = rig.play(vec![[0.0, 0.5]; 48_000]);

    let heard = rig.call(0, 960);
    assert_eq!(heard[0], [0.25, 0.5]);
    assert_eq!(heard[480..], [[0.0, 0.5]; 480]);
}

#[test]
fn a_change_of_level_glides_and_ends_exactly() {
    let mut rig = Rig::new();
    let _ = rig.play(vec![[0.5; 2]; 48_000]);
    let _ = rig.call(0, 480);

    rig.level(Level::START.factor());
    let heard = rig.call(0, 4_800);
    assert!(step(&heard) < 0.001);
    assert_eq!(heard[2_400..], [[0.5 * Level::START.factor(); 2]; 2_400]);

    rig.level(1.0);
    let heard = rig.call(0, 4_800);
    assert!(step(&heard) < 0.001);
    assert_eq!(heard[2_400..], [[0.5; 2]; 2_400]);
}

#[test]
fn in_silence_the_level_leaps_so_that_the_first_frame_has_it() {
    let mut rig = Rig::new();
    let _ = rig.call(0, 480);
    rig.level(0.25);
    let _ = rig.play(vec![[0.5; 2]; 4]);

    assert_eq!(rig.call(0, 4), [[0.125; 2]; 4]);
}

#[test]
fn two_loud_clips_together_stay_below_the_ceiling_and_leave_no_trace() {
    let mut rig = Rig::new();
    let _ = rig.play(vec![[0.8, -0.8]; 48_000]);
    let _ = rig.call(0, 480);
    let _ = rig.play(vec![[0.8, -0.8]; 48_000]);

    let heard = rig.call(0, 9_600);
    assert!(heard.iter().flatten().all(|side| side.abs() <= CEILING));
    assert_eq!(heard[0], [CEILING, -CEILING]);
    assert_eq!(heard[9_599], [0.8, -0.8]);
}

#[test]
fn what_is_no_number_is_silent() {
    let mut rig = Rig::new();
    let _ = rig.play(vec![
        [f32::NAN, 0.5],
        [f32::INFINITY, f32::NEG_INFINITY],
        [0.5; 2],
    ]);

    assert_eq!(rig.call(0, 3), [[0.0, 0.5], SILENCE, [0.5; 2]]);
}

#[test]
fn any_number_of_clips_at_once_is_borne() {
    let mut rig = Rig::new();
    for _ in 0..100 {
        let _ = rig.play(vec![[0.8; 2]; 4_800]);
    }
    let heard = rig.call(0, 960);

    assert!(heard.iter().flatten().all(|side| side.abs() <= CEILING));
}
