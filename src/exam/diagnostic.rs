//! What is wrong with a script, where, and how to mend it.

mod lines;
#[cfg(test)]
mod tests;

pub use self::lines::{Lines, render};

use std::cell::RefCell;
use std::collections::HashSet;
use std::ops::Range;

/// How much a finding matters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// The script cannot be used until this is mended.
    Fault,
    /// The script can be used, though it may not say what its writer meant.
    Warning,
}

/// One finding in a script.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Diagnostic {
    /// How much it matters.
    pub severity: Severity,
    /// The bytes of the script it concerns; empty where something is missing.
    pub span: Range<usize>,
    /// What is wrong: lower case, no full stop.
    pub message: String,
    /// How to mend it, if that can be told.
    pub help: Option<String>,
}

/// Collects findings while a script is read.
///
/// Recording takes `&self`, so that several tables can be read side by side with one collector.
#[derive(Debug, Default)]
pub struct Diagnostics {
    entries: RefCell<Vec<Option<Diagnostic>>>,
}

/// The place of a recorded finding, by which it can be taken back.
#[derive(Debug, Clone, Copy)]
pub(super) struct Entry(usize);

impl Diagnostics {
    /// Makes an empty collector.
    pub fn new() -> Self {
        Self::default()
    }

    /// Records a fault.
    pub fn fault(&self, span: Range<usize>, message: impl Into<String>, help: Option<String>) {
        let _ = self.push(Diagnostic {
            severity: Severity::Fault,
            span,
            message: message.into(),
            help,
        });
    }

    /// Records a warning.
    pub fn warning(&self, span: Range<usize>, message: impl Into<String>, help: Option<String>) {
        let _ = self.push(Diagnostic {
            severity: Severity::Warning,
            span,
            message: message.into(),
            help,
        });
    }

    /// Records a finding and tells where it was put.
    pub(super) fn push(&self, diagnostic: Diagnostic) -> Entry {
        let mut entries = self.entries.borrow_mut();
        entries.push(Some(diagnostic));
        Entry(entries.len() - 1)
    }

    /// Takes back a finding that a later one explains better.
    pub(super) fn retract(&self, entry: Entry) {
        if let Some(slot) = self.entries.borrow_mut().get_mut(entry.0) {
            *slot = None;
        }
    }

    /// Tells whether any fault was recorded; warnings do not count.
    pub fn has_faults(&self) -> bool {
        let entries = self.entries.borrow();
        entries
            .iter()
            .flatten()
            .any(|diagnostic| diagnostic.severity == Severity::Fault)
    }

    /// Tells whether nothing was recorded.
    pub fn is_empty(&self) -> bool {
        self.entries.borrow().iter().flatten().next().is_none()
    }

    /// Returns the findings sorted by place, each once; at one place faults come before warnings
    /// and otherwise the earlier recorded first.
    pub fn into_vec(self) -> Vec<Diagnostic> {
        let mut found: Vec<_> = self.entries.into_inner().into_iter().flatten().collect();
        found.sort_by_key(|diagnostic| (diagnostic.span.start, diagnostic.severity));
        let mut seen = HashSet::new();
        found.retain(|diagnostic| seen.insert(diagnostic.clone()));
        found
    }
}
