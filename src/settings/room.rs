//! The section `[room]`: what is sat in a room, and by whom.

use super::{Look, look, words};
use crate::exam::table::Table;

/// What is sat in a room, and by whom.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Room {
    /// The exam script that it is set to, its path as written: from the settings file's folder.
    pub exam: Option<String>,
    /// The roster, its path as written: from the settings file's folder.
    pub roster: Option<String>,
    /// The form code that the first candidate has, as written.
    pub form: Option<String>,
    /// How its pages look.
    pub look: Look,
}

/// Reads the section, where it is there.
pub(super) fn read(root: &Table<'_>) -> Room {
    let Some(table) = root.table("room") else {
        return Room::default();
    };
    let [exam, roster, form] = ["exam", "roster", "form"].map(|key| words(&table, key));
    let look = look::read(&table);
    table.finish();

    Room {
        exam,
        roster,
        form,
        look,
    }
}
