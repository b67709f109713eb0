//! An item as it sounded: hands as they played, an ear item as it was heard.

use super::super::Fault;
use super::super::settings::Opened;
use crate::exam::form::Task;
use crate::instruments::piano::Piano;
use crate::instruments::speaker::Clip;
use crate::kiosk::pages::own;
use crate::room;
use crate::sitting::Sitting;
use crate::sitting::outcome::ItemOutcome;

/// Renders it.
pub(super) fn clip(sitting: &Sitting, of: &ItemOutcome<'_>, piano: &Piano) -> Result<Clip, Fault> {
    if let Task::Ear(task) = &of.item.task {
        return Ok(room::render(piano, &task.sound)?);
    }
    if let Some(written) = of.written {
        return Err(Fault::new(format_args!(
            "item {}: it was played on a piano and marked by hand by {}; nothing was recorded, so \
             there is nothing to hear",
            of.item.number, written.by
        )));
    }
    let Some(sounded) = own::own(sitting, &of.review()) else {
        return Err(Fault::new(format_args!(
            "item {}: nothing was played in it, so there is nothing to hear",
            of.item.number
        )));
    };

    Ok(piano.render(&sounded.notes, sounded.length, 0.0)?)
}

/// Sounds it once, to its end.
#[cfg(feature = "kiosk")]
pub(super) fn play(room: &Opened, piano: &Piano, clip: &Clip) -> Result<(), Fault> {
    super::super::equipment::once(room, piano, clip)
}

#[cfg(not(feature = "kiosk"))]
pub(super) fn play(_: &Opened, _: &Piano, _: &Clip) -> Result<(), Fault> {
    Err(Fault::new(
        "this build of the program makes no sound: write it with --wav FILE, or build it with the \
         feature `kiosk`, which is on unless --no-default-features is given",
    ))
}
