//! The section `[results]`: where a room's results go.

use super::words;
use crate::exam::table::Table;

/// Where a room's results go.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Results {
    /// The folder, as written: from the settings file's folder.
    pub folder: Option<String>,
    /// The folder that stands in when the first one takes no more, as written.
    pub second: Option<String>,
}

/// Reads the section, where it is there.
pub(super) fn read(root: &Table<'_>) -> Results {
    let Some(table) = root.table("results") else {
        return Results::default();
    };
    let folder = words(&table, "folder");
    let second = table.text("second");
    let second = second.filter(|second| {
        let is_same = folder.as_deref() == Some(second.value.trim());
        if is_same {
            table.fault(
                second.span.clone(),
                "`second` is the same place as `folder`",
                Some("name a folder on another disk, or leave it out".to_owned()),
            );
        }
        !is_same
    });
    let second = second.and_then(|_| words(&table, "second"));
    table.finish();

    Results { folder, second }
}
