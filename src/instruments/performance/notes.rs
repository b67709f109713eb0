//! The notes on a file: what was ignored or put up with, in a bounded number of lines.

/// Lines kept; the rest are counted.
pub(super) const MOST: usize = 20;

/// Collects notes.
#[derive(Debug, Default)]
pub(super) struct Notes {
    lines: Vec<String>,
    more: usize,
}

impl Notes {
    /// Adds a line, made only if there is room.
    pub(super) fn push(&mut self, line: impl FnOnce() -> String) {
        if self.lines.len() < MOST {
            self.lines.push(line());
        } else {
            self.more += 1;
        }
    }

    /// Returns the lines, with a last one for those left out.
    pub(super) fn into_lines(mut self) -> Vec<String> {
        if self.more > 0 {
            self.lines
                .push(format!("and {} more such notes", self.more));
        }

        self.lines
    }
}
