//! Reading a filled table: all that is wrong is told at once.

use std::collections::BTreeMap;

use super::line::{Line, lines};
use super::slot::{self, AWAITED, Entry, Kind, NOT_REACHED, Slot, VOID, WHOLE};
use super::{Fault, script};
use crate::exam::form::{Form, Item, Task};
use crate::exam::script::Exam;
use crate::marking::item::Allowance;
use crate::marking::noted::{Heard, Note};
use crate::marking::run::Counts;
use crate::marking::voicing;
use crate::sitting::by_hand::{ByHand, Written, takes_place};
use crate::time::Time;

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
        let slots = slot::of(self.asked.exam, item);
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

    fn entry<'l>(&mut self, item: &Item, slot: &Slot, line: &'l Line) -> Option<(Entry, &'l Line)> {
        let text = line.cell("entry");
        if text.is_empty() {
            return None;
        }
        match slot::entry(item, slot.kind, text) {
            Ok(entry) => Some((entry, line)),
            Err(expected) => {
                self.faults.push(line.fault(
                    "entry",
                    format!(
                        "expected {expected}, found {} for item {}{}",
                        quoted(text),
                        item.number,
                        named(&slot.part)
                    ),
                ));
                None
            }
        }
    }

    /// What the lines of an item come to; what is missing or too much is told.
    fn note(
        &mut self,
        item: &Item,
        slots: &[Slot],
        lines: &[Option<&Line>],
        entries: &[Option<(Entry, &Line)>],
    ) -> Option<(Note, bool)> {
        let word = entries.iter().flatten().find_map(|(entry, line)| {
            matches!(entry, Entry::NotReached | Entry::Void).then_some((entry, *line))
        });
        if let Some((word, first)) = word {
            let others = entries.iter().flatten().filter(|(other, _)| other != word);
            let faults: Vec<Fault> = others
                .map(|(_, line)| {
                    let word = first.cell("entry").to_lowercase();
                    line.fault(
                        "entry",
                        format!(
                            "expected nothing, as line {} says that item {} is {word}, found {}",
                            first.number,
                            item.number,
                            quoted(line.cell("entry"))
                        ),
                    )
                })
                .collect();
            let is_fine = faults.is_empty();
            self.faults.extend(faults);
            let _ = self.untimed(lines, None);
            return is_fine.then_some((Note::Nothing, *word == Entry::Void));
        }
        let seconds = self.untimed(lines, slots.first().map(|slot| slot.kind));

        if let Some((Entry::Credit(credit), first)) = entries.first().and_then(Option::as_ref)
            && matches!(item.task, Task::Run(_))
        {
            let more: Vec<&Line> = entries[1..]
                .iter()
                .flatten()
                .map(|(_, line)| *line)
                .collect();
            for line in &more {
                self.faults.push(line.fault(
                    "entry",
                    format!(
                        "expected nothing, as line {} marks run {} as a whole, found {}",
                        first.number,
                        item.number,
                        quoted(line.cell("entry"))
                    ),
                ));
            }
            return more.is_empty().then_some((Note::Credit(*credit), false));
        }
        if !self.is_whole(item, slots, lines, entries) {
            return None;
        }

        let all: Vec<&Entry> = entries.iter().flatten().map(|(entry, _)| entry).collect();
        let note = match (all.as_slice(), &item.task) {
            ([Entry::Level(level)], _) => {
                let time = self.time(item, *level, seconds)?;
                Note::Level(*level, time)
            }
            ([Entry::Credit(credit)], _) => Note::Credit(*credit),
            ([Entry::Spelled(text)], _) => Note::Spelled(text.clone()),
            ([Entry::Tones(right)], _) => Note::Tones(*right),
            (_, Task::Run(_)) => Note::Run(self.counts(item, slots, entries)?),
            (all, _) => Note::Heard(
                all.iter()
                    .filter_map(|entry| match entry {
                        Entry::Heard(heard) => Some(heard.clone()),
                        _ => None,
                    })
                    .collect::<Vec<Heard>>(),
            ),
        };

        Some((note, false))
    }

    /// Tells what is missing of an item that is neither void nor not reached.
    fn is_whole(
        &mut self,
        item: &Item,
        slots: &[Slot],
        lines: &[Option<&Line>],
        entries: &[Option<(Entry, &Line)>],
    ) -> bool {
        let is_run = matches!(item.task, Task::Run(_));
        let begun = entries.iter().any(Option::is_some);
        let before = self.faults.len();
        let word = match item.task {
            Task::Panel(_) => AWAITED,
            _ => NOT_REACHED,
        };

        for ((slot, line), entry) in slots.iter().zip(lines).zip(entries) {
            // Of a run either its first line or all others are filled.
            if entry.is_some() || (is_run && begun && slot.part == WHOLE) {
                continue;
            }
            let what = format!("item {}{}", item.number, named(&slot.part));
            self.faults.push(match line {
                Some(line) => line.fault(
                    "entry",
                    format!(
                        "expected {} for {what}, found nothing; where it was not asked enter `{word}`",
                        slot.allowed.split(';').next().unwrap_or_default()
                    ),
                ),
                None => Fault {
                    line: None,
                    column: "",
                    message: format!(
                        "expected a line for {what}, found none; put it in again, with `{word}` \
                         where it was not asked"
                    ),
                },
            });
            if is_run && !begun {
                break;
            }
        }

        self.faults.len() == before
    }

    fn counts(
        &mut self,
        item: &Item,
        slots: &[Slot],
        entries: &[Option<(Entry, &Line)>],
    ) -> Option<Counts> {
        let mut counts = Counts::default();
        let mut voicing: Option<&Line> = None;

        for (slot, entry) in slots.iter().zip(entries) {
            let Some((Entry::Count(count), line)) = entry else {
                continue;
            };
            match slot.kind {
                Kind::Harmony(_) => counts.harmony = *count,
                Kind::Voicing(_) => {
                    counts.voicing = *count;
                    voicing = Some(line);
                }
                Kind::Leading => counts.leading = *count,
                _ => counts.pace = *count,
            }
        }
        if let Some(line) = voicing.filter(|_| counts.voicing > counts.harmony) {
            self.faults.push(line.fault(
                "entry",
                format!(
                    "expected no more chords in the form asked than chords that are right in item \
                     {}, found {}; count those in the form among the right ones",
                    item.number,
                    quoted(line.cell("entry"))
                ),
            ));
            return None;
        }

        Some(counts)
    }

    /// Refuses seconds where nothing is timed; returns those of a single chord.
    fn untimed<'l>(&mut self, lines: &[Option<&'l Line>], kind: Option<Kind>) -> Option<&'l Line> {
        let timed = lines
            .iter()
            .flatten()
            .filter(|line| !line.cell("seconds").is_empty());

        if kind == Some(Kind::Level) {
            return timed.copied().next();
        }
        for line in timed {
            self.faults.push(line.fault(
                "seconds",
                format!(
                    "expected nothing, as only a single chord with its level has a time, found {}",
                    quoted(line.cell("seconds"))
                ),
            ));
        }

        None
    }

    /// The time of a chord, which its level must have left.
    fn time(&mut self, item: &Item, level: u8, line: Option<&Line>) -> Option<Option<Time>> {
        let Some(line) = line else {
            return Some(None);
        };
        let factor = i64::from(self.asked.allowance.factor);
        let limit = item.task.limit().scaled(factor, 100);
        let text = line.cell("seconds");

        let time = seconds::seconds(text);
        let message = match time {
            None => Some(format!(
                "expected seconds such as 4.2 or 4,2, or nothing, found {}",
                quoted(text)
            )),
            Some(time) => voicing::latest(level, limit)
                .filter(|latest| time > *latest)
                .map(|latest| {
                    format!(
                        "expected at most {} s for level {level} of item {}, whose limit is {} s, \
                         found {}; mend the level or the time",
                        seconds::words(latest),
                        item.number,
                        seconds::words(limit),
                        quoted(text)
                    )
                }),
        };
        match message {
            Some(message) => {
                self.faults.push(line.fault("seconds", message));
                None
            }
            None => Some(time),
        }
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
                         enter `{VOID}` with a remark for that item (in section {}, of the same \
                         kind), or leave the spare one empty",
                        spare.number, self.asked.exam.sections[spare.section].id
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
