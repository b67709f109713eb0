//! The language as data against the readers, from outside: keys, defaults, examples, bounds, words.

mod files;
mod keys;
mod schema;
mod values;

use std::fmt;

use toml::{Table, Value};
use viva_voicing::exam::diagnostic::{Diagnostic, Lines, Severity};
use viva_voicing::exam::language::{self, COVER, Key, Kind, Part, SECTIONS};
use viva_voicing::exam::read;
use viva_voicing::exam::script::Exam;

/// A script, what it is about, and whether the readers take what it says there.
struct Case {
    part: &'static Part,
    key: &'static str,
    what: What,
    script: Table,
}

/// What a case tries.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum What {
    /// The example of the key.
    Example,
    /// A bound, or a list of the least or greatest length.
    Bound,
    /// A number beyond a bound, or a list too short or too long.
    Beyond,
    /// One of the words.
    Word,
    /// A word that is none of them.
    WrongWord,
    /// A value of another type.
    WrongType,
    /// The key is left out and has to be there.
    Missing,
}

impl What {
    /// Whether what is tried is to be taken.
    const fn is_taken(self) -> bool {
        matches!(self, Self::Example | Self::Bound | Self::Word)
    }
}

impl fmt::Display for Case {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "key `{}` of part `{}` ({}), {:?}",
            self.key,
            self.part.id,
            header(self.part),
            self.what
        )
    }
}

/// How a part's table is written.
fn header(part: &Part) -> String {
    match part.path {
        "" => "the top level".to_owned(),
        "rules" | "rubric" => format!("[{}]", part.path),
        path => format!("[[{path}]]"),
    }
}

/// The part's sample as a whole script: with a title, and a section that makes any mark possible.
fn whole(part: &Part) -> Table {
    let mut script: Table = toml::from_str(part.sample).expect("a sample is TOML");
    let panel: Table = toml::from_str(
        "id = \"Z\"\ntitle = \"Panel\"\nkind = \"panel\"\npoints = 10000\ncriteria = [\"Feel\"]",
    )
    .expect("TOML");

    let _ = script
        .entry("title")
        .or_insert_with(|| Value::from("Trial"));
    script
        .entry("section")
        .or_insert_with(|| Value::Array(Vec::new()))
        .as_array_mut()
        .expect("sections are a list")
        .push(panel.into());
    script
}

/// The part's table in a script: the first of its kind.
fn table<'a>(script: &'a mut Table, path: &str) -> &'a mut Table {
    let mut table = script;

    for name in path.split('.').filter(|name| !name.is_empty()) {
        table = match table.get_mut(name).expect("the sample has the table") {
            Value::Table(table) => table,
            Value::Array(list) => list[0].as_table_mut().expect("a list of tables"),
            other => panic!("`{name}` is no table: {other}"),
        };
    }
    table
}

/// Reads TOML's `value` as it stands after a key.
fn value(text: &str) -> Value {
    let table: Table = toml::from_str(&format!("value = {text}"))
        .unwrap_or_else(|error| panic!("`{text}` is no value of TOML: {error}"));
    table["value"].clone()
}

/// The part's sample with what a key needs beside it; what has to go goes only if `all`.
fn beside(part: &Part, key: &Key, all: bool) -> Table {
    let mut script = whole(part);
    let at = table(&mut script, part.path);

    for line in key.with.lines() {
        match line.strip_prefix('-') {
            Some(gone) if all => drop(at.remove(gone)),
            Some(_) => {}
            None => at.extend(toml::from_str::<Table>(line).expect("TOML")),
        }
    }
    // A band lies above those that follow.
    if part.id == "band" {
        let bands = script.get_mut("band").and_then(Value::as_array_mut);
        bands.expect("the sample has bands").truncate(1);
    }
    script
}

/// The same with a value after the key.
fn set(part: &Part, key: &Key, value: Value) -> Table {
    let mut script = beside(part, key, true);
    let at = table(&mut script, part.path);

    // No hurdle is higher than its section's points.
    if key.name == "hurdle" && value.as_float() == Some(10_000.0) {
        drop(at.insert("points".to_owned(), value.clone()));
    }
    drop(at.insert(key.name.to_owned(), value));
    script
}

fn text(script: &Table) -> String {
    toml::to_string(script).expect("a script can be written")
}

fn exam(script: &Table) -> (Option<Exam>, Vec<Diagnostic>) {
    read::read(&text(script), "trial")
}

/// All faults of a script, each with its line.
fn faults(script: &Table) -> Vec<(String, String)> {
    let text = text(script);
    let lines = Lines::new(&text);

    read::read(&text, "trial")
        .1
        .into_iter()
        .filter(|found| found.severity == Severity::Fault)
        .map(|found| {
            let (line, _) = lines.position(found.span.start);
            let line = text.lines().nth(line - 1).unwrap_or_default();
            (line.to_owned(), found.message)
        })
        .collect()
}

/// The faults that stand on the key's own line.
fn faults_of(script: &Table, key: &str) -> Vec<String> {
    faults(script)
        .into_iter()
        .filter(|(line, _)| {
            line.starts_with(&format!("{key} =")) || line.trim_end_matches(']').ends_with(key)
        })
        .map(|(_, message)| message)
        .collect()
}

/// Every part as it stands in a script, once for each question that it belongs to.
fn variants() -> Vec<(&'static Part, Table)> {
    let mut all: Vec<(&'static Part, Table)> =
        COVER.iter().map(|part| (*part, whole(part))).collect();
    all.extend(
        language::parts()
            .into_iter()
            .filter(|part| part.id == "weights")
            .map(|part| (part, whole(part))),
    );

    for section in SECTIONS {
        for part in [Some(section.part), section.cell].into_iter().flatten() {
            // The section's own sample asks the first question; the cell's has the cells.
            let sample = section.cell.unwrap_or(part);
            if section.asks.is_empty() {
                all.push((part, whole(sample)));
            }
            for ask in section.asks {
                let mut script = whole(sample);
                drop(table(&mut script, "section").insert("ask".to_owned(), Value::from(*ask)));
                all.push((part, script));
            }
        }
    }
    all
}

/// Values of every type that a key might have by mistake.
fn other_types(kind: Kind) -> Vec<Value> {
    let is_text = matches!(
        kind,
        Kind::Line
            | Kind::Label
            | Kind::Text
            | Kind::Word(..)
            | Kind::Quality
            | Kind::Root
            | Kind::Degrees
            | Kind::Name(_)
            | Kind::Ask
    );
    let is_list = matches!(
        kind,
        Kind::List(..) | Kind::Options | Kind::Tables(_) | Kind::Ask
    );
    let is_number = matches!(kind, Kind::Whole(..) | Kind::Number(..) | Kind::Member);
    let is_table = matches!(kind, Kind::Table(_) | Kind::Groups);

    [
        (is_text, "\"zz\""),
        (is_number, "3"),
        (matches!(kind, Kind::Number(..)), "2.5"),
        (kind == Kind::Flag, "true"),
        (is_list, "[1]"),
        (is_list, "[\"zz\", 1]"),
        (is_table, "{ zz = 1 }"),
        (false, "2026-03-12"),
    ]
    .into_iter()
    .filter(|(fits, _)| !fits)
    .map(|(_, text)| value(text))
    .chain(is_list.then(|| value("[2026-03-12]")))
    .collect()
}

/// Every case of shape: what the schema can see as well as the readers.
fn cases() -> Vec<Case> {
    let mut cases = Vec::new();

    for part in language::parts() {
        for key in part.all_keys() {
            let mut push = |what, script| {
                cases.push(Case {
                    part,
                    key: key.name,
                    what,
                    script,
                });
            };
            if !key.example.is_empty() {
                push(What::Example, set(part, key, value(key.example)));
            }
            let (within, beyond) = values::bounds(key.kind);
            for value in within {
                push(What::Bound, set(part, key, value));
            }
            for value in beyond {
                push(What::Beyond, set(part, key, value));
            }
            let (right, wrong) = values::words(key.kind);
            // Another kind of section has other keys.
            if key.name != "kind" {
                for word in right {
                    push(What::Word, set(part, key, word));
                }
            }
            for word in wrong {
                push(What::WrongWord, set(part, key, word));
            }
            for other in other_types(key.kind) {
                push(What::WrongType, set(part, key, other));
            }
            if key.default == language::Default::Required {
                let mut script = beside(part, key, false);
                drop(table(&mut script, part.path).remove(key.name));
                push(What::Missing, script);
            }
        }
    }
    cases
}
