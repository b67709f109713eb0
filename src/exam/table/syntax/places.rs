//! Keys and sections that stand twice.

use std::collections::HashMap;
use std::ops::Range;

use super::super::statement::Statement;
use super::super::wording::clip;
use super::Finding;
use crate::exam::diagnostic::Lines;

/// Where each key and header is written first.
#[derive(Debug)]
pub(in crate::exam::table) struct Places<'a> {
    source: &'a str,
    /// By section and name; headers count as of no section.
    first: HashMap<(Option<usize>, &'a str), usize>,
    /// Where the sections begin.
    headers: Vec<usize>,
}

impl<'a> Places<'a> {
    pub(in crate::exam::table) fn new(source: &'a str, statements: &[Statement]) -> Self {
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

/// Puts a key or section that stands twice into words.
pub(super) fn duplicate(
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
    match first {
        // A key written twice in one section is a fault whatever else may be wrong.
        Some((statement, ..)) if statement.header.is_none() => {
            Finding::new_meaning(span, message, help)
        }
        _ => Finding::new_effect(span, message, help),
    }
}
