//! The lines of a result: how keys and values are written.

use std::fmt::Write as _;

use crate::fraction::{self, Fraction};
use crate::marking::statistics::StandardError;
use crate::time::Time;

/// A table of the document.
pub(super) struct Block(pub(super) String);

impl Block {
    pub(super) fn new(header: &str) -> Self {
        Self(format!("{header}\n"))
    }

    pub(super) fn line(&mut self, key: &str, value: &str) {
        let _ = writeln!(self.0, "{key} = {value}");
    }

    pub(super) fn text(&mut self, key: &str, value: &str) {
        self.line(key, &quoted(value));
    }

    pub(super) fn texts<S: AsRef<str>>(&mut self, key: &str, values: &[S]) {
        let inner: Vec<String> = values.iter().map(|value| quoted(value.as_ref())).collect();
        self.line(key, &format!("[{}]", inner.join(", ")));
    }

    pub(super) fn ms(&mut self, key: &str, time: Time) {
        self.line(key, &time.to_string());
    }

    pub(super) fn marks(&mut self, key: &str, marks: Fraction) {
        self.line(key, &fraction::hundredths(marks));
    }

    pub(super) fn flag(&mut self, key: &str, flag: bool) {
        self.line(key, if flag { "true" } else { "false" });
    }

    /// Writes a standard error in points. Where it is not known the number is not one, and where
    /// it says less than it seems to, words stand beside it.
    pub(super) fn error(&mut self, error: StandardError) {
        let (points, words) = match error {
            StandardError::Known(points) => (points, None),
            StandardError::AtLeastHalfItem { .. } => (0.0, Some("at least half an item")),
            StandardError::AtLeast(points) => (points, Some("at least this")),
            StandardError::Unknown => (f64::NAN, Some("not known")),
        };

        self.line("standard_error", &decimal(points));
        if let Some(words) = words {
            self.text("standard_error_is", words);
        }
    }

    pub(super) fn end(mut self) -> String {
        self.0.push('\n');
        self.0
    }
}

/// A text as TOML writes it.
pub(super) fn quoted(text: &str) -> String {
    toml::Value::String(text.to_owned()).to_string()
}

/// A number in hundredths, or `nan` where there is none.
pub(super) fn decimal(value: f64) -> String {
    if value.is_finite() {
        format!("{value:.2}")
    } else {
        "nan".to_owned()
    }
}

/// An exact fraction, such as `"3/4"`.
pub(super) fn exact(value: Fraction) -> String {
    quoted(&format!("{}/{}", value.numer(), value.denom()))
}
