//! Nothing but the chord itself gives an answer away.

use std::collections::BTreeMap;

use viva_voicing::exam::draw;
use viva_voicing::time::Time;

use super::super::{ear, keys, section, shipped};

/// Numbers that a candidate could go by, of one sound.
#[derive(Default, Clone, Copy)]
struct Cues {
    lowest: f64,
    highest: f64,
    mean: f64,
    velocity: f64,
    rove: f64,
    count: f64,
}

impl Cues {
    fn add(&mut self, other: Self) {
        self.lowest += other.lowest;
        self.highest += other.highest;
        self.mean += other.mean;
        self.velocity += other.velocity;
        self.rove += other.rove;
        self.count += other.count;
    }
}

#[test]
fn the_sounds_of_a_quality_differ_from_others_in_the_chord_only() {
    let exam = shipped();
    let mut sums: BTreeMap<String, Cues> = BTreeMap::new();

    for seed in 0..28 {
        for form in draw::draw_set(&exam, seed * 555).expect("a set") {
            for item in section(&form, 3) {
                let task = ear(item);
                let sounded = &task.sound.strikes;
                assert_eq!(sounded.len(), 1);
                assert_eq!(sounded[0].at, Time::ZERO);
                assert_eq!(sounded[0].held, Time::from_ms(2000));
                assert_eq!(task.sound.length, Time::from_ms(2500));
                assert_eq!(sounded[0].keys.len(), 4);

                let keys = &keys(task)[0];
                let mean = |numbers: &[u8]| {
                    numbers.iter().map(|n| f64::from(*n)).sum::<f64>() / numbers.len() as f64
                };
                let velocities: Vec<u8> = sounded[0].keys.iter().map(|(_, v)| *v).collect();
                let sum = sums
                    .entry(task.options[0][task.right[0]].clone())
                    .or_default();
                sum.add(Cues {
                    lowest: f64::from(keys[0]),
                    highest: f64::from(keys[3]),
                    mean: mean(keys),
                    velocity: mean(&velocities),
                    rove: f64::from(task.sound.rove),
                    count: 1.0,
                });
            }
        }
    }

    // 28 sets of 12 forms with 6 items of each quality: 2016 sounds each. The spread of the bass
    // is 3.5 semitones, so a mean is off by a third of a semitone in less than one of 10,000.
    let check = |what: &str, of: &dyn Fn(&Cues) -> f64, most: f64| {
        let means: Vec<f64> = sums.values().map(|sum| of(sum) / sum.count).collect();
        let least = means.iter().copied().fold(f64::INFINITY, f64::min);
        let greatest = means.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        assert!(greatest - least <= most, "{what}: {least} to {greatest}");
    };

    assert_eq!(sums.len(), 5);
    assert!(sums.values().all(|sum| sum.count > 2015.0));
    check("lowest key", &|sum| sum.lowest, 0.4);
    check("velocity", &|sum| sum.velocity, 0.15);
    // Tenths of a decibel: the spread is 17.6.
    check("rove", &|sum| sum.rove, 2.0);
    // From maj7 to °7 third, fifth and seventh come down by one, one and two semitones: a mean of
    // 1.0 over four voices and 1.33 on top is the chord's own. The right hand of two begins at
    // middle C, which a lower third or seventh may miss by a semitone and then lies an octave
    // higher; that goes the other way.
    check("mean key", &|sum| sum.mean, 1.5);
    check("highest key", &|sum| sum.highest, 1.8);
}

#[test]
fn every_sound_is_struck_evenly_and_roved() {
    let exam = shipped();
    let (mut softest, mut loudest) = (u8::MAX, 0);
    let (mut lowest, mut highest) = (i8::MAX, i8::MIN);

    for form in draw::draw_set(&exam, 77).expect("a set") {
        for item in form.items.iter().chain(&form.reserve) {
            let viva_voicing::exam::form::Task::Ear(task) = &item.task else {
                continue;
            };
            lowest = lowest.min(task.sound.rove);
            highest = highest.max(task.sound.rove);
            for (_, velocity) in task.sound.strikes.iter().flat_map(|strike| &strike.keys) {
                softest = softest.min(*velocity);
                loudest = loudest.max(*velocity);
            }
        }
    }

    // 80 give or take 3, and 3 dB either way.
    assert_eq!((softest, loudest), (77, 83));
    assert!((-30..=-27).contains(&lowest), "{lowest}");
    assert!((27..=30).contains(&highest), "{highest}");
}
