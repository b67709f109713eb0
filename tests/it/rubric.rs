//! The figures of the marking rules are defaults that a script may change.

use viva_voicing::exam::{code::Code, draw, form::Task, read, script::Exam};
use viva_voicing::marking::event::{Action, Event};
use viva_voicing::marking::item::{self, Allowance};
use viva_voicing::theory::Key;
use viva_voicing::time::Time;

const SCRIPT: &str = r#"
title = "Two chords"
[rules]
timing = "It is what is asked."
warm_ups = 0
hearings = 3
RUBRIC
[[section]]
id = "A"
title = "Cold"
kind = "voicing"
points = 10
seconds = 6
form = "guide-tones"
cells = [{ count = 2, quality = "7", group = "I", order = "third on top" }]

[[section]]
id = "B"
title = "Round"
kind = "run"
points = 10
tempo = 80
form = "guide-tones"
cells = [{ progression = "cycle-of-fourths", quality = "7", start = "third on top" }]

[[section]]
id = "C"
title = "Heard"
kind = "ear"
ask = "quality"
points = 10
seconds = 8
cells = [{ count = 6, quality = "7" }, { count = 6, quality = "maj7" }]
"#;

fn exam(rubric: &str) -> Exam {
    let source = SCRIPT.replace("RUBRIC", rubric);
    let (exam, diagnostics) = read::read(&source, "two");

    exam.unwrap_or_else(|| panic!("{diagnostics:?}"))
}

/// The credit of an item of a kind, as `n/d`, for events made from its example.
fn credit(exam: &Exam, kind: &str, events: &dyn Fn(&Task) -> Vec<Event>) -> String {
    let form = draw::draw(exam, Code::FIRST).expect("the exam can be drawn");
    let item = form
        .items
        .iter()
        .find(|item| item.task.word() == kind)
        .expect("there is one");
    let marked = item::mark(exam, item, Allowance::NONE, &events(&item.task), None);

    marked.credit().expect("it is marked").to_string()
}

fn down(at: i64, key: Key, velocity: u8) -> Event {
    Event::new(Time::from_ms(at), Action::Down(key, velocity))
}

fn up(at: i64, key: Key) -> Event {
    Event::new(Time::from_ms(at), Action::Up(key))
}

/// The asked chord, a second after the prompt, with a foreign key touched just before it.
fn touched(task: &Task) -> Vec<Event> {
    let Task::Voicing(task) = task else {
        panic!("a voicing was asked for");
    };
    let keys = task
        .voicing
        .realise(task.chord.root.class())
        .expect("it can be played");
    let foreign = Key::new(i64::from(keys[0].number()) + 1).expect("a key");
    let mut events = vec![down(900, foreign, 40), up(960, foreign)];
    events.extend(keys.iter().map(|key| down(1000, *key, 80)));

    events
}

/// The asked line, each chord some milliseconds after its beat.
fn late(by: i64, task: &Task) -> Vec<Event> {
    let Task::Run(task) = task else {
        panic!("a run was asked for");
    };
    let chords: Vec<_> = task
        .chords
        .iter()
        .zip(&task.lines[0])
        .map(|(chord, voicing)| (chord.chord.root.class(), voicing))
        .collect();
    let line = viva_voicing::theory::leading::line(&chords).expect("it can be played");
    let beats = task.timing(100).beats;
    let mut events = Vec::new();

    for (keys, beat) in line.iter().zip(beats) {
        let at = beat.tenths() / 10 + by;
        events.extend(keys.iter().map(|key| down(at, *key, 80)));
        events.extend(keys.iter().map(|key| up(at + 900, *key)));
    }

    events
}

#[test]
fn a_touch_is_a_graze_as_soft_as_the_script_says() {
    assert_eq!(credit(&exam(""), "voicing", &touched), "3/4");
    assert_eq!(
        credit(&exam("[rubric]\ngraze_velocity = 50"), "voicing", &touched),
        "1"
    );
    assert_eq!(
        credit(
            &exam("[rubric]\ngraze_velocity = 50\ngraze_ms = 50"),
            "voicing",
            &touched
        ),
        "3/4"
    );
}

#[test]
fn a_chord_is_late_outside_the_window_that_the_script_says() {
    let played = |task: &Task| late(200, task);

    assert_eq!(credit(&exam(""), "run", &played), "1");
    // Late throughout: half of harmony and voicing, and of what is a share of harmony.
    assert_eq!(
        credit(&exam("[rubric]\nwindow_ms = 100"), "run", &played),
        "1/2"
    );
}

#[test]
fn hearings_are_those_of_the_room_unless_a_section_says_otherwise() {
    let form = draw::draw(&exam(""), Code::FIRST).unwrap();
    let heard = form.items.iter().find_map(|item| match &item.task {
        Task::Ear(task) => Some(task.hearings),
        _ => None,
    });

    assert_eq!(heard, Some(3));
}

#[test]
fn figures_that_cannot_be_are_told_at_their_place() {
    let check = |rubric: &str, expected: &str| {
        let source = SCRIPT.replace("RUBRIC", &format!("[rubric]\n{rubric}"));
        let (exam, diagnostics) = read::read(&source, "two");
        assert!(exam.is_none(), "{rubric}");
        let messages: Vec<&str> = diagnostics
            .iter()
            .map(|found| found.message.as_str())
            .collect();
        assert!(
            messages.iter().any(|message| message.contains(expected)),
            "{messages:?}"
        );
    };

    check("gather_ms = 1", "10 to 10");
    check("time = [5, 13, 8]", "three percents");
    check("time = [5, 8]", "three percents");
    check("gater_ms = 80", "unknown key `gater_ms`");
}
