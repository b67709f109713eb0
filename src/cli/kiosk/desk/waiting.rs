//! Sittings that wait to be taken up: journals whose end stands in no result, and that nobody has.

use std::collections::{BTreeMap, BTreeSet};
use std::ffi::OsStr;
use std::fs::{File, TryLockError};
use std::path::{Path, PathBuf};

use super::super::super::{disk, sit};
use super::JOURNALS;
use crate::exam::code::Code;
use crate::kiosk::desk::{Before, Unfinished};
use crate::sitting::{journal, resume};

/// The longest file that is looked into, in bytes.
const LONGEST: u64 = 1 << 28;

/// The files of a folder with an ending, by name.
fn files(folder: &Path, ending: &str) -> Vec<PathBuf> {
    let Ok(entries) = std::fs::read_dir(folder) else {
        return Vec::new();
    };
    let mut files: Vec<_> = entries
        .flatten()
        .map(|entry| entry.path())
        .filter(|path| path.extension() == Some(OsStr::new(ending)) && path.is_file())
        .collect();

    files.sort();
    files
}

/// Tells whether another program, or this one, is writing a journal.
fn is_held(path: &Path) -> bool {
    File::open(path)
        .is_ok_and(|file| matches!(file.try_lock_shared(), Err(TryLockError::WouldBlock)))
}

/// Returns the heads of journals that stand in results.
pub(super) fn heads(folders: &[&Path]) -> BTreeSet<String> {
    folders
        .iter()
        .flat_map(|folder| files(folder, "toml"))
        .filter_map(|path| disk::read_limited(&path, LONGEST).ok())
        .filter_map(|bytes| {
            // It stands in the seal, at the end.
            let text = String::from_utf8_lossy(&bytes);
            let head = text
                .lines()
                .rev()
                .find_map(|line| line.strip_prefix("journal = \"")?.strip_suffix('"'));
            head.map(str::to_owned)
        })
        .collect()
}

/// Returns the sittings that wait in some folders, the oldest first.
pub(super) fn unfinished(folders: &[&Path]) -> Vec<Unfinished> {
    // By their first lines: a journal that moved has left its beginning behind.
    let mut longest: BTreeMap<String, (PathBuf, journal::Reading)> = BTreeMap::new();
    let mut held = BTreeSet::new();

    for path in folders
        .iter()
        .flat_map(|folder| files(&folder.join(JOURNALS), "journal"))
    {
        let Ok(bytes) = disk::read_limited(&path, LONGEST) else {
            continue;
        };
        let Ok(reading) = journal::read(&bytes) else {
            continue;
        };
        let Some(first) = reading.bodies.first().map(|body| body.get().to_owned()) else {
            continue;
        };
        if is_held(&path) {
            let _ = held.insert(first.clone());
        }
        let is_longer = longest
            .get(&first)
            .is_none_or(|(_, other)| other.bodies.len() < reading.bodies.len());
        if is_longer {
            let _ = longest.insert(first, (path, reading));
        }
    }
    longest.retain(|first, _| !held.contains(first));
    if longest.is_empty() {
        return Vec::new();
    }

    let heads = heads(folders);
    let mut waiting: Vec<Unfinished> = longest
        .into_values()
        .filter(|(_, reading)| !heads.contains(&reading.head.to_string()))
        .filter_map(|(path, reading)| {
            // One that this program can't go on with is left to the command line, which says why.
            let (header, sitting) = resume::sitting(&reading).ok()?;
            Some(Unfinished {
                name: path.to_str()?.to_owned(),
                exam: sitting.exam().title.clone(),
                candidate: header.candidate,
                started: header.started,
                is_over: sitting.end().is_some(),
            })
        })
        .collect();

    waiting.sort_by(|one, other| one.started.cmp(&other.started));
    waiting
}

/// Looks whether a candidate has sat an exam before, or is sitting it.
pub(super) fn before(folders: &[&Path], exam: &str, candidate: &str) -> Option<Before> {
    let stem = sit::stem(exam, candidate, "", "");
    let is_theirs = |path: &PathBuf| rest(path, &stem).is_some();
    let journals: Vec<PathBuf> = folders
        .iter()
        .flat_map(|folder| files(&folder.join(JOURNALS), "journal"))
        .filter(is_theirs)
        .collect();

    if journals.iter().any(|path| is_held(path)) {
        return Some(Before::Sitting);
    }
    if !journals.is_empty() {
        let waits = unfinished(folders)
            .iter()
            .any(|waiting| is_theirs(&PathBuf::from(&waiting.name)));
        if waits {
            return Some(Before::Interrupted);
        }
    }
    folders
        .iter()
        .flat_map(|folder| files(folder, "toml"))
        .any(|path| is_theirs(&path))
        .then_some(Before::HandedIn)
}

/// Looks which forms of an exam a candidate has sat, or has begun to sit: files are named after the
/// exam, the candidate, the form and the date.
pub(super) fn sat(folders: &[&Path], exam: &str, candidate: &str) -> Vec<Code> {
    let stem = sit::stem(exam, candidate, "", "");
    let journals = folders
        .iter()
        .flat_map(|folder| files(&folder.join(JOURNALS), "journal"));
    let results = folders.iter().flat_map(|folder| files(folder, "toml"));

    journals
        .chain(results)
        .filter_map(|path| {
            let rest = rest(&path, &stem)?.trim_start_matches('-').to_owned();
            let mut parts = rest.splitn(3, '-');
            let code = format!("{}-{}", parts.next()?, parts.next()?);
            Code::parse(&code).ok()
        })
        .collect()
}

/// What follows the exam and the candidate in a file's name, where it is theirs.
fn rest(path: &Path, stem: &str) -> Option<String> {
    path.file_stem()
        .and_then(OsStr::to_str)
        .and_then(|name| name.strip_prefix(stem.trim_end_matches('-')))
        .filter(|rest| rest.starts_with('-'))
        .map(str::to_owned)
}
