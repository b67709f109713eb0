//! Journals of sittings that were not handed in.

use std::collections::{BTreeMap, BTreeSet};
use std::fs::{self, File, TryLockError};
use std::path::{Path, PathBuf};

use super::super::disk;
use crate::sitting::{journal, wire};

/// The longest journal that is looked into, in bytes.
const LONGEST: u64 = 1 << 28;
/// Where journals lie, below the results.
pub(super) const FOLDER: &str = "journals";

/// The journal of a sitting.
#[derive(Debug)]
pub(super) struct Journal {
    pub(super) path: PathBuf,
    pub(super) candidate: String,
    pub(super) exam: String,
    pub(super) started: String,
    /// Whether a program is writing it at this moment.
    pub(super) is_held: bool,
    bytes: Vec<u8>,
    first: String,
    head: String,
}

/// Reads a journal; `None` where nothing was acknowledged in it.
pub(super) fn read(path: &Path) -> Result<Option<Journal>, String> {
    let bytes = disk::read_limited(path, LONGEST).map_err(|error| error.to_string())?;
    let reading = journal::read(&bytes).map_err(|error| error.to_string())?;
    let Some(first) = reading.bodies.first().map(|body| body.get().to_owned()) else {
        return Ok(None);
    };
    let header: wire::Header = serde_json::from_str(&first)
        .map_err(|error| format!("line 1: expected the head of a sitting's journal: {error}"))?;

    Ok(Some(Journal {
        path: path.to_owned(),
        candidate: header.candidate,
        exam: header.exam,
        started: header.started,
        is_held: is_held(path),
        head: reading.head.to_string(),
        bytes,
        first,
    }))
}

/// Keeps the journals whose sitting has no result: of each sitting the longest.
///
/// A journal that moved to another disk in the middle has left its beginning behind, so that a
/// sitting is known by its first line.
pub(super) fn unfinished(journals: Vec<Journal>, heads: &BTreeSet<String>) -> Vec<Journal> {
    let finished: BTreeSet<String> = journals
        .iter()
        .filter(|journal| heads.contains(&journal.head))
        .map(|journal| journal.first.clone())
        .collect();
    let mut longest: BTreeMap<String, Journal> = BTreeMap::new();
    for journal in journals {
        let is_longer = longest
            .get(&journal.first)
            .is_none_or(|other| other.bytes.len() < journal.bytes.len());
        if !finished.contains(&journal.first) && is_longer {
            let _ = longest.insert(journal.first.clone(), journal);
        }
    }

    let mut unfinished: Vec<Journal> = longest.into_values().collect();
    unfinished.sort_by(|one, other| (&one.started, &one.path).cmp(&(&other.started, &other.path)));
    unfinished
}

/// Copies a journal below the folder, unless it is there as far or further.
pub(super) fn copy(journal: &Journal, into: &Path) -> Result<Option<PathBuf>, disk::Error> {
    let folder = into.join(FOLDER);
    fs::create_dir_all(&folder).map_err(|source| disk::Error::Other {
        path: folder.clone(),
        doing: disk::Doing::Write,
        source,
    })?;
    let entries = fs::read_dir(&folder).map_err(|source| disk::Error::Other {
        path: folder.clone(),
        doing: disk::Doing::Read,
        source,
    })?;
    let is_there = entries
        .flatten()
        .map(|entry| entry.path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "journal"))
        .filter_map(|path| disk::read_limited(&path, LONGEST).ok())
        .any(|there| there.starts_with(&journal.bytes));
    if is_there {
        return Ok(None);
    }
    let stem = journal.path.file_stem().unwrap_or_default();

    disk::write_numbered(&folder, &stem.to_string_lossy(), "journal", &journal.bytes).map(Some)
}

/// Tells whether another program is writing a journal.
fn is_held(path: &Path) -> bool {
    File::open(path)
        .is_ok_and(|file| matches!(file.try_lock_shared(), Err(TryLockError::WouldBlock)))
}
