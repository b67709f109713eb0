//! Values that cannot be read.

use std::ops::Range;

use super::super::wording::clip;
use super::Finding;

/// Bytes of a value that are looked at around a fault in it.
const REACH: usize = 64;

/// Puts a value that is neither a number nor in quotes into words.
pub(super) fn bare_value(source: &str, span: Range<usize>) -> Finding {
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
pub(super) fn number(source: &str, span: Range<usize>) -> Finding {
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

pub(super) fn is_about_number(about: &str) -> bool {
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
pub(super) fn text(source: &str, span: Range<usize>, message: &str) -> Finding {
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
            escape(source, span),
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

/// Returns the place of a backslash and the letter after it, if the fault is there.
fn escape(source: &str, span: Range<usize>) -> Range<usize> {
    let letter = source[span.start..].chars().next();
    match letter {
        Some(c) if !c.is_control() && source[..span.start].ends_with('\\') => {
            span.start - 1..span.start + c.len_utf8()
        }
        _ => span,
    }
}

pub(super) fn is_about_text(about: &str) -> bool {
    about.ends_with("string")
        || about.ends_with("strings")
        || about.contains("unicode")
        || about.contains("escape")
}

/// Returns the value without spaces that holds a place, as far as it is looked at.
pub(super) fn around(source: &str, span: Range<usize>) -> Range<usize> {
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
