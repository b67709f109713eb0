//! The mark sheet of what is looked at, printed as often as the invigilator wants.

use super::rows::{Action, Row};
use super::{Page, Said};
use crate::kiosk::model::Kiosk;

impl Kiosk {
    /// The rows of the items, with one that prints on the first leaf: that has no row that turns
    /// back, so every row has its figure.
    pub(super) fn item_rows_with_print(&self, first: usize) -> Vec<Row> {
        let mut rows = self.item_rows(first);
        if first == 0 {
            rows.insert(rows.len() - 1, self.print_row());
        }

        rows
    }

    /// The row that prints the mark sheet of what is looked at; not while it is on its way.
    pub(super) fn print_row(&self) -> Row {
        let words = self.setup.words;
        let is_going = self
            .looked()
            .is_some_and(|(_, name, _)| self.is_printing(name));

        Row {
            label: words.prn_row.to_owned(),
            text: if is_going {
                words.prn_going
            } else {
                words.prn_row_text
            }
            .to_owned(),
            action: Action::Print,
            is_open: !is_going,
        }
    }

    /// Prints the mark sheet of what is looked at, and shows what becomes of it.
    pub(super) fn print_looked(&mut self, from: Page) -> Page {
        let Some(name) = self.looked().map(|(_, name, _)| name.to_owned()) else {
            return from;
        };
        self.print(&name);

        Page::Told(Said::Printed {
            name,
            is_from_list: matches!(from, Page::Items(_)),
        })
    }
}
