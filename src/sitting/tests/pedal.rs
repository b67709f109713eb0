//! A pedal that the prompt finds down, or up again.

use crate::exam::{code::Code, draw, read};
use crate::marking::event::Action;
use crate::marking::item::Allowance;
use crate::sitting::outcome::outcome;
use crate::sitting::{Event, Sitting};
use crate::theory::Key;
use crate::time::Time;

const PEDALLED: &str = r#"
title = "Two chords with the pedal"
[rules]
warm_ups = 0
reserve = 0
seats = 1
[[section]]
id = "A"
title = "Chords"
kind = "voicing"
points = 10
seconds = 6
pedal = true
form = "guide-tones"
cells = [{ count = 2, quality = "7", roots = ["C", "D"], order = "seventh on top" }]
"#;

/// Sits the second of two chords, its hands one after the other, the pedal moved before it; gives
/// the level and the evidence of the pedal.
fn second_chord(pedal: &[(i64, u8)]) -> (u8, Vec<String>) {
    let exam = read::read(PEDALLED, "pedalled")
        .0
        .expect("the script is right");
    let form = draw::draw(&exam, Code::FIRST).expect("two chords can be drawn");
    let chord = if form.items[1].prompt.starts_with('C') {
        [36, 43, 64, 70]
    } else {
        [38, 45, 66, 72]
    };
    let mut sitting = Sitting::new(exam, form, Allowance::NONE);
    let mut events = vec![(0, Event::Shown(1)), (30_000, Event::Shown(2))];
    for (at, value) in pedal {
        events.push((*at, Event::Did(Action::Pedal(*value))));
    }
    for (at, hand) in [(31_000, &chord[..2]), (32_000, &chord[2..])] {
        for key in hand {
            let key = Key::new(*key).expect("a key");
            events.push((at, Event::Did(Action::Down(key, 64))));
            events.push((at + 500, Event::Did(Action::Up(key))));
        }
    }
    events.sort_by_key(|(at, _)| *at);
    for (at, event) in events {
        drop(sitting.update(event, Time::from_ms(at)));
    }
    drop(sitting.update(Event::Finished, Time::from_ms(60_000)));
    let outcome = outcome(&sitting);
    let of_pedal = sitting.showings()[1]
        .events
        .iter()
        .filter(|event| matches!(event.action, Action::Pedal(_)))
        .map(|event| format!("{} {:?}", event.at, event.action))
        .collect();

    (outcome.items[1].marked.level(), of_pedal)
}

#[test]
fn a_pedal_that_is_down_at_the_prompt_prolongs_keys() {
    let (level, evidence) = second_chord(&[]);
    assert_eq!((level, evidence.len()), (0, 0));

    let found = ["0.0 Pedal(127)"];
    assert_eq!(
        second_chord(&[(1000, 127)]),
        (4, found.map(String::from).into())
    );
    // Between items it moves unrecorded.
    assert_eq!(
        second_chord(&[(29_000, 127)]),
        (4, found.map(String::from).into())
    );
}

#[test]
fn a_pedal_that_came_up_between_items_is_up_in_the_evidence() {
    let up = ["0.0 Pedal(0)"];
    assert_eq!(
        second_chord(&[(1000, 127), (29_000, 0)]),
        (0, up.map(String::from).into())
    );
}

#[test]
fn what_is_said_of_the_pedal_at_the_prompt_is_in_the_evidence_once() {
    let up = ["0.0 Pedal(0)"];
    assert_eq!(
        second_chord(&[(1000, 127), (30_000, 0)]),
        (0, up.map(String::from).into())
    );
}
