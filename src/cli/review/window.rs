//! The items of a result on the screen, engraved: the same pages as in the room.

use std::path::Path;

use super::super::kiosk::{Opening, show};
use super::super::{End, Fault};
use crate::kiosk::invigilator::Looked;
use crate::results::document::Stored;

/// Opens the list of the items, or one of them, and returns when it is left.
pub(super) fn open(
    path: &Path,
    settings: Option<&Path>,
    stored: Stored,
    item: Option<u32>,
) -> Result<End, Fault> {
    let looked = Looked {
        candidate: stored.given.candidate.clone(),
        sitting: stored.sitting,
        name: path.display().to_string(),
    };
    let script = stored.given.script;

    show(Opening {
        settings,
        folder: path.parent().unwrap_or(Path::new("")),
        script: &script,
        digest: &stored.given.digest,
        looked,
        item,
    })
}
