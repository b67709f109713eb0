//! Getters of keys that must be there.

use super::{Complaint, Spanned, Table, Value, Within, wording};
use crate::exam::diagnostic::{Diagnostic, Severity};

impl<'a> Table<'a> {
    /// Reads any value; a missing key is a fault.
    pub fn required_value(&self, key: &'static str) -> Option<Value<'a>> {
        self.demand(key, "...")
    }

    /// Reads a text; a missing key is a fault.
    pub fn required_text(&self, key: &'static str) -> Option<Spanned<&'a str>> {
        self.demand(key, "\"...\"")?.text()
    }

    /// Reads a whole number within bounds; a missing key is a fault.
    pub fn required_integer(
        &self,
        key: &'static str,
        within: impl Into<Within<i64>>,
    ) -> Option<Spanned<i64>> {
        let within = within.into();
        self.demand(key, &within.sample())?.integer(within)
    }

    /// Reads a finite number within bounds; a missing key is a fault.
    pub fn required_number(
        &self,
        key: &'static str,
        within: impl Into<Within<f64>>,
    ) -> Option<Spanned<f64>> {
        let within = within.into();
        self.demand(key, &within.sample())?.number(within)
    }

    /// Reads `true` or `false`; a missing key is a fault.
    pub fn required_boolean(&self, key: &'static str) -> Option<Spanned<bool>> {
        self.demand(key, "true")?.boolean()
    }

    /// Reads a list of any values; a missing key is a fault.
    pub fn required_list(&self, key: &'static str) -> Option<Spanned<Vec<Value<'a>>>> {
        self.demand(key, "[...]")?.list()
    }

    /// Reads a list of texts; a missing key is a fault.
    pub fn required_texts(&self, key: &'static str) -> Option<Spanned<Vec<Spanned<&'a str>>>> {
        self.demand(key, "[\"...\"]")?.texts()
    }

    /// Reads one of some names; a missing key is a fault.
    pub fn required_choice<T: Clone>(
        &self,
        key: &'static str,
        options: &[(&str, T)],
    ) -> Option<Spanned<T>> {
        let first = options.first().map_or("...", |(name, _)| name);
        self.demand(key, &format!("\"{first}\""))?.choice(options)
    }

    /// Reads and parses a text; a missing key is a fault.
    pub fn required_parsed<T, E: Into<Complaint>>(
        &self,
        key: &'static str,
        parse: impl FnOnce(&'a str) -> Result<T, E>,
    ) -> Option<Spanned<T>> {
        self.demand(key, "\"...\"")?.parsed(parse)
    }

    /// Reads a table; a missing one is a fault.
    pub fn required_table(&self, key: &'static str) -> Option<Table<'a>> {
        let path = self.below(key);
        self.demand_section(key, format!("[{path}]"))?.table()
    }

    /// Reads the sections `[[key]]`; it is a fault if there are none.
    pub fn required_array_of_tables(&self, key: &'static str) -> Vec<Table<'a>> {
        let path = self.below(key);
        self.demand_section(key, format!("[[{path}]]"))
            .and_then(Value::tables)
            .unwrap_or_default()
    }

    /// Finds a value or records that the key is missing.
    fn demand(&self, key: &'static str, sample: &str) -> Option<Value<'a>> {
        let found = self.value(key);
        if found.is_none() {
            let (place, help) = match self.path.is_empty() {
                true => (
                    "at the top level".to_owned(),
                    "at the top of the script, before the first section".to_owned(),
                ),
                false => (format!("in {}", self.name), format!("to {}", self.name)),
            };
            self.miss(
                key,
                format!("missing key `{key}` {place}"),
                format!("add `{key} = {sample}` {help}"),
            );
        }
        found
    }

    /// Finds a section or records that it is missing.
    fn demand_section(&self, key: &'static str, header: String) -> Option<Value<'a>> {
        let found = self.value(key);
        if found.is_none() {
            self.miss(
                key,
                format!("missing section {header}"),
                format!("add a section that begins with the line {header}"),
            );
        }
        found
    }

    /// Records that a key is missing, unless it may stand in a line that could not be read.
    fn miss(&self, key: &'static str, message: String, help: String) {
        let mut missing = self.missing.borrow_mut();
        if !self.whole || missing.iter().any(|(known, _)| *known == key) {
            return;
        }
        let entry = self.out.push(Diagnostic {
            severity: Severity::Fault,
            span: self.span.clone(),
            message,
            help: Some(help),
        });
        missing.push((key, entry));
    }

    /// Returns the dotted path of a key.
    fn below(&self, key: &str) -> String {
        wording::join(&self.path, key)
    }
}
