//! Which module may use which, and what the pure ones never do.

use super::code::{code, line, words};
use super::{Faults, Source, check, is_rust, planted, sources};

/// Each top-level module and the others that it may use.
const LAYERS: [(&str, &[&str]); 17] = [
    ("time", &[]),
    ("fraction", &[]),
    ("theory", &[]),
    ("exam", &["time", "fraction", "theory"]),
    ("marking", &["time", "fraction", "theory", "exam"]),
    (
        "sitting",
        &["time", "fraction", "theory", "exam", "marking"],
    ),
    (
        "results",
        &["time", "fraction", "theory", "exam", "marking", "sitting"],
    ),
    (
        "practise",
        &[
            "time", "fraction", "theory", "exam", "marking", "sitting", "results",
        ],
    ),
    (
        "dataset",
        &["time", "theory", "marking", "sitting", "results"],
    ),
    (
        "cohort",
        &["time", "fraction", "marking", "sitting", "results"],
    ),
    ("engraving", &["theory"]),
    (
        "printing",
        &[
            "time",
            "fraction",
            "theory",
            "exam",
            "marking",
            "sitting",
            "results",
            "cohort",
            "engraving",
        ],
    ),
    ("instruments", &["time", "theory"]),
    ("settings", &["exam", "instruments"]),
    (
        "room",
        &[
            "time",
            "theory",
            "exam",
            "marking",
            "sitting",
            "instruments",
        ],
    ),
    (
        "kiosk",
        &[
            "time",
            "fraction",
            "theory",
            "exam",
            "marking",
            "sitting",
            "results",
            "practise",
            "engraving",
            "instruments",
            "room",
        ],
    ),
    (
        "cli",
        &[
            "time",
            "fraction",
            "theory",
            "exam",
            "marking",
            "sitting",
            "results",
            "practise",
            "engraving",
            "printing",
            "dataset",
            "cohort",
            "instruments",
            "room",
            "kiosk",
            "settings",
        ],
    ),
];

/// What alone a module may use of another: settings are read like scripts and know no exam, and
/// they name what instruments there are without any of them.
const PARTS: [(&str, &str, &[&str]); 2] = [
    ("settings", "exam", &["table", "diagnostic"]),
    ("settings", "instruments", &["keyboard", "speaker"]),
];

/// The modules that read no clock, file or environment.
const PURE: [&str; 13] = [
    "time",
    "fraction",
    "theory",
    "engraving",
    "exam",
    "marking",
    "sitting",
    "results",
    "practise",
    "printing",
    "dataset",
    "cohort",
    "settings",
];

/// Rooms of the instruments that are as pure, no device being in them.
const PURE_ROOMS: [&str; 2] = ["src/instruments/performance", "src/instruments/piano"];

/// What a pure module never names, and why.
const IMPURE: [(&str, &str); 8] = [
    ("std::fs", "text comes in as an argument"),
    (
        "std::env",
        "what the environment says comes in as an argument",
    ),
    ("std::net", "there is no network here"),
    ("std::path", "paths are the command line's"),
    ("std::process", "processes are the command line's"),
    ("std::thread", "the core has one thread"),
    ("Instant", "time comes in as an argument"),
    ("SystemTime", "time comes in as an argument"),
];

fn module(path: &str) -> Option<&str> {
    let inner = path.strip_prefix("src/")?.strip_suffix(".rs")?;

    inner
        .split('/')
        .next()
        .filter(|top| !matches!(*top, "lib" | "main"))
}

/// A module uses those below it only.
fn layers(source: &Source) -> Faults {
    let Some(own) = module(&source.path) else {
        return Vec::new();
    };
    let Some((_, allowed)) = LAYERS.iter().find(|(name, _)| *name == own) else {
        return vec![format!(
            "{}:1: {own} has no row in the table of layers",
            source.path
        )];
    };

    uses(&source.path, &code(&source.text))
        .into_iter()
        .filter(|(_, used)| LAYERS.iter().any(|(name, _)| name == used))
        .filter(|(_, used)| used != own && !allowed.contains(&used.as_str()))
        .map(|(at, used)| {
            format!(
                "{}:{}: {own} may not use {used}",
                source.path,
                line(&source.text, at)
            )
        })
        .collect()
}

/// A module uses the parts of another that are meant for it, where only some are.
fn parts(source: &Source) -> Faults {
    let code = code(&source.text);
    let mut faults = Faults::new();

    for (own, other, allowed) in PARTS {
        if module(&source.path) != Some(own) {
            continue;
        }
        let path = format!("crate::{other}");
        for at in words(&code, &path) {
            let mut found = Vec::new();
            if let Some(rest) = code[at + path.len()..].strip_prefix("::") {
                names(&code, code.len() - rest.len(), &mut found);
            } else {
                found.push((at, "all".to_owned()));
            }
            let wrong = found
                .into_iter()
                .filter(|(_, part)| !allowed.contains(&part.as_str()));
            faults.extend(wrong.map(|(at, part)| {
                format!(
                    "{}:{}: {own} may not use {part} of {other}",
                    source.path,
                    line(&source.text, at)
                )
            }));
        }
    }

    faults
}

/// The first name behind each path that starts at the crate's root, with its place.
fn uses(path: &str, code: &str) -> Vec<(usize, String)> {
    let mut found = Vec::new();

    for at in words(code, "crate::") {
        names(code, at + "crate::".len(), &mut found);
    }
    // From a file in `src/a/b.rs` two steps up lead to the root.
    let up = "super::".repeat(path.matches('/').count());
    for at in words(code, &up) {
        let after = code[at..].trim_start_matches("super::");
        names(code, code.len() - after.len(), &mut found);
    }

    found
}

/// The name at a place, or each first name of the braces there.
fn names(code: &str, at: usize, found: &mut Vec<(usize, String)>) {
    let Some(group) = code[at..].strip_prefix('{') else {
        let name = name(&code[at..]);
        found.push((at, name.to_owned()));
        return;
    };

    let mut depth = 1;
    let mut expects = true;
    let start = code.len() - group.len();
    for (i, sign) in group.char_indices() {
        match sign {
            '{' => depth += 1,
            '}' => depth -= 1,
            ',' if depth == 1 => expects = true,
            _ if depth == 1 && expects && sign.is_alphabetic() => {
                found.push((start + i, name(&group[i..]).to_owned()));
                expects = false;
            }
            _ => {}
        }
        if depth == 0 {
            break;
        }
    }
}

fn name(text: &str) -> &str {
    let end = text.find(|c: char| !c.is_alphanumeric() && c != '_');

    &text[..end.unwrap_or(text.len())]
}

/// A pure module denies what is impure at its top, nothing in it allows it again, and none of its
/// files names what it has no business with.
fn purity(source: &Source) -> Faults {
    let is_pure = module(&source.path).is_some_and(|own| PURE.contains(&own));
    let room = PURE_ROOMS.iter().find(|room| {
        let inner = source.path.strip_prefix(**room);
        inner.is_some_and(|inner| inner.starts_with(['.', '/']))
    });
    if !is_pure && room.is_none() {
        return Vec::new();
    }
    let code = code(&source.text);
    let is_top = match room {
        Some(room) => source.path == format!("{room}.rs"),
        None => source.path.matches('/').count() == 1,
    };
    let mut faults = Vec::new();

    if is_top && !code.contains("#![deny(clippy::disallowed_methods)]") {
        faults.push(format!(
            "{}:1: a pure module says #![deny(clippy::disallowed_methods)]",
            source.path
        ));
    }
    for at in words(&code, "clippy::disallowed_methods") {
        if !code[..at].ends_with("#![deny(") {
            faults.push(format!(
                "{}:{}: a pure module allows no clock, file or environment",
                source.path,
                line(&code, at)
            ));
        }
    }
    for (word, why) in IMPURE {
        for at in words(&code, word) {
            faults.push(format!(
                "{}:{}: {word} in a pure module: {why}",
                source.path,
                line(&code, at)
            ));
        }
    }

    faults
}

#[test]
fn no_module_uses_one_above_it() {
    check(
        &sources(|path| path.starts_with("src/") && is_rust(path)),
        layers,
    );
}

#[test]
fn settings_use_the_reader_and_the_names_of_instruments_only() {
    check(
        &sources(|path| path.starts_with("src/") && is_rust(path)),
        parts,
    );
    planted(
        "src/settings/sound.rs",
        "use crate::instruments::playback::Setup;\nuse crate::exam::{table::Table, script};\n\
         use crate::instruments;",
        parts,
        &[
            "src/settings/sound.rs:2: settings may not use script of exam",
            "src/settings/sound.rs:1: settings may not use playback of instruments",
            "src/settings/sound.rs:3: settings may not use all of instruments",
        ],
    );
    planted(
        "src/settings.rs",
        "use crate::instruments::{keyboard::Preference, speaker};",
        parts,
        &[],
    );
}

#[test]
fn every_row_of_the_layers_is_a_module() {
    let tops: Vec<String> =
        sources(|path| path.starts_with("src/") && path.matches('/').count() == 1)
            .iter()
            .filter_map(|source| module(&source.path).map(str::to_owned))
            .collect();
    let mut rows: Vec<&str> = LAYERS.iter().map(|(name, _)| *name).collect();
    rows.sort_unstable();

    assert_eq!(tops, rows);
}

#[test]
fn pure_modules_are_pure() {
    check(
        &sources(|path| path.starts_with("src/") && is_rust(path)),
        purity,
    );
}

#[test]
fn planted_arrows_are_found() {
    let check = |path: &str, text: &str, expected: &[&str]| planted(path, text, layers, expected);

    check(
        "src/theory/pitch.rs",
        "//! Pitches.\n\nuse crate::sitting::Sitting;\n",
        &["src/theory/pitch.rs:3: theory may not use sitting"],
    );
    check("src/theory/pitch.rs", "use crate::theory::Degree;", &[]);
    check(
        "src/theory/pitch.rs",
        "// crate::exam\nlet a = \"crate::exam\";",
        &[],
    );
    check(
        "src/exam/read.rs",
        "use crate::{\n    marking::{Event, event::Action},\n    time::Time,\n    results,\n};",
        &[
            "src/exam/read.rs:2: exam may not use marking",
            "src/exam/read.rs:4: exam may not use results",
        ],
    );
    check(
        "src/marking/run.rs",
        "fn f() { super::super::sitting::f(); super::capture::f() }",
        &["src/marking/run.rs:1: marking may not use sitting"],
    );
    check(
        "src/marking.rs",
        "use super::cli;",
        &["src/marking.rs:1: marking may not use cli"],
    );
    check(
        "src/instruments/performance.rs",
        "use crate::exam::form::Form;",
        &["src/instruments/performance.rs:1: instruments may not use exam"],
    );
    check(
        "src/kitchen.rs",
        "",
        &["src/kitchen.rs:1: kitchen has no row in the table of layers"],
    );
    check("src/main.rs", "viva_voicing::cli::run()", &[]);
}

#[test]
fn planted_impurities_are_found() {
    let check = |path: &str, text: &str, expected: &[&str]| planted(path, text, purity, expected);
    let denied = "#![deny(clippy::disallowed_methods)]\n";

    check(
        "src/exam.rs",
        "//! Exams.\n",
        &["src/exam.rs:1: a pure module says #![deny(clippy::disallowed_methods)]"],
    );
    check("src/exam.rs", denied, &[]);
    check("src/exam/draw.rs", "", &[]);
    check("src/cli.rs", "use std::fs;", &[]);
    check("src/instruments/performances.rs", "use std::fs;", &[]);
    check(
        "src/instruments/performance.rs",
        "//! Performances.\n",
        &[
            "src/instruments/performance.rs:1: a pure module says #![deny(clippy::disallowed_methods)]",
        ],
    );
    check(
        "src/exam/draw.rs",
        "#[allow(clippy::disallowed_methods)]\nfn f() {}",
        &["src/exam/draw.rs:1: a pure module allows no clock, file or environment"],
    );
    check(
        "src/exam/draw.rs",
        "// Instant\nuse std::time::Instant;\nuse std::fs::read;",
        &[
            "src/exam/draw.rs:3: std::fs in a pure module: text comes in as an argument",
            "src/exam/draw.rs:2: Instant in a pure module: time comes in as an argument",
        ],
    );
    check(
        "src/instruments/performance/read.rs",
        "std::env::var(a)",
        &[
            "src/instruments/performance/read.rs:1: std::env in a pure module: what the environment says comes in as an argument",
        ],
    );
}
