//! Reading one value as the type that is wanted.

use std::ops::Range;
use std::rc::Rc;

use super::node::{Content, Node, Origin};
use super::{Spanned, Table, Within, wording};
use crate::exam::diagnostic::Diagnostics;

/// What a parser of a text has to say against it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Complaint {
    /// The bytes of the text it concerns; the whole text if unknown.
    pub at: Option<Range<usize>>,
    /// What is wrong: lower case, no full stop.
    pub message: String,
    /// How to mend it.
    pub help: Option<String>,
}

impl From<String> for Complaint {
    fn from(message: String) -> Self {
        Self {
            at: None,
            message,
            help: None,
        }
    }
}

impl From<&str> for Complaint {
    fn from(message: &str) -> Self {
        message.to_owned().into()
    }
}

impl From<(Range<usize>, String)> for Complaint {
    fn from((at, message): (Range<usize>, String)) -> Self {
        (at, message, None).into()
    }
}

impl From<(Range<usize>, String, Option<String>)> for Complaint {
    fn from((at, message, help): (Range<usize>, String, Option<String>)) -> Self {
        Self {
            at: Some(at),
            message,
            help,
        }
    }
}

/// A value of a script, not yet told what it should be.
#[derive(Debug, Clone)]
pub struct Value<'a> {
    node: &'a Node,
    key: &'a str,
    /// Its number in a list, and in the list that this is in.
    numbers: Vec<usize>,
    /// The dotted path of the table that has its key, from the top level.
    parent: Rc<str>,
    out: &'a Diagnostics,
}

impl<'a> Value<'a> {
    pub(super) fn new(
        node: &'a Node,
        key: &'a str,
        parent: &Rc<str>,
        out: &'a Diagnostics,
    ) -> Self {
        Self {
            node,
            key,
            numbers: Vec::new(),
            parent: Rc::clone(parent),
            out,
        }
    }

    /// Returns the place of the value.
    pub fn span(&self) -> Range<usize> {
        self.node.span.clone()
    }

    /// Returns how messages call the value: its key, with a number in a list.
    pub fn name(&self) -> String {
        let mut name = format!("`{}`", wording::clip(self.key));
        for number in &self.numbers {
            name.push_str(&format!(" {number}"));
        }

        name
    }

    /// Returns the dotted path of its key from the top level.
    fn path(&self) -> String {
        wording::join(&self.parent, self.key)
    }

    /// Tells whether it is a text, without complaint.
    pub fn is_text(&self) -> bool {
        matches!(self.node.content, Content::Text { .. })
    }

    /// Tells whether it is a number, without complaint.
    pub fn is_number(&self) -> bool {
        matches!(
            self.node.content,
            Content::Integer { .. } | Content::Float { .. }
        )
    }

    /// Tells whether it is `true` or `false`, without complaint.
    pub fn is_boolean(&self) -> bool {
        matches!(self.node.content, Content::Boolean(_))
    }

    /// Tells whether it is a list, without complaint; sections `[[key]]` are one.
    pub fn is_list(&self) -> bool {
        matches!(self.node.content, Content::List(_))
    }

    /// Tells whether it is a table, without complaint.
    pub fn is_table(&self) -> bool {
        matches!(self.node.content, Content::Table(_))
    }

    /// Records a fault that concerns the whole value.
    pub fn fault(&self, message: impl Into<String>, help: Option<String>) {
        self.out.fault(self.span(), message, help);
    }

    /// Records what the value should have been and is not.
    ///
    /// `expected` goes into "expected ..., found a text" or the like.
    pub fn mismatch(&self, expected: &str, help: Option<String>) {
        let found = wording::found(&self.node.content);
        self.fault(format!("expected {expected}, found {found}"), help);
    }

    /// Reads a text.
    pub fn text(self) -> Option<Spanned<&'a str>> {
        match &self.node.content {
            Content::Text { value, .. } => Some(self.spanned(value.as_str())),
            Content::Integer { raw, .. } | Content::Float { raw, .. } => {
                self.mismatch("a text", Some(format!("put it in quotes: \"{raw}\"")));
                None
            }
            _ => {
                self.mismatch("a text", Some("write it in quotes: \"...\"".to_owned()));
                None
            }
        }
    }

    /// Reads a whole number within bounds.
    pub fn integer(self, within: impl Into<Within<i64>>) -> Option<Spanned<i64>> {
        let within = within.into();
        let (raw, value) = match &self.node.content {
            Content::Integer { raw, value } => (raw, *value),
            Content::Float { raw, .. } => {
                let expected = within.noun("a whole number");
                let help = "write it without a fraction".to_owned();
                self.fault(format!("expected {expected}, found {raw}"), Some(help));
                return None;
            }
            _ => return self.no_number(&within.noun("a whole number")),
        };
        match value {
            Some(value) if within.holds(value) => Some(self.spanned(value)),
            _ => {
                let expected = within.describe("a smaller whole number");
                let help = within.mend(value);
                let help = help.unwrap_or_else(|| "write fewer digits".to_owned());
                self.fault(format!("expected {expected}, found {raw}"), Some(help));
                None
            }
        }
    }

    /// Reads a finite number within bounds.
    pub fn number(self, within: impl Into<Within<f64>>) -> Option<Spanned<f64>> {
        let within = within.into();
        let (raw, value) = match &self.node.content {
            Content::Integer { raw, value } => (raw, value.map(|value| value as f64)),
            Content::Float { raw, value } => (raw, Some(*value)),
            _ => return self.no_number(&within.noun("a number")),
        };
        match value {
            Some(value) if value.is_finite() && within.holds(value) => Some(self.spanned(value)),
            _ => {
                let expected = within.describe("a finite number");
                let help = within.mend(value.filter(|value| value.is_finite()));
                let help = help.unwrap_or_else(|| "write an ordinary number".to_owned());
                self.fault(format!("expected {expected}, found {raw}"), Some(help));
                None
            }
        }
    }

    /// Reads `true` or `false`.
    pub fn boolean(self) -> Option<Spanned<bool>> {
        match &self.node.content {
            Content::Boolean(value) => Some(self.spanned(*value)),
            content => {
                let help = match content {
                    Content::Text { value, .. } if matches!(value.as_str(), "true" | "false") => {
                        format!("write it without quotes: {value}")
                    }
                    _ => "write one of the two words, without quotes".to_owned(),
                };
                self.mismatch("`true` or `false`", Some(help));
                None
            }
        }
    }

    /// Reads a list, which may be empty.
    pub fn list(self) -> Option<Spanned<Vec<Value<'a>>>> {
        self.items("a list", "[...]")
            .map(|items| Spanned::new(items, self.span()))
    }

    /// Reads a list of texts, which may be empty; nothing if any of them is wrong.
    pub fn texts(self) -> Option<Spanned<Vec<Spanned<&'a str>>>> {
        let items = self.items("a list of texts", "[\"...\"]")?;
        // Every item is read before the count is taken, so that each fault is recorded.
        let texts: Vec<_> = items.into_iter().map(Value::text).collect();
        let texts = texts.into_iter().collect::<Option<Vec<_>>>()?;
        Some(self.spanned(texts))
    }

    /// Reads one of some names; the nearest is offered for a wrong one.
    pub fn choice<T: Clone>(self, options: &[(&str, T)]) -> Option<Spanned<T>> {
        let names = options.iter().map(|(name, _)| *name);
        let expected = wording::one_of(names.clone());
        let Content::Text { value, .. } = &self.node.content else {
            self.mismatch(&expected, Some("write it in quotes: \"...\"".to_owned()));
            return None;
        };
        if let Some((_, choice)) = options.iter().find(|(name, _)| name == value) {
            return Some(self.spanned(choice.clone()));
        }
        let help = match wording::nearest(value, names) {
            Some(near) => format!("did you mean `{near}`?"),
            None => "copy it letter by letter".to_owned(),
        };
        let found = wording::clip(value);
        self.fault(format!("expected {expected}, found `{found}`"), Some(help));
        None
    }

    /// Reads a text and hands it to a parser, whose [`Complaint`] becomes a fault.
    pub fn parsed<T, E: Into<Complaint>>(
        self,
        parse: impl FnOnce(&'a str) -> Result<T, E>,
    ) -> Option<Spanned<T>> {
        let node = self.node;
        let out = self.out;
        let text = self.text()?;
        match parse(text.value) {
            Ok(value) => Some(Spanned::new(value, text.span)),
            Err(error) => {
                let complaint = error.into();
                let span = node.within(complaint.at);
                out.fault(span, complaint.message, complaint.help);
                None
            }
        }
    }

    /// Reads a table.
    pub fn table(self) -> Option<Table<'a>> {
        match &self.node.content {
            Content::Table(fields) => {
                let name = match self.node.origin {
                    Origin::Inline => self.name(),
                    Origin::Section | Origin::Implied => format!("[{}]", self.path()),
                };
                Some(Table::new(self.node, fields, name, &self.path(), self.out))
            }
            Content::List(_) if self.node.origin == Origin::Section => {
                let help = format!("write [{}] once, in single brackets", self.path());
                self.fault(
                    format!("expected one section [{0}], found [[{0}]]", self.path()),
                    Some(help),
                );
                None
            }
            _ => {
                let help = format!("begin a section with the line [{}]", self.path());
                self.mismatch("a table", Some(help));
                None
            }
        }
    }

    /// Reads a list of tables: sections `[[key]]`, or `key = [{ ... }]`.
    ///
    /// Items that are no tables are recorded and left out.
    pub fn tables(self) -> Option<Vec<Table<'a>>> {
        if let Content::Table(_) = &self.node.content {
            let path = self.path();
            let message = match self.node.origin {
                Origin::Inline => format!("expected sections [[{path}]], found a table"),
                Origin::Section | Origin::Implied => {
                    format!("expected sections [[{path}]], found [{path}]")
                }
            };
            let help = format!("write [[{path}]], in double brackets");
            self.fault(message, Some(help));
            return None;
        }
        let section = self.node.origin == Origin::Section;
        let path = self.path();
        let items = self.items(&format!("sections [[{path}]]"), "[{ ... }]")?;
        let tables = items.into_iter().enumerate().filter_map(|(index, item)| {
            let Content::Table(fields) = &item.node.content else {
                let help = "write it in curly brackets: { key = ... }".to_owned();
                item.mismatch("a table { ... }", Some(help));
                return None;
            };
            let name = match section {
                true => format!("[[{path}]] {}", index + 1),
                false => item.name(),
            };
            Some(Table::new(item.node, fields, name, &path, item.out))
        });
        Some(tables.collect())
    }

    fn spanned<T>(&self, value: T) -> Spanned<T> {
        Spanned::new(value, self.node.span.clone())
    }

    /// Records that a number was expected, with help if it stands in quotes.
    fn no_number<T>(&self, expected: &str) -> Option<Spanned<T>> {
        let help = match &self.node.content {
            Content::Text { value, .. } if value.trim().parse::<f64>().is_ok() => Some(format!(
                "write it without quotes: {}",
                wording::clip(value.trim())
            )),
            _ => Some("write a number, without quotes".to_owned()),
        };
        self.mismatch(expected, help);
        None
    }

    /// Returns the items of a list, or records that a list was expected.
    fn items(&self, expected: &str, sample: &str) -> Option<Vec<Value<'a>>> {
        let Content::List(nodes) = &self.node.content else {
            self.mismatch(
                expected,
                Some(format!("write it in square brackets: {sample}")),
            );
            return None;
        };
        let items = nodes.iter().enumerate().map(|(index, node)| Value {
            node,
            key: self.key,
            numbers: self.numbers.iter().copied().chain([index + 1]).collect(),
            parent: Rc::clone(&self.parent),
            out: self.out,
        });
        Some(items.collect())
    }
}
