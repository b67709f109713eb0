//! A performance file played through a sitting.

use super::Fault;
use crate::instruments::performance::{Kind, Performance};
use crate::marking::event::Action;
use crate::sitting::{Event, Sitting};
use crate::theory::Key;
use crate::time::Time;

/// Plays a performance through a sitting, to its end; every event goes to `record` first.
///
/// # Errors
/// Refuses markers for items that the form does not have, and what `record` refuses.
pub(super) fn play(
    sitting: &mut Sitting,
    performance: &Performance,
    offset: Time,
    record: &mut dyn FnMut(Time, &Event) -> Result<(), Fault>,
) -> Result<(), Fault> {
    for happened in &performance.events {
        let at = offset + happened.at;
        let Some(event) = event(sitting, &happened.kind, at)? else {
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

fn event(sitting: &Sitting, kind: &Kind, at: Time) -> Result<Option<Event>, Fault> {
    let key = |number: u8| Key::new(i64::from(number)).ok();

    Ok(match kind {
        Kind::Down {
            key: number,
            velocity,
        } => key(*number).map(|key| Event::Did(Action::Down(key, *velocity))),
        Kind::Up { key: number } => key(*number).map(|key| Event::Did(Action::Up(key))),
        Kind::Pedal { value } => Some(Event::Did(Action::Pedal(*value))),
        Kind::Answer(text) => Some(Event::Did(Action::Answer(text.clone()))),
        Kind::Hear => Some(Event::Did(Action::Hear)),
        Kind::Void(reason) => Some(Event::Voided {
            reason: reason.clone(),
            by: String::new(),
        }),
        Kind::Stop(reason) => Some(Event::Stopped(reason.clone())),
        Kind::Item(number) => {
            if sitting.form().item(*number).is_none() {
                let last = sitting.form().items.len();
                return Err(Fault::new(format_args!(
                    "marker `item {number}` at {at} ms: form {} has items 1 to {last} and spare ones up to {}; check that the performance is of this form",
                    sitting.form().code,
                    last + sitting.form().reserve.len()
                )));
            }
            Some(Event::Shown(*number))
        }
    })
}
