//! `remark`: mark stored results again, beside the old ones.

use std::path::{Path, PathBuf};

use clap::Args;
use serde::Serialize;

use super::{End, Fault, complain, disk, load, say};
use crate::exam::script::Exam;
use crate::fraction;
use crate::results::document::{self, Remark, Stored};
use crate::results::seal;
use crate::sitting::outcome::{Outcome, outcome};

pub(super) mod changes;

/// Mark stored results again, beside the old ones
///
/// The new result stands in the same folder as `NAME-remark.toml`, and says what changed and why.
/// The old one is left as it is.
#[derive(Debug, Args)]
pub(super) struct Arguments {
    /// The results to mark again
    #[arg(required = true, value_name = "RESULT")]
    results: Vec<PathBuf>,
    /// A corrected script that asks the same items; otherwise the one inside the result
    #[arg(long, value_name = "FILE")]
    exam: Option<PathBuf>,
    /// Print what changed as JSON, a line a result
    #[arg(long)]
    json: bool,
}

/// What a re-mark came to.
#[derive(Debug, Serialize)]
pub(super) struct Report {
    pub(super) result: String,
    pub(super) remark: String,
    pub(super) because: String,
    pub(super) was: Total,
    pub(super) now: Total,
    pub(super) changes: Vec<String>,
}

#[derive(Debug, PartialEq, Eq, Serialize)]
pub(super) struct Total {
    pub(super) mark: String,
    pub(super) band: String,
}

pub(super) fn run(arguments: &Arguments) -> Result<End, Fault> {
    let script = arguments.exam.as_deref().map(load::exam).transpose()?;
    let mut fine = true;

    for path in &arguments.results {
        match again(path, script.as_ref()) {
            Ok(report) if arguments.json => say(&(serde_json::to_string(&report)? + "\n")),
            Ok(report) => say(&words(&report)),
            Err(Fault(text)) => {
                complain(&load::placed(path, &text));
                fine = false;
            }
        }
    }

    Ok(if fine { End::Fine } else { End::Faults })
}

fn again(path: &Path, script: Option<&(Exam, String)>) -> Result<Report, Fault> {
    let text = load::text(path)?;
    let verified = seal::audit(&text)?;
    let digest = script.map(|(_, source)| load::digest(source));
    let other = script
        .zip(digest.as_deref())
        .map(|((exam, source), digest)| (exam, source.as_str(), digest));
    let mut stored = document::read(&text, other)?;
    let outcome = outcome(&stored.sitting);

    let because = because(&stored, script.is_some());
    let was = Total {
        mark: stored.mark.clone(),
        band: stored.band.clone(),
    };
    let now = total(&outcome);
    let mut changes = changes::script(&stored.script, &stored.given.script);
    changes.extend(changes::sections(&stored, &outcome));
    changes.extend(changes::items(&stored, &outcome));

    stored.given.remark = Some(Remark {
        of: file_name(path),
        digest: Some(verified.head),
        because: because.clone(),
        changes: changes.clone(),
    });
    env!("CARGO_PKG_VERSION").clone_into(&mut stored.given.program);
    stored.given.journal = verified.journal;
    let written = document::write(&stored.sitting, &stored.given);
    let beside = disk::write_numbered(
        path.parent()
            .filter(|folder| *folder != Path::new(""))
            .unwrap_or(Path::new(".")),
        &format!("{}-remark", stem(path)),
        "toml",
        written.as_bytes(),
    )?;

    Ok(Report {
        result: path.display().to_string(),
        remark: beside.display().to_string(),
        because,
        was,
        now,
        changes,
    })
}

fn because(stored: &Stored, other_script: bool) -> String {
    let program = env!("CARGO_PKG_VERSION");

    match (other_script, stored.given.script == stored.script) {
        (true, false) => "marked by another script".to_owned(),
        (true, true) => "marked by the same script again".to_owned(),
        (false, _) if stored.given.program == program => {
            format!("marked again by program {program}, as before")
        }
        (false, _) => format!(
            "marked again by program {program}, before by {}",
            stored.given.program
        ),
    }
}

pub(super) fn total(outcome: &Outcome<'_>) -> Total {
    let total = &outcome.grade.total;

    Total {
        mark: fraction::hundredths(total.mark),
        band: match outcome.void {
            true => "void".to_owned(),
            false => total.band.clone().unwrap_or_default(),
        },
    }
}

pub(super) fn words(report: &Report) -> String {
    let Report { was, now, .. } = report;
    let total = if was == now {
        format!("total {} {} as before", now.mark, now.band)
    } else {
        format!(
            "total {} {} -> {} {}",
            was.mark, was.band, now.mark, now.band
        )
    };
    let lines: String = report
        .changes
        .iter()
        .map(|change| format!("  {change}\n"))
        .collect();

    format!(
        "{}: {}\n  {}\n{lines}",
        report.remark,
        report.because,
        total.trim_end()
    )
}

pub(super) fn file_name(path: &Path) -> String {
    path.file_name()
        .map(|name| name.to_string_lossy().into_owned())
        .unwrap_or_default()
}

pub(super) fn stem(path: &Path) -> String {
    path.file_stem()
        .map(|stem| stem.to_string_lossy().into_owned())
        .unwrap_or_default()
}
