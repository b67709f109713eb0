//! Which statements are withheld from the TOML reader, and which sections that damages.

use std::ops::Range;

use super::Statement;

/// Where the sections of a script begin and which of them were read whole.
#[derive(Debug, Clone)]
pub(in crate::exam::table) struct Sections {
    /// Where the first statement begins.
    start: usize,
    /// The first byte of each section in order, the top level first, and whether it is whole.
    sections: Vec<(usize, bool)>,
}

impl Sections {
    /// Judges the sections by which of their statements were withheld.
    pub(in crate::exam::table) fn new(statements: &[Statement], withheld: &[bool]) -> Self {
        let mut sections = vec![(0, true)];
        // The last header of a single name: what follows may belong to its table.
        let mut chief = 0;
        // Whether a header since then is lost, so that its keys and subtables are, too.
        let mut lost = false;
        for (statement, withheld) in statements.iter().zip(withheld) {
            let Some(header) = &statement.header else {
                if let Some((_, whole)) = sections.last_mut() {
                    *whole &= !withheld;
                }
                continue;
            };
            if header.parts == 1 {
                chief = sections.len();
                lost = false;
            }
            if *withheld && !lost {
                lost = true;
                for (_, whole) in sections.iter_mut().skip(chief) {
                    *whole = false;
                }
                // The top level lacks what the header would have begun.
                sections[0].1 = false;
            }
            sections.push((statement.span.start, !lost));
        }
        Self {
            start: statements.first().map_or(0, |first| first.span.start),
            sections,
        }
    }

    /// Returns where the first statement begins.
    pub(in crate::exam::table) fn start(&self) -> usize {
        self.start
    }

    /// Tells whether no statement before the first header and no header was withheld.
    pub(in crate::exam::table) fn is_top_whole(&self) -> bool {
        self.sections.first().is_none_or(|(_, whole)| *whole)
    }

    /// Tells whether nothing was withheld of the section that holds a byte.
    pub(in crate::exam::table) fn is_whole(&self, at: usize) -> bool {
        let after = self.sections.partition_point(|(start, _)| *start <= at);
        after
            .checked_sub(1)
            .is_none_or(|section| self.sections[section].1)
    }
}

/// Withholds a statement, and with a header all that may lie below it; returns which.
pub(in crate::exam::table) fn withhold(
    statements: &[Statement],
    withheld: &mut [bool],
    index: usize,
) -> Range<usize> {
    let mut end = index + 1;
    if statements[index].header.is_some() {
        let chief = |statement: &Statement| statement.header.is_some_and(|h| h.parts == 1);
        end += statements[end..].iter().take_while(|s| !chief(s)).count();
    }
    withheld[index..end].fill(true);
    index..end
}
