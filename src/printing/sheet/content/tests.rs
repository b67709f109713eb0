//! Sheets of sittings whose keys are known.

mod by_hand;
mod chords;
mod course;

use std::collections::BTreeMap;

use super::*;
use crate::exam::code::Code;
use crate::exam::form::{Form, Task};
use crate::exam::{draw, read};
use crate::fraction::Fraction;
use crate::marking::Event;
use crate::marking::event::Action;
use crate::marking::item::Allowance;
use crate::results::{document, summary};
use crate::sitting::equipment::Equipment;
use crate::sitting::outcome::outcome;
use crate::sitting::{End, Incident, Past, Showing};
use crate::theory::Key;

const SCRIPT: &str = r#"
title = "Try-out"
level = "class"
edition = "1"
about = "A try-out."
pass = 60

[rules]
timing = "Time is examined."
seats = 1
warm_ups = 0
reserve = 20

[[band]]
from = 82
name = "assured"

[[band]]
from = 0
name = "not yet"

[[section]]
id = "A"
title = "Cold voicings"
kind = "voicing"
points = 50
hurdle = 30
seconds = 6
grace = 2
gap = 2
form = "guide-tones"
cells = [
    { count = 6, quality = "7", order = "third on top" },
    { count = 6, quality = "m7", roots = ["Db", "C", "F", "Bb", "E", "G"], order = "seventh on top" },
]

[[section]]
id = "B"
title = "Runs"
kind = "run"
points = 20
gap = 3
form = "guide-tones"
cells = [
    { progression = "ii-V-I", roots = ["F"], start = "seventh on top", tempo = 120, bars_in = 1, look = 10 },
]

[[section]]
id = "C"
title = "Listening"
kind = "ear"
ask = "quality"
points = 10
seconds = 10
hearings = 2
gap = 2
options = ["maj7", "7", "m7"]
cells = [
    { count = 2, quality = "maj7", spacing = "close" },
    { count = 2, quality = "7", spacing = "close" },
    { count = 6, quality = "m7", spacing = "close" },
]

[[section]]
id = "D"
title = "Spelling"
kind = "spell"
points = 10
seconds = 20
gap = 2
cells = [{ count = 1, quality = "7", roots = ["Ab"] }]

[[section]]
id = "E"
title = "Time feel"
kind = "panel"
points = 10
criteria = ["Steady time", "Sound"]
"#;

/// How a student answers: what is done in an item, given its place among those of its kind.
pub(in crate::printing::sheet) struct Student {
    pub(in crate::printing::sheet) voicing: fn(usize, &Item) -> Vec<Event>,
    pub(in crate::printing::sheet) ear: fn(usize, &Item) -> Option<String>,
    pub(in crate::printing::sheet) spell: &'static str,
}

/// Answers everything right, in two seconds.
pub(in crate::printing::sheet) const GOOD: Student = Student {
    voicing: |_, item| chord(item, 2000, |_| {}),
    ear: |_, item| right(item),
    spell: "Ab C Eb Gb",
};

pub(in crate::printing::sheet) fn ms(ms: i64) -> Time {
    Time::from_ms(ms)
}

fn key(number: i64) -> Key {
    Key::new(number).unwrap()
}

/// The chord asked, changed, struck at a time and held for half a second.
pub(in crate::printing::sheet) fn chord(
    item: &Item,
    at: i64,
    change: fn(&mut Vec<i64>),
) -> Vec<Event> {
    let Task::Voicing(task) = &item.task else {
        return Vec::new();
    };
    let keys = task.voicing.realise(task.chord.root.class()).unwrap();
    let mut numbers: Vec<i64> = keys.iter().map(|key| i64::from(key.number())).collect();
    change(&mut numbers);

    let struck = numbers.iter().enumerate().map(|(place, number)| {
        let at = ms(at - 10 * (numbers.len() - 1 - place) as i64);
        Event::new(at, Action::Down(key(*number), 70 + place as u8))
    });
    let raised = numbers
        .iter()
        .map(|number| Event::new(ms(at + 2000), Action::Up(key(*number))));

    struck.chain(raised).collect()
}

pub(in crate::printing::sheet) fn right(item: &Item) -> Option<String> {
    match &item.task {
        Task::Ear(task) => Some(task.options[0][task.right[0]].clone()),
        _ => None,
    }
}

pub(in crate::printing::sheet) fn drawn() -> (Exam, Form) {
    let (exam, diagnostics) = read::read(SCRIPT, "try-out");
    let exam = exam.unwrap_or_else(|| panic!("{diagnostics:#?}"));
    let form = draw::draw(&exam, Code::FIRST).unwrap();

    (exam, form)
}

pub(in crate::printing::sheet) fn past(form: &Form, student: &Student) -> Past {
    let mut showings = Vec::new();
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    let mut now = ms(10_000);

    for item in &form.items {
        let place = counts.entry(item.task.word()).or_default();
        let events = match &item.task {
            Task::Voicing(_) => (student.voicing)(*place, item),
            Task::Ear(_) => (student.ear)(*place, item)
                .map(|text| vec![Event::new(ms(3000), Action::Answer(text))])
                .unwrap_or_default(),
            Task::Spell(_) => vec![Event::new(
                ms(9000),
                Action::Answer(student.spell.to_owned()),
            )],
            Task::Run(_) => Vec::new(),
            Task::Panel(_) => continue,
        };
        *place += 1;
        showings.push(Showing {
            number: item.number,
            shown: now,
            zero: now,
            events,
            ended: None,
            added: Time::ZERO,
            voided: None,
            bass: None,
        });
        now += ms(15_000);
    }

    Past {
        now,
        showings,
        incidents: Vec::new(),
        panel: BTreeMap::new(),
        overrules: Vec::new(),
        by_hand: None,
        end: Some(End::Complete),
    }
}

pub(in crate::printing::sheet) fn given() -> Given {
    Given {
        program: "1.0.0".to_owned(),
        script: SCRIPT.to_owned(),
        digest: "5f0c91ab".repeat(8),
        candidate: "3118".to_owned(),
        started: "2026-03-12T10:21:00+01:00".to_owned(),
        equipment: Equipment {
            instrument: "MIDI keyboard".to_owned(),
            ..Equipment::default()
        },
        remark: None,
        journal: None,
    }
}

pub(in crate::printing::sheet) fn sat(
    student: &Student,
    change: impl FnOnce(&Form, &mut Past),
) -> Sitting {
    let (exam, form) = drawn();
    let mut past = past(&form, student);
    change(&form, &mut past);

    Sitting::restored(exam, form, Allowance::NONE, past)
}

pub(in crate::printing::sheet) fn of(
    sitting: &Sitting,
    given: &Given,
    earlier: &[Summary],
) -> Content {
    content(sitting, given, &outcome(sitting), "8e27-44d1", earlier)
}
