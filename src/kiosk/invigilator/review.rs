//! A second look at the items of a sitting that has ended: heard again, and a level set anew.
//!
//! Nothing of it is there while somebody sits: a candidate sees no mark before the end. A level
//! that is set goes to the desk first, which writes a new result beside the old one; only what is
//! written counts here too.

use std::cell::RefCell;

use super::rows::{Action, Row};
use super::{Page, Said};
use crate::exam::form::Task;
use crate::instruments::speaker::Clip;
use crate::kiosk::act::Act;
use crate::kiosk::desk::Handed;
use crate::kiosk::model::{Kiosk, Screen};
use crate::kiosk::pages::own;
use crate::kiosk::sheet::Sheet;
use crate::kiosk::words::fill;
use crate::marking::hearing::played;
use crate::room;
use crate::sitting::Sitting;
use crate::sitting::outcome::{ItemOutcome, outcome};
use crate::theory::symbol;

/// Rows of a leaf, with two to turn it and one to go back below them.
const LEAF: usize = 6;
/// The levels.
pub(super) const LEVELS: std::ops::RangeInclusive<u8> = 0..=4;
/// Reasons to choose from, as the result has them.
const REASONS: [&str; 4] = [
    "key stuck",
    "instrument fault",
    "noise in the room",
    "right by another name",
];

/// What is known of the sitting that is looked at.
#[derive(Debug, Default)]
pub struct Review {
    /// An earlier sitting; else it is the one that has just ended.
    looked: Option<Looked>,
    /// Its items, those that lost marks first.
    lines: Vec<Line>,
    /// The earlier results to choose from.
    results: Vec<Handed>,
    /// Who set a level last.
    by: String,
    /// Whether something was to be heard and there was no sound output.
    pub silent: bool,
    /// Whether the kiosk was opened for nothing else.
    alone: bool,
    /// The page of an item as it was drawn last: nothing moves on it.
    pub(in crate::kiosk) drawn: RefCell<Option<(usize, Sheet<Act>)>>,
}

/// A sitting from its result.
#[derive(Debug)]
pub struct Looked {
    /// The sitting.
    pub sitting: Sitting,
    /// How the desk calls its result.
    pub name: String,
    /// The candidate's number.
    pub candidate: String,
}

/// An item in the list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Line {
    /// Its place in the sitting's outcome.
    pub place: usize,
    /// Its number.
    pub number: u32,
    /// The level that counts; `None` where a person's mark is awaited.
    pub level: Option<u8>,
    /// Whether it lost marks.
    pub lost: bool,
    /// Whether it counts.
    pub counts: bool,
    /// The section with its number, and what was asked.
    label: String,
    /// Why it has its level.
    reason: String,
}

impl Line {
    fn new(sitting: &Sitting, place: usize, of: &ItemOutcome<'_>) -> Self {
        let credit = of.credit();
        let section = &sitting.exam().sections[of.item.section].id;
        let asked = match &of.item.task {
            Task::Voicing(task) => symbol::print(task.chord, sitting.exam().style),
            Task::Spell(task) => symbol::print(task.chord, sitting.exam().style),
            Task::Run(task) => task.chords.first().map_or_else(String::new, |first| {
                symbol::print(first.chord, sitting.exam().style) + " …"
            }),
            Task::Ear(task) if task.is_played() => played::words(task, &task.steps()),
            Task::Ear(task) => task
                .options
                .iter()
                .zip(task.right.iter())
                .filter_map(|(options, right)| options.get(*right).cloned())
                .collect::<Vec<_>>()
                .join(" / "),
            Task::Panel(task) => task.criterion.clone(),
        };

        Self {
            place,
            number: of.item.number,
            level: credit.map(|_| of.level()),
            lost: of.counts() && credit.is_some_and(|credit| credit < 1.into()),
            counts: of.counts(),
            label: format!("{section} {} · {asked}", of.item.number),
            reason: of.reasons().into_iter().next().unwrap_or_default(),
        }
    }

    /// Those that lost marks first, then those that await some, then the others.
    const fn rank(&self) -> u8 {
        match (self.counts, self.lost, self.level) {
            (true, true, _) => 0,
            (true, _, None) => 1,
            (true, ..) => 2,
            (false, ..) => 3,
        }
    }
}

impl Kiosk {
    /// Opens nothing but the items of a sitting, or one of them by its number: whoever looks at a
    /// result at their own desk.
    pub fn look_at(&mut self, looked: Looked, number: Option<u32>) {
        self.candidate.clone_from(&looked.candidate);
        self.invigilator.review.looked = Some(looked);
        self.invigilator.review.alone = true;
        if let Some(speaker) = &mut self.speaker {
            speaker.set_level(self.setup.level);
        }
        let list = self.open_items();
        let lines = &self.invigilator.review.lines;
        let row = number.and_then(|number| {
            lines
                .iter()
                .position(|line| line.number == number && line.counts)
        });
        self.invigilator.page = row.map(Page::Item).or(list);
    }

    /// Tells whether the kiosk was opened to look at a result and for nothing else.
    pub(in crate::kiosk) const fn is_alone(&self) -> bool {
        self.invigilator.review.alone
    }

    /// Leaves a kiosk that was opened to look at a result.
    #[cfg(feature = "kiosk")]
    pub(in crate::kiosk) fn leave_alone(&mut self) {
        self.left |= self.invigilator.review.alone;
    }

    /// Returns the sitting that is looked at, the name of its result and the candidate.
    pub(in crate::kiosk) fn looked(&self) -> Option<(&Sitting, &str, &str)> {
        if let Some(looked) = &self.invigilator.review.looked {
            return Some((&looked.sitting, &looked.name, &looked.candidate));
        }
        match &self.screen {
            Screen::End(ended) => {
                let name = &ended.kept.as_ref().ok()?.name;
                Some((&ended.sitting, name, &ended.given.candidate))
            }
            _ => None,
        }
    }

    /// Returns the items, those that lost marks first.
    pub fn review_lines(&self) -> &[Line] {
        &self.invigilator.review.lines
    }

    /// The list of the items of what is looked at.
    pub(super) fn open_items(&mut self) -> Option<Page> {
        let mut lines = match self.looked() {
            Some((sitting, ..)) => lines(sitting),
            None => return Some(Page::Desk),
        };
        lines.sort_by_key(Line::rank);
        self.invigilator.review.lines = lines;
        self.forget_drawn();

        Some(Page::Items(0))
    }

    /// The earlier results to choose from.
    pub(super) fn open_results(&mut self) -> Option<Page> {
        self.invigilator.review.results = self.desk.results();

        Some(if self.invigilator.review.results.is_empty() {
            Page::Told(Said::NoResults)
        } else {
            Page::Results(0)
        })
    }

    pub(super) fn open_result(&mut self, place: usize) -> Option<Page> {
        let Some(handed) = self.invigilator.review.results.get(place) else {
            return Some(Page::Desk);
        };
        match self.desk.result(&handed.name) {
            Ok(looked) => {
                self.invigilator.review.looked = Some(looked);
                self.open_items()
            }
            Err(why) => Some(Page::Told(Said::Trouble(why))),
        }
    }

    /// The look is over: what was read is let go.
    pub(super) fn end_review(&mut self) -> Option<Page> {
        if self.invigilator.review.alone {
            self.left = true;
            return Some(Page::Items(0));
        }
        self.invigilator.review.looked = None;
        self.forget_drawn();

        Some(Page::Desk)
    }

    /// Where a look leads back to: whoever looks at one result has no page of the room.
    pub(super) fn kept_alone(&self, page: Option<Page>) -> Option<Page> {
        match page {
            None | Some(Page::Desk) if self.invigilator.review.alone => Some(Page::Items(0)),
            page => page,
        }
    }

    pub(super) fn forget_drawn(&mut self) {
        self.invigilator.review.silent = false;
        drop(self.invigilator.review.drawn.take());
    }

    /// What a sign does on the page of an item.
    pub(super) fn sign_item(&mut self, row: usize, sign: char) -> Option<Page> {
        match sign {
            ' ' => self.hear_item(row, false),
            'h' | 'H' => self.hear_item(row, true),
            'l' | 'L' if self.can_overrule(row) => return Some(Page::Level(row)),
            level => {
                let level = level.to_digit(10).map(|level| level as u8);
                if let Some(level) = level.filter(|level| self.takes_level(row, *level)) {
                    return Some(Page::Reason { row, level });
                }
            }
        }

        Some(Page::Item(row))
    }

    /// Tells whether an item has a mark that a person may set.
    pub(in crate::kiosk) fn can_overrule(&self, row: usize) -> bool {
        self.review_lines().get(row).is_some_and(|line| line.counts)
    }

    /// Tells whether it can be set to a level: another than it has.
    fn takes_level(&self, row: usize, level: u8) -> bool {
        let line = self.review_lines().get(row);

        LEVELS.contains(&level) && line.is_some_and(|line| line.counts && line.level != Some(level))
    }

    /// Sounds an item: what was played, or of an ear item what sounded; or else what was asked, or
    /// the answer.
    fn hear_item(&mut self, row: usize, is_other: bool) {
        let Some(clip) = self.item_clip(row, is_other) else {
            return;
        };
        let now = self.now;
        let sounds = self
            .speaker
            .as_mut()
            .is_some_and(|speaker| speaker.play(&clip, now).is_ok());

        if self.invigilator.review.silent == sounds {
            self.forget_drawn();
            self.invigilator.review.silent = !sounds;
        }
    }

    fn item_clip(&self, row: usize, is_other: bool) -> Option<Clip> {
        let line = self.review_lines().get(row)?;
        let (sitting, ..) = self.looked()?;
        let outcome = outcome(sitting);
        let of = outcome.items.get(line.place)?;
        let review = of.review();
        let sounded = match (&of.item.task, is_other) {
            (Task::Ear(task), false) => return room::render(&self.piano, &task.sound).ok(),
            (Task::Ear(_), true) | (_, false) => own::own(sitting, &review)?,
            (_, true) => own::asked(&review)?,
        };

        self.piano.render(&sounded.notes, sounded.length, 0.0).ok()
    }

    /// What sounds of an item falls silent.
    pub(super) fn stop_hearing(&mut self) {
        if let Some(speaker) = &mut self.speaker {
            speaker.stop();
        }
    }

    /// The item after one, or the list after the last.
    pub(super) fn item_after(&self, row: usize) -> Page {
        if row + 1 < self.review_lines().len() {
            Page::Item(row + 1)
        } else {
            Page::Items(0)
        }
    }

    /// Goes on with what is said of a level.
    pub(super) fn enter_level(&mut self, page: Page) -> Option<Page> {
        match page {
            Page::Because { row, level, typed } if !typed.trim().is_empty() => {
                self.reason(row, level, typed.trim())
            }
            Page::By {
                row,
                level,
                reason,
                typed,
            } if !typed.trim().is_empty() => Some(Page::Sure {
                row,
                level,
                reason,
                by: typed.trim().to_owned(),
            }),
            Page::Sure {
                row,
                level,
                reason,
                by,
            } => self.overrule(row, level, &reason, &by),
            page => Some(page),
        }
    }

    /// Why a level is set.
    pub(super) fn reason(&self, row: usize, level: u8, reason: &str) -> Option<Page> {
        Some(Page::By {
            row,
            level,
            reason: reason.to_owned(),
            typed: self.invigilator.review.by.clone(),
        })
    }

    /// Sets a level: on disk first.
    pub(super) fn overrule(
        &mut self,
        row: usize,
        level: u8,
        reason: &str,
        by: &str,
    ) -> Option<Page> {
        let (Some((_, name, _)), Some(line)) = (self.looked(), self.review_lines().get(row)) else {
            return Some(Page::Desk);
        };
        let (name, number) = (name.to_owned(), line.number);
        let at = self.desk.date();
        let said = (reason, by, at.as_str());
        let stored = match self.desk.store_reviewed(&name, (number, level), said) {
            Ok(stored) => stored,
            Err(why) => return Some(Page::Told(Said::Trouble(why))),
        };

        by.clone_into(&mut self.invigilator.review.by);
        let name = stored.name.clone();
        let set = if let Some(looked) = &mut self.invigilator.review.looked {
            looked.name = stored.name;
            looked.sitting.overrule(number, level, said)
        } else if let Screen::End(ended) = &mut self.screen {
            ended.kept = Ok(stored);
            ended.sitting.overrule(number, level, said)
        } else {
            Ok(())
        };
        if let Err(why) = set {
            return Some(Page::Told(Said::Trouble(why.to_string())));
        }
        if !self.invigilator.review.alone {
            self.desk.log(&format!("a level was set by {by}: {name}"));
        }
        self.mark_lines_anew();

        Some(Page::Told(Said::Reviewed { row, name }))
    }

    /// The lines stay in their order while somebody goes through them.
    fn mark_lines_anew(&mut self) {
        let Some((sitting, ..)) = self.looked() else {
            return;
        };
        let fresh = lines(sitting);
        for line in &mut self.invigilator.review.lines {
            if let Some(other) = fresh.get(line.place) {
                line.clone_from(other);
            }
        }
        self.forget_drawn();
    }

    /// The rows of the earlier results.
    pub(super) fn result_rows(&self, first: usize) -> Vec<Row> {
        let words = self.setup.words;
        let all = self.invigilator.review.results.iter().map(|handed| {
            let label = fill(words.candidate, &[&handed.candidate]);
            let day = handed.started.get(..10).unwrap_or_default();
            let clock = self.clock(&handed.started);
            (label, format!("{}, {day} {clock}", handed.exam))
        });

        self.leaf_of(first, all.collect(), Action::Result, Action::Results)
    }

    /// The rows of the items.
    pub(super) fn item_rows(&self, first: usize) -> Vec<Row> {
        let words = self.setup.words;
        let all = self.review_lines().iter().map(|line| {
            let level = match line.level {
                _ if !line.counts => words.rev_voided.to_owned(),
                Some(level) => fill(words.rev_level, &[&level.to_string()]),
                None => words.rev_awaited.to_owned(),
            };
            (line.label.clone(), format!("{level} · {}", line.reason))
        });

        self.leaf_of(first, all.collect(), Action::Item, Action::Items)
    }

    /// A leaf of a longer list, with what turns it and goes back.
    fn leaf_of(
        &self,
        first: usize,
        all: Vec<(String, String)>,
        one: fn(usize) -> Action,
        turn: fn(usize) -> Action,
    ) -> Vec<Row> {
        let words = self.setup.words;
        let count = all.len();
        let row = |label: &str, text: &str, action| Row {
            label: label.to_owned(),
            text: text.to_owned(),
            action,
            is_open: true,
        };
        let shown = all.iter().enumerate().skip(first).take(LEAF);
        let mut rows: Vec<Row> = shown
            .map(|(place, (label, text))| row(label, text, one(place)))
            .collect();

        if first + LEAF < count {
            let last = (first + 2 * LEAF).min(count);
            let text = fill(
                words.rev_span,
                &[
                    &(first + LEAF + 1).to_string(),
                    &last.to_string(),
                    &count.to_string(),
                ],
            );
            rows.push(row(words.rev_later, &text, turn(first + LEAF)));
        }
        if first > 0 {
            rows.push(row(words.rev_earlier, "", turn(first.saturating_sub(LEAF))));
        }
        let back = if self.invigilator.review.alone && turn(0) == Action::Items(0) {
            row(words.close, "", Action::EndReview)
        } else {
            row(words.inv_back, "", Action::EndReview)
        };
        rows.push(back);

        rows
    }

    /// The leaf that an item stands on.
    pub(super) const fn leaf_with(row: usize) -> Page {
        Page::Items(row / LEAF * LEAF)
    }

    /// The rows of the levels, each at its own figure.
    pub(super) fn level_rows(&self, item: usize) -> Vec<Row> {
        let words = self.setup.words;
        let texts = [
            words.no_mark,
            words.quarter_mark,
            words.half_mark,
            words.three_quarters_mark,
            words.whole_mark,
        ];
        let mut rows: Vec<Row> = LEVELS
            .zip(texts)
            .map(|(level, text)| {
                let is_open = self.takes_level(item, level);
                Row {
                    label: fill(words.rev_level, &[&level.to_string()]),
                    text: if is_open { text } else { words.rev_has }.to_owned(),
                    action: Action::Level(item, level),
                    is_open,
                }
            })
            .collect();
        rows.push(self.back_row());

        rows
    }

    /// The rows of the reasons.
    pub(super) fn reason_rows(&self, item: usize, level: u8) -> Vec<Row> {
        let words = self.setup.words;
        let labels = [
            words.rev_key,
            words.rev_fault,
            words.rev_noise,
            words.rev_name,
        ];
        let offered = labels.iter().zip(REASONS).map(|(label, reason)| Row {
            label: (*label).to_owned(),
            text: String::new(),
            action: Action::Because(item, level, reason),
            is_open: true,
        });
        let own = Row {
            label: words.rev_own.to_owned(),
            text: String::new(),
            action: Action::Because(item, level, ""),
            is_open: true,
        };

        offered.chain([own, self.back_row()]).collect()
    }

    /// The rows before a level is set.
    pub(super) fn sure_rows(&self) -> Vec<Row> {
        let words = self.setup.words;

        vec![
            Row {
                label: words.rev_set.to_owned(),
                text: words.rev_set_text.to_owned(),
                action: Action::Overrule,
                is_open: true,
            },
            self.back_row(),
        ]
    }

    fn back_row(&self) -> Row {
        Row {
            label: self.setup.words.inv_back.to_owned(),
            text: String::new(),
            action: Action::Back,
            is_open: true,
        }
    }
}

impl Page {
    /// Tells whether it asks of a level that is to be set.
    pub(super) const fn is_about_a_level(&self) -> bool {
        matches!(
            self,
            Self::Level(_)
                | Self::Reason { .. }
                | Self::Because { .. }
                | Self::By { .. }
                | Self::Sure { .. }
        )
    }

    /// The page of the item that it asks of, or of what can be done.
    pub(super) fn item_again(&self) -> Self {
        match self {
            Self::Level(row)
            | Self::Reason { row, .. }
            | Self::Because { row, .. }
            | Self::By { row, .. }
            | Self::Sure { row, .. } => Self::Item(*row),
            _ => Self::Desk,
        }
    }
}

fn lines(sitting: &Sitting) -> Vec<Line> {
    outcome(sitting)
        .items
        .iter()
        .enumerate()
        .map(|(place, of)| Line::new(sitting, place, of))
        .collect()
}
