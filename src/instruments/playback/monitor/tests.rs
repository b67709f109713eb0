//! From the room's touches to the device's frames.

use super::super::deck::{Deck, Order};
use super::super::stamp::{Marks, Stamp};
use super::*;
use crate::instruments::speaker::{CEILING, Clip};
use crate::theory::Key;
use std::sync::mpsc::Sender;

/// A deck that monitors, and a device that calls it.
struct Rig {
    orders: Sender<Order>,
    keys: Keys,
    stamp: Stamp,
    deck: Deck,
}

impl Rig {
    fn new() -> Self {
        let (orders, taken) = mpsc::channel();
        let (keys, monitor) = monitor(&Piano::bundled().unwrap()).unwrap();
        let stamp = Stamp::default();
        let rig = Self {
            orders,
            keys,
            deck: Deck::new(taken, Some(monitor), stamp.clone()),
            stamp,
        };

        rig.orders.send(Order::Level(1.0)).unwrap();
        rig
    }

    fn call(&mut self, frames: usize) -> Vec<[f32; 2]> {
        self.stamp.call(0, 0, frames);
        (0..frames)
            .map(|_| [self.deck.next().unwrap(), self.deck.next().unwrap()])
            .collect()
    }

    /// A second in calls of 256 frames.
    fn second(&mut self) -> Vec<[f32; 2]> {
        (0..188).flat_map(|_| self.call(256)).collect()
    }
}

fn down(key: i64) -> Touch {
    Touch::Down {
        key: Key::new(key).unwrap(),
        velocity: 100,
    }
}

fn is_silent(frames: &[[f32; 2]]) -> bool {
    frames.iter().all(|frame| *frame == [0.0; 2])
}

#[test]
fn a_clip_passes_bit_by_bit_while_nobody_plays() {
    let clip = vec![[-0.0, 0.0], [CEILING, -CEILING], [1e-30, -0.123_456_7]];
    let mut rig = Rig::new();
    rig.orders
        .send(Order::Play(Clip::new(clip.clone()), Marks::default()))
        .unwrap();

    let bits = |frames: &[[f32; 2]]| -> Vec<[u32; 2]> {
        frames.iter().map(|frame| frame.map(f32::to_bits)).collect()
    };
    assert_eq!(bits(&rig.call(5)[..3]), bits(&clip));
}

#[test]
fn a_touch_sounds_in_the_next_call_above_a_clip_and_below_the_ceiling() {
    let mut rig = Rig::new();
    rig.orders
        .send(Order::Play(
            Clip::new(vec![[0.8; 2]; 48_000]),
            Marks::default(),
        ))
        .unwrap();
    let _ = rig.call(256);
    for key in 40..60 {
        rig.keys.touch(down(key));
    }
    let heard = rig.call(4_800);

    assert!(heard[..256].iter().any(|frame| *frame != [0.8; 2]));
    assert!(heard.iter().flatten().all(|side| side.abs() <= CEILING));
}

#[test]
fn the_level_is_the_same_as_for_clips() {
    let peak = |level| {
        let mut rig = Rig::new();
        rig.orders.send(Order::Level(level)).unwrap();
        let _ = rig.call(256);
        rig.keys.touch(down(60));
        Clip::new(rig.second()).peak()
    };

    assert!((peak(0.25) * 4.0 - peak(1.0)).abs() < 1e-5);
}

#[test]
fn a_change_of_level_glides_while_a_key_sounds() {
    let mut rig = Rig::new();
    rig.keys.touch(down(36));
    let _ = rig.second();
    rig.orders.send(Order::Level(0.0)).unwrap();
    let heard = rig.call(4_800);

    assert!(!is_silent(&heard[..480]));
    assert!(is_silent(&heard[2_400..]));
}

#[test]
fn a_hush_fades_within_ten_milliseconds_and_what_comes_after_sounds() {
    let mut rig = Rig::new();
    rig.keys.touch(down(48));
    let _ = rig.second();
    rig.keys.hush();
    rig.keys.touch(down(72));

    let fading = rig.call(256);
    assert!(!is_silent(&fading));
    let rest = rig.call(480);
    assert!(is_silent(&rest[480 - 256..]));
    assert!(!is_silent(&rig.call(256)));
}

#[test]
fn a_hush_in_silence_is_nothing() {
    let mut rig = Rig::new();
    rig.keys.hush();
    rig.keys.hush();
    assert!(is_silent(&rig.call(256)));
    rig.keys.touch(down(72));
    let _ = rig.call(256);
    assert!(!is_silent(&rig.call(256)));
}

#[test]
fn after_touches_are_lost_no_key_stays_down() {
    let mut rig = Rig::new();
    for _ in 0..WAITING + 1 {
        rig.keys.touch(down(60));
    }
    let _ = rig.call(480);
    assert!(is_silent(&rig.second()));

    rig.keys.touch(down(60));
    assert!(!is_silent(&rig.second()));
}
