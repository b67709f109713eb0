//! The table in which an examiner at a piano enters marks by hand: written empty, read when filled.
//!
//! A line stands for each item, or for each part of one. The table names exam, form and script, so
//! that one of another form is refused.

mod line;
mod number;
mod read;
mod slot;

use std::fmt;

pub use read::{Asked, form, read};

use crate::exam::form::{Form, Item};
use crate::exam::script::Exam;
use crate::sitting::by_hand::takes_place;
use slot::Slot;

/// The columns, in the order written.
const COLUMNS: [&str; 12] = [
    "item", "section", "part", "prompt", "allowed", "entry", "seconds", "by", "remark", "exam",
    "form", "script",
];

/// Something wrong with a filled table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// The line, from 1; `None` where it is of the whole table.
    pub line: Option<u64>,
    /// The column's name; empty where it is of the whole line.
    pub column: &'static str,
    /// What was found and how to mend it.
    pub message: String,
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(line) = self.line {
            write!(f, "line {line}, ")?;
        }
        if !self.column.is_empty() {
            write!(f, "column {}: ", self.column)?;
        }

        f.write_str(&self.message)
    }
}

/// Writes the empty table of a form; `digest` is that of the script, in hexadecimal.
pub fn write(exam: &Exam, form: &Form, digest: &str) -> String {
    let mut out = csv::Writer::from_writer(Vec::new());
    let heads = out.write_record(COLUMNS);
    let mut lines = heads.is_ok();
    let (code, script) = (form.code.to_string(), script(digest));

    for item in form.items.iter().chain(&form.reserve) {
        let section = exam.sections[item.section].id.as_str();
        let number = item.number.to_string();
        for slot in slots(form, item) {
            let prompt = harmless(&slot.prompt);
            let allowed = harmless(&slot.allowed);
            let line = [
                &number, section, &slot.part, &prompt, &allowed, "", "", "", "", &exam.name, &code,
                &script,
            ];
            lines &= out.write_record(line).is_ok();
        }
    }
    debug_assert!(lines, "a text takes all that is written");
    let bytes = out.into_inner().unwrap_or_default();

    // Spreadsheets take a file for UTF-8 by its mark.
    format!("\u{feff}{}", String::from_utf8_lossy(&bytes))
}

/// How a table calls a script: no spreadsheet takes it for a number.
fn script(digest: &str) -> String {
    format!("sha256:{}", digest.get(..16).unwrap_or(digest))
}

/// The lines of an item, spare ones with a word of which items' place they can take.
fn slots(form: &Form, item: &Item) -> Vec<Slot> {
    let mut slots = slot::of(item);

    if form.reserve.iter().any(|spare| spare.number == item.number) {
        let places = places(form, item);
        for slot in &mut slots {
            slot.prompt = format!("spare, for {places}: {}", slot.prompt);
        }
    }

    slots
}

/// The numbers of the items whose place a spare one can take.
fn places(form: &Form, spare: &Item) -> String {
    let numbers: Vec<String> = form
        .items
        .iter()
        .filter(|item| takes_place(spare, item))
        .map(|item| item.number.to_string())
        .collect();

    numbers.join(", ")
}

/// A text that a spreadsheet would take for a formula gets a `'` before it.
fn harmless(text: &str) -> String {
    match text.starts_with(['=', '+', '-', '@', '\t', '\r']) {
        true => format!("'{text}"),
        false => text.to_owned(),
    }
}
