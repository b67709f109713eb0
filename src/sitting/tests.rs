//! Sittings driven by hand: what happens when.

mod course;
mod ear;
mod interruption;
mod pedal;
mod practice;
mod run;
mod seen;
mod stored;
mod voicing;

use std::sync::LazyLock;

use super::outcome::outcome;
use super::*;
use crate::exam::code::Code;
use crate::exam::form::Item;
use crate::exam::{draw, read};
use crate::fraction;
use crate::marking::event::Action;
use crate::theory::{Key, leading};

/// One section of each kind, with a rest.
const MIXED: &str = r#"
[[section]]
id = "A"
title = "Cold voicings"
kind = "voicing"
points = 40
seconds = 6
gap = 2
form = "guide-tones"
cells = [
    { count = 3, quality = "7", order = "third on top" },
    { count = 3, quality = "m7", order = "seventh on top" },
]

[[section]]
id = "pause"
title = "A short rest"
kind = "rest"
seconds = 30

[[section]]
id = "B"
title = "Runs"
kind = "run"
points = 20
gap = 3
form = "guide-tones"
cells = [
    { progression = "cycle-of-fourths", chords = 5, quality = "7", start = "third on top", seconds = 6 },
    { progression = "ii-V-I", roots = ["C"], start = "third on top", tempo = 120, bars_in = 1, look = 10 },
]

[[section]]
id = "C"
title = "Listening"
kind = "ear"
ask = "quality"
points = 20
seconds = 10
hearings = 2
gap = 2
options = ["maj7", "7", "m7"]
cells = [
    { count = 1, quality = "maj7", spacing = "close" },
    { count = 1, quality = "7", spacing = "close" },
    { count = 1, quality = "m7", spacing = "close" },
]

[[section]]
id = "D"
title = "Spelling"
kind = "spell"
points = 10
seconds = 20
gap = 2
cells = [{ count = 2, quality = "7" }]

[[section]]
id = "E"
title = "Time feel"
kind = "panel"
points = 10
criteria = ["Steady time", "Sound"]
"#;

/// Reads an exam; `rules` are lines of its `[rules]`.
fn exam(rules: &str, sections: &str) -> Exam {
    let source = format!(
        "title = \"Try-out\"\nlevel = \"class\"\nedition = \"1\"\nabout = \"A try-out.\"\n\n\
         [rules]\ntiming = \"Time is examined.\"\nseats = 1\n{rules}\n{sections}"
    );
    let (exam, diagnostics) = read::read(&source, "try-out");

    exam.unwrap_or_else(|| panic!("{diagnostics:#?}"))
}

/// A sitting and everything that it asked for, with the moment in milliseconds.
struct Room {
    sitting: Sitting,
    log: Vec<String>,
}

impl Room {
    /// A graded sitting of [`MIXED`] without unmarked items.
    fn mixed() -> Self {
        static DRAWN: LazyLock<(Exam, Form)> = LazyLock::new(|| {
            let exam = exam("warm_ups = 0", MIXED);
            let form = draw::draw(&exam, Code::FIRST).unwrap();
            (exam, form)
        });
        let (exam, form) = DRAWN.clone();

        Self {
            sitting: Sitting::new(exam, form, Allowance::NONE),
            log: Vec::new(),
        }
    }

    fn of(exam: Exam) -> Self {
        Self::allowed(exam, Allowance::NONE)
    }

    fn allowed(exam: Exam, allowance: Allowance) -> Self {
        let form = draw::draw(&exam, Code::FIRST).unwrap();

        Self {
            sitting: Sitting::new(exam, form, allowance),
            log: Vec::new(),
        }
    }

    /// Lets time pass, and notes each thing at its own moment.
    fn wait(&mut self, ms: i64) -> &mut Self {
        self.wait_until(Time::from_ms(ms))
    }

    fn wait_until(&mut self, at: Time) -> &mut Self {
        while let Some(due) = self.sitting.deadline().filter(|due| *due < at) {
            let before = self.sitting.deadline();
            let effects = self.sitting.advance(due + Time::from_tenths(1));
            self.note(due, &effects);
            assert_ne!(
                (self.sitting.deadline(), effects.len()),
                (before, 0),
                "the sitting does not get on"
            );
        }
        let effects = self.sitting.advance(at);
        assert!(effects.is_empty(), "late: {effects:?}");
        self
    }

    fn at(&mut self, ms: i64, event: Event) -> &mut Self {
        self.at_time(Time::from_ms(ms), event)
    }

    fn at_time(&mut self, at: Time, event: Event) -> &mut Self {
        let _ = self.wait_until(at);
        let effects = self.sitting.update(event, at);
        self.note(at, &effects);
        self
    }

    fn did(&mut self, ms: i64, action: Action) -> &mut Self {
        self.at(ms, Event::Did(action))
    }

    fn press(&mut self, ms: i64, keys: &[Key]) -> &mut Self {
        for key in keys {
            let _ = self.did(ms, Action::Down(*key, 80));
        }
        self
    }

    fn lift(&mut self, ms: i64, keys: &[Key]) -> &mut Self {
        for key in keys {
            let _ = self.did(ms, Action::Up(*key));
        }
        self
    }

    fn answer(&mut self, ms: i64, text: &str) -> &mut Self {
        self.did(ms, Action::Answer(text.to_owned()))
    }

    fn note(&mut self, at: Time, effects: &[Effect]) {
        for effect in effects {
            let text = match effect {
                Effect::WarmUp(place) => format!("warm-up {place}"),
                Effect::Page(section) => format!("page {section}"),
                Effect::Show(number) => format!("show {number}"),
                Effect::Again(number) => format!("again {number}"),
                Effect::Sound(number) => format!("sound {number}"),
                Effect::Closed(number) => format!("closed {number}"),
                Effect::Rest(until) => format!("rest until {until}"),
                Effect::ClockStopped => "clock stopped".to_owned(),
                Effect::Ended => "ended".to_owned(),
            };
            self.log.push(format!("{at} {text}"));
        }
    }

    /// Compares what has been noted since the last look.
    fn expect(&mut self, expected: &[&str]) -> &mut Self {
        assert_eq!(std::mem::take(&mut self.log), expected);
        self
    }

    fn item(&self, number: u32) -> Item {
        self.sitting.form().item(number).unwrap().clone()
    }

    /// A right set of keys for a voicing item.
    fn right(&self, number: u32) -> Vec<Key> {
        right(&self.item(number))
    }

    /// The first showing of an item that counts, or its last one.
    fn showing(&self, number: u32) -> &Showing {
        let all = || {
            self.sitting
                .showings()
                .iter()
                .filter(|showing| showing.number == number)
        };

        all()
            .find(|showing| showing.voided.is_none())
            .or_else(|| all().next_back())
            .expect("the item was shown")
    }

    /// The credit of an item that counts, in hundredths.
    fn credit(&self, number: u32) -> String {
        let outcome = outcome(&self.sitting);
        let item = outcome
            .items
            .iter()
            .find(|item| item.item.number == number && item.counts());

        item.and_then(|item| item.marked.credit())
            .map_or("none".to_owned(), fraction::hundredths)
    }

    fn reasons(&self, number: u32) -> Vec<String> {
        let outcome = outcome(&self.sitting);
        let item = outcome
            .items
            .iter()
            .find(|item| item.item.number == number && item.counts());

        item.map(|item| item.marked.reasons()).unwrap_or_default()
    }

    fn kinds(&self) -> Vec<(&str, &str)> {
        self.sitting
            .incidents()
            .iter()
            .map(|incident| (incident.kind.as_str(), incident.text.as_str()))
            .collect()
    }
}

fn right(item: &Item) -> Vec<Key> {
    match &item.task {
        Task::Voicing(task) => task.voicing.realise(task.chord.root.class()).unwrap(),
        other => panic!("not a voicing: {other:?}"),
    }
}

/// Right sets of keys for the chords of a run.
fn line(item: &Item) -> Vec<Vec<Key>> {
    let Task::Run(task) = &item.task else {
        panic!("not a run: {item:?}");
    };
    let chords: Vec<_> = task
        .chords
        .iter()
        .zip(&task.lines[0])
        .map(|(chord, voicing)| (chord.chord.root.class(), voicing))
        .collect();

    leading::line(&chords).unwrap()
}

/// The same keys a semitone higher: wrong in every note, with the same hands.
fn wrong(keys: &[Key]) -> Vec<Key> {
    keys.iter()
        .map(|key| Key::new(i64::from(key.number()) + 1).unwrap())
        .collect()
}
