//! A sitting at an acoustic piano: marks that an examiner entered, and by whom.

use std::collections::BTreeMap;

use super::{End, Past, Sitting};
use crate::exam::form::{Form, Item, Task};
use crate::exam::script::Exam;
use crate::marking::item::Allowance;
use crate::marking::noted::Note;
use crate::time::Time;

/// What an examiner wrote of one item.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Written {
    /// What was noted.
    pub note: Note,
    /// Why it was voided, if it was; then the note does not count.
    pub voided: Option<String>,
    /// Who noted it.
    pub by: String,
    /// What else was written; may be empty.
    pub remark: String,
}

/// All that was written of a sitting, by the items' numbers.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct ByHand {
    /// The items, spare ones too where they took the place of a voided one.
    pub items: BTreeMap<u32, Written>,
}

impl ByHand {
    /// Returns who entered the marks, each once, in the order of the items.
    pub fn examiners(&self) -> Vec<&str> {
        let mut all: Vec<&str> = Vec::new();

        for written in self.items.values() {
            if !all.contains(&written.by.as_str()) {
                all.push(&written.by);
            }
        }

        all
    }
}

impl Sitting {
    /// Makes an ended sitting of what was written of it. It has no times and no events.
    pub fn written_down(exam: Exam, form: Form, allowance: Allowance, by_hand: ByHand) -> Self {
        let unreached = form.items.iter().any(|item| {
            !matches!(item.task, Task::Panel(_))
                && by_hand
                    .items
                    .get(&item.number)
                    .is_none_or(|of| of.note == Note::Nothing && of.voided.is_none())
        });
        let end = match unreached {
            true => End::Early,
            false => End::Complete,
        };

        Self::restored(
            exam,
            form,
            allowance,
            Past {
                now: Time::ZERO,
                showings: Vec::new(),
                incidents: Vec::new(),
                panel: BTreeMap::new(),
                overrules: Vec::new(),
                by_hand: Some(by_hand),
                end: Some(end),
            },
        )
    }

    /// Returns what was written of the sitting by hand; `None` where the program listened.
    pub const fn by_hand(&self) -> Option<&ByHand> {
        self.by_hand.as_ref()
    }

    /// Returns what was written of an item.
    pub fn written(&self, number: u32) -> Option<&Written> {
        self.by_hand.as_ref()?.items.get(&number)
    }

    /// The items of the form in their order, each spare one that was written of after the voided one
    /// whose place it took.
    pub(super) fn asked(&self) -> Vec<&Item> {
        let form = self.form();
        let mut spares: Vec<&Item> = form
            .reserve
            .iter()
            .filter(|spare| self.written(spare.number).is_some())
            .collect();
        let mut asked: Vec<&Item> = Vec::with_capacity(form.items.len());

        for item in &form.items {
            asked.push(item);
            let mut last = item;
            while self
                .written(last.number)
                .is_some_and(|of| of.voided.is_some())
                && let Some(place) = spares.iter().position(|spare| takes_place(spare, item))
            {
                last = spares.remove(place);
                asked.push(last);
            }
        }
        // One that takes no place is kept in sight.
        asked.extend(spares);

        asked
    }
}

/// Whether a spare item is of the kind of another.
pub fn takes_place(spare: &Item, item: &Item) -> bool {
    spare.section == item.section && spare.cell == item.cell
}
