//! Scripts with what is said about them, and properties of any script.

mod anything;
mod bytes;
mod recovery;
mod syntax;
mod tables;
mod values;

use super::*;
use crate::exam::diagnostic::Lines;

/// Reads a script and returns what is wrong as `line:column+width message`.
fn faults(script: &str, read: impl FnOnce(Table<'_>)) -> Vec<String> {
    said(script, read)
        .into_iter()
        .map(|(fault, _)| fault)
        .collect()
}

/// Reads a script and returns what is wrong, with the help.
fn said(script: &str, read: impl FnOnce(Table<'_>)) -> Vec<(String, Option<String>)> {
    let out = Diagnostics::new();
    if let Some(document) = parse(script, &out) {
        read(document.root(&out));
    }
    let lines = Lines::new(script);
    out.into_vec()
        .into_iter()
        .map(|found| {
            let (line, column) = lines.position(found.span.start);
            let width = script[found.span.clone()].chars().count();
            (
                format!("{line}:{column}+{width} {}", found.message),
                found.help,
            )
        })
        .collect()
}

/// Checks what is wrong with a script when it is read so.
#[track_caller]
fn check(script: &str, read: impl FnOnce(Table<'_>), expected: &[&str]) {
    assert_eq!(faults(script, read), expected, "{script}");
}

/// Checks the only help that a script gets when it is read so.
#[track_caller]
fn check_help(script: &str, read: impl FnOnce(Table<'_>), expected: &str) {
    let helps: Vec<_> = said(script, read)
        .into_iter()
        .map(|(_, help)| help)
        .collect();
    assert_eq!(helps, [Some(expected.to_owned())], "{script}");
}

/// Reads a script that must be right.
#[track_caller]
fn right(script: &str, read: impl FnOnce(&Table<'_>)) {
    let found = faults(script, |table| {
        read(&table);
        table.finish();
    });
    assert!(found.is_empty(), "{script}: {found:?}");
}

/// Asks for nothing, so that only the TOML is judged.
fn nothing(table: Table<'_>) {
    let _ = table.entries();
}
