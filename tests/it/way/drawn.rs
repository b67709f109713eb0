//! Played on the drawn keys, without any keyboard.

use viva_voicing::engraving::Point;
use viva_voicing::exam::form::Task;
use viva_voicing::kiosk::model::Screen;
use viva_voicing::kiosk::seat::Seat;
use viva_voicing::sitting::outcome::outcome;
use viva_voicing::theory::Key;

use super::stage::{Scene, Stage};

/// A candidate without a keyboard, at the first marked item.
fn begun() -> Stage {
    let mut stage = Stage::new(
        Scene {
            midi: false,
            ..Scene::mixed()
        }
        .with("warm_ups = 2", "warm_ups = 0"),
    );
    stage.reach_check("17");
    stage.point("Use the computer’s keys");
    stage.pass(60);
    // Level, beats, plan and the section's page.
    for _ in 0..40 {
        if is_open(&stage) {
            return stage;
        }
        stage.enter();
        stage.pass(60);
    }
    panic!("no item opens: {:?}", stage.sheet().said);
}

fn is_open(stage: &Stage) -> bool {
    matches!(&stage.kiosk.screen, Screen::Seat(seat) if seat.sitting().open_item().is_some())
}

fn seat(stage: &Stage) -> &Seat {
    match &stage.kiosk.screen {
        Screen::Seat(seat) => seat,
        _ => panic!("nobody sits: {:?}", stage.sheet().said),
    }
}

/// The keys that the open item asks for.
fn asked(stage: &Stage) -> Vec<Key> {
    match seat(stage).item().map(|item| &item.task) {
        Some(Task::Voicing(task)) => task.voicing.realise(task.chord.root.class()).unwrap(),
        other => panic!("expected a voicing, found {other:?}"),
    }
}

/// The place on the page where a key can be pressed and no other.
fn place(stage: &Stage, key: Key) -> Point {
    let sheet = stage.sheet();
    let (_, bounds) = sheet
        .keys
        .iter()
        .find(|(other, _)| *other == key)
        .unwrap_or_else(|| panic!("{key:?} is drawn"));
    let at = Point::new((bounds.left + bounds.right) / 2.0, bounds.bottom - 2.0);
    assert_eq!(sheet.key_at(at), Some(key));
    at
}

fn credit(stage: &Stage) -> String {
    let outcome = outcome(seat(stage).sitting());
    outcome.items[0].marked.credit().unwrap().to_string()
}

#[test]
fn a_chord_is_clicked_key_by_key_and_let_go_with_its_item() {
    let mut stage = begun();
    let keys = asked(&stage);
    for key in &keys {
        let at = place(&stage, *key);
        stage.kiosk.point(at, stage.paper);
        stage.pass(700);
    }
    assert_eq!(stage.kiosk.held().keys().collect::<Vec<_>>(), keys);
    while is_open(&stage) {
        stage.pass(100);
    }
    stage.pass(100);
    assert!(stage.kiosk.held().is_empty());
    assert_eq!(credit(&stage), "1");
}

#[test]
fn another_click_lets_a_key_go() {
    let mut stage = begun();
    let at = place(&stage, Key::MIDDLE_C);
    for is_held in [true, false] {
        stage.kiosk.point(at, stage.paper);
        stage.pass(60);
        assert_eq!(stage.kiosk.held().has(Key::MIDDLE_C), is_held);
    }
}

#[test]
fn fingers_hold_their_keys_until_they_are_lifted() {
    let mut stage = begun();
    let keys = asked(&stage);
    for (finger, key) in (0..).zip(&keys) {
        let at = place(&stage, *key);
        stage.kiosk.touch(finger, at, stage.paper);
    }
    stage.pass(700);
    assert_eq!(stage.kiosk.held().len(), keys.len());
    for finger in 0..4 {
        stage.kiosk.lift(finger);
    }
    stage.pass(60);
    assert!(stage.kiosk.held().is_empty());
    while is_open(&stage) {
        stage.pass(100);
    }
    assert_eq!(credit(&stage), "1");
}

#[test]
fn with_a_keyboard_the_drawn_keys_are_an_echo_only() {
    let mut stage = Stage::new(Scene::mixed());
    stage.reach_sitting("17");
    assert!(stage.sheet().keys.is_empty());
}
