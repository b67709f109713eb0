//! The words and names in messages.

use std::ops::Range;

use super::node::Content;

/// Characters of a name or number that a message quotes at most.
const CLIP: usize = 40;

/// Returns a quotable form of something written: one line, not too long.
pub(in crate::exam) fn clip(text: &str) -> String {
    let mut clipped: String = text
        .chars()
        .take(CLIP)
        .map(|c| if c.is_control() { ' ' } else { c })
        .collect();
    if text.chars().nth(CLIP).is_some() {
        clipped.push('…');
    }
    clipped
}

/// Returns the dotted path of a key in a table.
pub(super) fn join(parent: &str, key: &str) -> String {
    let key = clip(key);
    match parent {
        "" => key,
        parent => format!("{parent}.{key}"),
    }
}

/// Returns the words for what a value is.
pub(super) fn found(content: &Content) -> String {
    match content {
        Content::Text { .. } => "a text".to_owned(),
        Content::Integer { raw, .. } | Content::Float { raw, .. } => format!("the number {raw}"),
        Content::Boolean(value) => format!("`{value}`"),
        Content::Moment => "a date or time".to_owned(),
        Content::List(_) => "a list".to_owned(),
        Content::Table(_) => "a table".to_owned(),
    }
}

/// Returns "`a`", or "one of `a`, `b`".
pub(super) fn one_of<'n>(names: impl Iterator<Item = &'n str>) -> String {
    let names: Vec<_> = names.map(|name| format!("`{name}`")).collect();
    match names.as_slice() {
        [only] => only.clone(),
        all => format!("one of {}", all.join(", ")),
    }
}

/// Returns the help that lists the keys a table takes.
pub(super) fn known_keys(table: &str, keys: &[&str]) -> String {
    let mut names: Vec<_> = keys.iter().map(|key| format!("`{key}`")).collect();
    names.sort();
    match names.as_slice() {
        [] => format!("{table} takes no keys"),
        [only] => format!("{table} takes the key {only}"),
        all => format!("{table} takes the keys {}", all.join(", ")),
    }
}

/// Returns the name that was most likely meant, if any is near enough.
///
/// Near enough is one slip of the fingers (a letter too many, missing, wrong, or swapped with its
/// neighbour) in three letters; upper and lower case, `-`, `_` and space count as the same.
pub(in crate::exam) fn nearest<'n>(
    given: &str,
    names: impl Iterator<Item = &'n str>,
) -> Option<&'n str> {
    let given = plain(given)?;
    names
        .filter_map(|name| {
            let plain = plain(name)?;
            let slips = strsim::osa_distance(&given, &plain);
            let longer = given.chars().count().max(plain.chars().count());
            (slips * 3 <= longer || slips == 1 && longer > 1).then_some((slips, name))
        })
        .min_by_key(|(slips, _)| *slips)
        .map(|(_, name)| name)
}

/// Returns a name without the differences that a slip does not count; none if it is too long.
fn plain(name: &str) -> Option<String> {
    // The comparison takes time by the square of the length.
    (name.len() <= 4 * CLIP).then(|| name.to_lowercase().replace(['-', ' '], "_"))
}

/// Returns a span that lies in the source, on borders of characters.
pub(super) fn fit(source: &str, span: Range<usize>) -> Range<usize> {
    let start = source.floor_char_boundary(span.start);
    let end = source.ceil_char_boundary(span.end.min(source.len()));
    start..end.max(start)
}
