//! What was seen in an item, beside its mark.

use std::fmt::Write as _;

use super::block::{Block, quoted};
use crate::exam::form::{EarTask, Task};
use crate::fraction;
use crate::marking::hearing::played::{self, Step};
use crate::marking::item::Marked;
use crate::marking::{run, voicing};
use crate::theory::symbol;

/// What there is to tell of an item.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Told {
    /// Everything.
    All,
    /// All but how the keys were touched, which the instrument does not tell.
    WithoutTouch,
    /// What an examiner noted.
    ByHand,
}

/// Writes what was seen in an item beside its mark.
pub(super) fn facts(block: &mut Block, task: &Task, marked: &Marked, told: Told) {
    let touch = told == Told::All;

    asked(block, task);
    match marked {
        Marked::Voicing(marked) if told == Told::ByHand => {
            if let Some(complete) = marked.facts.complete {
                block.ms("complete_ms", complete);
            }
        }
        Marked::Voicing(marked) => {
            let facts = &marked.facts;
            block.flag("walked", facts.walked);
            block.line("attempts", &facts.attempts.to_string());
            let keys: Vec<String> = facts.keys.numbers().map(|key| key.to_string()).collect();
            block.line("keys", &format!("[{}]", keys.join(", ")));
            if let Some(first) = facts.first_note {
                block.ms("first_note_ms", first);
            }
            if let Some(complete) = facts.complete {
                block.ms("complete_ms", complete);
            }
            if let Some((left, right, chord)) = facts.spread.filter(|_| touch) {
                block.line("spread_ms", &format!("[{left}, {right}, {chord}]"));
                block.text("spread", voicing::spread_words(chord));
            }
            for (key, count) in [
                ("foreign", facts.foreign),
                ("grazes", facts.grazes),
                ("restrikes", facts.restrikes),
            ] {
                if count > 0 {
                    block.line(key, &count.to_string());
                }
            }
            if let Some(hold) = facts.hold {
                block.ms("hold_ms", hold);
            }
            if let Some(balance) = facts.balance.filter(|_| touch) {
                block.line("balance", &balance.to_string());
            }
            if !facts.low.is_empty() {
                block.texts("low_intervals", &facts.low);
            }
        }
        Marked::Run(marked) => run_facts(block, task, marked),
        Marked::Ear(marked) => {
            if let Task::Ear(task) = task {
                let answered = marked.answered.iter().copied().enumerate();
                let answered: Vec<String> = if task.is_played() && marked.untold.is_empty() {
                    steps(task, &marked.played)
                } else {
                    answered
                        .map(|(part, at)| match marked.untold.contains(&part) {
                            true => UNTOLD.to_owned(),
                            false => option(task, part, at),
                        })
                        .collect()
                };
                block.texts("answered", &answered);
            }
            if let Some(text) = &marked.text {
                block.text("answer", text);
            }
            if told != Told::ByHand {
                block.line("hearings", &marked.hearings.to_string());
            }
            if let Some(at) = marked.at {
                block.ms("answered_ms", at);
            }
        }
        Marked::Spell(marked) => {
            if let Some(text) = &marked.text {
                block.text("answer", text);
            }
            if let Some(at) = marked.at {
                block.ms("answered_ms", at);
            }
        }
        Marked::Panel(_) | Marked::NotReached => {}
    }
}

/// Stands for a wrong answer of which no more was noted; none is left empty.
const UNTOLD: &str = "(wrong, not noted)";

/// Writes what was asked, for those who read no form: the chord, and what was right to answer.
fn asked(block: &mut Block, task: &Task) {
    match task {
        Task::Voicing(task) => {
            block.text("chord", &symbol::ascii(task.chord));
            block.text("form", &task.form);
        }
        Task::Ear(task) => {
            let keys = task.right.iter().enumerate();
            let keys: Vec<String> = if task.is_played() {
                steps(task, &task.steps())
            } else {
                keys.map(|(part, at)| option(task, part, Some(*at)))
                    .collect()
            };
            block.texts("right", &keys);
        }
        Task::Spell(task) => {
            let names: Vec<String> = task
                .tones
                .iter()
                .filter_map(|(_, names)| names.first().map(|name| name.ascii()))
                .collect();
            block.text("chord", &symbol::ascii(task.chord));
            block.texts("right", &names);
        }
        Task::Run(_) | Task::Panel(_) => {}
    }
}

/// The keys of each step by their names.
fn steps(task: &EarTask, steps: &[Step]) -> Vec<String> {
    steps
        .iter()
        .map(|step| played::words(task, std::slice::from_ref(step)))
        .collect()
}

/// The words of an option, empty where there is none.
fn option(task: &EarTask, part: usize, at: Option<usize>) -> String {
    at.and_then(|at| task.options.get(part)?.get(at).cloned())
        .unwrap_or_default()
}

fn run_facts(block: &mut Block, task: &Task, marked: &run::Marked) {
    let criteria: Vec<String> = marked
        .criteria
        .iter()
        .map(|(name, weight, credit)| {
            format!(
                "{{ criterion = {}, weight = {weight}, credit = {} }}",
                quoted(name),
                fraction::hundredths(*credit)
            )
        })
        .collect();
    if !criteria.is_empty() {
        block.line("criteria", &format!("[{}]", criteria.join(", ")));
    }
    if let Some(lag) = marked.lag {
        block.ms("lag_ms", lag);
    }
    // By hand nobody notes chord by chord.
    let (Task::Run(task), false) = (task, marked.chords.is_empty()) else {
        return;
    };
    let word = |step: run::Step| match step {
        run::Step::Right => "right",
        run::Step::Late => "late",
        run::Step::Wrong => "wrong",
    };
    let chords: Vec<String> = task
        .chords
        .iter()
        .zip(&marked.chords)
        .map(|(chord, mark)| {
            let keys: Vec<String> = mark.keys.numbers().map(|key| key.to_string()).collect();
            let mut text = format!(
                "\n    {{ symbol = {}, harmony = \"{}\", voicing = \"{}\", keys = [{}]",
                quoted(&symbol::ascii(chord.chord)),
                word(mark.harmony),
                word(mark.voicing),
                keys.join(", ")
            );
            if let Some(onset) = mark.onset {
                let _ = write!(text, ", onset_ms = {onset}");
            }
            if let Some(complete) = mark.complete {
                let _ = write!(text, ", complete_ms = {complete}");
            }
            text + " },"
        })
        .collect();
    block.line("chords", &format!("[{}\n]", chords.concat()));
}
