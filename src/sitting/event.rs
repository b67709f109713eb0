//! What a sitting hears, and what it asks to be done.

use crate::fraction::Fraction;
use crate::marking::event::Action;
use crate::time::Time;

/// Something that happened.
#[derive(Debug, Clone, PartialEq)]
pub enum Event {
    /// The candidate goes on: to the unmarked items, from a section's first page, or in practice
    /// from what was done to the next item.
    Go,
    /// The prompt of an unmarked item appeared, named by its place among them from 0.
    WarmUpShown(usize),
    /// The prompt of an item appeared.
    Shown(u32),
    /// In practice: the item that is looked at is wanted once more, unmarked.
    Again,
    /// The prompt of an item appeared once more.
    AgainShown(u32),
    /// The compulsory hearing of the open item ended.
    Sounded,
    /// The candidate did something.
    Did(Action),
    /// The clock stops: the instrument is lost, or the invigilator pauses.
    Paused(String),
    /// The clock goes on.
    Resumed,
    /// The item shown last is voided.
    Voided {
        /// Why.
        reason: String,
        /// By whom; empty for the program.
        by: String,
    },
    /// The open item gets more time. A run gets none: it is voided and starts again.
    TimeAdded(Time),
    /// Something that the examiner must know. The sitting says itself when, and at which item.
    Noted(Incident),
    /// A person's mark.
    Panel {
        /// The item.
        item: u32,
        /// The credit, 0 to 1.
        credit: Fraction,
        /// Who gave it.
        by: String,
    },
    /// The sitting was stopped. Pain, distress or illness named in the reason voids it.
    Stopped(String),
    /// Nothing more comes: the performance has ended.
    Finished,
}

/// Something to be done for the sitting.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Effect {
    /// Show the prompt of an unmarked item, and say when it appeared.
    WarmUp(usize),
    /// Show a section's first page.
    Page(usize),
    /// Show an item's prompt, and say when it appeared.
    Show(u32),
    /// Show an item's prompt once more, unmarked, and say when it appeared.
    Again(u32),
    /// Sound a hearing of an item; 0 is the unmarked item that is open.
    Sound(u32),
    /// An item has closed; 0 is the unmarked item that was open.
    Closed(u32),
    /// A rest goes on until a moment, at which it ends by itself.
    Rest(Time),
    /// The clock stands still.
    ClockStopped,
    /// The sitting has ended.
    Ended,
}

/// Anything the examiner must know about a sitting.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Incident {
    /// When, in the sitting's time.
    pub at: Time,
    /// The item shown last.
    pub item: Option<u32>,
    /// What kind: late, noise, equipment, illness, help given, ...
    pub kind: String,
    /// What happened.
    pub text: String,
    /// Who says so; empty for the program.
    pub by: String,
}
