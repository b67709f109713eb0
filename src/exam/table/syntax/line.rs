//! Lines that cannot be divided into keys and values.

use std::ops::Range;

use super::super::statement::Statement;
use super::super::wording::clip;
use super::Finding;

/// Puts a line without `=` into words.
pub(super) fn no_equals(
    source: &str,
    statement: Option<&Statement>,
    span: Range<usize>,
) -> Finding {
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
pub(super) fn trailing(source: &str, statement: Option<&Statement>, span: Range<usize>) -> Finding {
    let line = source[span.start..].lines().next().unwrap_or_default();
    let line = line.trim_end();
    let span = span.start..span.start + line.len();
    let value = source[..span.start].trim_end();
    let is_header = statement.is_some_and(|statement| statement.header.is_some());
    let help = match line.chars().next() {
        _ if is_header => "the name of a section has a line of its own",
        Some(',' | ';') => "a line ends without it",
        Some(']' | '}') => "delete this bracket, or write the one that it should close",
        Some('"' | '\'') => "several texts stand in a list: [\"...\", \"...\"]",
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
pub(super) fn unclosed_header(source: &str, span: Range<usize>) -> Finding {
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
pub(super) fn empty_key(source: &str, span: Range<usize>) -> Finding {
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
pub(super) fn found_at(source: &str, span: &Range<usize>) -> String {
    let rest = &source[span.start..];
    match rest.chars().find(|c| !matches!(c, ' ' | '\t')) {
        None => "the end of the script".to_owned(),
        Some('\n' | '\r') => "the end of the line".to_owned(),
        Some(c) => format!("`{}`", clip(c.encode_utf8(&mut [0; 4]))),
    }
}
