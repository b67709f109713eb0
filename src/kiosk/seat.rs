//! A candidate at the keyboard: the room, and what its pages have to show.

use std::cell::RefCell;

use super::act::Act;
use super::pages::ear::dictation;
use super::pages::line::Kept;
use super::pages::own;
use super::sheet::Sheet;
use crate::exam::form::{EarTask, Item, Task};
use crate::instruments::keyboard::Keyboard;
use crate::instruments::speaker::Speaker;
use crate::marking::event::Action;
use crate::marking::hearing::played;
use crate::results::document::Given;
use crate::room::{Change, Journal, Room};
use crate::sitting::{Event, Place, Prompt, Sitting};
use crate::theory::Name;
use crate::time::Time;

/// What the candidate sees of the sitting.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Phase {
    /// Before the unmarked items, or a section's first page.
    Page(Option<usize>),
    /// Between two items.
    Gap,
    /// An item.
    Item(Prompt),
    /// In practice: what was done is looked at.
    Review,
    /// A rest.
    Rest(Time),
    /// The clock stands still.
    Stopped {
        /// Why.
        reason: String,
        /// Whether a person stopped it.
        by_person: bool,
    },
    /// Nothing can be kept any more.
    NotKept(String),
    /// It has ended.
    Ended,
}

/// The answer that is being given on the screen.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Answer {
    /// The chosen option of each part.
    pub options: Vec<Option<usize>>,
    /// The names of a spelling: letter and semitones that it is altered by.
    pub tones: Vec<(char, i8)>,
    /// The part of an ear item that figures answer.
    pub part: usize,
}

/// What was open when the clock was stopped.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Held {
    /// The item.
    pub prompt: Prompt,
    /// What was left of its time, and its whole time.
    pub left: Option<(Time, Time)>,
}

/// A candidate at the keyboard.
pub struct Seat {
    room: Room,
    /// What the result holds beside the sitting.
    pub given: Given,
    /// What is seen.
    pub phase: Phase,
    /// What it goes back to when the clock goes on.
    before: Phase,
    /// The answer.
    pub answer: Answer,
    /// A prompt that is on the page and not yet told as shown.
    unseen: Option<Prompt>,
    /// Whether a hearing sounds.
    pub sounding: bool,
    /// When a run in tempo began.
    pub run_begun: Option<Time>,
    /// Whether the candidate is asked why to stop.
    pub asks_to_stop: bool,
    /// Whether the clock stood still already when that was asked.
    pub stood: bool,
    /// Time that the invigilator gives to the item that comes next.
    pub extra: Time,
    /// What was open when the clock was stopped.
    pub held: Option<Held>,
    /// In practice: the time that was added to the open item.
    pub added: Time,
    /// The line of the open run, engraved.
    pub(super) line: RefCell<Option<Kept>>,
    /// The page of what is looked at, drawn.
    pub(super) looked: RefCell<Option<Sheet<Act>>>,
}

impl Seat {
    /// Seats a candidate.
    pub fn new(room: Room, given: Given) -> Self {
        let phase = match room.sitting().place() {
            Place::Before => Phase::Page(None),
            Place::Page(section) => Phase::Page(Some(section)),
            Place::Between => Phase::Gap,
            Place::Open(prompt) => Phase::Item(prompt),
            Place::Review => Phase::Review,
            Place::Rest(until) => Phase::Rest(until),
            Place::Ended => Phase::Ended,
        };

        Self {
            room,
            given,
            before: phase.clone(),
            phase,
            answer: Answer::default(),
            unseen: None,
            sounding: false,
            run_begun: None,
            asks_to_stop: false,
            stood: false,
            extra: Time::ZERO,
            held: None,
            added: Time::ZERO,
            line: RefCell::new(None),
            looked: RefCell::new(None),
        }
    }

    /// Returns the room.
    pub const fn room(&self) -> &Room {
        &self.room
    }

    /// Returns the sitting.
    pub const fn sitting(&self) -> &Sitting {
        self.room.sitting()
    }

    /// Returns what is open on the page.
    pub const fn open_prompt(&self) -> Option<Prompt> {
        match self.phase {
            Phase::Item(prompt) => Some(prompt),
            _ => None,
        }
    }

    /// Returns the item on the page.
    pub fn item(&self) -> Option<&Item> {
        match self.phase {
            Phase::Item(prompt) => self.sitting().item(prompt),
            _ => None,
        }
    }

    /// Returns the sitting's time.
    pub fn time(&self, now: Time) -> Time {
        self.room.time(now)
    }

    /// Returns a time limit of the open item with all that the candidate is allowed.
    pub fn limit(&self, limit: Time) -> Time {
        let factor = i64::from(self.sitting().allowance().factor);

        limit.scaled(factor, 100) + self.added
    }

    /// Returns what is left of the open item's time, and the whole; a run in tempo has its beats.
    pub fn time_left(&self, now: Time) -> Option<(Time, Time)> {
        let task = &self.item()?.task;
        let sitting = self.sitting();
        let since = self.time(now) - sitting.zero()?;

        Some(match task {
            Task::Voicing(task) => {
                let limit = self.limit(task.limit);
                (limit - since, limit)
            }
            Task::Run(task) => {
                let end = task.timing(sitting.allowance().factor).end;
                (sitting.left()?.min(end), end)
            }
            other => {
                let limit = self.limit(other.limit());
                (sitting.left()?.min(limit), limit)
            }
        })
    }

    /// Gives everything back.
    #[allow(
        clippy::type_complexity,
        reason = "it is taken apart where it is called"
    )]
    pub fn leave(
        self,
    ) -> (
        Sitting,
        Box<dyn Keyboard>,
        Box<dyn Speaker>,
        Box<dyn Journal>,
    ) {
        self.room.close()
    }

    /// Has the sitting's clock stand still for so long, as when the computer slept.
    pub fn skip(&mut self, time: Time) {
        self.room.skip(time);
    }

    /// Lets time pass.
    pub fn poll(&mut self, now: Time) {
        self.remember(now);
        // The page was painted after the poll before this one.
        if let Some(prompt) = self.unseen.take() {
            let changes = self.room.shown(prompt, now);
            self.follow(changes);
            if self.extra > Time::ZERO && self.sitting().open_item().is_some() {
                let extra = std::mem::replace(&mut self.extra, Time::ZERO);
                let changes = self.room.take(Event::TimeAdded(extra), now);
                self.follow(changes);
            }
        }
        let changes = self.room.poll(now);
        self.follow(changes);
    }

    /// Does something that the sitting hears of.
    pub fn take(&mut self, event: Event, now: Time) {
        self.remember(now);
        let changes = self.room.take(event, now);
        self.follow(changes);
    }

    /// Keeps what is open for the page of a stopped clock.
    fn remember(&mut self, now: Time) {
        match self.phase {
            Phase::Stopped { .. } => {}
            Phase::Item(prompt) => {
                let left = self.time_left(now);
                self.held = Some(Held { prompt, left });
            }
            _ => self.held = None,
        }
    }

    /// Gives the open item of practice ten times its time, once; the beats of a run go on.
    pub fn ease(&mut self, now: Time) {
        let Some(task) = self.item().map(|item| item.task.clone()) else {
            return;
        };
        let can = self.sitting().is_practice() && self.sitting().zero().is_some();
        if !can || self.added > Time::ZERO || matches!(task, Task::Run(_)) {
            return;
        }

        let extra = self.limit(task.limit()).scaled(9, 1);
        self.added = extra;
        self.take(Event::TimeAdded(extra), now);
    }

    /// In practice: sounds what was asked, or what was played or answered.
    pub fn hear_review(&mut self, is_own: bool, now: Time) {
        if self.phase != Phase::Review {
            return;
        }
        let sitting = self.room.sitting();
        let sound = sitting.review().and_then(|review| {
            if is_own {
                own::own(sitting, &review)
            } else {
                own::asked(&review)
            }
        });
        if let Some(sound) = sound {
            let _ = self.room.hear(&sound.notes, sound.length, now);
        }
    }

    fn did(&mut self, action: Action, now: Time) {
        self.take(Event::Did(action), now);
    }

    /// Chooses an option of an ear item; all parts chosen so far are the answer.
    pub fn choose(&mut self, part: usize, option: usize, now: Time) {
        let Some(Task::Ear(task)) = self.item().map(|item| &item.task) else {
            return;
        };
        let parts = task.options.len();
        let options = task.options.clone();
        let is_dictation = dictation::is_one(task);
        if part >= parts || option >= options[part].len() {
            return;
        }
        self.answer.options.resize(parts, None);
        self.answer.options[part] = Some(option);
        // Figures go on to the next part without an answer.
        let next = if is_dictation {
            dictation::next(&self.answer.options, part)
        } else {
            (0..parts).find(|part| self.answer.options[*part].is_none())
        };
        self.answer.part = next.unwrap_or(part);
        let texts: Vec<&str> = self
            .answer
            .options
            .iter()
            .zip(options.iter())
            .map(|(chosen, options)| chosen.map_or("", |chosen| options[chosen].as_str()))
            .collect();
        // Parts are told apart as the marking reads them.
        let text = texts.join(" / ");

        self.did(Action::Answer(text), now);
    }

    /// Has figures answer a part of an ear item, as to change it.
    pub fn answer_part(&mut self, part: usize) {
        if let Some(Task::Ear(task)) = self.item().map(|item| &item.task)
            && part < task.options.len()
        {
            self.answer.part = part;
        }
    }

    /// Returns how many steps have been taken of what is played back now.
    pub fn taken(&self, task: &EarTask) -> usize {
        let sitting = self.sitting();
        let hearings = task.hearings.saturating_add(sitting.allowance().hearings);
        let apart = sitting.exam().rules.rubric.apart;
        let limit = self.limit(task.limit);
        let (take, _) = played::take(task, apart, limit, hearings, sitting.done());

        take.taken()
    }

    /// Asks for another hearing.
    pub fn hear(&mut self, now: Time) {
        self.did(Action::Hear, now);
    }

    /// Hands in.
    pub fn hand_in(&mut self, now: Time) {
        self.did(Action::HandIn, now);
    }

    /// Writes a letter of a spelling.
    pub fn letter(&mut self, letter: char, now: Time) {
        let Some(Task::Spell(task)) = self.item().map(|item| &item.task) else {
            return;
        };
        if self.answer.tones.len() < task.tones.len() {
            self.answer.tones.push((letter, 0));
            self.spell(now);
        }
    }

    /// Alters the last letter.
    pub fn alter(&mut self, by: i8, now: Time) {
        if let Some((_, altered)) = self.answer.tones.last_mut() {
            *altered = by;
            self.spell(now);
        }
    }

    /// Takes the last letter back.
    pub fn rub_out(&mut self, now: Time) {
        if let Some(Task::Ear(task)) = self.item().map(|item| &item.task)
            && task.is_played()
        {
            return self.did(Action::Answer(String::new()), now);
        }
        // In an ear item the way goes back to the part before.
        self.answer.part = self.answer.part.saturating_sub(1);
        if self.answer.tones.pop().is_some() {
            self.spell(now);
        }
    }

    fn spell(&mut self, now: Time) {
        let names: Vec<String> = self
            .answer
            .tones
            .iter()
            .map(|(letter, altered)| written(*letter, *altered))
            .collect();

        self.did(Action::Answer(names.join(" ")), now);
    }

    /// Returns the names that have been spelled.
    pub fn spelled(&self) -> Vec<Name> {
        self.answer
            .tones
            .iter()
            .filter_map(|(letter, altered)| Name::parse(&written(*letter, *altered)).ok())
            .collect()
    }

    fn follow(&mut self, changes: Vec<Change>) {
        for change in changes {
            match change {
                Change::Page(section) => self.show(Phase::Page(Some(section))),
                Change::Prompt(prompt) => {
                    self.answer = Answer::default();
                    self.run_begun = None;
                    self.added = Time::ZERO;
                    drop(self.line.take());
                    self.unseen = Some(prompt);
                    self.show(Phase::Item(prompt));
                }
                Change::Begun(_, at) => self.run_begun = Some(at),
                Change::Hearing(_) => self.sounding = true,
                Change::Heard(_) => self.sounding = false,
                Change::Closed => {
                    self.sounding = false;
                    drop(self.looked.take());
                    let looks = self.sitting().looked_at().is_some();
                    self.show(if looks { Phase::Review } else { Phase::Gap });
                }
                Change::Rest(until) => self.show(Phase::Rest(until)),
                // Nothing goes on after that.
                Change::Stopped { .. } | Change::GoesOn
                    if matches!(self.phase, Phase::NotKept(_) | Phase::Ended) => {}
                Change::Stopped { reason, by_person } => {
                    if !matches!(self.phase, Phase::Stopped { .. }) {
                        self.before = self.phase.clone();
                    }
                    self.sounding = false;
                    self.unseen = None;
                    self.phase = Phase::Stopped { reason, by_person };
                }
                Change::GoesOn => self.phase = self.before.clone(),
                Change::NotKept(why) => self.phase = Phase::NotKept(why),
                Change::Ended => self.phase = Phase::Ended,
                Change::Touched(_) => {}
            }
        }
    }

    /// Shows a phase, now or when the clock goes on.
    fn show(&mut self, phase: Phase) {
        match self.phase {
            Phase::Stopped { .. } => self.before = phase,
            Phase::NotKept(_) | Phase::Ended => {}
            _ => self.phase = phase,
        }
    }
}

/// A name as answers have it.
fn written(letter: char, altered: i8) -> String {
    let sign = match altered {
        -2 => "bb",
        -1 => "b",
        1 => "#",
        2 => "##",
        _ => "",
    };

    format!("{letter}{sign}")
}
