//! TOML as a teacher writes it: keys in a known order, a cell a line, comments that fit the page.

use toml::{Table, Value};

/// Keys in the order in which a teacher writes them; others follow.
const ORDER: [&str; 26] = [
    "name",
    "count",
    "progression",
    "quality",
    "chords",
    "form",
    "order",
    "start",
    "spacing",
    "top",
    "bass",
    "interval",
    "motion",
    "tension",
    "up",
    "voice",
    "ask",
    "seconds",
    "grace",
    "tempo",
    "bars_in",
    "metronome",
    "look",
    "gap",
    "group",
    "roots",
];
/// Writes a table's entries, a line each.
pub(super) fn entries(table: &Table) -> String {
    sorted(table)
        .into_iter()
        .map(|(key, of)| format!("{} = {}\n", bare(key), value(of)))
        .collect()
}

/// Writes a table on one line.
pub(super) fn inline(table: &Table) -> String {
    let parts: Vec<String> = sorted(table)
        .into_iter()
        .map(|(key, of)| format!("{} = {}", bare(key), value(of)))
        .collect();

    format!("{{ {} }}", parts.join(", "))
}

fn sorted(table: &Table) -> Vec<(&String, &Value)> {
    let mut all: Vec<(&String, &Value)> = table.iter().collect();
    let rank = |key: &str| {
        ORDER
            .iter()
            .position(|known| *known == key)
            .unwrap_or(ORDER.len())
    };
    all.sort_by_key(|(key, _)| (rank(key), key.to_owned()));

    all
}

fn bare(key: &str) -> String {
    let is_bare = !key.is_empty()
        && key
            .chars()
            .all(|sign| sign.is_ascii_alphanumeric() || matches!(sign, '_' | '-'));

    if is_bare {
        key.to_owned()
    } else {
        value(&Value::String(key.to_owned()))
    }
}

/// Writes a value on one line.
pub(super) fn value(of: &Value) -> String {
    match of {
        Value::Table(table) => inline(table),
        Value::Array(list) => {
            let all: Vec<String> = list.iter().map(value).collect();
            format!("[{}]", all.join(", "))
        }
        // On one line, whatever it holds.
        Value::String(text) => {
            let mut out = String::from("\"");
            for sign in text.chars() {
                match sign {
                    '"' | '\\' => {
                        out.push('\\');
                        out.push(sign);
                    }
                    '\n' => out.push_str("\\n"),
                    '\t' => out.push_str("\\t"),
                    sign if sign.is_control() => {
                        out.push_str(&format!("\\u{:04X}", sign as u32));
                    }
                    sign => out.push(sign),
                }
            }
            out.push('"');
            out
        }
        other => other.to_string(),
    }
}

/// Breaks a sentence into lines of so many signs.
pub(super) fn wrapped(text: &str, width: usize) -> Vec<String> {
    let mut lines: Vec<String> = vec![String::new()];

    for word in text.split(' ').filter(|word| !word.is_empty()) {
        let line = lines.last_mut().expect("there is a line from the start");
        let length = line.chars().count() + word.chars().count() + 1;
        if line.is_empty() {
            line.push_str(word);
        } else if length <= width {
            line.push(' ');
            line.push_str(word);
        } else {
            lines.push(word.to_owned());
        }
    }

    lines
}

/// Breaks a comment into lines that begin with `#`.
pub(super) fn comment(text: &str) -> String {
    wrapped(text, 98)
        .into_iter()
        .map(|line| format!("# {line}\n"))
        .collect()
}
