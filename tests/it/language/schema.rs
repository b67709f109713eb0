//! The schema as an editor takes it: Python's `jsonschema` against the readers.
//!
//! The schema is one of JSON Schema draft 7 (json-schema.org); the PyPI package `jsonschema` holds
//! the scripts against it, and the schema itself against the meta-schema of the draft.

use std::path::{Path, PathBuf};
use std::process::Command;
use std::{env, fs};

use serde_json::{Value, json};
use toml::Table;

use super::{What, cases, table, text, variants};

/// Beginnings of messages that are about shape: an editor can see it without knowing music.
///
/// To a schema 2.0 is a whole number, which the readers do not take for one.
const SHAPES: [&str; 12] = [
    "unknown key `",
    "missing key `",
    "missing section [",
    "expected a text, found",
    "expected `true` or `false`, found",
    "expected a table",
    "expected sections [[",
    "expected a list",
    "expected a number",
    "expected a whole number of",
    "expected one of `",
    "expected a chord tone, 1, 3, 5 or 7",
];

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn scripts(folder: &str) -> Vec<PathBuf> {
    let mut paths: Vec<PathBuf> = fs::read_dir(root().join(folder))
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "toml"))
        .collect();
    paths.sort();
    paths
}

/// A script for the check: its name, its text, and whether the schema is to take it.
fn tried(name: &str, script: &str, taken: bool) -> Value {
    json!({ "name": name, "script": script, "taken": taken })
}

/// Whether a number is said to be out of range: `expected 1 to 9, found 12`.
fn is_range(message: &str) -> bool {
    message
        .strip_prefix("expected ")
        .and_then(|rest| rest.split_once(" to "))
        .is_some_and(|(low, _)| low.parse::<f64>().is_ok())
}

/// Wrong only by what stands after another key: with `at-random` a cell needs a quality.
const BY_ANOTHER_KEY: &str = "at_random.toml";

/// Wrong scripts whose fault is one of shape, as the comments in them say.
fn wrong() -> Vec<Value> {
    let mut all = Vec::new();

    for path in scripts("tests/fixtures/scripts/bad") {
        let text = fs::read_to_string(&path).unwrap();
        let is_toml = text.parse::<Table>().is_ok();
        let of_shape = text
            .lines()
            .filter_map(|line| line.trim_start().strip_prefix("# error: "))
            .filter_map(|rest| rest.split_once(' '))
            .any(|(_, message)| {
                SHAPES.iter().any(|shape| message.starts_with(shape)) || is_range(message)
            });
        if is_toml && of_shape && !path.ends_with(BY_ANOTHER_KEY) {
            let name = path.file_name().unwrap().to_string_lossy().into_owned();
            all.push(tried(&name, &text, false));
        }
    }
    all
}

#[test]
fn the_schema_takes_and_refuses_what_the_readers_do() {
    let Some(python) = crate::python::with("jsonschema, tomllib", "schema-requirements.txt") else {
        return;
    };
    let mut all: Vec<Value> = cases()
        .iter()
        .map(|case| tried(&case.to_string(), &text(&case.script), case.what.is_taken()))
        .collect();
    let wrong = wrong();
    let right: Vec<PathBuf> = ["exams", "tests/fixtures/scripts/good"]
        .into_iter()
        .flat_map(scripts)
        .chain([root().join("tests/fixtures/scripts/ears.toml")])
        .collect();

    assert!(wrong.len() > 15, "{}", wrong.len());
    assert!(right.len() > 20, "{}", right.len());
    assert!(all.iter().any(|case| case["taken"] == false));
    all.extend(wrong);
    for path in &right {
        let text = fs::read_to_string(path).unwrap();
        all.push(tried(&path.display().to_string(), &text, true));
    }
    for (part, script) in variants() {
        all.push(tried(part.id, &text(&script), true));
        let mut strange = script;
        drop(table(&mut strange, part.path).insert("zz".to_owned(), 1.into()));
        all.push(tried(
            &format!("strange key in `{}`", part.id),
            &text(&strange),
            false,
        ));
    }
    assert!(cases().iter().any(|case| case.what == What::Missing));

    let folder = tempfile::tempdir().unwrap();
    let list = folder.path().join("scripts.json");
    fs::write(&list, serde_json::to_string(&all).unwrap()).unwrap();
    let output = Command::new(python)
        .args(["tests/reference/schema_valid.py", "exams/schema.json"])
        .arg(&list)
        .current_dir(root())
        .output()
        .unwrap();
    let said = String::from_utf8_lossy(&output.stdout).into_owned()
        + &String::from_utf8_lossy(&output.stderr);

    assert!(output.status.success(), "{said}");
    assert_eq!(said.trim(), format!("{} passed", all.len()));
}
