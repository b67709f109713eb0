//! The section `[results]`: where a room's results go, and how their mark sheets are printed.

use super::words;
use crate::exam::table::Table;

/// A size of paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Paper {
    /// 210 × 297 mm.
    #[default]
    A4,
    /// 8½ × 11 inches.
    Letter,
}

/// Where a room's results go, and how their mark sheets are printed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Results {
    /// The folder, as written: from the settings file's folder.
    pub folder: Option<String>,
    /// The folder that stands in when the first one takes no more, as written.
    pub second: Option<String>,
    /// The paper that mark sheets are made for.
    pub paper: Paper,
    /// The printer that they go to; else the computer's usual one.
    pub printer: Option<String>,
    /// Whether a candidate may print their own.
    pub print: bool,
}

impl Default for Results {
    fn default() -> Self {
        Self {
            folder: None,
            second: None,
            paper: Paper::A4,
            printer: None,
            print: true,
        }
    }
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
    let paper = table.choice("paper", &[("a4", Paper::A4), ("letter", Paper::Letter)]);
    let printer = words(&table, "printer");
    let print = table.boolean("print");
    table.finish();

    Results {
        folder,
        second,
        paper: paper.map_or(Paper::A4, |paper| paper.value),
        printer,
        print: print.is_none_or(|print| print.value),
    }
}
