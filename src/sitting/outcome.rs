//! What a sitting comes to: every item marked, the grade and what stands beside it.

use super::{End, Showing, Sitting};
use crate::exam::form::{Item, Task};
use crate::marking::grade::{self, Entry, Grade};
use crate::marking::item::{self, Marked};
use crate::marking::profile::{self, Profile};

/// A marked showing.
#[derive(Debug, Clone)]
pub struct ItemOutcome<'a> {
    /// The item.
    pub item: &'a Item,
    /// How it was shown; `None` where it was not reached.
    pub showing: Option<&'a Showing>,
    /// How it was marked; a voided one is marked too, but does not count.
    pub marked: Marked,
}

impl ItemOutcome<'_> {
    /// Tells whether the item counts.
    pub fn counts(&self) -> bool {
        self.showing.is_none_or(|showing| showing.voided.is_none())
    }
}

/// A marked sitting.
#[derive(Debug, Clone)]
pub struct Outcome<'a> {
    /// The items in the order shown, then those not reached.
    pub items: Vec<ItemOutcome<'a>>,
    /// The grade.
    pub grade: Grade,
    /// What stands beside it.
    pub profile: Profile,
    /// Whether the sitting is void.
    pub void: bool,
}

/// Marks a sitting. The same sitting gives the same marks, always.
pub fn outcome(sitting: &Sitting) -> Outcome<'_> {
    let form = sitting.form();
    let mut items: Vec<ItemOutcome<'_>> = sitting
        .showings()
        .iter()
        .filter_map(|showing| {
            let item = form.item(showing.number)?;
            Some(ItemOutcome {
                item,
                showing: Some(showing),
                marked: item::mark_extended(
                    sitting.exam(),
                    item,
                    sitting.allowance(),
                    showing.added,
                    &showing.events,
                    showing.ended,
                ),
            })
        })
        .collect();

    for item in &form.items {
        if items
            .iter()
            .any(|outcome| outcome.item.number == item.number)
        {
            continue;
        }
        let marked = match &item.task {
            Task::Panel(_) => Marked::Panel(sitting.panel().get(&item.number).cloned()),
            _ => Marked::NotReached,
        };
        items.push(ItemOutcome {
            item,
            showing: None,
            marked,
        });
    }

    let entries: Vec<Entry> = items
        .iter()
        .filter(|outcome| outcome.counts())
        .map(|outcome| Entry {
            number: outcome.item.number,
            section: outcome.item.section,
            marked: outcome.marked.clone(),
            overruled: None,
        })
        .collect();
    // A voided chord was seen, so the one after it may not be cold; but it has no figures.
    let unseen = Marked::NotReached;
    let shown: Vec<(&Item, &Marked)> = items
        .iter()
        .filter(|outcome| outcome.counts() || matches!(outcome.item.task, Task::Voicing(_)))
        .map(|outcome| match outcome.counts() {
            true => (outcome.item, &outcome.marked),
            false => (outcome.item, &unseen),
        })
        .collect();

    Outcome {
        grade: grade::grade(sitting.exam(), &entries),
        profile: profile::profile(sitting.exam(), &shown),
        void: matches!(sitting.end(), Some(End::Void(_))),
        items,
    }
}
