//! Wrong scripts and every finding in them.
//!
//! What is expected stands in the script: `# error: COLUMNS message` or `# warning: ...` on the
//! lines before the line concerned, several stacked in their order. COLUMNS is `start-end`, in
//! characters from 1, the end exclusive; a place that goes on over the line's end ends with it.
//! `UPDATE=1` writes them anew: look at what has changed.

use std::fs;

use viva_voicing::exam::diagnostic::{Diagnostic, Lines, Severity};
use viva_voicing::exam::read;

use super::{folder, scripts, text};

/// A finding as it is written in a script.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Finding {
    severity: Severity,
    /// From 1.
    line: usize,
    /// In characters from 1, the end exclusive.
    columns: (usize, usize),
    message: String,
}

impl Finding {
    fn of(diagnostic: &Diagnostic, source: &str) -> Self {
        let lines = Lines::new(source);
        let (line, start) = lines.position(diagnostic.span.start);
        let length = source
            .lines()
            .nth(line - 1)
            .map_or(0, |line| line.chars().count());
        let end = match lines.position(diagnostic.span.end) {
            (last, end) if last == line => end,
            _ => length + 1,
        };

        Self {
            severity: diagnostic.severity,
            line,
            columns: (start, end),
            message: diagnostic.message.clone(),
        }
    }

    /// Reads a comment that says what is expected on a later line.
    fn parse(comment: &str, line: usize) -> Option<Self> {
        let (severity, rest) = match comment.trim_start().strip_prefix("# error: ") {
            Some(rest) => (Severity::Fault, rest),
            None => (
                Severity::Warning,
                comment.trim_start().strip_prefix("# warning: ")?,
            ),
        };
        let (columns, message) = rest.split_once(' ')?;
        let (start, end) = columns.split_once('-')?;

        Some(Self {
            severity,
            line,
            columns: (start.parse().ok()?, end.parse().ok()?),
            message: message.to_owned(),
        })
    }

    fn comment(&self, indent: &str) -> String {
        let word = match self.severity {
            Severity::Fault => "error",
            Severity::Warning => "warning",
        };
        let (start, end) = self.columns;

        format!("{indent}# {word}: {start}-{end} {}\n", self.message)
    }
}

fn found(source: &str) -> Vec<Finding> {
    let (exam, diagnostics) = read::read(source, "bad");
    let faults = diagnostics
        .iter()
        .any(|diagnostic| diagnostic.severity == Severity::Fault);
    assert_eq!(exam.is_none(), faults, "an exam without faults, or faults");

    diagnostics
        .iter()
        .map(|diagnostic| Finding::of(diagnostic, source))
        .collect()
}

fn is_comment(line: &str) -> bool {
    Finding::parse(line, 0).is_some()
}

fn expected(source: &str) -> Vec<Finding> {
    let mut pending = Vec::new();
    let mut all = Vec::new();

    for (i, line) in source.lines().enumerate() {
        match Finding::parse(line, 0) {
            Some(finding) => pending.push(finding),
            None => all.extend(pending.drain(..).map(|finding| Finding {
                line: i + 1,
                ..finding
            })),
        }
    }
    let last = source.lines().count() + 1;
    all.extend(pending.drain(..).map(|finding| Finding {
        line: last,
        ..finding
    }));

    all
}

/// Writes a script with what is found in it.
fn updated(source: &str) -> String {
    let bare: String = source
        .lines()
        .filter(|line| !is_comment(line))
        .flat_map(|line| [line, "\n"])
        .collect();
    let found = found(&bare);
    let mut out = String::new();
    let mut lines: Vec<&str> = bare.lines().collect();
    lines.push("");

    for (i, line) in lines.iter().enumerate() {
        let indent: String = line.chars().take_while(|sign| *sign == ' ').collect();
        for finding in found.iter().filter(|finding| finding.line == i + 1) {
            out += &finding.comment(&indent);
        }
        if i + 1 < lines.len() {
            out += line;
            out.push('\n');
        }
    }

    out
}

#[test]
fn every_finding_of_a_wrong_script_is_told_at_its_place() {
    let update = std::env::var("UPDATE").is_ok_and(|value| value == "1");
    let mut wrong = Vec::new();

    for path in scripts(&folder("bad")) {
        if update {
            fs::write(&path, updated(&text(&path))).expect("the script can be written");
        }
        let source = text(&path);
        let (expected, found) = (expected(&source), found(&source));
        assert!(!expected.is_empty(), "{}: expects nothing", path.display());
        if expected != found {
            let lacking = expected.iter().filter(|one| !found.contains(one));
            let beside = found.iter().filter(|one| !expected.contains(one));
            wrong.push(format!(
                "{}:\n  lacking: {:#?}\n  beside: {:#?}",
                path.display(),
                lacking.collect::<Vec<_>>(),
                beside.collect::<Vec<_>>()
            ));
        }
    }

    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_finding_says_how_to_mend_it() {
    for path in scripts(&folder("bad")) {
        let source = text(&path);
        for diagnostic in read::read(&source, "bad").1 {
            let line = Lines::new(&source).position(diagnostic.span.start).0;
            assert!(
                diagnostic.help.is_some(),
                "{}:{line}: {}",
                path.display(),
                diagnostic.message
            );
        }
    }
}

#[test]
fn messages_begin_small_and_end_without_a_full_stop() {
    for path in scripts(&folder("bad")) {
        for diagnostic in read::read(&text(&path), "bad").1 {
            let texts = [Some(&diagnostic.message), diagnostic.help.as_ref()];
            for text in texts.into_iter().flatten() {
                // A chord symbol begins as it does.
                let first = text.split_whitespace().next().unwrap();
                let symbol = viva_voicing::theory::symbol::parse(first).is_ok();
                let large = first.starts_with(char::is_uppercase);
                assert!(symbol || !large, "{}: {text}", path.display());
                assert!(!text.ends_with('.'), "{}: {text}", path.display());
                assert!(!text.contains('\n'), "{}: {text}", path.display());
            }
        }
    }
}
