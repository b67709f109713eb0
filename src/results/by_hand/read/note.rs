//! What the lines of one item come to: entries, their times, and what is missing or too much.

use super::super::line::Line;
use super::super::slot::{self, AWAITED, Entry, Kind, NOT_REACHED, Slot, WHOLE};
use super::{Fault, Reading, named, quoted, seconds};
use crate::exam::form::{Item, Task};
use crate::marking::noted::{Heard, Note};
use crate::marking::run::Counts;
use crate::marking::voicing;
use crate::time::Time;

impl Reading<'_> {
    pub(super) fn entry<'l>(
        &mut self,
        item: &Item,
        slot: &Slot,
        line: &'l Line,
    ) -> Option<(Entry, &'l Line)> {
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
    pub(super) fn note(
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
}
