//! A performance file played through a sitting.

use super::Fault;
use crate::exam::form::Task;
use crate::instruments::performance::{Kind, Performance};
use crate::marking::event::Action;
use crate::sitting::{Event, Sitting};
use crate::theory::Key;
use crate::time::Time;

/// Plays a performance through a sitting, to its end; every event goes to `record` first.
///
/// # Errors
/// Refuses markers for items that can't be shown, and what `record` refuses.
pub(super) fn play(
    sitting: &mut Sitting,
    performance: &Performance,
    offset: Time,
    record: &mut dyn FnMut(Time, &Event) -> Result<(), Fault>,
) -> Result<(), Fault> {
    for happened in &performance.events {
        let at = offset + happened.at;
        if let Kind::Item(number) = happened.kind {
            check(sitting, number, happened.at)?;
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
pub(super) fn finish(
    sitting: &mut Sitting,
    record: &mut dyn FnMut(Time, &Event) -> Result<(), Fault>,
) -> Result<(), Fault> {
    if sitting.end().is_some() {
        return Ok(());
    }
    let open = sitting.open_item();

    // An item that is open when the file ends still closes by itself.
    while open.is_some()
        && sitting.open_item() == open
        && let Some(due) = sitting.deadline()
    {
        drop(sitting.advance(due + Time::from_tenths(1)));
    }
    let at = sitting.now();
    record(at, &Event::Finished)?;
    drop(sitting.update(Event::Finished, at));

    Ok(())
}

/// Refuses a marker for an item that the form does not have, that has no prompt, or that was shown
/// already.
fn check(sitting: &Sitting, number: u32, at: Time) -> Result<(), Fault> {
    let form = sitting.form();
    let wrong = |what: String| {
        Err(Fault::new(format_args!(
            "marker `item {number}` at {at} ms: {what}"
        )))
    };

    match form.item(number).map(|item| &item.task) {
        None => {
            let last = form.items.len();
            let spare = match form.reserve.len() {
                0 => String::new(),
                spare => format!(" and spare ones up to {}", last + spare),
            };
            wrong(format!(
                "form {} has items 1 to {last}{spare}; check that the performance is of this form",
                form.code
            ))
        }
        Some(Task::Panel(_)) => {
            wrong("a person marks this item, it has no prompt; take the marker out".to_owned())
        }
        Some(_) => {
            let before = sitting
                .showings()
                .iter()
                .rfind(|showing| showing.number == number && showing.voided.is_none());
            match before {
                Some(before) => wrong(format!(
                    "this item was shown at {} ms and not voided; each counts once",
                    before.shown
                )),
                None => Ok(()),
            }
        }
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
