//! What can be entered of an item: a slot for each line of the table.

use super::number::{decimal, whole};
use crate::exam::form::{EarTask, Item, RunTask, SpellTask, Task};
use crate::exam::item::same_answer;
use crate::exam::script::Pace;
use crate::fraction::{self, Fraction};
use crate::marking::noted::Heard;
use crate::marking::spelling;
use crate::theory::Name;

/// Entered of an item that was not reached.
pub(super) const NOT_REACHED: &str = "not reached";
/// Entered of an item that was voided.
pub(super) const VOID: &str = "void";
/// Entered where nothing was answered.
const NONE: &str = "none";
/// Entered of what a panel has yet to mark.
pub(super) const AWAITED: &str = "awaited";
/// The line for a credit of a run as a whole.
pub(super) const WHOLE: &str = "whole";

/// A line of the table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Slot {
    /// The part of the item; empty where it has one only.
    pub(super) part: String,
    /// What is asked.
    pub(super) prompt: String,
    /// What may be entered, in words.
    pub(super) allowed: String,
    /// The same, to read it by.
    pub(super) kind: Kind,
}

/// What may be entered.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    Level,
    Whole,
    /// Chords counted, of so many.
    Harmony(i64),
    Voicing(i64),
    Leading,
    /// A step of time or readiness, from this one on.
    Pace(i64),
    /// An answer to a part, from 0.
    Heard(usize),
    /// Steps played back rightly, of so many.
    Played(usize),
    Spelled,
    Panel,
}

/// What was entered.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Entry {
    NotReached,
    Void,
    Level(u8),
    Credit(Fraction),
    /// Chords in halves, or a step.
    Count(i64),
    Heard(Heard),
    Spelled(Option<String>),
    Tones(usize),
}

/// The lines of an item.
pub(super) fn of(item: &Item) -> Vec<Slot> {
    let slot = |part: &str, allowed: String, kind: Kind| Slot {
        part: part.to_owned(),
        prompt: item.prompt.clone(),
        allowed,
        kind,
    };
    let or = |allowed: &str| format!("{allowed}; {NOT_REACHED}; {VOID}");

    match &item.task {
        Task::Voicing(_) => vec![slot("", or("level 0 to 4"), Kind::Level)],
        Task::Run(task) => run(task)
            .into_iter()
            .map(|(part, allowed, kind)| slot(part, allowed, kind))
            .collect(),
        Task::Ear(task) if task.is_played() => {
            let of = task.steps();
            let what = match of.iter().all(|step| step.len() == 1) {
                true => "notes",
                false => "chords",
            };
            let allowed = match of.len() {
                1 => format!("right; wrong; {NONE}"),
                n => format!("{what} right in their order, 0 to {n}; right; wrong; {NONE}"),
            };
            vec![slot("", or(&allowed), Kind::Played(of.len()))]
        }
        Task::Ear(task) => (0..task.answers.len().max(1))
            .map(|place| {
                let word = task.asks.get(place).map_or("", |ask| ask.word());
                let question = task.asks.get(place).map_or("", |ask| ask.question());
                let (part, prompt) = match task.answers.len() {
                    0 | 1 => (String::new(), item.prompt.clone()),
                    2 => ((place + 1).to_string(), question.to_owned()),
                    _ => {
                        let chord = place / 2 + 1;
                        (
                            format!("{chord} {word}"),
                            format!("Chord {chord}: {question}"),
                        )
                    }
                };
                Slot {
                    prompt,
                    ..slot(&part, or(&heard(task, place)), Kind::Heard(place))
                }
            })
            .collect(),
        Task::Spell(task) => {
            let allowed = format!(
                "the notes as written; or how many are right, 0 to {}; right; wrong; {NONE}",
                spelling::asked(task)
            );
            vec![slot("", or(&allowed), Kind::Spelled)]
        }
        Task::Panel(task) => {
            let prompt = match task.criterion.as_str() {
                "" => item.prompt.clone(),
                criterion => criterion.to_owned(),
            };
            let allowed = format!("0 to 10; {AWAITED}");
            vec![Slot {
                prompt,
                ..slot("", allowed, Kind::Panel)
            }]
        }
    }
}

fn run(task: &RunTask) -> Vec<(&'static str, String, Kind)> {
    let n = task.chords.len() as i64;
    let mut lines = vec![
        (
            WHOLE,
            format!(
                "0 to 100 for the run as a whole, or nothing and the lines below; {NOT_REACHED}; {VOID}"
            ),
            Kind::Whole,
        ),
        (
            "harmony",
            format!("chords right, 0 to {n}; a late one counts 0.5"),
            Kind::Harmony(n),
        ),
    ];

    if !task.lines.is_empty() {
        lines.push((
            "voicing",
            format!("of these in the form asked, 0 to {n}; a late one counts 0.5"),
            Kind::Voicing(n),
        ));
        lines.push((
            "leading",
            "step 1 to 4; 0 where no two chords in a row were right".to_owned(),
            Kind::Leading,
        ));
    }
    lines.push(match task.pace {
        Pace::Tempo { .. } => (
            "time",
            "step 1 to 4; 0 where nothing was played".to_owned(),
            Kind::Pace(0),
        ),
        Pace::Free { .. } => ("readiness", "step 1 to 4".to_owned(), Kind::Pace(1)),
    });

    lines
}

fn heard(task: &EarTask, place: usize) -> String {
    let options = task.options.get(place).map_or(&[][..], Vec::as_slice);
    let options = match options.is_empty() {
        true => String::new(),
        false => format!("{}; ", options.join(" | ")),
    };

    format!("{options}right; wrong; {NONE}")
}

/// Reads what was entered; else says what was expected.
pub(super) fn entry(item: &Item, kind: Kind, text: &str) -> Result<Entry, String> {
    let is = |word: &str| text.eq_ignore_ascii_case(word);
    if let (Task::Ear(task), Kind::Heard(place)) = (&item.task, kind) {
        return answer(task, place, text);
    }
    if let (true, Kind::Panel) = (is(AWAITED), kind) {
        return Ok(Entry::NotReached);
    }
    match kind {
        Kind::Panel | Kind::Harmony(_) | Kind::Voicing(_) | Kind::Leading | Kind::Pace(_) => {}
        _ if is(NOT_REACHED) => return Ok(Entry::NotReached),
        _ if is(VOID) => return Ok(Entry::Void),
        _ => {}
    }

    let between = |number: Option<i64>, from: i64, to: i64| {
        number.filter(|number| (from..=to).contains(number))
    };
    let share = |text: &str, most: i64| {
        decimal(text)
            .map(|number| fraction::product(number, Fraction::new(1, most)))
            .filter(|share| *share <= Fraction::from_integer(1))
    };
    match kind {
        Kind::Level => between(whole(text), 0, 4)
            .map(|level| Entry::Level(level as u8))
            .ok_or_else(|| format!("a level from 0 to 4, `{NOT_REACHED}` or `{VOID}`")),
        Kind::Whole => share(text.trim_end_matches('%').trim_end(), 100)
            .map(Entry::Credit)
            .ok_or_else(|| {
                format!(
                    "0 to 100 for the run as a whole, `{NOT_REACHED}`, `{VOID}`, or nothing and the lines below it"
                )
            }),
        Kind::Harmony(n) | Kind::Voicing(n) => decimal(text)
            .map(|number| fraction::product(number, Fraction::from_integer(2)))
            .filter(|halves| halves.is_integer() && halves.to_integer() <= 2 * n)
            .map(|halves| Entry::Count(halves.to_integer()))
            .ok_or_else(|| format!("a number of chords from 0 to {n} in steps of 0.5")),
        Kind::Leading => between(whole(text), 0, 4)
            .map(Entry::Count)
            .ok_or_else(|| "a step from 1 to 4, or 0".to_owned()),
        Kind::Pace(least) => between(whole(text), least, 4)
            .map(Entry::Count)
            .ok_or_else(|| format!("a step from {least} to 4")),
        Kind::Panel => share(text, 10)
            .map(Entry::Credit)
            .ok_or_else(|| format!("a mark from 0 to 10, or `{AWAITED}`")),
        Kind::Spelled => match &item.task {
            Task::Spell(task) => spelled(task, text),
            _ => Err("nothing".to_owned()),
        },
        Kind::Played(n) => {
            let right = match text {
                _ if is("right") => Some(n as i64),
                _ if is("wrong") || is(NONE) => Some(0),
                _ if n == 1 => None,
                number => between(whole(number), 0, n as i64),
            };
            right
                .map(|right| Entry::Tones(right as usize))
                .ok_or_else(|| match n {
                    1 => format!("`right`, `wrong`, `{NONE}`, `{NOT_REACHED}` or `{VOID}`"),
                    n => format!(
                        "how many are right, 0 to {n}, `right`, `wrong`, `{NONE}`, `{NOT_REACHED}` or `{VOID}`"
                    ),
                })
        }
        Kind::Heard(_) => Err("nothing".to_owned()),
    }
}

fn answer(task: &EarTask, place: usize, text: &str) -> Result<Entry, String> {
    let options = task.options.get(place).map_or(&[][..], Vec::as_slice);
    let accepted = task.answers.get(place).map_or(&[][..], Vec::as_slice);
    let known = options.iter().chain(accepted);

    // An option may be called as a word is.
    for option in known {
        if same_answer(option, text) {
            return Ok(Entry::Heard(Heard::Answer(text.to_owned())));
        }
    }
    let words = [
        (NOT_REACHED, Entry::NotReached),
        (VOID, Entry::Void),
        (NONE, Entry::Heard(Heard::Nothing)),
        ("right", Entry::Heard(Heard::Told(true))),
        ("wrong", Entry::Heard(Heard::Told(false))),
    ];

    words
        .into_iter()
        .find(|(word, _)| text.eq_ignore_ascii_case(word))
        .map(|(_, entry)| entry)
        .ok_or_else(|| {
            let options = match options.is_empty() {
                true => String::new(),
                false => format!("{}, ", options.join(", ")),
            };
            format!(
                "{options}`right`, `wrong` (also where something else was written), `{NONE}`, \
                 `{NOT_REACHED}` or `{VOID}`"
            )
        })
}

fn spelled(task: &SpellTask, text: &str) -> Result<Entry, String> {
    let asked = spelling::asked(task);
    let words = [
        (NONE, Entry::Spelled(None)),
        ("right", Entry::Tones(asked)),
        ("wrong", Entry::Tones(0)),
    ];
    if let Some((_, entry)) = words
        .into_iter()
        .find(|(word, _)| text.eq_ignore_ascii_case(word))
    {
        return Ok(entry);
    }
    if let Some(right) = whole(text)
        .and_then(|number| usize::try_from(number).ok())
        .filter(|right| *right <= asked)
    {
        return Ok(Entry::Tones(right));
    }
    let is_name = |part: &str| Name::parse(part).is_ok();
    let names = text
        .split(|c: char| c.is_whitespace() || c == ',')
        .filter(|part| !part.is_empty());

    // Whatever a candidate wrote counts as written, as long as some of it is a note.
    match names.into_iter().any(is_name) {
        true => Ok(Entry::Spelled(Some(text.to_owned()))),
        false => Err(format!(
            "the notes as written, such as `C Eb Gb`, how many are right, 0 to {asked}, `right`, \
             `wrong`, `{NONE}`, `{NOT_REACHED}` or `{VOID}`"
        )),
    }
}
