//! What the screen is told.

use crate::instruments::keyboard::Touch;
use crate::sitting::Prompt;
use crate::time::Time;

/// Something that the screen shows or no longer shows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Change {
    /// A section's first page.
    Page(usize),
    /// A prompt: the screen calls [`Room::shown`](super::Room::shown) as soon as it can be read.
    Prompt(Prompt),
    /// A run in tempo has begun: its time to look and then its beats count from here.
    Begun(Prompt, Time),
    /// A hearing sounds from now on.
    Hearing(Prompt),
    /// The hearing has ended; the time to answer runs.
    Heard(Prompt),
    /// Prompt was open has closed.
    Closed,
    /// A rest until a moment.
    Rest(Time),
    /// The clock stands still, because of these, in words; `by_person` tells whether an
    /// invigilator has to let it go on.
    Stopped {
        /// Why.
        reason: String,
        /// Whether a person stopped it.
        by_person: bool,
    },
    /// The clock goes on.
    GoesOn,
    /// A key or the pedal moved.
    Touched(Touch),
    /// The journal takes nothing more: the sitting must not go on. In words.
    NotKept(String),
    /// The sitting has ended.
    Ended,
}
