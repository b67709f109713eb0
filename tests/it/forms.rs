//! Forms as they are drawn: their cells, their order, their spare items, sounds and codes.

mod codes;
mod drawn;
mod golden;
mod parallel;
mod script;
mod small;
mod sound;
mod spare;

use viva_voicing::exam::form::{EarTask, Form, Item, RunTask, SpellTask, Task, VoicingTask};
use viva_voicing::exam::read;
use viva_voicing::exam::script::Exam;
use viva_voicing::theory::symbol;

const SHIPPED: &str = include_str!("../../exams/guide-tones.toml");

/// Reads a script that must be without fault.
fn exam(source: &str) -> Exam {
    let (exam, found) = read::read(source, "test");

    exam.unwrap_or_else(|| panic!("{found:?}"))
}

fn shipped() -> Exam {
    exam(SHIPPED)
}

fn voicing(item: &Item) -> &VoicingTask {
    match &item.task {
        Task::Voicing(task) => task,
        other => panic!("item {} is a {}", item.number, other.word()),
    }
}

fn run(item: &Item) -> &RunTask {
    match &item.task {
        Task::Run(task) => task,
        other => panic!("item {} is a {}", item.number, other.word()),
    }
}

fn ear(item: &Item) -> &EarTask {
    match &item.task {
        Task::Ear(task) => task,
        other => panic!("item {} is a {}", item.number, other.word()),
    }
}

fn spell(item: &Item) -> &SpellTask {
    match &item.task {
        Task::Spell(task) => task,
        other => panic!("item {} is a {}", item.number, other.word()),
    }
}

/// The items of a section, in their order.
fn section(form: &Form, section: usize) -> Vec<&Item> {
    form.items
        .iter()
        .filter(|item| item.section == section)
        .collect()
}

pub(crate) fn root(item: &Item) -> u8 {
    match &item.task {
        Task::Voicing(task) => task.chord.root.class(),
        Task::Run(task) => task.chords[0].chord.root.class(),
        Task::Ear(task) => task.root,
        Task::Spell(task) => task.chord.root.class(),
        Task::Panel(_) => panic!("a panel item has no root"),
    }
}

/// The degrees of a hand as they are written: `3 7`.
fn degrees(hand: &[viva_voicing::theory::Degree]) -> String {
    let numbers: Vec<_> = hand
        .iter()
        .map(|degree| degree.number().to_string())
        .collect();

    numbers.join(" ")
}

/// The keys that sound, strike by strike.
fn keys(task: &EarTask) -> Vec<Vec<u8>> {
    task.sound
        .strikes
        .iter()
        .map(|strike| strike.keys.iter().map(|(key, _)| *key).collect())
        .collect()
}

/// What an item asks, in full: equal texts are the same item.
pub(crate) fn content(item: &Item) -> String {
    match &item.task {
        Task::Voicing(task) => format!(
            "{} {} {:?}",
            symbol::ascii(task.chord),
            task.form,
            task.voicing.hands
        ),
        Task::Run(task) => {
            let chords: Vec<_> = task
                .chords
                .iter()
                .map(|placed| symbol::ascii(placed.chord))
                .collect();
            let first: Vec<_> = task.lines.iter().map(|line| &line[0].hands).collect();
            format!(
                "{} {} {first:?} {:?}",
                chords.join(" "),
                task.form,
                task.pace
            )
        }
        Task::Ear(task) => format!("{:?} {:?}", keys(task), task.right),
        Task::Spell(task) => symbol::ascii(task.chord),
        Task::Panel(task) => task.criterion.clone(),
    }
}
