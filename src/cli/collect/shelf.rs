//! The folder that is collected into: what is on it, and adding to it without overwriting.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use super::super::audit::signature_path;
use super::super::{Fault, disk, load};
use crate::results::summary::{self, Identity};

/// A signature is 64 bytes; nothing that is longer than this is one.
const SIGNATURE: u64 = 4096;

/// The results in the folder, by their digest.
#[derive(Debug)]
pub(super) struct Shelf {
    folder: PathBuf,
    results: BTreeMap<String, (PathBuf, Identity)>,
}

/// What became of a result.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum Put {
    /// It was added, under this name.
    Added(PathBuf),
    /// It was there already, under this name.
    There(PathBuf),
}

/// What became of a signature.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum Signed {
    /// There is none, or the same is there already.
    Nothing,
    /// It was added.
    Added,
    /// Another one is there and was left alone.
    Other,
}

/// Why a file was not taken.
pub(super) enum Refused {
    /// It is at fault itself.
    Source(String),
    /// The folder takes no more.
    Shelf(disk::Error),
}

impl Shelf {
    /// Takes the folder's results in, and returns what is wrong with any.
    pub(super) fn open(folder: &Path) -> Result<(Self, Vec<(PathBuf, String)>), Fault> {
        fs::create_dir_all(folder).map_err(|error| {
            Fault::new(format_args!(
                "{}: the folder to collect into cannot be made: {error}",
                folder.display()
            ))
        })?;
        let mut shelf = Self {
            folder: folder.to_owned(),
            results: BTreeMap::new(),
        };
        let mut faults = Vec::new();
        let entries = fs::read_dir(folder).map_err(|error| {
            Fault::new(format_args!(
                "{}: the folder to collect into cannot be looked into: {error}",
                folder.display()
            ))
        })?;
        let mut paths: Vec<PathBuf> = entries.flatten().map(|entry| entry.path()).collect();
        paths.sort();
        for path in paths {
            let is_hidden = path
                .file_name()
                .is_some_and(|name| name.as_encoded_bytes().starts_with(b"."));
            let is_other = path.extension().is_none_or(|ending| ending != "toml");
            if is_hidden || is_other || path.is_dir() {
                continue;
            }
            match read(&path) {
                Ok(Some((_, identity))) => shelf.know(path, identity),
                Ok(None) => {}
                Err(fault) => faults.push((path, fault)),
            }
        }

        Ok((shelf, faults))
    }

    fn know(&mut self, path: PathBuf, identity: Identity) {
        let digest = identity.digest.to_string();
        let _ = self.results.entry(digest).or_insert((path, identity));
    }

    /// All results, in the order of their names.
    pub(super) fn results(&self) -> Vec<&(PathBuf, Identity)> {
        let mut results: Vec<_> = self.results.values().collect();
        results.sort_by(|one, other| one.0.cmp(&other.0));

        results
    }

    /// Adds a result that is whole, unless it is there.
    pub(super) fn put(
        &mut self,
        from: &Path,
        bytes: &[u8],
        identity: Identity,
    ) -> Result<Put, disk::Error> {
        if let Some((path, _)) = self.results.get(&identity.digest.to_string()) {
            return Ok(Put::There(path.clone()));
        }
        let stem = from.file_stem().unwrap_or_default().to_string_lossy();
        let path = disk::write_numbered(&self.folder, &stem, "toml", bytes)?;
        self.know(path.clone(), identity);

        Ok(Put::Added(path))
    }

    /// Has the signature beside `from` go with the result to `onto`.
    pub(super) fn sign(&self, from: &Path, onto: &Path) -> Result<Signed, Refused> {
        let from = signature_path(from);
        let onto = signature_path(onto);
        if fs::symlink_metadata(&from).is_err() {
            return Ok(Signed::Nothing);
        }
        let bytes = disk::read_limited(&from, SIGNATURE)
            .map_err(|error| Refused::Source(error.to_string()))?;
        match disk::write_new(&onto, &bytes) {
            Ok(()) => Ok(Signed::Added),
            Err(disk::Error::Taken { .. }) => {
                let same = disk::read_limited(&onto, SIGNATURE).is_ok_and(|there| there == bytes);
                Ok(if same { Signed::Nothing } else { Signed::Other })
            }
            Err(error) => Err(Refused::Shelf(error)),
        }
    }
}

/// Reads a result and tells which it is; `None` where the file is another TOML file, such as an
/// exam script.
pub(super) fn read(path: &Path) -> Result<Option<(Vec<u8>, Identity)>, String> {
    let bytes = load::bytes(path).map_err(|Fault(text)| text)?;
    if !is_meant(&bytes) {
        return Ok(None);
    }
    let text = str::from_utf8(&bytes).map_err(|error| {
        format!(
            "expected UTF-8 text, found another byte at offset {}",
            error.valid_up_to()
        )
    })?;
    let identity = summary::identify(text).map_err(|error| error.to_string())?;

    Ok(Some((bytes, identity)))
}

/// Tells a result, whole or not, from other TOML files. One that lost its text in a power cut is
/// empty or holds zero bytes, as no script does.
fn is_meant(bytes: &[u8]) -> bool {
    let text = String::from_utf8_lossy(bytes);
    let mut lines = text.lines();

    bytes.is_empty()
        || bytes.contains(&0)
        || lines.any(|line| line == "[result]" || line == "[seal]")
}
