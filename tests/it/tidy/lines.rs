//! What every line and every file looks like.

use super::code::{code, line, words};
use super::{Faults, Source, check, is_rust, is_text, planted, sources};

/// Past so many lines a file says why it is long.
const LONG: usize = 600;

/// What no source holds, and why.
const UNWANTED: [(&str, &str); 5] = [
    ("todo!", "what is not done is not merged"),
    ("unimplemented!", "what is not done is not merged"),
    ("thread::sleep", "nothing waits for a clock"),
    ("#[ignore", "a test runs or goes"),
    ("#[should_panic", "say which error comes back"),
];

/// Begins with one sentence that says what the file is for.
fn doc(source: &Source) -> Faults {
    let first = source.text.lines().next().unwrap_or_default();

    if first
        .strip_prefix("//! ")
        .is_some_and(|text| text.starts_with(char::is_uppercase) || text.starts_with('`'))
    {
        Vec::new()
    } else {
        vec![format!(
            "{}:1: expected a sentence after `//! `",
            source.path
        )]
    }
}

fn unwanted(source: &Source) -> Faults {
    let code = code(&source.text);
    let mut faults = Vec::new();

    if source.path.ends_with("/mod.rs") {
        faults.push(format!(
            "{}:1: a module `a` is a file `a.rs`, not `a/mod.rs`",
            source.path
        ));
    }
    for (word, why) in UNWANTED {
        faults.extend(
            words(&code, word)
                .map(|at| format!("{}:{}: {word}: {why}", source.path, line(&code, at))),
        );
    }
    if source.path.starts_with("src/") && !is_test(&source.path) {
        let end = code.find("#[cfg(test)]\nmod tests {").unwrap_or(code.len());
        faults.extend(words(&code[..end], ".unwrap()").map(|at| {
            format!(
                "{}:{}: .unwrap(): say with expect why it cannot fail",
                source.path,
                line(&code, at)
            )
        }));
    }

    faults
}

fn is_test(path: &str) -> bool {
    path.ends_with("/tests.rs") || path.contains("/tests/")
}

fn blanks(source: &Source) -> Faults {
    let mut faults = Vec::new();

    for (i, text) in source.text.split('\n').enumerate() {
        if text.ends_with([' ', '\t', '\r']) {
            faults.push(format!("{}:{}: ends with a blank", source.path, i + 1));
        }
    }
    if !source.text.is_empty() && (!source.text.ends_with('\n') || source.text.ends_with("\n\n")) {
        let last = source.text.lines().count();
        faults.push(format!(
            "{}:{last}: expected one line break at the end",
            source.path
        ));
    }

    faults
}

/// A longer file has a line `Long because …` among the comments that open it.
fn length(source: &Source) -> Faults {
    let lines = source.text.lines().count();
    let has_reason = source
        .text
        .lines()
        .take_while(|line| line.starts_with("//!"))
        .any(|line| line.contains("Long because "));

    if lines <= LONG || has_reason {
        Vec::new()
    } else {
        vec![format!(
            "{}:{lines}: {lines} lines: find a seam, or open with `//! Long because …`",
            source.path
        )]
    }
}

/// A machine's own paths do not belong in what everybody gets.
fn machine(source: &Source) -> Faults {
    // Put together so that this file passes its own rule.
    let unwanted = ["work", "tmp", "root", "home", "Users"].map(|name| format!("/{name}/"));
    let shared = format!("..{}shared", '/');

    source
        .text
        .lines()
        .enumerate()
        .flat_map(|(i, text)| {
            unwanted
                .iter()
                .chain([&shared])
                .filter(|word| text.contains(word.as_str()))
                .map(move |word| (i + 1, word.clone()))
                .collect::<Vec<_>>()
        })
        .map(|(line, word)| format!("{}:{line}: {word} is a place on one machine", source.path))
        .collect()
}

#[test]
fn every_file_opens_with_a_sentence() {
    check(&sources(is_rust), doc);
    planted("src/a.rs", "//! Chords.\n", doc, &[]);
    for text in [
        "",
        "use a;\n//! Chords.",
        "// Chords.",
        "//! chords",
        "//!Chords.",
    ] {
        planted(
            "src/a.rs",
            text,
            doc,
            &["src/a.rs:1: expected a sentence after `//! `"],
        );
    }
}

#[test]
fn nothing_unwanted_is_in_the_source() {
    check(&sources(is_rust), unwanted);
    planted(
        "src/a/mod.rs",
        "",
        unwanted,
        &["src/a/mod.rs:1: a module `a` is a file `a.rs`, not `a/mod.rs`"],
    );
    planted(
        "tests/it/a.rs",
        "#[test]\n#[ignore = \"slow\"]\nfn a() {\n    std::thread::sleep(b);\n    todo!()\n}\n#[should_panic]",
        unwanted,
        &[
            "tests/it/a.rs:5: todo!: what is not done is not merged",
            "tests/it/a.rs:4: thread::sleep: nothing waits for a clock",
            "tests/it/a.rs:2: #[ignore: a test runs or goes",
            "tests/it/a.rs:7: #[should_panic: say which error comes back",
        ],
    );
    planted(
        "src/a.rs",
        "// a.unwrap()\nb.unwrap_or(c).unwrap();\n#[cfg(test)]\nmod tests {\n    d.unwrap();\n}\n",
        unwanted,
        &["src/a.rs:2: .unwrap(): say with expect why it cannot fail"],
    );
    planted("src/a/tests.rs", "a.unwrap()", unwanted, &[]);
    planted("tests/it/a.rs", "a.unwrap()", unwanted, &[]);
}

#[test]
fn no_line_ends_with_a_blank_and_every_file_with_a_line_break() {
    // Fixtures are what others wrote.
    check(
        &sources(|path| is_text(path) && !path.starts_with("tests/fixtures/")),
        blanks,
    );
    planted("a.md", "a\nb\n", blanks, &[]);
    planted("a.md", "", blanks, &[]);
    planted(
        "a.md",
        "a \nb\t\nc\r\n",
        blanks,
        &[
            "a.md:1: ends with a blank",
            "a.md:2: ends with a blank",
            "a.md:3: ends with a blank",
        ],
    );
    planted(
        "a.md",
        "a\nb",
        blanks,
        &["a.md:2: expected one line break at the end"],
    );
    planted(
        "a.md",
        "a\n\n",
        blanks,
        &["a.md:2: expected one line break at the end"],
    );
}

#[test]
fn no_file_is_long_without_a_reason() {
    check(&sources(is_rust), length);
    let text = "a\n".repeat(LONG);
    planted("src/a.rs", &text, length, &[]);
    planted(
        "src/a.rs",
        &format!("{text}b\n"),
        length,
        &["src/a.rs:601: 601 lines: find a seam, or open with `//! Long because …`"],
    );
    planted(
        "src/a.rs",
        &format!("//! A.\n//! Long because b.\n{text}"),
        length,
        &[],
    );
}

#[test]
fn no_file_names_a_place_on_a_machine() {
    check(&sources(is_text), machine);
    let place = format!("/{}/", "tmp");
    planted(
        "a.sh",
        &format!("a\ncd {place}b\n"),
        machine,
        &[&format!("a.sh:2: {place} is a place on one machine")],
    );
    let shared = format!("..{}shared", '/');
    planted(
        "a.rs",
        &shared,
        machine,
        &[&format!("a.rs:1: {shared} is a place on one machine")],
    );
    planted("a.md", "a network/template b", machine, &[]);
}
