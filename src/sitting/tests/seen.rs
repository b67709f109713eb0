//! What a graded candidate can see tells nothing about right and wrong.

use proptest::prelude::*;

use super::*;

/// One thing done by fingers, named by their place in the chord and not by their keys.
#[derive(Debug, Clone)]
enum Touch {
    Strike(usize, u8),
    Chord(u8),
    Lift(usize),
    LiftAll,
    Pedal(u8),
    HandIn,
}

fn touches() -> impl Strategy<Value = Vec<(i64, Touch)>> {
    let gap = prop_oneof![
        4 => 0..60_i64,
        3 => 60..300_i64,
        2 => 300..900_i64,
        1 => 900..4_000_i64,
    ];
    let touch = prop_oneof![
        6 => (0..6_usize, 20..127_u8).prop_map(|(finger, velocity)| Touch::Strike(finger, velocity)),
        3 => (20..127_u8).prop_map(Touch::Chord),
        5 => (0..6_usize).prop_map(Touch::Lift),
        2 => Just(Touch::LiftAll),
        1 => (0..128_u8).prop_map(Touch::Pedal),
        1 => Just(Touch::HandIn),
    ];

    proptest::collection::vec((gap, touch), 0..60)
}

/// What the fingers do when they lie on some keys.
fn actions(touch: &Touch, keys: &[Key]) -> Vec<Action> {
    let key = |finger: &usize| keys[finger % keys.len()];
    let all = |action: &dyn Fn(Key) -> Action| keys.iter().map(|key| action(*key)).collect();

    match touch {
        Touch::Strike(finger, velocity) => vec![Action::Down(key(finger), *velocity)],
        Touch::Chord(velocity) => all(&|key| Action::Down(key, *velocity)),
        Touch::Lift(finger) => vec![Action::Up(key(finger))],
        Touch::LiftAll => all(&Action::Up),
        Touch::Pedal(value) => vec![Action::Pedal(*value)],
        Touch::HandIn => vec![Action::HandIn],
    }
}

/// Shows an item and plays it with some keys, and returns everything that could be seen.
fn seen(number: u32, chords: &[Vec<Key>], touches: &[(i64, Touch)]) -> (Vec<String>, String) {
    let mut room = Room::mixed();
    let mut at = 1_000;
    let mut struck = 0;
    let _ = room.at(at, Event::Shown(number));

    for (gap, touch) in touches {
        at += gap;
        // In a run the hands move to another chord now and then.
        let keys = &chords[struck / 3 % chords.len()];
        struck += usize::from(matches!(touch, Touch::Strike(..) | Touch::Chord(_)));
        for action in actions(touch, keys) {
            let _ = room.did(at, action);
        }
    }
    let _ = room.wait(300_000);

    (std::mem::take(&mut room.log), room.credit(number))
}

/// The same number of keys, as low and high, none or some of them right.
fn disguised(keys: &[Key], shift: i64, only: usize) -> Vec<Key> {
    keys.iter()
        .enumerate()
        .map(|(place, key)| {
            let shift = if only >= 4 || only == place { shift } else { 0 };
            Key::new(i64::from(key.number()) + shift).unwrap()
        })
        .collect()
}

proptest! {
    #[test]
    fn a_voicing_closes_at_the_same_time_right_or_wrong(
        touches in touches(),
        shift in prop_oneof![Just(-2_i64), Just(-1), Just(1), Just(2)],
        only in 0..6_usize,
    ) {
        let keys = Room::mixed().right(1);
        let (right, _) = seen(1, std::slice::from_ref(&keys), &touches);
        let (wrong, _) = seen(1, &[disguised(&keys, shift, only)], &touches);
        prop_assert_eq!(right, wrong);
    }

    #[test]
    fn a_run_closes_at_the_same_time_right_or_wrong(
        touches in touches(),
        shift in prop_oneof![Just(-1_i64), Just(1), Just(3)],
        number in 7..=8_u32,
    ) {
        let chords = line(&Room::mixed().item(number));
        // All keys are shifted: two chords share a key in both performances or in neither.
        let other: Vec<Vec<Key>> = chords
            .iter()
            .map(|keys| disguised(keys, shift, usize::MAX))
            .collect();
        let (right, _) = seen(number, &chords, &touches);
        let (wrong, _) = seen(number, &other, &touches);
        prop_assert_eq!(right, wrong);
    }

    /// The capture that gives the marks never goes on after the item has closed.
    #[test]
    fn nothing_counts_that_comes_after_the_closing(touches in touches(), soft in any::<bool>()) {
        let touches: Vec<_> = touches
            .into_iter()
            .map(|(gap, touch)| match touch {
                Touch::Strike(finger, velocity) if soft => (gap, Touch::Strike(finger, velocity % 25 + 1)),
                other => (gap, other),
            })
            .collect();
        let mut room = Room::mixed();
        let keys = room.right(1);
        let mut at = 0;
        let mut all = Vec::new();
        let _ = room.at(at, Event::Shown(1));
        for (gap, touch) in &touches {
            at += gap;
            for action in actions(touch, &keys) {
                all.push(crate::marking::Event::new(Time::from_ms(at), action.clone()));
                let _ = room.did(at, action);
            }
        }
        let _ = room.wait(300_000);
        let mark = |events: &[crate::marking::Event]| {
            let exam = room.sitting.exam();
            crate::marking::item::mark(exam, &room.item(1), Allowance::NONE, events, None)
        };
        prop_assert_eq!(mark(&room.showing(1).events), mark(&all));
    }
}

/// A right chord is offered before the key that follows it, a wrong one after.
#[test]
fn a_key_between_two_offers_tells_nothing() {
    let touches = [
        (0, Touch::Chord(20)),
        (60, Touch::Lift(1)),
        (0, Touch::Lift(2)),
        (21, Touch::Strike(3, 20)),
        (0, Touch::Lift(0)),
    ];
    let keys = Room::mixed().right(1);
    let (right, credit) = seen(1, std::slice::from_ref(&keys), &touches);
    let (wrong, other) = seen(1, &[disguised(&keys, -2, 0)], &touches);

    assert_eq!(right, wrong);
    assert_ne!(credit, other);
}

#[test]
fn a_right_and_a_wrong_answer_are_seen_alike() {
    let play = |right: bool| {
        let mut room = Room::mixed();
        let Task::Ear(task) = room.item(9).task else {
            unreachable!()
        };
        let text = match right {
            true => task.answers[0][0].clone(),
            false => "none".to_owned(),
        };
        let _ = room
            .at(0, Event::Shown(9))
            .answer(4_000, &text)
            .did(5_000, Action::HandIn)
            .at(20_000, Event::Shown(12))
            .answer(22_000, &text)
            .wait(90_000);
        (std::mem::take(&mut room.log), room.credit(9))
    };
    let (right, wrong) = (play(true), play(false));
    assert_eq!(right.0, wrong.0);
    assert_eq!((right.1.as_str(), wrong.1.as_str()), ("1.00", "0.00"));
}
