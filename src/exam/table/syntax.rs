//! The faults that the TOML reader finds, in plain words.

mod line;
mod places;
mod value;

pub(super) use self::places::Places;

use std::ops::Range;

use self::line::{empty_key, found_at, no_equals, trailing, unclosed_header};
use self::places::duplicate;
use self::value::{around, bare_value, is_about_number, is_about_text, number, text};

use super::statement::{Slip, Statement};
use super::wording::{clip, fit};
use crate::exam::diagnostic::Lines;

/// How far a fault reaches.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Class {
    /// The line cannot be divided into keys and values.
    Structure,
    /// One value or key cannot be read; its neighbours can.
    Value,
    /// All can be read, but it does not go together.
    Meaning,
    /// As `Meaning`, but possibly the effect of another fault that is still to be mended.
    Effect,
}

/// A fault of the TOML.
#[derive(Debug)]
pub(super) struct Finding {
    pub(super) class: Class,
    pub(super) span: Range<usize>,
    pub(super) message: String,
    pub(super) help: Option<String>,
}

impl Finding {
    fn new_structure(
        span: Range<usize>,
        message: impl Into<String>,
        help: impl Into<String>,
    ) -> Self {
        Self {
            class: Class::Structure,
            span,
            message: message.into(),
            help: Some(help.into()),
        }
    }

    fn new_value(span: Range<usize>, message: impl Into<String>, help: impl Into<String>) -> Self {
        Self {
            class: Class::Value,
            ..Self::new_structure(span, message, help)
        }
    }

    fn new_meaning(
        span: Range<usize>,
        message: impl Into<String>,
        help: impl Into<String>,
    ) -> Self {
        Self {
            class: Class::Meaning,
            ..Self::new_structure(span, message, help)
        }
    }

    fn new_effect(span: Range<usize>, message: impl Into<String>, help: impl Into<String>) -> Self {
        Self {
            class: Class::Effect,
            ..Self::new_structure(span, message, help)
        }
    }

    /// Puts a missing bracket or quote into words.
    pub(super) fn slip(source: &str, slip: &Slip) -> Self {
        match slip {
            Slip::Text { span, quote } => {
                let written = &source[span.clone()];
                let help = match *quote {
                    "\"" | "'" if written.contains(['“', '”', '‘', '’']) => {
                        format!("close it with a straight {quote}, as it was opened")
                    }
                    "'" => "close it with '; a text that holds an apostrophe stands in \"...\""
                        .to_owned(),
                    quote => format!("close it with {quote}"),
                };
                Self::new_structure(
                    span.clone(),
                    format!("missing closing {quote} of this text"),
                    help,
                )
            }
            Slip::Bracket { at, open } => {
                let (open, close, last) = match open {
                    b'[' => ('[', ']', "the last item"),
                    _ => ('{', '}', "the last `key = value`"),
                };
                Self::new_structure(
                    *at..*at + 1,
                    format!("missing `{close}`: this `{open}` is never closed"),
                    format!("write `{close}` after {last}"),
                )
            }
            Slip::Closer { at, open, close } => {
                let expected = if *open == b'[' { ']' } else { '}' };
                Self::new_structure(
                    *at..*at + 1,
                    format!("expected `{expected}`, found `{}`", char::from(*close)),
                    format!("`{}` is closed by `{expected}`", char::from(*open)),
                )
            }
        }
    }

    /// Puts a message of the TOML reader into words.
    pub(super) fn new(
        source: &str,
        lines: &Lines<'_>,
        places: &Places<'_>,
        statement: Option<&Statement>,
        span: Range<usize>,
        message: &str,
    ) -> Self {
        let span = fit(source, span);
        let about = message.split(", expected").next().unwrap_or(message);
        match about {
            "string values must be quoted" => bare_value(source, span),
            "invalid boolean" | "invalid float" | "invalid integer number" => {
                bare_value(source, around(source, span))
            }
            "duplicate key" => duplicate(source, lines, places, statement, span),
            "key with no value" => no_equals(source, statement, span),
            "unexpected key or value" | "unexpected content" => trailing(source, statement, span),
            "missing opening quote" => Self::new_value(
                span,
                "missing opening quote of this text",
                "begin it with the quote that ends it",
            ),
            "unclosed table" | "unclosed array table" => unclosed_header(source, span),
            "unquoted keys cannot be empty" => empty_key(source, span),
            "invalid unquoted key" => {
                let key = clip(&source[span.clone()]);
                Self::new_value(
                    span,
                    format!(
                        "expected a key of the letters a to z, digits, `-` and `_`, found `{key}`"
                    ),
                    "spell it with these, or put it in quotes",
                )
            }
            "extra `=`" | "unexpected `=` in array" => Self::new_structure(
                span,
                "expected a value, found `=`",
                "a single `=` stands between a key and its value",
            ),
            "missing comma between array elements" => Self::new_structure(
                span,
                "missing `,` between the items of a list",
                "write a `,` here",
            ),
            "missing comma between key-value pairs"
            | "extra assignment between key-value pairs" => Self::new_structure(
                span,
                "missing `,` between two `key = value`",
                "within { } a `,` stands between them",
            ),
            "missing assignment between key-value pairs" => {
                Self::new_structure(span, "missing `=`", "write `key = value`")
            }
            "extra comma in array" | "extra comma in inline table" => Self::new_structure(
                span,
                "expected a value, found `,`",
                "delete this `,` or write what is missing before it",
            ),
            "missing key for inline table element"
            | "invalid inline table element"
            | "invalid key-value pair" => {
                let found = found_at(source, &span);
                Self::new_structure(
                    span,
                    format!("expected a key, found {found}"),
                    "write `key = value`",
                )
            }
            "missing value for key" | "missing value" | "invalid value" => {
                Self::new_structure(span, "missing value", "write `key = value`")
            }
            "missing array opening" | "missing table open" | "missing inline table opening" => {
                let found = found_at(source, &span);
                Self::new_structure(
                    span,
                    format!("expected a value or a key, found {found}"),
                    "delete this bracket, or write the one that it should close",
                )
            }
            "invalid comment character" => Self::new_meaning(
                span,
                "expected plain characters in a comment, found a control character",
                "delete it and type the comment anew",
            ),
            "carriage return must be followed by newline" => Self::new_meaning(
                span,
                "expected a line break, found half of one (a lone carriage return)",
                "in the editor choose the line ends of Unix or Windows",
            ),
            "recursion limit" | "cannot recurse further; max recursion depth met" => {
                Self::new_structure(span, "nested too deeply", "write sections [name] instead")
            }
            _ if about.starts_with("cannot extend value") => {
                let key = clip(&source[span.clone()]);
                Self::new_effect(
                    span,
                    format!("`{key}` has a value already and can take no keys of its own"),
                    "give one of the two another name, or delete it",
                )
            }
            _ if is_about_text(about) => text(source, span, message),
            _ if is_about_number(about) => number(source, span),
            _ => Self {
                help: None,
                ..Self::new_structure(span, message, "")
            },
        }
    }
}
