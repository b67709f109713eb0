//! The faults that the TOML reader finds, in plain words.

use std::collections::HashMap;
use std::ops::Range;

use super::statement::{Slip, Statement};
use super::wording::{clip, fit};
use crate::exam::diagnostic::Lines;

/// Bytes of a value that are looked at around a fault in it.
const REACH: usize = 64;

/// How far a fault reaches.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Class {
    /// The line cannot be divided into keys and values.
    Structure,
    /// One value or key cannot be read; its neighbours can.
    Value,
    /// All can be read, but it does not go together.
    Meaning,
}

/// A fault of the TOML.
#[derive(Debug)]
pub(super) struct Finding {
    pub(super) class: Class,
    pub(super) span: Range<usize>,
    pub(super) message: String,
    pub(super) help: Option<String>,
}

/// Where each key and header is written first.
#[derive(Debug)]
pub(super) struct Places<'a> {
    source: &'a str,
    /// By section and name; headers count as of no section.
    first: HashMap<(Option<usize>, &'a str), usize>,
    /// Where the sections begin.
    headers: Vec<usize>,
}

impl<'a> Places<'a> {
    pub(super) fn new(source: &'a str, statements: &[Statement]) -> Self {
        let mut places = Self {
            source,
            first: HashMap::new(),
            headers: Vec::new(),
        };
        for statement in statements {
            if statement.header.is_some() {
                places.headers.push(statement.span.start);
            }
            let name = places.name(statement);
            let _ = places.first.entry(name).or_insert(statement.span.start);
        }
        places
    }

    /// Returns what a statement is found by.
    fn name(&self, statement: &Statement) -> (Option<usize>, &'a str) {
        let written = &self.source[statement.key.clone()];
        match statement.header {
            Some(_) => (None, written.trim_matches(['[', ']', ' ', '\t'])),
            None => {
                let before = |header: &usize| *header <= statement.span.start;
                (Some(self.headers.partition_point(before)), written)
            }
        }
    }

    /// Returns where the key of a statement was written before it.
    fn before(&self, statement: &Statement) -> Option<usize> {
        let first = *self.first.get(&self.name(statement))?;
        (first < statement.span.start).then_some(first)
    }
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
                Self::new_meaning(
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

/// Puts a value that is neither a number nor in quotes into words.
fn bare_value(source: &str, span: Range<usize>) -> Finding {
    let word = source[span.clone()].trim();
    let found = clip(word);
    let starts_as_number = word
        .trim_start_matches(['+', '-', '.'])
        .starts_with(|c: char| c.is_ascii_digit());
    let (message, help) = match word {
        "" => (
            "missing value".to_owned(),
            "write the value after `=`".to_owned(),
        ),
        _ if word.starts_with(['“', '”', '„', '‘', '’', '«']) => {
            let inner = word.trim_matches(['“', '”', '„', '‘', '’', '«', '»', '"']);
            (
                "expected straight quotation marks, found curly ones".to_owned(),
                format!("write \"{}\"", clip(inner)),
            )
        }
        _ if is_one_of(word, &["true", "false"]) => (
            format!("expected `{0}`, found `{found}`", found.to_lowercase()),
            "write it in small letters".to_owned(),
        ),
        _ if is_one_of(word, &["yes", "no", "on", "off"]) => (
            format!("expected `true` or `false`, found `{found}`"),
            format!("or, if it is a text, put it in quotes: \"{found}\""),
        ),
        _ if word.ends_with(';') => (
            format!("expected a value, found `{found}`"),
            "a line ends without `;`".to_owned(),
        ),
        _ if are_numbers(word) => (
            format!("expected one value, found `{found}`"),
            "the items of a list are parted by commas: [1, 2]".to_owned(),
        ),
        _ if starts_as_number => (
            format!("expected a number or a text in quotes, found `{found}`"),
            format!("write digits alone, without a unit; or a text: \"{found}\""),
        ),
        _ => (
            format!("missing quotes around `{found}`"),
            format!("write \"{found}\""),
        ),
    };
    Finding::new_value(span, message, help)
}

/// Tells whether several numbers stand side by side.
fn are_numbers(words: &str) -> bool {
    words.contains([' ', '\t'])
        && words
            .split_whitespace()
            .all(|word| word.parse::<f64>().is_ok())
}

fn is_one_of(word: &str, names: &[&str]) -> bool {
    names.iter().any(|name| word.eq_ignore_ascii_case(name))
}

/// Puts a number that is written wrongly into words.
fn number(source: &str, span: Range<usize>) -> Finding {
    let span = around(source, span);
    let found = clip(&source[span.clone()]);
    let bare = found.trim_start_matches(['+', '-']);
    let help = if bare.starts_with('0') && bare.bytes().all(|byte| byte.is_ascii_digit()) {
        "a number begins with no 0"
    } else if bare.starts_with('.') || bare.ends_with('.') {
        "digits stand on both sides of a point, as in 0.5"
    } else {
        "write plain digits, as in 12 or 0.5, or put a text in quotes"
    };
    Finding::new_value(span, format!("expected a number, found `{found}`"), help)
}

fn is_about_number(about: &str) -> bool {
    let numbers = [
        "`_` may only go between digits",
        "integers with a radix cannot be signed",
        "radix must be lowercase",
        "redundant integer number prefix",
        "redundant numeric sign",
        "unexpected leading zero",
        "unexpected sign",
    ];
    let parts = [
        "binary",
        "date",
        "exponent",
        "fraction",
        "hexadecimal",
        "mantissa",
        "octal",
        "offset",
        "time",
    ];
    let part = about.strip_prefix("invalid ").unwrap_or_default();
    numbers.contains(&about) || parts.iter().any(|known| part.starts_with(known))
}

/// Puts a text that is written wrongly into words.
fn text(source: &str, span: Range<usize>, message: &str) -> Finding {
    if message.contains("multi-line") && message.starts_with("keys") {
        return Finding::new_value(
            span,
            "expected a key on one line",
            "write it without quotes",
        );
    }
    match source[span.start..].chars().next() {
        Some(c) if c.is_control() && !matches!(c, '\n' | '\r') => Finding::new_value(
            span,
            format!(
                "expected a text, found the control character U+{:04X} in it",
                u32::from(c)
            ),
            "delete it and type the place anew",
        ),
        _ if message.contains("escape") || message.contains("unicode") => Finding::new_value(
            span,
            "expected a known letter after the backslash of a text",
            "for a backslash write \\\\, or put the text in '...'",
        ),
        _ => Finding::new_value(
            span,
            "missing closing quote of this text",
            "close it with the quote that opened it",
        ),
    }
}

fn is_about_text(about: &str) -> bool {
    about.ends_with("string")
        || about.ends_with("strings")
        || about.contains("unicode")
        || about.contains("escape")
}

/// Puts a key or section that stands twice into words.
fn duplicate(
    source: &str,
    lines: &Lines<'_>,
    places: &Places<'_>,
    statement: Option<&Statement>,
    span: Range<usize>,
) -> Finding {
    let key = clip(&source[span.clone()]);
    let in_key = |statement: &&Statement| statement.key.contains(&span.start);
    let statement = statement.filter(in_key);
    let first = statement.and_then(|statement| {
        let at = places.before(statement)?;
        Some((
            statement,
            lines.position(at).0,
            source[at..].starts_with("[["),
        ))
    });
    let (message, help) = match first {
        Some((statement, line, list)) if statement.header.is_some() => {
            let (_, name) = places.name(statement);
            let name = clip(name);
            let here = source[statement.span.start..].starts_with("[[");
            let help = match (list, here) {
                (false, false) => format!(
                    "it stands on line {line} already; join the two, or write [[{name}]] in both places"
                ),
                _ => format!("on line {line} it has other brackets; write the same in both places"),
            };
            (format!("section [{name}] stands twice"), help)
        }
        Some((_, line, _)) => (
            format!("key `{key}` stands twice"),
            format!("it stands on line {line} already; delete one of the two"),
        ),
        None => (
            format!("key `{key}` stands twice"),
            "a table holds each key once; delete or rename one".to_owned(),
        ),
    };
    Finding::new_meaning(span, message, help)
}

/// Puts a line without `=` into words.
fn no_equals(source: &str, statement: Option<&Statement>, span: Range<usize>) -> Finding {
    let start = statement.map_or(span.start, |statement| statement.span.start.min(span.start));
    let before = source[start..span.start].trim_end();
    let rest = &source[start..];
    let key = clip(before.trim_end_matches(':').trim_end());
    if ["//", ";", "--", "/*", "%"]
        .iter()
        .any(|mark| rest.starts_with(mark))
    {
        let found = clip(rest.lines().next().unwrap_or_default().trim_end());
        return Finding::new_structure(
            start..start + before.len(),
            format!("expected `key = value`, found `{found}`"),
            "a comment begins with `#`",
        );
    }
    let colon = match before.strip_suffix(':') {
        Some(without) => Some(start + without.len()),
        None => source[span.start..].starts_with(':').then_some(span.start),
    };
    if let Some(at) = colon {
        return Finding::new_structure(
            at..at + 1,
            "expected `=`, found `:`",
            format!("write `{key} = ...`"),
        );
    }
    let has_equals = statement.is_some_and(|statement| {
        let after = source[statement.key.end..].trim_start();
        statement.key.end > span.start && after.starts_with('=')
    });
    let bare = |c: char| c.is_ascii_alphanumeric() || matches!(c, '-' | '_' | '.');
    let help = if has_equals {
        "a key is one word: join its parts with `-` or `_`".to_owned()
    } else if key.chars().all(bare) && key.starts_with(|c: char| c.is_ascii_alphabetic()) {
        format!("write `{key} = ...`")
    } else {
        "write `key = value`".to_owned()
    };
    Finding::new_structure(span, format!("missing `=` after `{key}`"), help)
}

/// Puts what follows a finished header or value into words.
fn trailing(source: &str, statement: Option<&Statement>, span: Range<usize>) -> Finding {
    let line = source[span.start..].lines().next().unwrap_or_default();
    let line = line.trim_end();
    let span = span.start..span.start + line.len();
    let value = source[..span.start].trim_end();
    let is_header = statement.is_some_and(|statement| statement.header.is_some());
    let help = match line.chars().next() {
        _ if is_header => "the name of a section has a line of its own",
        Some(',' | ';') => "a line ends without it",
        Some(']' | '}') => "delete this bracket, or write the one that it should close",
        Some('"' | '\'') => "the items of a list are parted by commas: [\"...\", \"...\"]",
        _ if value.ends_with('\'') => "a text that holds an apostrophe stands in \"...\"",
        _ if value.ends_with('"') => "a quotation mark within a text is written \\\"",
        _ => "each `key = value` has a line of its own",
    };
    let found = clip(line);
    Finding::new_structure(
        span,
        format!("expected the end of the line, found `{found}`"),
        help,
    )
}

/// Puts a header without its closing brackets into words.
fn unclosed_header(source: &str, span: Range<usize>) -> Finding {
    let start = source[..span.start].rfind('\n').map_or(0, |at| at + 1);
    let line = source[start..span.start].trim();
    let name = clip(line.trim_matches(['[', ']', ' ', '\t']));
    let (close, whole) = match line.starts_with("[[") {
        true => ("]]", format!("[[{name}]]")),
        false => ("]", format!("[{name}]")),
    };
    Finding::new_structure(
        span,
        format!("missing `{close}` after the name of the section"),
        format!("write {whole}"),
    )
}

/// Puts an empty key into words.
fn empty_key(source: &str, span: Range<usize>) -> Finding {
    let (message, help) = match source[span.start..].chars().next() {
        Some('=')
            if !source[..span.start]
                .trim_end_matches([' ', '\t'])
                .ends_with('.') =>
        {
            ("missing key before `=`", "write `key = value`")
        }
        Some(']') if source[..span.start].ends_with('[') => (
            "missing name of the section",
            "write it between the brackets, as in [name]",
        ),
        _ => (
            "missing part of a dotted key",
            "a name stands on both sides of each point",
        ),
    };
    Finding::new_structure(span, message, help)
}

/// Returns the words for what stands at a place.
fn found_at(source: &str, span: &Range<usize>) -> String {
    let rest = &source[span.start..];
    match rest.chars().find(|c| !matches!(c, ' ' | '\t')) {
        None => "the end of the script".to_owned(),
        Some('\n' | '\r') => "the end of the line".to_owned(),
        Some(c) => format!("`{}`", clip(c.encode_utf8(&mut [0; 4]))),
    }
}

/// Returns the value without spaces that holds a place, as far as it is looked at.
fn around(source: &str, span: Range<usize>) -> Range<usize> {
    let edge = |c: char| {
        matches!(
            c,
            ' ' | '\t' | '\n' | '\r' | ',' | '[' | ']' | '{' | '}' | '=' | '#'
        )
    };
    let floor = source.floor_char_boundary(span.start.saturating_sub(REACH));
    let before = &source[floor..span.start];
    let start = floor + before.rfind(edge).map_or(0, |at| at + 1);
    let ceiling = source.ceil_char_boundary((span.end + REACH).min(source.len()));
    let after = &source[span.end..ceiling];
    let end = span.end + after.find(edge).unwrap_or(after.len());
    start..end
}
