//! A table as CSV (RFC 4180), safe to open in a spreadsheet.

use std::fmt::Write as _;

/// A CSV file as it grows, a row after the other.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Table {
    /// The file's name.
    pub name: &'static str,
    text: String,
    begun: bool,
}

impl Table {
    /// Starts a table with its heads.
    pub fn new<'a>(name: &'static str, heads: impl IntoIterator<Item = &'a str>) -> Self {
        let mut table = Self {
            name,
            text: String::new(),
            begun: false,
        };
        for head in heads {
            let _ = table.text(head);
        }
        table.end();

        table
    }

    /// Adds a text. One that a spreadsheet would take for a formula gets a `'` before it.
    pub fn text(&mut self, text: &str) -> &mut Self {
        self.next();
        let harmless = if text.starts_with(['=', '+', '-', '@', '\t', '\r']) {
            "'"
        } else {
            ""
        };
        if text.contains([',', '"', '\n', '\r']) {
            let _ = write!(self.text, "\"{harmless}{}\"", text.replace('"', "\"\""));
        } else {
            self.text += harmless;
            self.text += text;
        }

        self
    }

    /// Adds a number, which may begin with a minus.
    pub fn plain(&mut self, number: impl std::fmt::Display) -> &mut Self {
        self.next();
        let _ = write!(self.text, "{number}");

        self
    }

    /// Adds a number with so many decimals, or nothing.
    pub fn number(&mut self, number: Option<f64>, decimals: usize) -> &mut Self {
        match number.filter(|number| number.is_finite()) {
            // Rounding leaves a minus before nothing.
            Some(number) => {
                let text = format!("{number:.decimals$}");
                let zero = text.bytes().all(|byte| matches!(byte, b'-' | b'0' | b'.'));
                self.plain(if zero {
                    text.trim_start_matches('-')
                } else {
                    &text
                })
            }
            None => self.plain(""),
        }
    }

    /// Ends the row.
    pub fn end(&mut self) {
        self.text.push('\n');
        self.begun = false;
    }

    /// Returns the file's text.
    pub fn csv(&self) -> &str {
        &self.text
    }

    fn next(&mut self) {
        if self.begun {
            self.text.push(',');
        }
        self.begun = true;
    }
}
