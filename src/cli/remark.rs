//! `remark`: mark stored results again, beside the old ones.

use std::path::{Path, PathBuf};

use clap::Args;
use rayon::prelude::*;
use serde::Serialize;

use super::moderate::folder;
use super::{End, Fault, complain, disk, load, say};
use crate::exam::script::Exam;
use crate::fraction;
use crate::results::document::{self, Remark, Stored};
use crate::results::seal::{self, Verified};
use crate::sitting::outcome::{Outcome, outcome};

pub(super) mod changes;

/// Mark stored results again, beside the old ones
///
/// The new result stands in the same folder as `NAME-remark.toml`, and says what changed and why.
/// The old one is left as it is. Of a folder all results are marked again, of each chain of re-marks
/// the last; whose band changed comes first. What a person overruled stays overruled.
#[derive(Debug, Args)]
pub(super) struct Arguments {
    /// The results to mark again, or folders of them
    #[arg(required = true, value_name = "RESULT|FOLDER")]
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
    pub(super) keeps: Option<String>,
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
        if path.is_dir() {
            fine &= class(path, script.as_ref(), arguments.json)?;
            continue;
        }
        match again(path, script.as_ref()) {
            Ok(report) => tell(&report, arguments.json)?,
            Err(Fault(text)) => {
                complain(&load::placed(path, &text));
                fine = false;
            }
        }
    }

    Ok(if fine { End::Fine } else { End::Faults })
}

fn tell(report: &Report, json: bool) -> Result<(), Fault> {
    if json {
        say(&(serde_json::to_string(report)? + "\n"));
    } else {
        say(&words(report));
    }

    Ok(())
}

/// Marks the last of each chain of a folder again; whose band changed is told first. Returns whether
/// all went well.
fn class(folder: &Path, script: Option<&(Exam, String)>, json: bool) -> Result<bool, Fault> {
    let folder::Read {
        cohort, damaged, ..
    } = folder::read(folder)?;
    let mut fine = damaged.is_empty();
    for folder::Damaged { path, fault } in &damaged {
        complain(&load::placed(path, fault));
    }
    let paths: Vec<PathBuf> = cohort.last().iter().map(|file| folder.join(file)).collect();
    drop(cohort);
    if paths.is_empty() {
        complain(&format!(
            "{}: expected results (.toml) that are whole, found none; name the folder they are in",
            folder.display()
        ));
        return Ok(false);
    }

    let done: Vec<Result<Report, Fault>> =
        paths.par_iter().map(|path| again(path, script)).collect();
    let mut reports = Vec::new();
    for (path, done) in paths.iter().zip(done) {
        match done {
            Ok(report) => reports.push(report),
            Err(Fault(text)) => {
                complain(&load::placed(path, &text));
                fine = false;
            }
        }
    }
    // The sort is stable, so that each half stays in the order of the files.
    reports.sort_by_key(|report| report.was.band == report.now.band);
    let other = reports
        .iter()
        .filter(|report| report.was.band != report.now.band)
        .count();
    if !json {
        say(&format!(
            "{}: {} marked again, {}\n",
            folder.display(),
            match reports.len() {
                1 => "1 result".to_owned(),
                count => format!("{count} results"),
            },
            match other {
                0 => "all bands as before".to_owned(),
                _ => format!("{other} with another band, told first"),
            }
        ));
    }
    for report in &reports {
        tell(report, json)?;
    }

    Ok(fine)
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

    let beside = beside(
        path,
        (&format!("{}-remark", stem(path)), &verified),
        &mut stored,
        (&because, &changes),
    )?;

    Ok(Report {
        result: path.display().to_string(),
        remark: beside.display().to_string(),
        because,
        was,
        now,
        keeps: keeps(&stored),
        changes,
    })
}

/// Writes what was made of a result beside it: it says of which it was made, why, and what changed.
pub(super) fn beside(
    path: &Path,
    (name, verified): (&str, &Verified),
    stored: &mut Stored,
    (because, changes): (&str, &[String]),
) -> Result<PathBuf, Fault> {
    stored.given.remark = Some(Remark {
        of: file_name(path),
        digest: Some(verified.head),
        because: because.to_owned(),
        changes: changes.to_vec(),
    });
    env!("CARGO_PKG_VERSION").clone_into(&mut stored.given.program);
    stored.given.journal = verified.journal;
    let written = document::write(&stored.sitting, &stored.given);

    Ok(disk::write_numbered(
        path.parent()
            .filter(|folder| *folder != Path::new(""))
            .unwrap_or(Path::new(".")),
        name,
        "toml",
        written.as_bytes(),
    )?)
}

/// Says whose overrulings go on counting, and whose marks entered by hand.
fn keeps(stored: &Stored) -> Option<String> {
    let overrules = stored.sitting.overrules();
    let mut by: Vec<&str> = Vec::new();
    for overrule in overrules {
        if !by.contains(&overrule.by.as_str()) {
            by.push(&overrule.by);
        }
    }
    let word = match overrules.len() {
        1 => "overruling",
        _ => "overrulings",
    };

    let overruled =
        (!by.is_empty()).then(|| format!("keeps {} {word} by {}", overrules.len(), by.join(", ")));
    let entered = stored.sitting.by_hand().map(|by_hand| {
        let examiners = by_hand.examiners().join(", ");
        format!("keeps the marks that {examiners} entered by hand")
    });

    match (entered, overruled) {
        (Some(entered), Some(overruled)) => Some(format!("{entered}; {overruled}")),
        (entered, overruled) => entered.or(overruled),
    }
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
        .keeps
        .iter()
        .chain(&report.changes)
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
