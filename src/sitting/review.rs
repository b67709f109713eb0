//! Practice: what was done is looked at before the next item, and may be tried once more.
//!
//! Where a script gives feedback, a closed item is followed by nothing until the candidate goes
//! on. They may ask for the item [`Again`](super::Event::Again): it is shown with its full time as
//! a rehearsal. What is done in a rehearsal is looked at in its turn, stands in the journal like
//! all else, and is in no showing: so neither marks nor evidence change, and a replay comes to the
//! same place. A prompt that is shown without waiting, as in a performance file, ends the looking.

use super::{Effect, Prompt, Sitting, Stage};
use crate::exam::form::Item;
use crate::marking::Event;
use crate::marking::item::{self, Marked};
use crate::time::Time;

/// What is looked at.
#[derive(Debug)]
pub(super) struct Reviewed {
    /// The item's number.
    number: u32,
    /// What was done the last time it was tried again.
    rehearsed: Option<Vec<Event>>,
}

/// An item with what was done in it, and what it would bring.
#[derive(Debug, Clone, PartialEq)]
pub struct Review<'a> {
    /// The item.
    pub item: &'a Item,
    /// What was done, in the item's time.
    pub events: &'a [Event],
    /// Its mark, or what a rehearsal would have brought.
    pub marked: Marked,
    /// How much time was added while it was open.
    pub added: Time,
    /// Whether it is a rehearsal that is looked at.
    pub is_rehearsal: bool,
}

impl Sitting {
    /// Tells whether items are looked at after they close.
    pub const fn is_practice(&self) -> bool {
        self.exam.rules.feedback
    }

    /// Returns what is looked at, also while the clock stands still.
    pub fn review(&self) -> Option<Review<'_>> {
        let reviewed = self.reviewed_now()?;
        let item = self.form.item(reviewed.number)?;
        let showing = self
            .showings
            .iter()
            .rev()
            .find(|showing| showing.number == reviewed.number)?;
        let (events, added, ended) = match &reviewed.rehearsed {
            Some(events) => (events.as_slice(), Time::ZERO, None),
            None => (showing.events.as_slice(), showing.added, showing.ended),
        };

        Some(Review {
            item,
            events,
            marked: item::mark_extended(&self.exam, item, self.allowance, added, events, ended),
            added,
            is_rehearsal: reviewed.rehearsed.is_some(),
        })
    }

    /// Returns the number of the item that is looked at.
    pub fn looked_at(&self) -> Option<u32> {
        self.reviewed_now().map(|reviewed| reviewed.number)
    }

    fn reviewed_now(&self) -> Option<&Reviewed> {
        let stage = match &self.stage {
            Stage::Paused(stage, _) => stage,
            stage => stage,
        };

        match stage {
            Stage::Review(reviewed) => Some(reviewed),
            _ => None,
        }
    }

    /// Tells whether an item is the one that is looked at or about to be tried again.
    pub(super) fn is_looked_at(&self, number: u32) -> bool {
        match &self.stage {
            Stage::Review(reviewed) => reviewed.number == number,
            Stage::Waiting { next, .. } => *next == Prompt::Again(number),
            _ => false,
        }
    }

    /// The open item has closed, or its rehearsal has.
    pub(super) fn look_at(&mut self, effects: &mut Vec<Effect>) {
        let Stage::Open(open) = &mut self.stage else {
            return;
        };
        let events = std::mem::take(&mut open.unkept);
        let reviewed = match open.what {
            Prompt::Item(number) => Reviewed {
                number,
                rehearsed: None,
            },
            Prompt::Again(number) => Reviewed {
                number,
                rehearsed: Some(events),
            },
            Prompt::WarmUp(_) => return,
        };

        effects.push(Effect::Closed(open.what.number()));
        self.stage = Stage::Review(Box::new(reviewed));
    }

    /// Asks for what is looked at once more.
    pub(super) fn again(&mut self, effects: &mut Vec<Effect>) {
        if let Stage::Review(reviewed) = &self.stage {
            self.call(Prompt::Again(reviewed.number), effects);
        }
    }

    /// Enough has been seen: on to the next item, the next section's page or the end.
    pub(super) fn reviewed(&mut self, at: Time, effects: &mut Vec<Effect>) {
        let Some(section) = self
            .looked_at()
            .and_then(|number| self.form.item(number))
            .map(|item| item.section)
        else {
            return;
        };

        match self.next_item() {
            Some(next) if self.section_of(next) == Some(section) => {
                self.call(Prompt::Item(next), effects);
            }
            _ => self.enter(section + 1, at, effects),
        }
    }
}
