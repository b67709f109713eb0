//! Reading a TOML table field by field, with spans, collecting every fault.
//!
//! [`source`] turns bytes into text, [`parse()`] text into a [`Document`], and the getters of
//! [`Table`] and [`Value`] read it. A getter that finds something wrong records it and returns
//! nothing; the reader goes on, so that one run tells everything.

mod bytes;
mod node;
mod parse;
mod required;
mod statement;
mod syntax;
#[cfg(test)]
mod tests;
mod token;
mod value;
mod within;
mod wording;

pub use self::bytes::{Error, LIMIT, source};
pub use self::node::Document;
pub use self::parse::parse;
pub use self::value::{Complaint, Value};
pub use self::within::Within;
pub(super) use self::wording::{clip, nearest};

use std::cell::RefCell;
use std::ops::Range;
use std::rc::Rc;

use self::node::{Content, Field, Node, Origin};
use super::diagnostic::{Diagnostics, Entry};

/// Something read from a script, with the bytes it was read from.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Spanned<T> {
    /// What was read.
    pub value: T,
    /// Where it stands in the script, in bytes.
    pub span: Range<usize>,
}

impl<T> Spanned<T> {
    /// Joins a value and its place.
    pub fn new(value: T, span: Range<usize>) -> Self {
        Self { value, span }
    }

    /// Changes the value and keeps the place.
    pub fn map<U>(self, change: impl FnOnce(T) -> U) -> Spanned<U> {
        Spanned::new(change(self.value), self.span)
    }
}

/// A table of a script and what has been asked of it.
///
/// After the last question call [`Table::finish`], which reports the keys nobody asked for.
#[must_use = "unknown keys are reported by `finish`"]
#[derive(Debug)]
pub struct Table<'a> {
    fields: &'a [Field],
    span: Range<usize>,
    name: String,
    /// The dotted path from the top level, empty there.
    path: Rc<str>,
    whole: bool,
    out: &'a Diagnostics,
    known: RefCell<Vec<&'static str>>,
    missing: RefCell<Vec<(&'static str, Entry)>>,
}

impl<'a> Table<'a> {
    fn new(
        node: &'a Node,
        fields: &'a [Field],
        name: String,
        path: &str,
        out: &'a Diagnostics,
    ) -> Self {
        Self {
            fields,
            span: node.span.clone(),
            name,
            path: path.into(),
            whole: node.whole,
            out,
            known: RefCell::default(),
            missing: RefCell::default(),
        }
    }

    /// Returns how messages call the table, such as `[exam]`, `[[question]] 3` or `the top level`.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Returns the place of the table's header: `[exam]`, `[[question]]`, or all of `{ ... }`.
    ///
    /// At the top level it is empty and stands at the first line that says something.
    pub fn span(&self) -> Range<usize> {
        self.span.clone()
    }

    /// Tells whether everything written in the table was read.
    ///
    /// If a line could not be read, its fault is recorded and the table does not complain about
    /// missing keys; a reader had better skip checks of number and completeness too.
    pub fn is_whole(&self) -> bool {
        self.whole
    }

    /// Records a fault.
    pub fn fault(&self, span: Range<usize>, message: impl Into<String>, help: Option<String>) {
        self.out.fault(span, message, help);
    }

    /// Records a warning.
    pub fn warning(&self, span: Range<usize>, message: impl Into<String>, help: Option<String>) {
        self.out.warning(span, message, help);
    }

    /// Tells whether a key is there, without reading it.
    pub fn has(&self, key: &'static str) -> bool {
        self.field(key).is_some()
    }

    /// Reads any value, to be looked at by the caller.
    pub fn value(&self, key: &'static str) -> Option<Value<'a>> {
        let field = self.field(key)?;
        Some(Value::new(&field.value, key, &self.path, self.out))
    }

    /// Reads a text.
    pub fn text(&self, key: &'static str) -> Option<Spanned<&'a str>> {
        self.value(key)?.text()
    }

    /// Reads a whole number within bounds: `1..=9`, `0..`, `..`, or [`Within`] with a unit.
    pub fn integer(
        &self,
        key: &'static str,
        within: impl Into<Within<i64>>,
    ) -> Option<Spanned<i64>> {
        self.value(key)?.integer(within)
    }

    /// Reads a finite number, whole or not, within bounds: `0.5..=2.0`, `0.0..`, `..`, or
    /// [`Within`] with a unit.
    pub fn number(
        &self,
        key: &'static str,
        within: impl Into<Within<f64>>,
    ) -> Option<Spanned<f64>> {
        self.value(key)?.number(within)
    }

    /// Reads `true` or `false`.
    pub fn boolean(&self, key: &'static str) -> Option<Spanned<bool>> {
        self.value(key)?.boolean()
    }

    /// Reads a list of any values, which may be empty.
    pub fn list(&self, key: &'static str) -> Option<Spanned<Vec<Value<'a>>>> {
        self.value(key)?.list()
    }

    /// Reads a list of texts, which may be empty; nothing if any of them is wrong.
    pub fn texts(&self, key: &'static str) -> Option<Spanned<Vec<Spanned<&'a str>>>> {
        self.value(key)?.texts()
    }

    /// Reads one of some names; the nearest is offered for a wrong one.
    pub fn choice<T: Clone>(&self, key: &'static str, options: &[(&str, T)]) -> Option<Spanned<T>> {
        self.value(key)?.choice(options)
    }

    /// Reads a text and hands it to a parser, whose [`Complaint`] becomes a fault.
    pub fn parsed<T, E: Into<Complaint>>(
        &self,
        key: &'static str,
        parse: impl FnOnce(&'a str) -> Result<T, E>,
    ) -> Option<Spanned<T>> {
        self.value(key)?.parsed(parse)
    }

    /// Reads a table: `[key]`, `key.part = ...` or `key = { ... }`.
    pub fn table(&self, key: &'static str) -> Option<Table<'a>> {
        self.value(key)?.table()
    }

    /// Reads the sections `[[key]]`, or `key = [{ ... }]`; none if there are none.
    pub fn array_of_tables(&self, key: &'static str) -> Vec<Table<'a>> {
        self.value(key).and_then(Value::tables).unwrap_or_default()
    }

    /// Reads a table whose keys the script's writer chooses, in their order.
    ///
    /// All keys count as asked for.
    pub fn entries(self) -> Vec<(Spanned<&'a str>, Value<'a>)> {
        self.fields
            .iter()
            .map(|field| {
                let key = Spanned::new(field.key.as_str(), field.span.clone());
                let value = Value::new(&field.value, &field.key, &self.path, self.out);
                (key, value)
            })
            .collect()
    }

    /// Ends the reading: each key that no getter asked for is a fault.
    ///
    /// If such a key looks like a missing one, one fault tells both.
    pub fn finish(self) {
        let known = self.known.into_inner();
        let missing = self.missing.into_inner();
        // A key that is there is no likely target of a slip, unless nothing else is near.
        let is_absent = |key: &&str| !self.fields.iter().any(|field| field.key == *key);
        let absent: Vec<_> = known.iter().copied().filter(is_absent).collect();
        for field in self.fields {
            if known.contains(&field.key.as_str()) {
                continue;
            }
            let near = wording::nearest(&field.key, absent.iter().copied())
                .or_else(|| wording::nearest(&field.key, known.iter().copied()));
            if let Some((_, entry)) = missing.iter().find(|(key, _)| Some(*key) == near) {
                self.out.retract(*entry);
            }
            let help = match near {
                Some(near) => format!("did you mean `{near}`?"),
                None => wording::known_keys(&self.name, &known),
            };
            let message = format!("unknown key `{}`", wording::clip(&field.key));
            for span in field.places() {
                self.out.fault(span, message.clone(), Some(help.clone()));
            }
        }
    }

    /// Finds a key and notes that it was asked for.
    fn field(&self, key: &'static str) -> Option<&'a Field> {
        let mut known = self.known.borrow_mut();
        if !known.contains(&key) {
            known.push(key);
        }
        self.fields.iter().find(|field| field.key == key)
    }
}

impl Field {
    /// Returns where the key is written; each `[[key]]` writes it again.
    fn places(&self) -> Vec<Range<usize>> {
        let mut places = vec![self.span.clone()];
        if let Content::List(items) = &self.value.content
            && self.value.origin == Origin::Section
        {
            places.extend(items.iter().skip(1).map(|item| item.span.clone()));
        }
        places
    }
}
