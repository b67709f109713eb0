//! `sheet`: mark sheets of stored results, as PDF.

pub(super) mod make;

use std::fs;
use std::path::{Path, PathBuf};

use clap::Args;

use super::paper::Paper;
use super::{End, Fault, complain, load, lp, say};

/// Write mark sheets of stored results, as PDF
///
/// Each result's seal is checked first. The sheet stands beside its result as `NAME-sheet.pdf`;
/// nothing is overwritten. Where earlier results of the same candidate and exam lie in the
/// result's folder, the sheet shows how the candidate has come on.
#[derive(Debug, Args)]
pub(super) struct Arguments {
    /// The results
    #[arg(required = true, value_name = "RESULT")]
    results: Vec<PathBuf>,
    /// The folder that the sheets go to; otherwise each to its result
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// The paper
    #[arg(long, value_enum, default_value = "a4")]
    paper: Paper,
    /// Print the sheets, on the printer named or else on the usual one
    #[arg(long, value_name = "PRINTER", num_args = 0..=1)]
    print: Option<Option<String>>,
}

pub(super) fn run(arguments: &Arguments) -> Result<End, Fault> {
    if let Some(folder) = &arguments.out {
        fs::create_dir_all(folder).map_err(|error| {
            Fault::new(format_args!(
                "{}: the folder for sheets cannot be made: {error}",
                folder.display()
            ))
        })?;
    }

    let (painted, notes) = make::painted(&arguments.results, arguments.paper.into());
    let mut fine = true;
    for note in &notes {
        complain(note);
    }
    for (path, painted) in arguments.results.iter().zip(painted) {
        let done = painted
            .and_then(|bytes| make::store(path, arguments.out.as_deref(), &bytes))
            .and_then(|sheet| hand_on(&sheet, arguments.print.as_ref()));
        if let Err(Fault(text)) = done {
            complain(&load::placed(path, &text));
            fine = false;
        }
    }

    Ok(if fine { End::Fine } else { End::Faults })
}

/// Says where a sheet is, or where it is wanted on paper what became of it.
fn hand_on(sheet: &Path, print: Option<&Option<String>>) -> Result<(), Fault> {
    match print {
        None => say(&format!("{}\n", sheet.display())),
        Some(printer) => {
            let told = lp::print(sheet, printer.as_deref())?;
            say(&format!("{}\n", told.words));
        }
    }

    Ok(())
}
