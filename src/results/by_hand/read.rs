//! Reading a filled table: all that is wrong is told at once.

use std::collections::BTreeMap;

use super::line::{Line, lines};
use super::slot::{self, Entry, Slot, VOID};
use super::{Fault, script};
use crate::exam::form::{Form, Item};
use crate::exam::script::Exam;
use crate::marking::item::Allowance;
use crate::marking::noted::Note;
use crate::sitting::by_hand::{ByHand, Written, takes_place};

mod note;
mod seconds;

/// What a table must be of.
#[derive(Debug, Clone, Copy)]
pub struct Asked<'a> {
    /// The exam.
    pub exam: &'a Exam,
    /// The form.
    pub form: &'a Form,
    /// The digest of the script, in hexadecimal.
    pub digest: &'a str,
    /// What the candidate was allowed.
    pub allowance: Allowance,
    /// Who marked, where a line does not say so.
    pub by: Option<&'a str>,
}

/// The longest name and the longest remark, in characters.
const NAME: usize = 64;
const REMARK: usize = 500;

/// Returns the form code that a table names first.
pub fn form(text: &str) -> Option<String> {
    let lines = lines(text).ok()?;

    lines
        .iter()
        .map(|line| line.cell("form"))
        .find(|code| !code.is_empty())
        .map(str::to_owned)
}

/// Reads a filled table.
///
/// # Errors
/// Says of each line that is wrong what was found and how to mend it.
pub fn read(text: &str, asked: &Asked<'_>) -> Result<ByHand, Vec<Fault>> {
    let lines = lines(text)?;
    let strangers = strangers(&lines, asked);
    if !strangers.is_empty() {
        return Err(strangers);
    }

    let mut reading = Reading {
        asked,
        faults: Vec::new(),
        nameless: Vec::new(),
        items: BTreeMap::new(),
    };
    let mut by_item = reading.by_item(&lines);
    for item in asked.form.items.iter().chain(&asked.form.reserve) {
        let own = by_item.remove(&item.number).unwrap_or_default();
        reading.item(item, &own);
    }
    reading.spares();
    reading.names();

    let Reading {
        mut faults, items, ..
    } = reading;
    if faults.is_empty() {
        Ok(ByHand { items })
    } else {
        faults.sort_by_key(|fault| fault.line.unwrap_or(u64::MAX));
        Err(faults)
    }
}

/// Lines of another exam, form or script; where all are, it is said once.
fn strangers(lines: &[Line], asked: &Asked<'_>) -> Vec<Fault> {
    let Asked { exam, form, .. } = *asked;
    let own = [
        (
            "exam",
            exam.name.clone(),
            "sit the exam that it was written for",
        ),
        (
            "form",
            form.code.to_string(),
            "sit it with the --form that it names",
        ),
        (
            "script",
            script(asked.digest),
            "sit it with the script that it was written for, to the byte",
        ),
    ];
    if lines.is_empty() {
        return vec![Fault {
            line: None,
            column: "",
            message: "expected a line for each item, found none; write an empty table with \
                      `form EXAM --by-hand FILE.csv` and fill the column `entry`"
                .to_owned(),
        }];
    }
    let mut faults = Vec::new();

    for (column, own, mend) in &own {
        let other: Vec<&Line> = lines
            .iter()
            .filter(|line| line.cell(column) != own)
            .collect();
        let is_all = other.len() == lines.len()
            && other
                .iter()
                .all(|line| line.cell(column) == other[0].cell(column));
        for line in other.iter().take(if is_all { 1 } else { usize::MAX }) {
            let found = quoted(line.cell(column));
            let what = if is_all {
                "the whole table"
            } else {
                "this line"
            };
            faults.push(line.fault(
                column,
                format!("expected `{own}`, found {found}: {what} is of another {column}; {mend}"),
            ));
        }
    }

    faults
}

struct Reading<'a> {
    asked: &'a Asked<'a>,
    faults: Vec<Fault>,
    /// Lines that do not say who marked them.
    nameless: Vec<u64>,
    items: BTreeMap<u32, Written>,
}

impl Reading<'_> {
    /// The lines by item; numbers that the form has not are told.
    fn by_item<'l>(&mut self, lines: &'l [Line]) -> BTreeMap<u32, Vec<&'l Line>> {
        let form = self.asked.form;
        let last = form.items.len() + form.reserve.len();
        let mut all: BTreeMap<u32, Vec<&Line>> = BTreeMap::new();

        for line in lines {
            let text = line.cell("item");
            let number = super::number::whole(text).and_then(|number| u32::try_from(number).ok());
            match number.filter(|number| form.item(*number).is_some()) {
                Some(number) => all.entry(number).or_default().push(line),
                None => self.faults.push(line.fault(
                    "item",
                    format!(
                        "expected an item's number as on the paper, 1 to {last}, found {}",
                        quoted(text)
                    ),
                )),
            }
        }

        all
    }

    fn item(&mut self, item: &Item, own: &[&Line]) {
        let is_spare = self.is_spare(item.number);
        let slots = slot::of(item);
        let before = self.faults.len();
        let by_slot = self.by_slot(item, &slots, own);
        if is_spare && by_slot.iter().all(|line| is_blank(*line)) {
            return;
        }

        let mut entries: Vec<Option<(Entry, &Line)>> = Vec::with_capacity(slots.len());
        for (slot, line) in slots.iter().zip(&by_slot) {
            entries.push(line.and_then(|line| self.entry(item, slot, line)));
        }
        if self.faults.len() > before {
            return;
        }
        let Some(note) = self.note(item, &slots, &by_slot, &entries) else {
            return;
        };
        self.write(item, &by_slot, note);
    }

    fn is_spare(&self, number: u32) -> bool {
        let reserve = &self.asked.form.reserve;

        reserve.iter().any(|spare| spare.number == number)
    }

    /// A line for each slot, where there is one; doubled and unknown ones are told.
    fn by_slot<'l>(
        &mut self,
        item: &Item,
        slots: &[Slot],
        own: &[&'l Line],
    ) -> Vec<Option<&'l Line>> {
        let mut all: Vec<Option<&Line>> = vec![None; slots.len()];

        for line in own {
            let part = line.cell("part");
            let place = slots
                .iter()
                .position(|slot| slot.part.eq_ignore_ascii_case(part));
            let Some(place) = place else {
                let parts: Vec<&str> = slots.iter().map(|slot| slot.part.as_str()).collect();
                let expected = match parts.as_slice() {
                    [""] => "nothing".to_owned(),
                    parts => parts.join(", "),
                };
                self.faults.push(line.fault(
                    "part",
                    format!(
                        "expected {expected} for item {}, found {}",
                        item.number,
                        quoted(part)
                    ),
                ));
                continue;
            };
            match all[place] {
                None => all[place] = Some(line),
                Some(first) => self.faults.push(line.fault(
                    "item",
                    format!(
                        "expected one line for item {}{}, found another on line {}; take one out",
                        item.number,
                        named(part),
                        first.number
                    ),
                )),
            }
        }

        all
    }

    fn write(&mut self, item: &Item, lines: &[Option<&Line>], (note, is_void): (Note, bool)) {
        let lines: Vec<&Line> = lines.iter().flatten().copied().collect();
        let once = |column: &str| {
            let mut all: Vec<&str> = Vec::new();
            for text in lines.iter().map(|line| line.cell(column)) {
                if !text.is_empty() && !all.contains(&text) {
                    all.push(text);
                }
            }
            all
        };
        let remark = once("remark").join("; ");
        let mut by = once("by").join(" and ");

        for (column, text, most) in [("by", &by, NAME), ("remark", &remark, REMARK)] {
            if text.chars().count() > most
                && let Some(line) = lines.first()
            {
                self.faults.push(line.fault(
                    column,
                    format!("expected at most {most} characters, found more; shorten it"),
                ));
            }
        }
        if by.is_empty() {
            match self.asked.by {
                Some(name) => name.clone_into(&mut by),
                None => self.nameless.extend(lines.first().map(|line| line.number)),
            }
        }
        if is_void && remark.is_empty() {
            let first = lines.iter().find(|line| !line.cell("entry").is_empty());
            if let Some(line) = first {
                self.faults.push(line.fault(
                    "remark",
                    format!(
                        "expected why item {} was voided, found nothing",
                        item.number
                    ),
                ));
            }
            return;
        }
        let (voided, remark) = match is_void {
            true => (Some(remark), String::new()),
            false => (None, remark),
        };
        let written = Written {
            note,
            voided,
            by,
            remark,
        };
        let _ = self.items.insert(item.number, written);
    }

    /// A spare item must take the place of a voided one of its kind.
    fn spares(&mut self) {
        let form = self.asked.form;
        let is_void = |number: &u32| {
            self.items
                .get(number)
                .is_some_and(|written| written.voided.is_some())
        };

        for (place, spare) in form.reserve.iter().enumerate() {
            if !self.items.contains_key(&spare.number) {
                continue;
            }
            let own = form.items.iter().chain(&form.reserve[..place]);
            let voided = own
                .filter(|item| takes_place(spare, item) && is_void(&item.number))
                .count();
            let used = form.reserve[..=place]
                .iter()
                .filter(|other| takes_place(other, spare))
                .filter(|other| self.items.contains_key(&other.number))
                .count();
            if used > voided {
                self.faults.push(Fault {
                    line: None,
                    column: "",
                    message: format!(
                        "spare item {} was entered, but no item is voided whose place it takes; \
                         enter `{VOID}` with a remark for one of {}, or leave the spare one empty",
                        spare.number,
                        super::places(form, spare)
                    ),
                });
            }
        }
    }

    fn names(&mut self) {
        let Some(first) = self.nameless.first() else {
            return;
        };
        let more = match self.nameless.len() {
            1 => String::new(),
            count => format!(" (nor do {} more)", count - 1),
        };
        self.faults.push(Fault {
            line: Some(*first),
            column: "by",
            message: format!(
                "expected who marked this, found nothing{more}; fill the column, or give the \
                 examiner's name once with --by NAME"
            ),
        });
    }
}

/// Whether nothing was entered on a line.
fn is_blank(line: Option<&Line>) -> bool {
    line.is_none_or(|line| line.cell("entry").is_empty())
}

fn quoted(text: &str) -> String {
    const MOST: usize = 40;

    match text.char_indices().nth(MOST) {
        _ if text.is_empty() => "nothing".to_owned(),
        Some((end, _)) => format!("`{}…`", &text[..end]),
        None => format!("`{text}`"),
    }
}

/// A part with a comma before it.
fn named(part: &str) -> String {
    match part {
        "" => String::new(),
        part => format!(", {part}"),
    }
}
