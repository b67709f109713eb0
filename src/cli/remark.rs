//! `remark`: mark stored results again, beside the old ones.

use std::path::{Path, PathBuf};

use clap::Args;

use super::{End, Fault, complain, disk, load, say};
use crate::exam::script::Exam;
use crate::fraction;
use crate::results::{document, seal};
use crate::sitting::outcome::{Outcome, outcome};

#[derive(Debug, Args)]
pub(super) struct Arguments {
    /// The results to mark again
    #[arg(required = true, value_name = "RESULT")]
    results: Vec<PathBuf>,
    /// A corrected script that asks the same items; otherwise the one inside the result
    #[arg(long, value_name = "FILE")]
    exam: Option<PathBuf>,
}

pub(super) fn run(arguments: &Arguments) -> Result<End, Fault> {
    let script = arguments.exam.as_deref().map(load::exam).transpose()?;
    let mut fine = true;

    for path in &arguments.results {
        if let Err(Fault(text)) = again(path, script.as_ref()) {
            complain(&format!("{}: {text}", path.display()));
            fine = false;
        }
    }

    Ok(if fine { End::Fine } else { End::Faults })
}

fn again(path: &Path, script: Option<&(Exam, String)>) -> Result<(), Fault> {
    let text = load::text(path)?;
    let verified = seal::audit(&text)?;
    let digest = script.map(|(_, source)| load::digest(source));
    let other = script
        .zip(digest.as_deref())
        .map(|((exam, source), digest)| (exam, source.as_str(), digest));
    let mut stored = document::read(&text, other)?;
    let outcome = outcome(&stored.sitting);
    let changes = changes(&stored, &outcome);
    let name = path
        .file_name()
        .map(|name| name.to_string_lossy().into_owned())
        .unwrap_or_default();
    let why = if script.is_some() {
        "marked by another script".to_owned()
    } else {
        format!("marked again by program {}", env!("CARGO_PKG_VERSION"))
    };
    let was = (stored.mark.clone(), stored.band.clone());
    let now = (
        fraction::hundredths(outcome.grade.total.mark),
        if outcome.void {
            "void".to_owned()
        } else {
            outcome.grade.total.band.clone().unwrap_or_default()
        },
    );

    env!("CARGO_PKG_VERSION").clone_into(&mut stored.given.program);
    stored.given.remark_of = Some((name, why));
    stored.given.journal = verified.journal;
    let written = document::write(&stored.sitting, &stored.given);
    let folder = path.parent().unwrap_or(Path::new("."));
    let stem = path
        .file_stem()
        .map(|stem| stem.to_string_lossy().into_owned())
        .unwrap_or_default();
    let beside = disk::write_numbered(
        folder,
        &format!("{stem}-remark"),
        "toml",
        written.as_bytes(),
    )?;

    say(&format!("{}\n", beside.display()));
    if was == now {
        say(&format!("  total {} as before\n", now.0));
    } else {
        say(&format!(
            "  total {} {} -> {} {}\n",
            was.0, was.1, now.0, now.1
        ));
    }
    for change in changes {
        say(&format!("  {change}\n"));
    }

    Ok(())
}

/// What changed, item by item, and why.
fn changes(stored: &document::Stored, outcome: &Outcome<'_>) -> Vec<String> {
    let mut old = stored.credits.iter();
    let mut out = Vec::new();

    for item in &outcome.items {
        let Some(credit) = item.marked.credit() else {
            continue;
        };
        let Some((number, was, why)) = old.find(|(number, ..)| *number == item.item.number) else {
            continue;
        };
        let now = fraction::hundredths(credit);
        if *was != now {
            let reasons = item.marked.reasons();
            out.push(format!(
                "item {number}: credit {was} ({why}) -> {now} ({})",
                reasons.first().map_or("", String::as_str)
            ));
        }
    }

    out
}
