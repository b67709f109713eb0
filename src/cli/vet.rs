//! `vet`: check exam scripts.

use std::path::PathBuf;

use clap::Args;
use serde::Serialize;

use super::load::Script;
use super::{End, Fault, complain, say};
use crate::exam::diagnostic::{Lines, Severity};

#[derive(Debug, Args)]
pub(super) struct Arguments {
    /// The scripts to check
    #[arg(required = true, value_name = "FILE")]
    files: Vec<PathBuf>,
    /// Print what was found as JSON, one object a line
    #[arg(long)]
    json: bool,
}

#[derive(Serialize)]
struct Found<'a> {
    file: &'a str,
    severity: &'static str,
    line: usize,
    column: usize,
    start: usize,
    end: usize,
    message: &'a str,
    help: Option<&'a str>,
}

pub(super) fn run(arguments: &Arguments) -> Result<End, Fault> {
    let mut fine = true;

    for file in &arguments.files {
        let script = match Script::open(file) {
            Ok(script) => script,
            Err(Fault(text)) => {
                complain(&text);
                fine = false;
                continue;
            }
        };
        fine &= script.exam.is_some();

        if arguments.json {
            say(&json(&script)?);
            continue;
        }
        for severity in [Severity::Fault, Severity::Warning] {
            let report = script.report(severity);
            if !report.is_empty() {
                complain(report.trim_end());
            }
        }
        say(&format!("{}\n", verdict(&script)));
    }

    Ok(if fine { End::Fine } else { End::Faults })
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
            line,
            column,
            start: diagnostic.span.start,
            end: diagnostic.span.end,
            message: &diagnostic.message,
            help: diagnostic.help.as_deref(),
        };
        out.push_str(&serde_json::to_string(&found)?);
        out.push('\n');
    }

    Ok(out)
}
