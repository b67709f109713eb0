//! A standard for each answer: `each`, and `each_with` for sections that are counted together.

use super::count;
use crate::exam::script::Each;
use crate::exam::table::{Spanned, Table};

/// A standard as written, with its places.
pub(in crate::exam) struct Read {
    /// `each`: the least number of right answers for each answer, 1 to 200; default none.
    pub(in crate::exam) least: Spanned<u32>,
    /// `each_with`: the ids of other sections that are heard, whose sounds are counted with this
    /// one's; default none.
    pub(in crate::exam) with: Vec<Spanned<String>>,
}

impl Read {
    pub(in crate::exam) fn plain(&self) -> Each {
        Each {
            least: self.least.value,
            with: self.with.iter().map(|id| id.value.clone()).collect(),
        }
    }
}

pub(super) fn read(table: &Table<'_>) -> Option<Read> {
    let with = table.value("each_with").and_then(|value| {
        if !table.has("each") {
            value.fault(
                "`each_with` says what is counted with `each`, and there is no `each`",
                Some("write for example `each = 6`, or leave it out".to_owned()),
            );
            return None;
        }
        let texts = value.texts()?;
        if texts.value.is_empty() {
            table.fault(
                texts.span,
                "`each_with` is empty",
                Some("name sections, as in `each_with = [\"A\"]`, or leave it out".to_owned()),
            );
        }
        Some(texts.value)
    });
    let least = count(table, "each", 200)?;

    Some(Read {
        least,
        with: with
            .unwrap_or_default()
            .into_iter()
            .map(|id| id.map(str::to_owned))
            .collect(),
    })
}
