//! What a sitting comes to: every item marked, the grade and what stands beside it.

use super::by_hand::Written;
use super::overrule::Overrule;
use super::review::Review;
use super::{End, Showing, Sitting};
use crate::exam::form::{Item, Task};
use crate::fraction::Fraction;
use crate::marking::grade::{self, Entry, Grade, Heard};
use crate::marking::item::{self, Marked};
use crate::marking::noted;
use crate::marking::profile::{self, Profile};
use crate::time::Time;

/// A marked showing.
#[derive(Debug, Clone)]
pub struct ItemOutcome<'a> {
    /// The item.
    pub item: &'a Item,
    /// How it was shown; `None` where it was not reached.
    pub showing: Option<&'a Showing>,
    /// How it was marked; a voided one is marked too, but does not count.
    pub marked: Marked,
    /// What an examiner wrote of it, where the program did not listen.
    pub written: Option<&'a Written>,
    /// A person's overruling of it.
    pub overruled: Option<&'a Overrule>,
}

impl ItemOutcome<'_> {
    /// Returns the credit that counts; `None` where a person's mark is awaited.
    pub fn credit(&self) -> Option<Fraction> {
        self.overruled
            .map(Overrule::credit)
            .or_else(|| self.marked.credit())
    }

    /// Returns the level that counts: the credit in whole quarters.
    pub fn level(&self) -> u8 {
        self.overruled
            .map_or_else(|| self.marked.level(), |of| of.level)
    }

    /// Returns why, most telling first: the person's reason before the program's.
    pub fn reasons(&self) -> Vec<String> {
        let person = self
            .overruled
            .map(|of| format!("Level {} by {}: {}", of.level, of.by, of.reason));

        let remark = self
            .written
            .filter(|written| !written.remark.is_empty())
            .map(|written| format!("{} ({})", written.remark, written.by));
        // Who gives a panel's marks is told of them everywhere.
        let entered = self
            .written
            .filter(|_| !matches!(self.marked, Marked::Panel(_)))
            .map(|written| format!("Entered by hand by {}", written.by));

        person
            .into_iter()
            .chain(remark)
            .chain(self.marked.reasons())
            .chain(entered)
            .collect()
    }

    /// Returns why it was voided, where it was.
    pub fn voided(&self) -> Option<&str> {
        let shown = self.showing.and_then(|showing| showing.voided.as_deref());

        shown.or_else(|| self.written?.voided.as_deref())
    }

    /// Returns the item as it is looked at after the sitting; what was not shown has no events.
    pub fn review(&self) -> Review<'_> {
        let shown = self.showing;

        Review {
            item: self.item,
            events: shown.map_or(&[], |showing| showing.events.as_slice()),
            marked: self.marked.clone(),
            added: shown.map_or(Time::ZERO, |showing| showing.added),
            is_rehearsal: false,
        }
    }

    /// Tells whether the item counts.
    pub fn counts(&self) -> bool {
        self.voided().is_none()
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
                written: None,
                overruled: sitting
                    .overruled(showing.number)
                    .filter(|_| showing.voided.is_none()),
            })
        })
        .collect();

    for item in sitting.asked() {
        if items
            .iter()
            .any(|outcome| outcome.item.number == item.number)
        {
            continue;
        }
        let written = sitting.written(item.number);
        let marked = match (written, &item.task) {
            (Some(Written { note, by, .. }), _) => {
                noted::mark(sitting.exam(), item, sitting.allowance(), note, by)
            }
            (None, Task::Panel(_)) => Marked::Panel(sitting.panel().get(&item.number).cloned()),
            (None, _) => Marked::NotReached,
        };
        items.push(ItemOutcome {
            item,
            showing: None,
            marked,
            written,
            overruled: sitting
                .overruled(item.number)
                .filter(|_| written.is_none_or(|written| written.voided.is_none())),
        });
    }

    let entries: Vec<Entry> = items
        .iter()
        .filter(|outcome| outcome.counts())
        .map(|outcome| Entry {
            number: outcome.item.number,
            section: outcome.item.section,
            marked: outcome.marked.clone(),
            overruled: outcome.overruled.map(Overrule::credit),
        })
        .collect();
    let heard: Vec<Heard> = items
        .iter()
        .filter_map(|outcome| {
            let Task::Ear(task) = &outcome.item.task else {
                return None;
            };
            let key = *task.right.first()?;
            let is_right = match (&outcome.overruled, &outcome.marked) {
                (Some(of), _) => of.credit() == Fraction::from_integer(1),
                (None, Marked::Ear(heard)) => heard.answered.first() == Some(&Some(key)),
                _ => false,
            };
            Some(Heard {
                section: outcome.item.section,
                answer: task.options.first()?.get(key)?.clone(),
                is_meant: form
                    .items
                    .iter()
                    .any(|item| item.number == outcome.item.number),
                right: outcome.counts().then_some(is_right),
            })
        })
        .collect();
    // A voided chord was seen, so the one after it may not be cold; but it has no figures.
    let unseen = Marked::NotReached;
    let set: Vec<Option<Marked>> = items.iter().map(set_by_a_person).collect();
    let shown: Vec<(&Item, &Marked)> = items
        .iter()
        .zip(&set)
        .filter(|(outcome, _)| outcome.counts() || matches!(outcome.item.task, Task::Voicing(_)))
        .map(|(outcome, set)| match outcome.counts() {
            true => (outcome.item, set.as_ref().unwrap_or(&outcome.marked)),
            false => (outcome.item, &unseen),
        })
        .collect();

    Outcome {
        grade: grade::grade(sitting.exam(), &entries, &heard),
        profile: profile::profile(sitting.exam(), &shown),
        void: matches!(sitting.end(), Some(End::Void(_))),
        items,
    }
}

/// A voicing as the table of keys has it after a person's overruling: at the level that counts.
fn set_by_a_person(outcome: &ItemOutcome<'_>) -> Option<Marked> {
    match (&outcome.marked, outcome.overruled) {
        (Marked::Voicing(marked), Some(overrule)) => {
            let mut marked = marked.clone();
            marked.level = overrule.level;
            Some(Marked::Voicing(marked))
        }
        _ => None,
    }
}
