//! The items of a sitting, a line each.

use std::fmt::Write as _;

use serde::Serialize;

use crate::exam::form::Task;
use crate::fraction;
use crate::marking::item::Marked;
use crate::results::document::Stored;
use crate::sitting::Sitting;
use crate::sitting::outcome::ItemOutcome;
use crate::time::Time;

/// Signs of what was asked, and of why, at most.
const ASKED: usize = 40;
const WHY: usize = 60;

/// An item in a line.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(super) struct Line {
    number: u32,
    section: String,
    title: String,
    kind: &'static str,
    prompt: String,
    /// `None` where a person's mark is awaited.
    level: Option<u8>,
    credit: Option<String>,
    /// To complete the chord, or to answer.
    time_ms: Option<f64>,
    limit_ms: f64,
    reasons: Vec<String>,
    voided: Option<String>,
    overruled: bool,
    lost_marks: bool,
    /// Who entered the mark, where the program did not listen.
    #[serde(skip_serializing_if = "Option::is_none")]
    by_hand: Option<String>,
}

impl Line {
    pub(super) fn new(sitting: &Sitting, of: &ItemOutcome<'_>) -> Self {
        let section = &sitting.exam().sections[of.item.section];
        let credit = of.credit();
        let whole = fraction::from_hundredths(100);

        Self {
            number: of.item.number,
            section: section.id.clone(),
            title: section.title.clone(),
            kind: of.item.task.word(),
            prompt: of.item.prompt.clone(),
            level: credit.map(|_| of.level()),
            credit: credit.map(fraction::hundredths),
            time_ms: used(of).map(Time::as_ms),
            limit_ms: limit(sitting, of).as_ms(),
            reasons: of.reasons(),
            voided: of.voided().map(str::to_owned),
            overruled: of.overruled.is_some(),
            lost_marks: of.counts() && credit.is_some_and(|credit| credit < whole),
            by_hand: of.written.map(|written| written.by.clone()),
        }
    }

    /// Tells whether it counts, is marked and is below a level.
    pub(super) fn is_below(&self, level: u8) -> bool {
        self.lost_marks && self.level.is_some_and(|own| own < level)
    }

    pub(super) fn prompt(&self) -> &str {
        &self.prompt
    }

    /// The section with the item's number.
    pub(super) fn place(&self) -> String {
        format!("{} {}", self.section, self.number)
    }

    pub(super) fn kind(&self) -> &'static str {
        self.kind
    }

    pub(super) fn title(&self) -> &str {
        &self.title
    }

    pub(super) fn level(&self) -> Option<u8> {
        self.level
    }

    pub(super) fn credit(&self) -> Option<&str> {
        self.credit.as_deref()
    }

    pub(super) fn reasons(&self) -> &[String] {
        &self.reasons
    }

    pub(super) fn voided(&self) -> Option<&str> {
        self.voided.as_deref()
    }

    pub(super) fn by_hand(&self) -> Option<&str> {
        self.by_hand.as_deref()
    }

    fn state(&self) -> &'static str {
        match self {
            Self {
                voided: Some(_), ..
            } => "voided, ",
            Self {
                overruled: true, ..
            } => "overruled, ",
            _ => "",
        }
    }
}

/// The time that was used, where an item has one.
pub(super) fn used(of: &ItemOutcome<'_>) -> Option<Time> {
    match &of.marked {
        Marked::Voicing(marked) => marked.facts.complete,
        Marked::Ear(marked) => marked.at,
        Marked::Spell(marked) => marked.at,
        _ => None,
    }
}

/// The time limit with all that was allowed.
pub(super) fn limit(sitting: &Sitting, of: &ItemOutcome<'_>) -> Time {
    let factor = sitting.allowance().factor;
    let added = of.showing.map_or(Time::ZERO, |showing| showing.added);

    match &of.item.task {
        Task::Run(task) => task.timing(factor).end,
        task => task.limit().scaled(i64::from(factor), 100) + added,
    }
}

/// Seconds with one decimal, as pages print them.
pub(super) fn seconds(ms: f64) -> String {
    format!("{:.1} s", ms / 1_000.0)
}

/// The list in words.
pub(super) fn words(stored: &Stored, lines: &[Line], count: usize) -> String {
    let sitting = &stored.sitting;
    let lost = lines.iter().filter(|line| line.lost_marks).count();
    let mut out = format!(
        "{}, form {}, candidate {}\n{} of {count} items shown, {lost} that lost marks (*)\n\n",
        sitting.exam().title,
        sitting.form().code,
        stored.given.candidate,
        lines.len(),
    );

    if let Some(by_hand) = sitting.by_hand() {
        let _ = writeln!(
            out,
            "Marked by hand at a piano, by {}: what was played is not recorded\n",
            by_hand.examiners().join(", ")
        );
    }
    for line in lines {
        let star = if line.lost_marks { "*" } else { " " };
        let level = line
            .level
            .map_or_else(|| "awaited".to_owned(), |level| format!("level {level}"));
        let time = line.time_ms.map_or_else(String::new, seconds);
        let why = line.reasons.first().map_or("", String::as_str);
        let line = format!(
            "{star} {:<3} {:>3}  {}  {level:<7}  {:>4}  {time:>6}  {}{}",
            line.section,
            line.number,
            padded(&line.prompt, ASKED),
            line.credit.as_deref().unwrap_or("-"),
            line.state(),
            shortened(why, WHY),
        );
        let _ = writeln!(out, "{}", line.trim_end());
    }

    out
}

/// The first signs of a text.
fn shortened(text: &str, most: usize) -> String {
    if text.chars().count() <= most {
        return text.to_owned();
    }
    let kept: String = text.chars().take(most - 1).collect();

    format!("{}…", kept.trim_end())
}

fn padded(text: &str, width: usize) -> String {
    let text = shortened(text, width);
    let count = text.chars().count();

    text + &" ".repeat(width - count)
}
