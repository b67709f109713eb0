//! The fake behaves as the trait says.

use super::FakeSpeaker;
use crate::instruments::keyboard::Touch;
use crate::instruments::speaker::{Clip, Error, Fact, Level, Speaker};
use crate::time::Time;

fn at(ms: i64) -> Time {
    Time::from_ms(ms)
}

fn second() -> Clip {
    Clip::new(vec![[0.5; 2]; 48_000])
}

#[test]
fn a_clip_starts_after_the_latency_and_ends_after_its_length() {
    let mut speaker = FakeSpeaker::new(at(40));
    speaker.play(&second(), at(100)).unwrap();

    assert_eq!(speaker.poll(at(139)), []);
    assert_eq!(speaker.poll(at(140)), [Fact::Started { at: at(140) }]);
    assert!(speaker.is_sounding());
    assert_eq!(speaker.poll(at(1_139)), []);
    assert_eq!(speaker.poll(at(2_000)), [Fact::Ended { at: at(1_140) }]);
    assert_eq!(speaker.poll(at(9_000)), []);
    assert_eq!(speaker.played, [(at(100), second())]);
}

#[test]
fn one_late_poll_tells_all_in_order() {
    let mut speaker = FakeSpeaker::new(at(40));
    speaker.play(&second(), at(0)).unwrap();

    let all = [Fact::Started { at: at(40) }, Fact::Ended { at: at(1_040) }];
    assert_eq!(speaker.poll(at(5_000)), all);
}

#[test]
fn a_stop_ends_a_clip_after_the_fade() {
    let mut speaker = FakeSpeaker::new(at(40));
    speaker.play(&second(), at(0)).unwrap();
    let _ = speaker.poll(at(500));
    speaker.stop();

    assert_eq!(speaker.poll(at(600)), [Fact::Ended { at: at(550) }]);
}

#[test]
fn a_new_clip_silences_the_facts_of_the_old_one() {
    let mut speaker = FakeSpeaker::new(at(0));
    speaker.play(&second(), at(0)).unwrap();
    let _ = speaker.poll(at(500));
    speaker.play(&second(), at(500)).unwrap();

    let all = [Fact::Started { at: at(500) }, Fact::Ended { at: at(1_500) }];
    assert_eq!(speaker.poll(at(2_000)), all);
}

#[test]
fn a_lost_device_is_told_once_and_plays_nothing_until_it_is_found() {
    let mut speaker = FakeSpeaker::new(at(40));
    let name = speaker.name();
    speaker.play(&second(), at(0)).unwrap();
    let _ = speaker.poll(at(500));
    speaker.lose();
    speaker.lose();

    assert!(!speaker.is_there());
    assert_eq!(speaker.latency(), None);
    assert_eq!(speaker.poll(at(9_000)), [Fact::Lost { name: name.clone() }]);
    let gone = Error::Gone { name: name.clone() };
    assert_eq!(speaker.play(&second(), at(9_000)), Err(gone));

    speaker.find();
    assert_eq!(speaker.poll(at(9_100)), [Fact::Found { name }]);
    assert_eq!(speaker.play(&second(), at(9_200)), Ok(()));
}

#[test]
fn the_level_is_kept() {
    let mut speaker = FakeSpeaker::new(at(0));
    assert_eq!(speaker.level, Level::START);
    speaker.set_level(Level::FULL);
    assert_eq!(speaker.level, Level::FULL);
}

#[test]
fn touches_are_kept_while_monitoring_is_on_and_the_device_there() {
    let mut speaker = FakeSpeaker::new(at(40));
    let touch = Touch::Pedal;
    speaker.monitor(touch(1));
    assert_eq!(speaker.monitoring_latency(), None);

    speaker.set_monitoring(true);
    speaker.monitor(touch(2));
    assert_eq!(speaker.monitoring_latency(), Some(at(40)));
    speaker.lose();
    speaker.monitor(touch(3));
    assert_eq!(speaker.monitoring_latency(), None);
    speaker.find();
    speaker.monitor(touch(4));
    assert_eq!(
        (speaker.touched.clone(), speaker.hushes),
        (vec![touch(2), touch(4)], 0)
    );

    speaker.hush();
    speaker.set_monitoring(false);
    speaker.monitor(touch(5));
    assert_eq!((speaker.touched.len(), speaker.hushes), (2, 2));
}
