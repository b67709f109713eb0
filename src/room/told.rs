//! What an instrument told, in one order.

use crate::instruments::keyboard::{self, Fact};
use crate::instruments::speaker;
use crate::time::Time;

/// What an instrument told, with its time.
pub(super) struct Told {
    pub(super) at: Time,
    pub(super) what: Source,
}

pub(super) enum Source {
    Keyboard(Fact),
    Speaker(speaker::Fact),
}

impl From<keyboard::Event> for Told {
    fn from(event: keyboard::Event) -> Self {
        Self {
            at: event.at,
            what: Source::Keyboard(event.fact),
        }
    }
}

impl Told {
    pub(super) fn of_speaker(fact: speaker::Fact, now: Time) -> Self {
        let at = match &fact {
            speaker::Fact::Started { at } | speaker::Fact::Ended { at } => *at,
            speaker::Fact::Lost { .. } | speaker::Fact::Found { .. } => now,
        };

        Self {
            at,
            what: Source::Speaker(fact),
        }
    }
}
