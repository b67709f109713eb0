//! One candidate's run through one form: events with their time in, effects out.
//!
//! The sitting never reads a clock and does nothing itself. What is due by itself happens strictly
//! before the event that passes it, so a journal of the events alone replays to the same state. Who
//! keeps a journal ends it with [`Event::Finished`], later than a sitting that ended by itself.
#![deny(clippy::disallowed_methods)]

pub mod by_hand;
mod course;
pub mod equipment;
pub mod event;
mod interruption;
pub mod journal;
pub mod outcome;
pub mod overrule;
pub mod resume;
pub mod review;
mod watch;
pub mod wire;

#[cfg(test)]
mod tests;

use std::collections::{BTreeMap, VecDeque};

pub use event::{Effect, Event, Incident};

use crate::exam::form::{Form, Item, Task};
use crate::exam::script::Exam;
use crate::fraction::Fraction;
use crate::marking;
use crate::marking::item::Allowance;
use crate::time::Time;
use by_hand::ByHand;
use overrule::Overrule;
use review::Reviewed;
use watch::Watch;

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
    /// How much time was added while it was open.
    pub added: Time,
    /// Why it was voided, if it was.
    pub voided: Option<String>,
    /// When the bass under it was heard to begin, in the item's time.
    pub bass: Option<Time>,
}

impl Showing {
    /// Makes a showing in which nothing has been done yet.
    pub const fn new(number: u32, shown: Time, zero: Time) -> Self {
        Self {
            number,
            shown,
            zero,
            events: Vec::new(),
            ended: None,
            added: Time::ZERO,
            voided: None,
            bass: None,
        }
    }
}

/// How a sitting ended.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum End {
    /// Every item was asked.
    Complete,
    /// Nothing more came, and items were left; they score nothing.
    Early,
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
    /// The levels that people set, by their order.
    pub overrules: Vec<Overrule>,
    /// What an examiner noted, where the program did not listen.
    pub by_hand: Option<ByHand>,
    /// How it ended.
    pub end: Option<End>,
}

/// Where a sitting is.
#[derive(Debug)]
enum Stage {
    /// Before the unmarked items.
    Before,
    /// On the first page of a section.
    Page(usize),
    /// Between items: the next prompt is due, or has been asked for.
    Waiting { next: Prompt, due: Option<Time> },
    /// An item is being answered.
    Open(Box<Open>),
    /// In practice: what was done is looked at until the candidate goes on.
    Review(Box<Reviewed>),
    /// A rest that ends by itself.
    Rest { section: usize, until: Time },
    /// The clock stands still.
    Paused(Box<Stage>, Time),
    /// Nothing more comes.
    Ended,
}

/// What can be shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Prompt {
    /// An unmarked item, by its place.
    WarmUp(usize),
    /// An item, by its number.
    Item(u32),
    /// An item of practice once more, unmarked, by its number.
    Again(u32),
}

impl Prompt {
    /// The number that effects call it by.
    const fn number(self) -> u32 {
        match self {
            Self::WarmUp(_) | Self::Again(_) => 0,
            Self::Item(number) => number,
        }
    }

    const fn show(self) -> Effect {
        match self {
            Self::WarmUp(place) => Effect::WarmUp(place),
            Self::Item(number) => Effect::Show(number),
            Self::Again(number) => Effect::Again(number),
        }
    }
}

/// Where a sitting is, as a screen has to show it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Place {
    /// Before the unmarked items.
    Before,
    /// On the first page of a section.
    Page(usize),
    /// Between items.
    Between,
    /// An item is being answered.
    Open(Prompt),
    /// In practice: what was done is looked at.
    Review,
    /// A rest until a moment.
    Rest(Time),
    /// Nothing more comes.
    Ended,
}

/// An item being answered.
#[derive(Debug)]
struct Open {
    what: Prompt,
    /// Its time zero, in the sitting's time.
    zero: Time,
    /// Whether it waits for the end of its compulsory hearing.
    sounds: bool,
    watch: Watch,
    /// What was done, where no showing keeps it.
    unkept: Vec<marking::Event>,
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
    overrules: Vec<Overrule>,
    by_hand: Option<ByHand>,
    /// Where the pedal was last seen, and where the evidence has it last: between items it moves
    /// unrecorded.
    pedal: u8,
    pedal_recorded: u8,
    end: Option<End>,
}

impl Sitting {
    /// Prepares a sitting: before the unmarked items, or where there are none on the first
    /// section's first page.
    pub fn new(exam: Exam, form: Form, allowance: Allowance) -> Self {
        let queue = form
            .items
            .iter()
            .filter(|item| !matches!(item.task, Task::Panel(_)))
            .map(|item| item.number)
            .collect();
        let spare = form.reserve.iter().map(|item| item.number).collect();
        let stage = if form.warm_ups.is_empty() {
            Stage::Page(0)
        } else {
            Stage::Before
        };

        Self {
            exam,
            form,
            allowance,
            now: Time::ZERO,
            stage,
            queue,
            showings: Vec::new(),
            incidents: Vec::new(),
            spare,
            panel: BTreeMap::new(),
            overrules: Vec::new(),
            by_hand: None,
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
            overrules: past.overrules,
            by_hand: past.by_hand,
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

    /// Returns the time of the last event; of an ended sitting, how long it lasted.
    pub const fn now(&self) -> Time {
        self.now
    }

    /// Returns the marks that people gave, by item.
    pub const fn panel(&self) -> &BTreeMap<u32, (Fraction, String)> {
        &self.panel
    }

    /// Returns the number of the item being answered; unmarked ones have none.
    pub fn open_item(&self) -> Option<u32> {
        match &self.stage {
            Stage::Open(open) => Some(open.what.number()).filter(|number| *number > 0),
            _ => None,
        }
    }

    /// Returns what is being answered, the unmarked items included.
    pub fn open(&self) -> Option<Prompt> {
        match &self.stage {
            Stage::Open(open) => Some(open.what),
            _ => None,
        }
    }

    /// Returns the time zero of what is being answered.
    pub fn zero(&self) -> Option<Time> {
        match &self.stage {
            Stage::Open(open) => Some(open.zero),
            _ => None,
        }
    }

    /// Returns the time that is left of what is being answered and closes by itself at a set time;
    /// a voicing closes otherwise.
    pub fn left(&self) -> Option<Time> {
        match &self.stage {
            Stage::Open(open) => match &open.watch {
                Watch::Voicing(..) => None,
                watch => Some(open.zero + watch.due()? - self.now),
            },
            _ => None,
        }
    }

    /// Returns what is being answered, or else what comes next without a rest or another section
    /// before it. It is the same while the clock stands still.
    pub fn at_hand(&self) -> Option<Prompt> {
        self.at_hand_of(&self.stage)
    }

    fn at_hand_of(&self, stage: &Stage) -> Option<Prompt> {
        match stage {
            Stage::Before => Some(Prompt::WarmUp(0)),
            Stage::Page(section) => self
                .next_item()
                .filter(|number| self.section_of(*number) == Some(*section))
                .map(Prompt::Item),
            Stage::Waiting { next, .. } => Some(*next),
            Stage::Open(open) => Some(open.what),
            Stage::Paused(stage, _) => self.at_hand_of(stage),
            // What is looked at needs no instrument.
            Stage::Review(_) | Stage::Rest { .. } | Stage::Ended => None,
        }
    }

    /// Returns where it is. It is the same while the clock stands still.
    pub fn place(&self) -> Place {
        let mut stage = &self.stage;

        loop {
            return match stage {
                Stage::Paused(inner, _) => {
                    stage = inner;
                    continue;
                }
                Stage::Before => Place::Before,
                Stage::Page(section) => Place::Page(*section),
                Stage::Waiting { .. } => Place::Between,
                Stage::Open(open) => Place::Open(open.what),
                Stage::Review(_) => Place::Review,
                Stage::Rest { until, .. } => Place::Rest(*until),
                Stage::Ended => Place::Ended,
            };
        }
    }

    /// Returns the item of a prompt.
    pub fn item(&self, prompt: Prompt) -> Option<&Item> {
        match prompt {
            Prompt::WarmUp(place) => self.form.warm_ups.get(place),
            Prompt::Item(number) | Prompt::Again(number) => self.form.item(number),
        }
    }

    /// Returns the number of the item that comes next.
    pub fn next_item(&self) -> Option<u32> {
        self.queue.front().copied()
    }

    /// Returns what has been done in the open item so far.
    pub fn done(&self) -> &[marking::Event] {
        match &self.stage {
            Stage::Open(open) => match open.what {
                Prompt::Item(_) => self
                    .showings
                    .last()
                    .map_or(&[], |showing| showing.events.as_slice()),
                Prompt::WarmUp(_) | Prompt::Again(_) => &open.unkept,
            },
            _ => &[],
        }
    }

    /// Returns the hearings left to the open ear item.
    pub fn hearings_left(&self) -> Option<u8> {
        match &self.stage {
            Stage::Open(open) => match (&open.watch, &self.item(open.what)?.task) {
                (Watch::Ear(clock), Task::Ear(task)) => {
                    Some(watch::hearings(task, self.allowance).saturating_sub(clock.used()))
                }
                _ => None,
            },
            _ => None,
        }
    }

    /// Returns the next moment at which something happens by itself.
    pub fn deadline(&self) -> Option<Time> {
        match &self.stage {
            Stage::Before
            | Stage::Page(_)
            | Stage::Review(_)
            | Stage::Paused(..)
            | Stage::Ended => None,
            Stage::Waiting { due, .. } => *due,
            Stage::Rest { until, .. } => Some(*until),
            Stage::Open(open) => Some(open.zero + open.watch.due()?),
        }
    }

    /// Lets time pass: everything due strictly before a moment happens.
    pub fn advance(&mut self, now: Time) -> Vec<Effect> {
        let mut effects = Vec::new();

        // The time of an ended sitting stands.
        while self.end.is_none() {
            match self.deadline().filter(|due| *due < now) {
                Some(due) => {
                    self.now = self.now.max(due);
                    self.happen(due, &mut effects);
                }
                None => {
                    self.now = self.now.max(now);
                    break;
                }
            }
        }

        effects
    }

    /// Takes an event in at its time; times never run backwards. After the end only notes and a
    /// person's marks are taken.
    pub fn update(&mut self, event: Event, at: Time) -> Vec<Effect> {
        let at = at.max(self.now);
        let mut effects = self.advance(at);

        if self.end.is_some() && !matches!(event, Event::Panel { .. } | Event::Noted(_)) {
            return effects;
        }

        match event {
            Event::Go => self.go(at, &mut effects),
            Event::WarmUpShown(place) => self.show(Prompt::WarmUp(place), at, &mut effects),
            Event::Shown(number) => self.show(Prompt::Item(number), at, &mut effects),
            Event::Again => self.again(&mut effects),
            Event::AgainShown(number) => self.show(Prompt::Again(number), at, &mut effects),
            Event::Sounded => self.sounded(at),
            Event::Did(action) => self.did(action, at, &mut effects),
            Event::Paused(reason) => self.pause(&reason, at, &mut effects),
            Event::Resumed => self.resume(at, &mut effects),
            Event::Voided { reason, by } => self.void(&reason, Some(&by), at, &mut effects),
            Event::TimeAdded(extra) => self.add_time(extra, at),
            Event::Noted(incident) => self.note(&incident.kind, &incident.text, &incident.by, at),
            Event::Panel { item, credit, by } => self.mark_by_hand(item, credit, by),
            Event::Stopped(reason) => self.stop(reason, at, &mut effects),
            Event::Finished => self.finish(at, &mut effects),
        }

        effects
    }

    fn section_of(&self, number: u32) -> Option<usize> {
        self.form.item(number).map(|item| item.section)
    }

    fn mark_by_hand(&mut self, number: u32, credit: Fraction, by: String) {
        let is_panel = self
            .form
            .item(number)
            .is_some_and(|item| matches!(item.task, Task::Panel(_)));

        if is_panel && credit >= Fraction::new(0, 1) && credit <= Fraction::new(1, 1) {
            let _ = self.panel.insert(number, (credit, by));
        }
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
