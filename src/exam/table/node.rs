//! A script read into a tree of values, each with its place.

use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::statement::Sections;
use super::{Table, wording};
use crate::exam::diagnostic::Diagnostics;

/// A script whose TOML was read.
#[derive(Debug, Clone)]
pub struct Document {
    root: Node,
}

/// How a table or list was written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Origin {
    /// Under a header of its own, `[key]` or `[[key]]`.
    Section,
    /// By dotted keys only.
    Implied,
    /// As a value after `=`; every plain value is.
    Inline,
}

/// A value and its place.
#[derive(Debug, Clone)]
pub(super) struct Node {
    pub(super) span: Range<usize>,
    pub(super) origin: Origin,
    /// Whether everything written in a table was read.
    pub(super) whole: bool,
    pub(super) content: Content,
}

/// A key and its value.
#[derive(Debug, Clone)]
pub(super) struct Field {
    pub(super) key: String,
    pub(super) span: Range<usize>,
    pub(super) value: Node,
}

/// What a value is.
#[derive(Debug, Clone)]
pub(super) enum Content {
    /// A text, and where it begins in the script if it stands there letter by letter.
    Text {
        value: String,
        begins: Option<usize>,
    },
    /// A whole number as written, and its value unless that is huge.
    Integer { raw: String, value: Option<i64> },
    /// A number with a point or exponent as written, and its value; not always finite.
    Float { raw: String, value: f64 },
    /// `true` or `false`.
    Boolean(bool),
    /// A date or a time of day; scripts use none.
    Moment,
    /// The items in their order.
    List(Vec<Node>),
    /// The keys in the order in which they are written.
    Table(Vec<Field>),
}

impl Document {
    /// Takes over a table of the TOML reader.
    pub(super) fn new(table: DeTable<'_>, source: &str, sections: &Sections) -> Self {
        let start = sections.start();
        Self {
            root: Node {
                span: start..start,
                origin: Origin::Section,
                whole: sections.is_top_whole(),
                content: Content::Table(fields(table, source, sections)),
            },
        }
    }

    /// Begins the reading at the top level, recording what is wrong in `out`.
    pub fn root<'a>(&'a self, out: &'a Diagnostics) -> Table<'a> {
        let fields = match &self.root.content {
            Content::Table(fields) => fields.as_slice(),
            _ => &[],
        };
        let name = "the top level".to_owned();
        Table::new(&self.root, fields, name, "", out)
    }
}

impl Node {
    /// Reads a value of the TOML reader; the reader has bounded how deep it nests.
    fn new(value: Spanned<DeValue<'_>>, source: &str, sections: &Sections) -> Self {
        let span = wording::fit(source, value.span());
        let written = &source[span.clone()];
        let raw = || wording::clip(written);
        let mut origin = Origin::Inline;
        let mut whole = true;
        let content = match value.into_inner() {
            DeValue::String(value) => Content::Text {
                begins: begins(written, &value).map(|offset| span.start + offset),
                value: value.into_owned(),
            },
            DeValue::Integer(value) => Content::Integer {
                raw: raw(),
                value: i64::from_str_radix(value.as_str(), value.radix()).ok(),
            },
            DeValue::Float(value) => Content::Float {
                raw: raw(),
                value: value.as_str().parse().unwrap_or(f64::NAN),
            },
            DeValue::Boolean(value) => Content::Boolean(value),
            DeValue::Datetime(_) => Content::Moment,
            DeValue::Array(items) => {
                let items: Vec<_> = items
                    .into_iter()
                    .map(|item| Self::new(item, source, sections))
                    .collect();
                // A list of sections has the place of its first header, as has its first item.
                if items.first().is_some_and(|item| item.span == span) {
                    origin = Origin::Section;
                }
                Content::List(items)
            }
            DeValue::Table(table) => {
                origin = match written.as_bytes().first() {
                    Some(b'{') => Origin::Inline,
                    Some(b'[') => Origin::Section,
                    _ => Origin::Implied,
                };
                whole = origin == Origin::Inline || sections.is_whole(span.start);
                Content::Table(fields(table, source, sections))
            }
        };
        Self {
            span,
            origin,
            whole,
            content,
        }
    }

    /// Returns the place of a part of a text; all of it if the part cannot be told.
    pub(super) fn within(&self, part: Option<Range<usize>>) -> Range<usize> {
        match (&self.content, part) {
            (
                Content::Text {
                    value,
                    begins: Some(begins),
                },
                Some(part),
            ) if part.start <= part.end
                && value.is_char_boundary(part.start)
                && value.is_char_boundary(part.end) =>
            {
                begins + part.start..begins + part.end
            }
            _ => self.span.clone(),
        }
    }
}

/// Reads the keys of a table, in the order in which they are written.
fn fields(table: DeTable<'_>, source: &str, sections: &Sections) -> Vec<Field> {
    let mut fields: Vec<_> = table
        .into_iter()
        .map(|(key, value)| Field {
            span: wording::fit(source, key.span()),
            key: key.into_inner().into_owned(),
            value: Node::new(value, source, sections),
        })
        .collect();
    fields.sort_by_key(|field| field.span.start);
    fields
}

/// Returns where the letters of a text begin in its written form, if they stand there unchanged.
fn begins(written: &str, value: &str) -> Option<usize> {
    ["\"\"\"", "'''", "\"", "'"].into_iter().find_map(|quote| {
        let inner = written.strip_prefix(quote)?.strip_suffix(quote)?;
        let trimmed = match quote.len() {
            // A line break directly after three quotes is no part of the text.
            3 => inner
                .strip_prefix("\r\n")
                .or_else(|| inner.strip_prefix('\n'))
                .unwrap_or(inner),
            _ => inner,
        };
        (trimmed == value).then_some(quote.len() + inner.len() - trimmed.len())
    })
}
