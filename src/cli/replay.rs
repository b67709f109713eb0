//! Performances and sittings: a file played through a sitting, and a sitting written as a file.
//!
//! What was exported gives the same marks when it is played again, under the same allowance. Only
//! a panel's marks are no part of a performance.

use std::collections::BTreeMap;

use crate::exam::code::Code;
use crate::exam::form::Task;
use crate::instruments::performance::{self, Kind, Performance};
use crate::marking::event::Action;
use crate::sitting::{End, Event, Showing, Sitting};
use crate::theory::Key;
use crate::time::Time;

/// Why a performance can't be played through a sitting.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum Error {
    /// The form has no such item.
    #[error(
        "marker `item {number}` at {at} ms: form {form} has items 1 to {last} and {spare} spare \
         ones after them; check that the performance is of this form"
    )]
    Unknown {
        /// The item's number.
        number: u32,
        /// Where the marker stands.
        at: Time,
        /// The form.
        form: Code,
        /// How many items it has.
        last: usize,
        /// How many spare ones.
        spare: usize,
    },
    /// A person marks the item.
    #[error(
        "marker `item {number}` at {at} ms: a person marks this item, it has no prompt; take the \
         marker out"
    )]
    Panel {
        /// The item's number.
        number: u32,
        /// Where the marker stands.
        at: Time,
    },
    /// The item counts already.
    #[error(
        "marker `item {number}` at {at} ms: this item was shown {before} ms into the sitting and \
         not voided; each counts once"
    )]
    Again {
        /// The item's number.
        number: u32,
        /// Where the marker stands.
        at: Time,
        /// When the item was shown.
        before: Time,
    },
}

/// Plays a performance through a sitting, to its end; every event goes to `record` first.
///
/// # Errors
/// Refuses markers for items that can't be shown, and what `record` refuses.
pub fn play<E: From<Error>>(
    sitting: &mut Sitting,
    performance: &Performance,
    offset: Time,
    record: &mut dyn FnMut(Time, &Event) -> Result<(), E>,
) -> Result<(), E> {
    let mut counted: BTreeMap<u32, Time> = sitting
        .showings()
        .iter()
        .filter(|showing| showing.voided.is_none())
        .map(|showing| (showing.number, showing.shown))
        .collect();

    for happened in &performance.events {
        let at = offset + happened.at;
        match happened.kind {
            Kind::Item(number) => {
                check(sitting, number, happened.at)?;
                if let Some(before) = counted.insert(number, at) {
                    return Err(E::from(Error::Again {
                        number,
                        at: happened.at,
                        before,
                    }));
                }
            }
            Kind::Void(_) => {
                let last = sitting.showings().last();
                let _ = last.and_then(|last| counted.remove(&last.number));
            }
            _ => {}
        }
        let Some(event) = event(&happened.kind) else {
            continue;
        };
        record(at, &event)?;
        drop(sitting.update(event, at));
    }

    finish(sitting, record)
}

/// Lets everything that is due happen, and ends the sitting.
pub fn finish<E>(
    sitting: &mut Sitting,
    record: &mut dyn FnMut(Time, &Event) -> Result<(), E>,
) -> Result<(), E> {
    if sitting.end().is_some() {
        return Ok(());
    }
    let open = sitting.open_item();
    let mut at = sitting.now();

    // An item that is open when the file ends still closes by itself, before the last event.
    while open.is_some()
        && sitting.open_item() == open
        && let Some(due) = sitting.deadline()
    {
        at = at.max(due + Time::from_tenths(1));
        drop(sitting.advance(at));
    }
    record(at, &Event::Finished)?;
    drop(sitting.update(Event::Finished, at));

    Ok(())
}

/// Refuses a marker for an item that the form does not have, or that has no prompt.
fn check(sitting: &Sitting, number: u32, at: Time) -> Result<(), Error> {
    let form = sitting.form();

    match form.item(number).map(|item| &item.task) {
        None => Err(Error::Unknown {
            number,
            at,
            form: form.code,
            last: form.items.len(),
            spare: form.reserve.len(),
        }),
        Some(Task::Panel(_)) => Err(Error::Panel { number, at }),
        Some(_) => Ok(()),
    }
}

fn event(kind: &Kind) -> Option<Event> {
    let key = |number: u8| Key::new(i64::from(number)).ok();

    Some(match kind {
        Kind::Down {
            key: number,
            velocity,
        } => Event::Did(Action::Down(key(*number)?, *velocity)),
        Kind::Up { key: number } => Event::Did(Action::Up(key(*number)?)),
        Kind::Pedal { value } => Event::Did(Action::Pedal(*value)),
        Kind::Answer(text) => Event::Did(Action::Answer(text.clone())),
        Kind::Hear => Event::Did(Action::Hear),
        Kind::Sounded => Event::Sounded,
        Kind::Added(extra) => Event::TimeAdded(*extra),
        Kind::Void(reason) => Event::Voided {
            reason: reason.clone(),
            by: String::new(),
        },
        Kind::Stop(reason) => Event::Stopped(reason.clone()),
        Kind::Item(number) => Event::Shown(*number),
    })
}

/// Makes a performance of a sitting: what was shown and done, at its times.
pub fn performance(sitting: &Sitting) -> Performance {
    let showings = sitting.showings();
    let mut events = Vec::new();

    for (place, showing) in showings.iter().enumerate() {
        let mut push = |at: Time, kind: Kind| events.push(performance::Event { at, kind });

        push(showing.shown, Kind::Item(showing.number));
        if showing.added > Time::ZERO {
            push(showing.shown, Kind::Added(showing.added));
        }
        if showing.zero != zero(sitting, showing) {
            push(showing.zero, Kind::Sounded);
        }
        if let Some(bass) = showing.bass {
            push(showing.zero + bass, Kind::Sounded);
        }
        for event in &showing.events {
            if let Some(kind) = kind(&event.action) {
                push(showing.zero + event.at, kind);
            }
        }
        if let Some(reason) = &showing.voided {
            // One that had closed was voided at some time before the next prompt.
            let at = match (showing.ended, showings.get(place + 1)) {
                (Some(ended), _) => showing.zero + ended,
                (None, Some(next)) => next.shown,
                (None, None) => sitting.now(),
            };
            push(at, Kind::Void(reason.clone()));
        }
    }
    if let Some(End::Stopped(reason) | End::Void(reason)) = sitting.end() {
        events.push(performance::Event {
            at: sitting.now(),
            kind: Kind::Stop(reason.clone()),
        });
    }

    Performance {
        events,
        form: Some(sitting.form().code.to_string()),
        exam: Some(sitting.exam().name.clone()),
        notes: Vec::new(),
    }
}

fn kind(action: &Action) -> Option<Kind> {
    Some(match action {
        Action::Down(key, velocity) if *velocity > 0 => Kind::Down {
            key: key.number(),
            velocity: *velocity,
        },
        Action::Down(key, _) | Action::Up(key) => Kind::Up { key: key.number() },
        Action::Pedal(value) => Kind::Pedal { value: *value },
        Action::Answer(text) => Kind::Answer(text.clone()),
        Action::Hear => Kind::Hear,
        // Nothing counts after it, which the file shows by holding nothing.
        Action::HandIn => return None,
    })
}

/// Where the time of an item begins if its hearing takes as long as its sound.
fn zero(sitting: &Sitting, showing: &Showing) -> Time {
    match sitting.form().item(showing.number).map(|item| &item.task) {
        Some(Task::Ear(task)) => showing.shown + task.sound.length,
        _ => showing.zero,
    }
}
