//! One candidate's run through one form: events with their time in, effects out.
//!
//! The sitting never reads a clock and does nothing itself. What is due by itself happens strictly
//! before the event that passes it, so a journal of the events alone replays to the same state.
#![deny(clippy::disallowed_methods)]

pub mod event;
pub mod journal;
pub mod outcome;
pub mod wire;

#[cfg(test)]
mod tests;

use std::collections::{BTreeMap, VecDeque};
use std::sync::Arc;

pub use event::{Effect, Event, Incident};

use crate::exam::form::{Form, Item, Task};
use crate::exam::script::{Exam, Kind};
use crate::marking::asked::Asked;
use crate::marking::capture::{APART, Capture};
use crate::marking::event::Action;
use crate::marking::fraction::Fraction;
use crate::marking::hearing::Clock;
use crate::marking::item::{self, Allowance};
use crate::marking::run;
use crate::marking::{self};
use crate::time::Time;

/// One showing of an item.
#[derive(Debug, Clone, PartialEq)]
pub struct Showing {
    /// The item's number.
    pub number: u32,
    /// When its prompt appeared, in the sitting's time.
    pub shown: Time,
    /// Its time zero: the prompt, or the end of the compulsory hearing.
    pub zero: Time,
    /// What was done, in the item's time.
    pub events: Vec<marking::Event>,
    /// When it was taken away before it closed by itself, in the item's time.
    pub ended: Option<Time>,
    /// Why it was voided, if it was.
    pub voided: Option<String>,
}

/// How a sitting ended.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum End {
    /// Every item was asked.
    Complete,
    /// It was stopped; what was not reached scores nothing.
    Stopped(String),
    /// It was stopped for pain or distress: void, not failed.
    Void(String),
}

/// What a result tells of an ended sitting.
#[derive(Debug, Clone, PartialEq)]
pub struct Past {
    /// How long it lasted.
    pub now: Time,
    /// The showings.
    pub showings: Vec<Showing>,
    /// The incidents.
    pub incidents: Vec<Incident>,
    /// The marks that people gave, by item.
    pub panel: BTreeMap<u32, (Fraction, String)>,
    /// How it ended.
    pub end: Option<End>,
}

/// Where a sitting is.
#[derive(Debug)]
enum Stage {
    /// On the first page of a section, or before the first.
    Page(usize),
    /// Between items: the next prompt is due, or has been asked for.
    Waiting { item: u32, due: Option<Time> },
    /// An item is being answered.
    Open(Box<Open>),
    /// A rest that ends by itself.
    Rest { section: usize, until: Time },
    /// The clock stands still.
    Paused(Box<Stage>, Time),
    /// Nothing more comes.
    Ended,
}

/// An item being answered.
#[derive(Debug)]
struct Open {
    number: u32,
    watch: Watch,
}

/// What tells when an open item closes.
#[derive(Debug)]
enum Watch {
    Voicing(Capture<Arc<Asked>>),
    Run(Box<run::Ready>),
    Ear(Clock),
    Until(Time),
}

/// A sitting.
#[derive(Debug)]
pub struct Sitting {
    exam: Exam,
    form: Form,
    allowance: Allowance,
    now: Time,
    stage: Stage,
    queue: VecDeque<u32>,
    showings: Vec<Showing>,
    incidents: Vec<Incident>,
    spare: Vec<u32>,
    panel: BTreeMap<u32, (Fraction, String)>,
    /// Where the pedal was last seen, and where the evidence has it last: between items it moves
    /// unrecorded.
    pedal: u8,
    pedal_recorded: u8,
    end: Option<End>,
}

impl Sitting {
    /// Prepares a sitting: before the first section's first page.
    pub fn new(exam: Exam, form: Form, allowance: Allowance) -> Self {
        let queue = form
            .items
            .iter()
            .filter(|item| !matches!(item.task, Task::Panel(_)))
            .map(|item| item.number)
            .collect();
        let spare = form.reserve.iter().map(|item| item.number).collect();

        Self {
            exam,
            form,
            allowance,
            now: Time::ZERO,
            stage: Stage::Page(0),
            queue,
            showings: Vec::new(),
            incidents: Vec::new(),
            spare,
            panel: BTreeMap::new(),
            pedal: 0,
            pedal_recorded: 0,
            end: None,
        }
    }

    /// Puts an ended sitting together again from what a result tells of it.
    pub fn restored(exam: Exam, form: Form, allowance: Allowance, past: Past) -> Self {
        Self {
            now: past.now,
            stage: Stage::Ended,
            queue: VecDeque::new(),
            showings: past.showings,
            incidents: past.incidents,
            panel: past.panel,
            end: past.end,
            ..Self::new(exam, form, allowance)
        }
    }

    /// Returns the exam.
    pub const fn exam(&self) -> &Exam {
        &self.exam
    }

    /// Returns the form.
    pub const fn form(&self) -> &Form {
        &self.form
    }

    /// Returns what the candidate is allowed.
    pub const fn allowance(&self) -> Allowance {
        self.allowance
    }

    /// Returns the showings so far.
    pub fn showings(&self) -> &[Showing] {
        &self.showings
    }

    /// Returns the incidents so far.
    pub fn incidents(&self) -> &[Incident] {
        &self.incidents
    }

    /// Returns how the sitting ended, if it has.
    pub const fn end(&self) -> Option<&End> {
        self.end.as_ref()
    }

    /// Returns the time of the last event.
    pub const fn now(&self) -> Time {
        self.now
    }

    /// Returns the marks that people gave, by item.
    pub const fn panel(&self) -> &BTreeMap<u32, (Fraction, String)> {
        &self.panel
    }

    /// Returns the number of the item being answered.
    pub fn open_item(&self) -> Option<u32> {
        match &self.stage {
            Stage::Open(open) => Some(open.number),
            _ => None,
        }
    }

    /// Returns the number of the item that comes next.
    pub fn next_item(&self) -> Option<u32> {
        match &self.stage {
            Stage::Waiting { item, .. } => Some(*item),
            _ => self.queue.front().copied(),
        }
    }

    /// Returns the hearings left to the open ear item.
    pub fn hearings_left(&self) -> Option<u8> {
        match &self.stage {
            Stage::Open(open) => match (&open.watch, self.form.item(open.number)) {
                (Watch::Ear(clock), Some(item)) => {
                    Some(self.hearings_of(item).saturating_sub(clock.used()))
                }
                _ => None,
            },
            _ => None,
        }
    }

    /// Returns the next moment at which something happens by itself.
    pub fn deadline(&self) -> Option<Time> {
        match &self.stage {
            Stage::Page(_) | Stage::Paused(..) | Stage::Ended => None,
            Stage::Waiting { due, .. } => *due,
            Stage::Rest { until, .. } => Some(*until),
            Stage::Open(open) => self.closes(open),
        }
    }

    /// When the open item closes next, as far as is known now, in the sitting's time.
    fn closes(&self, open: &Open) -> Option<Time> {
        let showing = self.showings.last()?;
        let at = match &open.watch {
            Watch::Voicing(capture) => capture.deadline()?,
            Watch::Ear(clock) => clock.closes(),
            Watch::Until(at) => *at,
            Watch::Run(ready) => {
                let end = ready.timing.end;
                match showing.events.iter().rev().find(|event| is_strike(event)) {
                    // A free run may be over once its last notes have sounded together.
                    Some(last) if !ready.in_tempo => {
                        let after = last.at + APART + Time::from_tenths(1);
                        if self.now - showing.zero > after {
                            end
                        } else {
                            after.min(end)
                        }
                    }
                    _ => end,
                }
            }
        };

        Some(showing.zero + at)
    }

    /// Lets time pass: everything due strictly before a moment happens.
    pub fn advance(&mut self, now: Time) -> Vec<Effect> {
        let mut effects = Vec::new();

        while let Some(due) = self.deadline()
            && due < now
        {
            self.now = self.now.max(due);
            self.happen(due, &mut effects);
        }
        self.now = self.now.max(now);

        effects
    }

    fn happen(&mut self, due: Time, effects: &mut Vec<Effect>) {
        match &mut self.stage {
            Stage::Waiting { item, due } => {
                *due = None;
                effects.push(Effect::Show(*item));
            }
            Stage::Rest { section, .. } => {
                let section = *section;
                self.enter(section + 1, due, effects);
            }
            Stage::Open(open) => {
                let zero = self
                    .showings
                    .last()
                    .map_or(Time::ZERO, |showing| showing.zero);
                let over = match &mut open.watch {
                    Watch::Voicing(capture) => {
                        capture.advance(due - zero + Time::from_tenths(1));
                        capture.closed().is_some()
                    }
                    Watch::Run(ready) => {
                        let events = self
                            .showings
                            .last()
                            .map_or(&[][..], |showing| &showing.events);
                        let end = ready.timing.end;
                        due - zero >= end || {
                            let marked = run::mark(ready, events, None);
                            let done = marked
                                .chords
                                .last()
                                .is_some_and(|last| last.complete.is_some());
                            if !done {
                                // Not over yet: wait for more notes, or the end.
                                self.now = self.now.max(due + Time::from_tenths(1));
                            }
                            done
                        }
                    }
                    Watch::Ear(_) | Watch::Until(_) => true,
                };
                if over {
                    self.close(due, effects);
                }
            }
            Stage::Page(_) | Stage::Paused(..) | Stage::Ended => {}
        }
    }

    /// Takes an event in at its time; times never run backwards.
    pub fn update(&mut self, event: Event, at: Time) -> Vec<Effect> {
        let at = at.max(self.now);
        let mut effects = self.advance(at);

        if self.end.is_some() && !matches!(event, Event::Panel { .. } | Event::Noted(_)) {
            return effects;
        }

        match event {
            Event::Go => self.go(at, &mut effects),
            Event::Shown(number) => self.show(number, at, &mut effects),
            Event::Sounded => {
                if let (Stage::Open(_), Some(showing)) = (&self.stage, self.showings.last_mut()) {
                    showing.zero = at;
                }
            }
            Event::Did(action) => self.did(action, at, &mut effects),
            Event::Paused(reason) => self.pause(reason, at, &mut effects),
            Event::Resumed => self.resume(at),
            Event::Voided { reason, by } => {
                self.note("voided", &reason, &by, at);
                self.void(&reason, at, &mut effects);
            }
            Event::TimeAdded(extra) => self.add_time(extra),
            Event::Noted(incident) => self.incidents.push(Incident { at, ..incident }),
            Event::Panel { item, credit, by } => {
                let _ = self.panel.insert(item, (credit, by));
            }
            Event::Stopped(reason) => self.stop(reason, at, &mut effects),
            Event::Finished => self.finish(at, &mut effects),
        }

        effects
    }

    fn section_of(&self, number: u32) -> Option<usize> {
        self.form.item(number).map(|item| item.section)
    }

    fn go(&mut self, at: Time, effects: &mut Vec<Effect>) {
        let Stage::Page(section) = self.stage else {
            return;
        };

        match self.exam.sections.get(section).map(|section| &section.kind) {
            Some(Kind::Rest { length }) => {
                let until = at + *length;
                self.stage = Stage::Rest { section, until };
                effects.push(Effect::Rest(until));
            }
            Some(_) => match self.queue.front() {
                Some(item) if self.section_of(*item) == Some(section) => {
                    self.stage = Stage::Waiting {
                        item: *item,
                        due: None,
                    };
                    effects.push(Effect::Show(*item));
                }
                _ => self.enter(section + 1, at, effects),
            },
            None => self.finish(at, effects),
        }
    }

    /// Comes to a section's first page, or to the end.
    fn enter(&mut self, section: usize, at: Time, effects: &mut Vec<Effect>) {
        // A panel's marks are given afterwards: it has no page for the candidate.
        let next = (section..self.exam.sections.len())
            .find(|index| !matches!(self.exam.sections[*index].kind, Kind::Panel(_)));

        match next {
            Some(section) => {
                self.stage = Stage::Page(section);
                effects.push(Effect::Page(section));
            }
            None => self.finish(at, effects),
        }
    }

    fn finish(&mut self, _at: Time, effects: &mut Vec<Effect>) {
        self.take_away(self.now);
        if self.end.is_none() {
            self.end = Some(End::Complete);
            self.stage = Stage::Ended;
            effects.push(Effect::Ended);
        }
    }

    fn stop(&mut self, reason: String, at: Time, effects: &mut Vec<Effect>) {
        const KIND: [&str; 5] = ["pain", "distress", "unwell", "illness", "ill"];

        self.take_away(at);
        let spares = reason
            .split(|c: char| !c.is_alphabetic())
            .any(|word| KIND.iter().any(|kind| word.eq_ignore_ascii_case(kind)));
        self.note("stopped", &reason, "", at);
        self.end = Some(if spares {
            End::Void(reason)
        } else {
            End::Stopped(reason)
        });
        self.stage = Stage::Ended;
        effects.push(Effect::Ended);
    }

    /// Ends an open item at a moment, as when the next prompt appears or the sitting stops.
    fn take_away(&mut self, at: Time) {
        if let (Stage::Open(_), Some(showing)) = (&self.stage, self.showings.last_mut()) {
            showing.ended = Some(at - showing.zero);
        }
    }

    fn show(&mut self, number: u32, at: Time, effects: &mut Vec<Effect>) {
        let Some(item) = self.form.item(number).cloned() else {
            return;
        };
        self.take_away(at);
        if let Stage::Open(open) = &self.stage {
            effects.push(Effect::Closed(open.number));
        }

        // Items before it in the queue were passed over; they are not reached.
        if let Some(place) = self.queue.iter().position(|other| *other == number) {
            drop(self.queue.drain(..=place));
        }
        self.spare.retain(|spare| *spare != number);

        let zero = match &item.task {
            Task::Ear(task) => at + task.sound.length,
            _ => at,
        };
        let mut watch = self.watch(&item);
        let found = self.pedal_found(&item);
        if let Some(found) = &found {
            self.pedal_recorded = self.pedal;
            if let Watch::Voicing(capture) = &mut watch {
                capture.event(found.at, &found.action);
            }
        }
        self.showings.push(Showing {
            number,
            shown: at,
            zero,
            events: found.into_iter().collect(),
            ended: None,
            voided: None,
        });
        self.stage = Stage::Open(Box::new(Open { number, watch }));
        if let Task::Ear(_) = item.task {
            effects.push(Effect::Sound(number));
        }
    }

    /// The pedal as the prompt finds it, for an item whose section lets it prolong keys: where it
    /// is down, or where the evidence so far would have it down.
    fn pedal_found(&self, item: &Item) -> Option<marking::Event> {
        let prolongs = match &self.exam.sections[item.section].kind {
            Kind::Voicing(of) => of.pedal,
            Kind::Run(of) => of.pedal,
            _ => false,
        };
        let matters = self.pedal.max(self.pedal_recorded) >= 64;

        (prolongs && matters).then(|| marking::Event::new(Time::ZERO, Action::Pedal(self.pedal)))
    }

    fn hearings_of(&self, item: &Item) -> u8 {
        match &item.task {
            Task::Ear(task) => task.hearings.saturating_add(self.allowance.hearings),
            _ => 0,
        }
    }

    fn watch(&self, item: &Item) -> Watch {
        let section = &self.exam.sections[item.section];
        let scaled = |time: Time| time.scaled(i64::from(self.allowance.factor), 100);

        match &item.task {
            Task::Voicing(_) => {
                let rules = item::rules(&self.exam, section, item, self.allowance);
                match (item::asked(item), rules) {
                    (Some(asked), Some(rules)) => {
                        Watch::Voicing(Capture::new(Arc::new(asked), rules))
                    }
                    _ => Watch::Until(Time::ZERO),
                }
            }
            Task::Run(_) => match item::ready(section, item, self.allowance) {
                Some(ready) => Watch::Run(Box::new(ready)),
                None => Watch::Until(Time::ZERO),
            },
            Task::Ear(task) => Watch::Ear(Clock::new(
                scaled(task.limit),
                task.sound.length,
                self.hearings_of(item),
            )),
            Task::Spell(task) => Watch::Until(scaled(task.limit)),
            Task::Panel(_) => Watch::Until(Time::ZERO),
        }
    }

    fn did(&mut self, action: Action, at: Time, effects: &mut Vec<Effect>) {
        if let Action::Pedal(value) = action {
            self.pedal = value;
        }
        let (Stage::Open(open), Some(showing)) = (&mut self.stage, self.showings.last_mut()) else {
            return;
        };
        self.pedal_recorded = self.pedal;
        let item_time = at - showing.zero;
        let number = open.number;
        let mut over = false;

        match &mut open.watch {
            Watch::Voicing(capture) => {
                capture.event(item_time, &action);
                over = capture.closed().is_some();
            }
            Watch::Ear(clock) => {
                let hearing = matches!(action, Action::Hear) && clock.may_hear(item_time);
                let counts = clock.event(item_time, &action);
                if hearing && counts {
                    effects.push(Effect::Sound(number));
                }
                over = matches!(action, Action::HandIn);
            }
            Watch::Until(_) => over = matches!(action, Action::HandIn),
            Watch::Run(_) => {}
        }
        // What a file says of the pedal at the very prompt takes the place of what was found there.
        if let ([found], Action::Pedal(_)) = (showing.events.as_slice(), &action)
            && found.at == item_time
            && matches!(found.action, Action::Pedal(_))
        {
            showing.events.clear();
        }
        showing.events.push(marking::Event::new(item_time, action));

        if over {
            self.close(at, effects);
        }
    }

    /// The open item has closed: on to the gap, the next section's page or the end.
    fn close(&mut self, at: Time, effects: &mut Vec<Effect>) {
        if let Stage::Open(open) = &self.stage {
            effects.push(Effect::Closed(open.number));
        }
        self.go_on(at, effects);
    }

    fn go_on(&mut self, at: Time, effects: &mut Vec<Effect>) {
        let section = self
            .showings
            .last()
            .and_then(|showing| self.section_of(showing.number))
            .unwrap_or(0);

        match self.queue.front() {
            Some(item) if self.section_of(*item) == Some(section) => {
                self.stage = Stage::Waiting {
                    item: *item,
                    due: Some(at + self.exam.sections[section].gap),
                };
            }
            _ => self.enter(section + 1, at, effects),
        }
    }

    fn pause(&mut self, reason: String, at: Time, effects: &mut Vec<Effect>) {
        if matches!(self.stage, Stage::Paused(..) | Stage::Ended) {
            return;
        }

        self.note("clock stopped", &reason, "", at);
        if matches!(self.stage, Stage::Open(_)) {
            self.void(&reason, at, effects);
        }
        let stage = std::mem::replace(&mut self.stage, Stage::Ended);
        self.stage = Stage::Paused(Box::new(stage), at);
        effects.push(Effect::ClockStopped);
    }

    fn resume(&mut self, at: Time) {
        let Stage::Paused(stage, since) = std::mem::replace(&mut self.stage, Stage::Ended) else {
            return;
        };

        // What was due is due as much later as the clock stood still.
        let stood = at - since;
        self.stage = match *stage {
            Stage::Waiting { item, due } => Stage::Waiting {
                item,
                due: Some(due.map_or(at, |due| due + stood)),
            },
            Stage::Rest { section, until } => Stage::Rest {
                section,
                until: until + stood,
            },
            other => other,
        };
        self.note("clock started", "", "", at);
    }

    fn add_time(&mut self, extra: Time) {
        if let Stage::Open(open) = &mut self.stage
            && let Watch::Until(until) = &mut open.watch
        {
            *until += extra;
        }
    }

    /// Voids the item that is open or was shown last, and puts another in its place.
    fn void(&mut self, reason: &str, at: Time, effects: &mut Vec<Effect>) {
        self.take_away(at);
        let Some(showing) = self
            .showings
            .last_mut()
            .filter(|showing| showing.voided.is_none())
        else {
            return;
        };
        showing.voided = Some(reason.to_owned());
        let number = showing.number;
        let Some(item) = self.form.item(number).cloned() else {
            return;
        };

        let again = if matches!(item.task, Task::Run(_)) {
            number
        } else {
            self.replacement(&item).unwrap_or_else(|| {
                self.note("no spare item left", "the item starts again", "", at);
                number
            })
        };
        self.spare.retain(|spare| *spare != again);
        self.queue.push_front(again);
        if matches!(self.stage, Stage::Open(_)) {
            effects.push(Effect::Closed(number));
        }
        self.stage = Stage::Waiting {
            item: again,
            due: Some(at + self.exam.sections[item.section].gap),
        };
    }

    /// A spare item of the same cell that obeys the cold rule between its neighbours.
    fn replacement(&self, item: &Item) -> Option<u32> {
        let next = self
            .queue
            .front()
            .and_then(|number| self.form.item(*number))
            .filter(|next| next.section == item.section)
            .and_then(|next| next.task.root());
        let leads = |from: Option<u8>, to: Option<u8>| match (from, to) {
            (Some(from), Some(to)) => from == to || (from + 5) % 12 == to,
            _ => false,
        };

        self.form
            .reserve
            .iter()
            .filter(|spare| self.spare.contains(&spare.number))
            .filter(|spare| spare.section == item.section && spare.cell == item.cell)
            .find(|spare| {
                let root = spare.task.root();
                !leads(item.task.root(), root) && !leads(root, next)
            })
            .map(|spare| spare.number)
    }

    fn note(&mut self, kind: &str, text: &str, by: &str, at: Time) {
        self.incidents.push(Incident {
            at,
            item: self.showings.last().map(|showing| showing.number),
            kind: kind.to_owned(),
            text: text.to_owned(),
            by: by.to_owned(),
        });
    }
}

fn is_strike(event: &marking::Event) -> bool {
    matches!(event.action, Action::Down(_, velocity) if velocity > 0)
}
