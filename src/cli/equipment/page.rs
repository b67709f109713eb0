//! Text for a terminal: headings, and lines that are folded before they grow too long.

use super::super::say;

/// Signs in a line at most, as long as its words allow.
const WIDTH: usize = 88;

/// A text that grows.
#[derive(Debug, Default)]
pub(super) struct Page {
    text: String,
    begun: bool,
}

impl Page {
    /// Begins a part.
    pub(super) fn head(&mut self, text: &str) {
        if self.begun {
            self.text.push('\n');
        }
        self.begun = true;
        self.text.push_str(text);
        self.text.push('\n');
    }

    /// Adds a line to the part.
    pub(super) fn line(&mut self, text: &str) {
        self.fold("  ", text);
    }

    /// Adds what belongs to the line before.
    pub(super) fn more(&mut self, text: &str) {
        self.fold("    ", text);
    }

    /// Prints what has been added since the last time.
    pub(super) fn say(&mut self) {
        say(&self.take());
    }

    /// Takes what has been added since the last time.
    pub(super) fn take(&mut self) -> String {
        std::mem::take(&mut self.text)
    }

    fn fold(&mut self, indent: &str, text: &str) {
        let mut length = 0;

        // Names of devices come from outside and may hold anything.
        let text = text.replace(|sign: char| sign.is_control(), " ");
        for word in text.split(' ').filter(|word| !word.is_empty()) {
            let more = word.chars().count();
            if length > 0 && length + 1 + more > WIDTH {
                self.text.push('\n');
                length = 0;
            }
            let gap = if length == 0 { indent } else { " " };
            self.text.push_str(gap);
            self.text.push_str(word);
            length += gap.len() + more;
        }
        self.text.push('\n');
    }
}
