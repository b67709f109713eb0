//! Which instruments the sitting needs now.

use crate::exam::form::{Item, Task};
use crate::exam::script::Pace;
use crate::sitting::Sitting;

/// What is needed of the instruments.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct Need {
    keyboard: bool,
    speaker: bool,
}

impl Need {
    /// Returns what is needed for what is open or comes next.
    pub(super) fn now(sitting: &Sitting) -> Self {
        sitting
            .at_hand()
            .and_then(|prompt| sitting.item(prompt))
            .map_or_else(Self::default, Self::of)
    }

    fn of(item: &Item) -> Self {
        Self {
            keyboard: item.task.for_hands(),
            speaker: match &item.task {
                Task::Ear(_) => true,
                Task::Run(task) => matches!(task.pace, Pace::Tempo { .. }),
                task => task.has_bass(),
            },
        }
    }

    /// Returns in words what is needed and not there.
    pub(super) const fn missing(self, keyboard: bool, speaker: bool) -> Option<&'static str> {
        match (self.keyboard && !keyboard, self.speaker && !speaker) {
            (true, true) => Some("neither keyboard nor sound is there"),
            (true, false) => Some("the keyboard is not there"),
            (false, true) => Some("the sound is not there"),
            (false, false) => None,
        }
    }
}
