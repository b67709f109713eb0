//! `moderate`: compare a whole class.

pub(super) mod folder;
mod json;

use std::fs;
use std::path::{Path, PathBuf};

use clap::Args;

use self::folder::Damaged;
use super::roster::Roster;
use super::{End, Fault, complain, disk, load, say};
use crate::cohort::cut::{self, Sheet};
use crate::cohort::{Exam, Report, table, words};

/// Compare a whole class: marks, items, forms, confusions
///
/// Reads all results of a folder and of the folders in it, save those called `journals`. Of a
/// result that was marked or looked at again the last counts, of copies one. Damaged ones are named
/// and left out. Numbers stand for candidates; names come in with a roster alone.
#[derive(Debug, Args)]
#[command(after_help = "\
Files with --out, in a folder EXAM-DIGEST for each exam script (nothing is overwritten):
  class.csv        a row a sitting: mark, standard error, band, sections, what happened
  items.csv        difficulty, discrimination, levels, wrong answers under 5 %, items to look at
  forms.csv        the forms' means side by side, with the pooled standard error
  reliability.csv  KR-20 and alpha of a form, reliability over forms, standard errors in marks
  confusions.csv   what was sounded and answered, with d' and the three commonest confusions
  chords.csv       keys and qualities: level, median time, share cold
  gaps.csv         the routine gap by candidate and quality, and the class's median
  gradebook.csv    OneRoster 1.1 results; lineItems.csv is the column that they belong to
  cut.csv          with --angoff: the judges' cuts and their spread

Estimates for --angoff are a CSV file with the columns judge, section, item, estimate: an item's
number or prompt, or `cell 3`, and the percentage of just-passing candidates who get it right.")]
pub(super) struct Arguments {
    /// The folder of the results
    #[arg(value_name = "FOLDER")]
    results: PathBuf,
    /// Where the tables go, as CSV files; otherwise the summary is all
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// The class list (CSV), to have names in the class table
    #[arg(long, value_name = "FILE")]
    roster: Option<PathBuf>,
    /// Judges' estimates (CSV), for a cut score after Angoff
    #[arg(long, value_name = "FILE")]
    angoff: Option<PathBuf>,
    /// Print everything as one JSON document
    #[arg(long)]
    json: bool,
}

pub(super) fn run(arguments: &Arguments) -> Result<End, Fault> {
    let roster = arguments.roster.as_deref().map(Roster::open).transpose()?;
    let estimates = arguments.angoff.as_deref().map(estimates).transpose()?;
    let folder::Read { cohort, damaged } = folder::read(&arguments.results)?;
    let report = cohort.report();
    drop(cohort);

    for Damaged { path, fault } in &damaged {
        complain(&load::placed(path, fault));
    }
    if report.results == 0 {
        let shown = arguments.results.display();
        return Err(Fault::new(match damaged.len() {
            0 => format!(
                "{shown}: expected results (.toml), found none; name the folder they are in"
            ),
            _ => format!("{shown}: expected results, and none could be read"),
        }));
    }
    let cut = match (&estimates, report.exams.as_slice()) {
        (None, _) => None,
        (Some(estimates), [exam]) => Some(cut::sheet(exam, estimates)),
        (Some(_), exams) => {
            return Err(Fault::new(format_args!(
                "expected results of one exam script with --angoff, found {}: move the others to a \
                 folder of their own",
                exams.len()
            )));
        }
    };
    let mut written = Vec::new();
    if let Some(out) = &arguments.out {
        let roster = roster.as_ref().map(|roster| roster as &dyn table::Roster);
        written = write(out, &report, roster, cut.as_ref())?;
    }
    if arguments.json {
        let named: Option<&dyn table::Roster> = roster.as_ref().map(|roster| roster as _);
        say(&json::document(&report, &damaged, cut.as_ref(), named)?);
    } else {
        say(&summary(&report, &damaged, cut.as_ref(), &written));
    }

    Ok(End::Fine)
}

fn estimates(path: &Path) -> Result<Vec<cut::Estimate>, Fault> {
    let text = load::text(path)?;

    cut::read(&text).map_err(|error| Fault(load::placed(path, &error.to_string())))
}

fn summary(
    report: &Report,
    damaged: &[Damaged],
    cut: Option<&Sheet>,
    written: &[PathBuf],
) -> String {
    let mut text = words::read(report);
    if !damaged.is_empty() {
        text += &format!(
            "{} could not be read and {} left out, as said above\n",
            damaged.len(),
            if damaged.len() == 1 { "was" } else { "were" }
        );
    }
    for exam in &report.exams {
        text += &words::exam(exam, cut);
    }
    if !written.is_empty() {
        text.push('\n');
        for folder in written {
            text += &format!("Tables: {}\n", folder.display());
        }
    }

    text
}

/// Writes the tables, once it is sure that none of the names is taken.
fn write(
    out: &Path,
    report: &Report,
    roster: Option<&dyn table::Roster>,
    cut: Option<&Sheet>,
) -> Result<Vec<PathBuf>, Fault> {
    let mut folders = Vec::new();
    let mut files = Vec::new();
    for exam in &report.exams {
        let folder = out.join(folder_name(exam));
        for table in table::tables(exam, roster, cut) {
            files.push((folder.join(table.name), table));
        }
        folders.push(folder);
    }
    if let Some((taken, _)) = files
        .iter()
        .find(|(path, _)| fs::symlink_metadata(path).is_ok())
    {
        return Err(Fault::new(format_args!(
            "{}: tables are there already and were left alone; name another folder after --out, or \
             move these away",
            taken.display()
        )));
    }
    for folder in &folders {
        fs::create_dir_all(folder).map_err(|error| {
            Fault::new(format_args!(
                "{}: this folder could not be made: {error}; name another after --out",
                folder.display()
            ))
        })?;
    }
    for (path, table) in &files {
        disk::write_new(path, table.csv().as_bytes())?;
    }

    Ok(folders)
}

/// The exam's name as a file may have it, and the beginning of its script's digest.
fn folder_name(exam: &Exam) -> String {
    let name: String = exam
        .name
        .chars()
        .map(|sign| match sign {
            sign if sign.is_alphanumeric() || matches!(sign, '-' | '_') => sign,
            _ => '-',
        })
        .take(60)
        .collect();

    format!("{name}-{}", exam.digest.get(..8).unwrap_or_default())
}
