//! Marks that an examiner at a piano enters by hand: the same as at the keyboard, or a clear word.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod refused;
mod same;
mod verbs;

use viva_voicing::cohort::csv::Table;
use viva_voicing::exam::form::{Form, Task};
use viva_voicing::exam::item::same_answer;
use viva_voicing::exam::script::Exam;
use viva_voicing::fraction::{self, Fraction};
use viva_voicing::marking::item::{Allowance, Marked};
use viva_voicing::results::by_hand::{self, Asked};
use viva_voicing::sitting::Sitting;
use viva_voicing::sitting::by_hand::ByHand;
use viva_voicing::sitting::outcome::{ItemOutcome, outcome};
use viva_voicing::theory::Name;
use viva_voicing::time::Time;

/// The digest that stands for a script's.
pub(crate) const DIGEST: &str = "00deadbeef00deadbeef00deadbeef00";

/// The columns of a table.
pub(crate) const HEADS: [&str; 12] = [
    "item", "section", "part", "prompt", "allowed", "entry", "seconds", "by", "remark", "exam",
    "form", "script",
];

/// The lines of an empty table, without its heads.
pub(crate) fn empty(exam: &Exam, form: &Form, digest: &str) -> Vec<Vec<String>> {
    let text = by_hand::write(exam, form, digest);
    let mut reader = csv::Reader::from_reader(text.trim_start_matches('\u{feff}').as_bytes());
    assert_eq!(reader.headers().unwrap(), HEADS.as_slice());

    reader
        .records()
        .map(|row| row.unwrap().iter().map(str::to_owned).collect())
        .collect()
}

/// Lines as a table.
pub(crate) fn table(lines: &[Vec<String>]) -> String {
    let mut table = Table::new("marks.csv", HEADS);
    for line in lines {
        for cell in line {
            let _ = table.text(cell);
        }
        table.end();
    }
    table.csv().to_owned()
}

fn decimal(value: Fraction) -> String {
    let text = fraction::hundredths(value);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// What an examiner would have entered of an item that the program has marked: entry and seconds.
fn entered(of: &ItemOutcome<'_>, part: &str) -> (String, String) {
    let only = |text: String| (text, String::new());
    let first = matches!(part, "" | "1" | "whole");
    if of.voided().is_some() {
        return only(if first {
            "void".to_owned()
        } else {
            String::new()
        });
    }
    match (&of.item.task, &of.marked) {
        (_, Marked::NotReached) if first => only("not reached".to_owned()),
        (_, Marked::NotReached) => only(String::new()),
        (_, Marked::Voicing(marked)) => {
            let added = of.showing.map_or(Time::ZERO, |showing| showing.added);
            let time = marked.facts.complete.filter(|_| added == Time::ZERO);
            let seconds = time.map(|time| format!("{:.4}", time.as_seconds()));
            (marked.level.to_string(), seconds.unwrap_or_default())
        }
        (Task::Run(task), Marked::Run(marked)) => {
            let credit = |name: &str| {
                let found = marked.criteria.iter().find(|(of, ..)| *of == name);
                found.map_or_else(Fraction::default, |(.., credit)| *credit)
            };
            let n = Fraction::from_integer(task.chords.len() as i64);
            let harmony = credit("harmony");
            let step = |name: &str, least: i64| {
                if harmony == Fraction::default() {
                    return least.to_string();
                }
                (credit(name) * Fraction::from_integer(4) / harmony).to_string()
            };
            only(match part {
                "harmony" => decimal(harmony * n),
                "voicing" => decimal(credit("voicing") * n),
                "leading" => step("voice leading", 0),
                "time" => step("time", 0),
                "readiness" => step("readiness", 1),
                _ => String::new(),
            })
        }
        (Task::Ear(task), Marked::Ear(marked)) if task.is_played() => {
            let steps = Fraction::from_integer(task.steps().len() as i64);
            let right = marked.credit * steps;
            // What was played beside it costs a share that no whole number of steps tells.
            only(match right.is_integer() {
                true if steps == Fraction::from_integer(1) => {
                    ["wrong", "right"][right.to_integer() as usize].to_owned()
                }
                true => right.to_integer().to_string(),
                false => right.floor().to_integer().to_string(),
            })
        }
        (Task::Ear(task), Marked::Ear(marked)) => {
            let texts = marked.text.clone().unwrap_or_default();
            let place = match part.split_once(' ') {
                Some((chord, word)) => {
                    2 * (chord.parse::<usize>().unwrap() - 1) + usize::from(word == "quality")
                }
                None => part.parse::<usize>().unwrap_or(1) - 1,
            };
            let text = match part {
                "" => texts.clone(),
                _ => parts(&texts).into_iter().nth(place).unwrap_or_default(),
            };
            let mut known = task.options[place].iter().chain(&task.answers[place]);
            only(match text.trim() {
                "" => "none".to_owned(),
                text if known.any(|known| same_answer(known, text)) => text.to_owned(),
                // What could not be chosen is wrong, whatever it is.
                _ => "wrong".to_owned(),
            })
        }
        (_, Marked::Spell(marked)) => only(match marked.text.as_deref() {
            None => "none".to_owned(),
            Some(text) if text.split([' ', ',']).any(|name| Name::parse(name).is_ok()) => {
                text.to_owned()
            }
            Some(_) => "wrong".to_owned(),
        }),
        (_, Marked::Panel(given)) => only(given.as_ref().map_or_else(
            || "awaited".to_owned(),
            |(credit, _)| decimal(*credit * Fraction::from_integer(10)),
        )),
        (_, other) => panic!("{other:?}"),
    }
}

/// The parts of an answer, between strokes; some may be empty.
fn parts(text: &str) -> Vec<String> {
    let words: Vec<&str> = text.split_whitespace().collect();

    words
        .split(|word| *word == "/")
        .map(|part| part.join(" "))
        .collect()
}

/// The table that an examiner would have filled in of a sitting at the keyboard.
pub(crate) fn copied(sitting: &Sitting, digest: &str) -> Vec<Vec<String>> {
    let outcome = outcome(sitting);
    let mut lines = empty(sitting.exam(), sitting.form(), digest);

    for line in &mut lines {
        let number: u32 = line[0].parse().unwrap();
        let shown = || outcome.items.iter().filter(|of| of.item.number == number);
        // A run that was started again has its number twice.
        let of = shown().find(|of| of.counts()).or_else(|| shown().next());
        let Some(of) = of else {
            continue;
        };
        let (entry, seconds) = entered(of, &line[2]);
        if let (Some(reason), false) = (of.voided(), entry.is_empty()) {
            reason.clone_into(&mut line[8]);
        }
        line[5] = entry;
        line[6] = seconds;
    }

    lines
}

/// Reads a table as one of an exam and a form.
pub(crate) fn read(
    text: &str,
    (exam, form, allowance): (&Exam, &Form, Allowance),
    by: Option<&str>,
) -> Result<ByHand, Vec<String>> {
    let asked = Asked {
        exam,
        form,
        digest: DIGEST,
        allowance,
        by,
    };

    by_hand::read(text, &asked).map_err(|faults| faults.iter().map(ToString::to_string).collect())
}
