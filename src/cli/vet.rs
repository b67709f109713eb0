//! `vet`: check exam scripts, and tell what they will ask.

mod explain;

use std::path::PathBuf;

use clap::Args;
use serde::Serialize;

use super::load::Script;
use super::{End, Fault, complain, say};
use crate::exam::diagnostic::{Lines, Severity};
use crate::exam::draw;
use crate::marking::explain::{self as explanation, Explanation};

#[derive(Debug, Args)]
pub(super) struct Arguments {
    /// The scripts to check
    #[arg(required = true, value_name = "FILE")]
    files: Vec<PathBuf>,
    /// Tell what a form will ask, how long it takes, what guessing brings, how sure the marks are
    /// and which cells are thin
    #[arg(long)]
    explain: bool,
    /// Print what was found as JSON, one object a line
    #[arg(long)]
    json: bool,
}

#[derive(Serialize)]
struct Found<'a> {
    file: &'a str,
    severity: &'static str,
    /// Line and column in characters from 1, and the bytes concerned; none of a file as a whole.
    line: Option<usize>,
    column: Option<usize>,
    start: Option<usize>,
    end: Option<usize>,
    message: &'a str,
    help: Option<&'a str>,
}

pub(super) fn run(arguments: &Arguments) -> Result<End, Fault> {
    let mut fine = true;

    for file in &arguments.files {
        let script = match Script::open(file) {
            Ok(script) => script,
            Err(Fault(text)) => {
                if arguments.json {
                    say(&unreadable(&file.display().to_string(), &text)?);
                }
                complain(&text);
                fine = false;
                continue;
            }
        };
        fine &= script.exam.is_some();
        // A form that cannot be drawn leaves nothing to explain, which is said last.
        let explained = match &script.exam {
            Some(exam) if arguments.explain => Some(explanation::explain(exam)),
            _ => None,
        };

        if arguments.json {
            say(&json(&script)?);
            if let Some(Ok(explained)) = &explained {
                say(&object(&script, explained)?);
            }
            // Whoever reads the objects need not read this; whoever watches is told all the same.
            if script.exam.is_none() {
                complain(&verdict(&script));
            }
            fine &= drawn(&script, explained.as_ref());
            continue;
        }
        for severity in [Severity::Fault, Severity::Warning] {
            let report = script.report(severity);
            if !report.is_empty() {
                complain(report.trim_end());
            }
        }
        say(&format!("{}\n", verdict(&script)));
        if let Some(Ok(explained)) = &explained {
            say(&format!("\n{}", explanation::words(explained)));
        }
        fine &= drawn(&script, explained.as_ref());
    }

    Ok(if fine { End::Fine } else { End::Faults })
}

/// Complains where the form that was to be explained cannot be drawn.
fn drawn(script: &Script, explained: Option<&Result<Explanation, draw::Error>>) -> bool {
    match explained {
        Some(Err(error)) => {
            complain(&format!("{}: {error}", script.name));
            false
        }
        _ => true,
    }
}

fn object(script: &Script, explained: &Explanation) -> Result<String, Fault> {
    Ok(serde_json::to_string(&explain::json(&script.name, explained))? + "\n")
}

fn verdict(script: &Script) -> String {
    let count = |severity| {
        script
            .diagnostics
            .iter()
            .filter(|diagnostic| diagnostic.severity == severity)
            .count()
    };
    let plural = |n: usize, word: &str| match n {
        0 => format!("no {word}s"),
        1 => format!("1 {word}"),
        n => format!("{n} {word}s"),
    };

    format!(
        "{}: {}, {}",
        script.name,
        plural(count(Severity::Fault), "fault"),
        plural(count(Severity::Warning), "warning")
    )
}

/// Tells of a file that is no script at all.
fn unreadable(file: &str, text: &str) -> Result<String, Fault> {
    let message = text
        .strip_prefix(file)
        .and_then(|rest| rest.strip_prefix(": "))
        .unwrap_or(text);
    let found = Found {
        file,
        severity: "fault",
        line: None,
        column: None,
        start: None,
        end: None,
        message,
        help: None,
    };

    Ok(serde_json::to_string(&found)? + "\n")
}

fn json(script: &Script) -> Result<String, Fault> {
    let lines = Lines::new(&script.source);
    let mut out = String::new();

    for diagnostic in &script.diagnostics {
        let (line, column) = lines.position(diagnostic.span.start);
        let found = Found {
            file: &script.name,
            severity: match diagnostic.severity {
                Severity::Fault => "fault",
                Severity::Warning => "warning",
            },
            line: Some(line),
            column: Some(column),
            start: Some(diagnostic.span.start),
            end: Some(diagnostic.span.end),
            message: &diagnostic.message,
            help: diagnostic.help.as_deref(),
        };
        out.push_str(&serde_json::to_string(&found)?);
        out.push('\n');
    }

    Ok(out)
}
