//! `collect`: gather the results of several kiosks in one folder.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::time::SystemTime;

use clap::Args;
use serde::Serialize;

use super::{End, Fault, complain, disk, load, say};

mod journals;
mod same;
mod shelf;
mod walk;

use journals::Journal;
use shelf::{Put, Refused, Shelf, Signed};
use walk::Seen;

/// Gather the results of several kiosks in one folder
///
/// Looks through folders, sticks and shares with all that is below them, hidden files left out.
/// Each result is audited on the way; a damaged one is told of and left where it is. Copies of one
/// result are recognised under any name, signatures go with their results, and nothing is
/// overwritten: another result of the same name gets a number. It may be stopped at any moment and
/// run again: only what is missing is added.
#[derive(Debug, Args)]
pub(super) struct Arguments {
    /// The folders to gather from, or single results
    #[arg(required = true, value_name = "FROM")]
    from: Vec<PathBuf>,
    /// The folder to gather in; made where it is not there
    #[arg(long, value_name = "FOLDER")]
    into: PathBuf,
    /// Copy the journals of sittings that were not handed in, too, to `FOLDER/journals`
    #[arg(long)]
    journals: bool,
    /// Print what was found as JSON: a line a source, then a line for the folder
    #[arg(long)]
    json: bool,
}

/// What was found in one source.
#[derive(Debug, Default, Serialize)]
struct Source {
    from: String,
    /// Whether the folder was looked into before: given twice, or the one that is collected into.
    again: bool,
    /// Whole results.
    results: usize,
    /// Results that were added.
    new: usize,
    /// Results that were there already.
    copies: usize,
    /// Signatures that were added.
    signatures: usize,
    /// Other TOML files.
    others: usize,
    /// Results whose name was taken by another one, with the name that they got.
    renamed: Vec<Renamed>,
    /// What was left where it is, and why.
    faults: Vec<Trouble>,
}

#[derive(Debug, Serialize)]
struct Renamed {
    result: String,
    kept_as: String,
}

#[derive(Debug, Serialize)]
struct Trouble {
    path: String,
    fault: String,
}

impl Trouble {
    fn new(path: &Path, fault: &str) -> Self {
        Self {
            path: path.display().to_string(),
            fault: fault.to_owned(),
        }
    }

    fn complain(&self) {
        complain(&load::placed(Path::new(&self.path), &self.fault));
    }
}

/// What the folder holds in the end.
#[derive(Debug, Serialize)]
struct Total {
    into: String,
    results: usize,
    candidates: usize,
    faults: Vec<Trouble>,
    conflicts: Vec<same::Conflict>,
    unfinished: Vec<Waiting>,
    /// Why it ended early.
    stopped: Option<String>,
}

/// A sitting that was not handed in.
#[derive(Debug, Serialize)]
struct Waiting {
    journal: String,
    exam: String,
    candidate: String,
    started: String,
    held: bool,
    copied: Option<String>,
}

pub(super) fn run(arguments: &Arguments) -> Result<End, Fault> {
    let (mut shelf, damaged) = Shelf::open(&arguments.into)?;
    // What a kill left behind long ago; a folder that can't be swept is found out by writing.
    let _ = disk::sweep(&arguments.into, SystemTime::now());
    let mut seen = Seen::default();
    let _ = seen.first(&arguments.into)?;
    let mut found = Vec::new();
    let mut fine = true;
    let mut stopped = None;

    for from in &arguments.from {
        let (source, error) = gather(from, &mut shelf, &mut seen, &mut found);
        fine &= source.faults.is_empty();
        for trouble in &source.faults {
            trouble.complain();
        }
        say(&if arguments.json {
            serde_json::to_string(&source)? + "\n"
        } else {
            words(&source)
        });
        if error.is_some() {
            stopped = error;
            break;
        }
    }

    let heads: BTreeSet<String> = shelf
        .results()
        .iter()
        .filter_map(|(_, identity)| Some(identity.journal?.to_string()))
        .collect();
    let unfinished = journals::unfinished(found, &heads);
    let copy = arguments.journals && stopped.is_none();
    let unfinished = wait(unfinished, copy.then_some(&arguments.into), &mut stopped);
    let total = total(arguments, &shelf, &damaged, unfinished, stopped);
    fine &= total.faults.is_empty() && total.conflicts.is_empty() && total.stopped.is_none();
    tell(&total, arguments.json)?;

    Ok(if fine { End::Fine } else { End::Faults })
}

/// Gathers from one source. An error is the folder's: nothing more can be added.
fn gather(
    from: &Path,
    shelf: &mut Shelf,
    seen: &mut Seen,
    journals: &mut Vec<Journal>,
) -> (Source, Option<String>) {
    let mut source = Source {
        from: from.display().to_string(),
        ..Source::default()
    };
    let walked = walk::walk(from, seen);
    source.again = walked.again;
    let troubles = walked.faults.iter();
    source.faults = troubles
        .map(|(path, fault)| Trouble::new(path, fault))
        .collect();

    for path in &walked.results {
        match take(path, shelf, &mut source) {
            Ok(()) => {}
            Err(Refused::Source(fault)) => source.faults.push(Trouble::new(path, &fault)),
            Err(Refused::Shelf(error)) => return (source, Some(error.to_string())),
        }
    }
    for path in &walked.journals {
        match journals::read(path) {
            Ok(journal) => journals.extend(journal),
            Err(fault) => source.faults.push(Trouble::new(path, &fault)),
        }
    }

    (source, None)
}

fn take(path: &Path, shelf: &mut Shelf, source: &mut Source) -> Result<(), Refused> {
    let Some((bytes, identity)) = shelf::read(path).map_err(Refused::Source)? else {
        source.others += 1;
        return Ok(());
    };
    source.results += 1;
    let put = shelf
        .put(path, &bytes, identity)
        .map_err(|error| match error {
            disk::Error::Name { .. } => Refused::Source(error.to_string()),
            error => Refused::Shelf(error),
        })?;
    let onto = match put {
        Put::There(onto) => {
            source.copies += 1;
            onto
        }
        Put::Added(onto) => {
            source.new += 1;
            if onto.file_name() != path.file_name() {
                source.renamed.push(Renamed {
                    result: path.display().to_string(),
                    kept_as: onto.display().to_string(),
                });
            }
            onto
        }
    };
    match shelf.sign(path, &onto)? {
        Signed::Nothing => {}
        Signed::Added => source.signatures += 1,
        Signed::Other => source.faults.push(Trouble::new(
            path,
            &format!(
                "it is signed, and another signature of it is beside {}; look which one is right",
                onto.display()
            ),
        )),
    }

    Ok(())
}

/// Copies journals where that is wished, and says what became of each.
fn wait(
    unfinished: Vec<Journal>,
    into: Option<&PathBuf>,
    stopped: &mut Option<String>,
) -> Vec<Waiting> {
    let mut waiting = Vec::with_capacity(unfinished.len());
    for journal in unfinished {
        let mut copied = None;
        // One that is being written will be longer tomorrow.
        if let Some(into) = into.filter(|_| !journal.is_held && stopped.is_none()) {
            match journals::copy(&journal, into) {
                Ok(path) => copied = path,
                Err(error) => *stopped = Some(error.to_string()),
            }
        }
        waiting.push(Waiting {
            journal: journal.path.display().to_string(),
            exam: journal.exam,
            candidate: journal.candidate,
            started: journal.started,
            held: journal.is_held,
            copied: copied.map(|path| path.display().to_string()),
        });
    }

    waiting
}

fn total(
    arguments: &Arguments,
    shelf: &Shelf,
    damaged: &[(PathBuf, String)],
    unfinished: Vec<Waiting>,
    stopped: Option<String>,
) -> Total {
    let results = shelf.results();
    let candidates: BTreeSet<&str> = results
        .iter()
        .map(|(_, identity)| identity.candidate.as_str())
        .collect();

    Total {
        into: arguments.into.display().to_string(),
        results: results.len(),
        candidates: candidates.len(),
        faults: damaged
            .iter()
            .map(|(path, fault)| Trouble::new(path, fault))
            .collect(),
        conflicts: same::conflicts(&results),
        unfinished,
        stopped,
    }
}

fn words(source: &Source) -> String {
    if source.again {
        return format!(
            "{}: looked into already, or the folder that is collected into\n",
            source.from
        );
    }
    let mut parts = vec![
        count(source.results, "result"),
        format!("{} new", source.new),
        format!("{} there already", source.copies),
    ];
    if source.signatures > 0 {
        parts.push(count(source.signatures, "signature"));
    }
    if source.others > 0 {
        parts.push(format!("{} no result", count(source.others, "file")));
    }
    if !source.faults.is_empty() {
        parts.push(format!("{} at fault", source.faults.len()));
    }
    let renamed: String = source
        .renamed
        .iter()
        .map(|of| {
            format!(
                "  {}: another result has this name; kept as {}\n",
                of.result, of.kept_as
            )
        })
        .collect();

    format!("{}: {}\n{renamed}", source.from, parts.join(", "))
}

fn tell(total: &Total, json: bool) -> Result<(), Fault> {
    for trouble in &total.faults {
        trouble.complain();
    }
    for conflict in &total.conflicts {
        let chains: Vec<String> = conflict
            .results
            .iter()
            .map(|chain| chain.join(" with "))
            .collect();
        complain(&format!(
            "CONFLICT: candidate {} sat {} form {} at {} once, and there are {} results that were \
             not made from each other: {}; look which one counts and move the others away",
            conflict.candidate,
            conflict.exam,
            conflict.form,
            conflict.started,
            chains.len(),
            chains.join(", ")
        ));
    }
    if let Some(why) = &total.stopped {
        complain(&format!(
            "{why}; what was gathered before is whole: run this again to go on"
        ));
    }
    if json {
        say(&(serde_json::to_string(total)? + "\n"));
        return Ok(());
    }

    for of in &total.unfinished {
        say(&format!(
            "  {}: candidate {}, {}, begun {}: {}\n",
            of.journal,
            of.candidate,
            of.exam,
            of.started,
            match (&of.copied, of.held) {
                (Some(path), _) => format!("not handed in; copied to {path}"),
                (None, true) => "being sat at this moment".to_owned(),
                (None, false) => "not handed in; `sit --resume` takes it up".to_owned(),
            }
        ));
    }
    say(&format!(
        "{}: {} of {}{}{}\n",
        total.into,
        count(total.results, "result"),
        count(total.candidates, "candidate"),
        match total.conflicts.len() {
            0 => String::new(),
            n => format!(", {}", count(n, "conflict")),
        },
        match total.unfinished.len() {
            0 => String::new(),
            n => format!(", {} not handed in", count(n, "sitting")),
        }
    ));

    Ok(())
}

fn count(number: usize, of: &str) -> String {
    let ending = if number == 1 { "" } else { "s" };

    format!("{number} {of}{ending}")
}
