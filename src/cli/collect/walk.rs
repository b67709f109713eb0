//! Looking through folders for results, signatures and journals.

use std::collections::BTreeSet;
use std::ffi::OsStr;
use std::fs;
use std::path::{Path, PathBuf};

/// What lies in a folder and below it, in order of its path.
#[derive(Debug, Default)]
pub(super) struct Found {
    /// Files that may be results.
    pub(super) results: Vec<PathBuf>,
    /// Files that may be journals.
    pub(super) journals: Vec<PathBuf>,
    /// What could not be looked into, and why.
    pub(super) faults: Vec<(PathBuf, String)>,
    /// Whether it was looked into before.
    pub(super) again: bool,
}

/// Folders that have been looked into, under the names that the system gives them.
///
/// A link back up, the same folder given twice and the folder that is collected into are all met
/// by this: none is looked into again.
#[derive(Debug, Default)]
pub(super) struct Seen(BTreeSet<PathBuf>);

impl Seen {
    /// Marks a folder as looked into; tells whether it is the first time.
    pub(super) fn first(&mut self, folder: &Path) -> std::io::Result<bool> {
        Ok(self.0.insert(fs::canonicalize(folder)?))
    }
}

/// Looks through a folder, or at a single file.
///
/// Hidden files and folders are left out: a stick's own waste basket, the system's notes beside
/// each file, and what a write that was cut off left behind.
pub(super) fn walk(from: &Path, seen: &mut Seen) -> Found {
    let mut found = Found::default();
    let mut folders = vec![from.to_owned()];

    match fs::metadata(from) {
        Ok(metadata) if metadata.is_dir() => {}
        Ok(_) => {
            found.sort_in(from.to_owned());
            return found;
        }
        Err(error) => {
            found.faults.push((from.to_owned(), missing(&error)));
            return found;
        }
    }
    while let Some(folder) = folders.pop() {
        match seen.first(&folder) {
            Ok(true) => {}
            Ok(false) => {
                found.again |= folder == from;
                continue;
            }
            Err(error) => {
                found.faults.push((folder, unreadable(&error)));
                continue;
            }
        }
        if let Err(error) = found.list(&folder, &mut folders) {
            found.faults.push((folder, unreadable(&error)));
        }
    }
    found.results.sort();
    found.journals.sort();

    found
}

impl Found {
    fn list(&mut self, folder: &Path, folders: &mut Vec<PathBuf>) -> std::io::Result<()> {
        for entry in fs::read_dir(folder)? {
            let path = entry?.path();
            let name = path.file_name().unwrap_or_default();
            if name.as_encoded_bytes().starts_with(b".") {
                continue;
            }
            // Through links, and a link to nowhere is nothing to collect.
            match fs::metadata(&path) {
                Ok(metadata) if metadata.is_dir() => folders.push(path),
                Ok(metadata) if metadata.is_file() => self.sort_in(path),
                Ok(_) => {}
                // One that looks like ours is told of, the others are none of our business.
                Err(error) if is_ours(&path) => self.faults.push((path, unreadable(&error))),
                Err(_) => {}
            }
        }

        Ok(())
    }

    fn sort_in(&mut self, path: PathBuf) {
        match path.extension().and_then(OsStr::to_str) {
            Some("toml") => self.results.push(path),
            Some("journal") => self.journals.push(path),
            _ => {}
        }
    }
}

fn is_ours(path: &Path) -> bool {
    matches!(
        path.extension().and_then(OsStr::to_str),
        Some("toml" | "journal")
    )
}

fn missing(error: &std::io::Error) -> String {
    match error.kind() {
        std::io::ErrorKind::NotFound => "expected a folder or a result, found nothing of this \
             name; check the spelling, or plug the drive in again"
            .to_owned(),
        _ => unreadable(error),
    }
}

fn unreadable(error: &std::io::Error) -> String {
    match error.kind() {
        std::io::ErrorKind::PermissionDenied => {
            "this account may not look into it; change its permissions".to_owned()
        }
        std::io::ErrorKind::NotFound => {
            "it is there no more, or a link to nothing; plug the drive in again, and repeat"
                .to_owned()
        }
        _ => format!("it could not be looked into: {error}; what is in it is not collected"),
    }
}
