//! A folder of results, read by all cores, a few hundred at a time.

use std::fs;
use std::path::{Path, PathBuf};

use rayon::prelude::*;

use super::super::{Fault, load};
use crate::cohort::Cohort;
use crate::results::summary::{self, Summary};

/// Results in memory at one time: some are read while those before are taken in.
const AT_ONCE: usize = 256;

/// Folders in it that hold no results.
const JOURNALS: &str = "journals";

/// What was found in a folder.
pub(in crate::cli) struct Read {
    /// What was read.
    pub(in crate::cli) cohort: Cohort,
    /// What was not.
    pub(in crate::cli) damaged: Vec<Damaged>,
}

/// A file that should be a result and could not be read.
pub(in crate::cli) struct Damaged {
    /// The file.
    pub(in crate::cli) path: PathBuf,
    /// Why.
    pub(in crate::cli) fault: String,
}

/// Reads all results of a folder.
pub(in crate::cli) fn read(folder: &Path) -> Result<Read, Fault> {
    let mut paths = Vec::new();
    find(folder, &mut paths)?;
    paths.sort_unstable();

    let mut cohort = Cohort::default();
    let mut damaged = Vec::new();
    let mut take = |batch: Vec<(&PathBuf, Result<Summary, String>)>| {
        for (path, read) in batch {
            match read {
                Ok(summary) => cohort.add(&relative(folder, path), &summary),
                Err(fault) => damaged.push(Damaged {
                    path: path.clone(),
                    fault,
                }),
            }
        }
    };
    let mut before = Vec::new();
    for batch in paths.chunks(AT_ONCE) {
        // One core takes in what was read before; the others, and then this one, read on.
        let (now, ()) = rayon::join(
            || {
                batch
                    .par_iter()
                    .map(|path| (path, one(path)))
                    .collect::<Vec<_>>()
            },
            || take(std::mem::take(&mut before)),
        );
        before = now;
    }
    take(before);

    Ok(Read { cohort, damaged })
}

fn one(path: &Path) -> Result<Summary, String> {
    let text = load::text(path).map_err(|Fault(text)| text)?;

    summary::read(&text).map_err(|error| error.to_string())
}

/// The name from the folder on, with `/` between.
pub(in crate::cli) fn relative(folder: &Path, path: &Path) -> String {
    let parts = path.strip_prefix(folder).unwrap_or(path).components();
    let parts: Vec<String> = parts
        .map(|part| part.as_os_str().to_string_lossy().into_owned())
        .collect();

    parts.join("/")
}

/// Finds what may be a result: ordinary `.toml` files, by name; links are not followed.
fn find(folder: &Path, paths: &mut Vec<PathBuf>) -> Result<(), Fault> {
    let fault = |error: std::io::Error| {
        Fault::new(format_args!(
            "{}: this folder could not be read: {error}; name the folder of the results",
            folder.display()
        ))
    };
    for entry in fs::read_dir(folder).map_err(fault)? {
        let entry = entry.map_err(fault)?;
        let kind = entry.file_type().map_err(fault)?;
        let path = entry.path();
        let hidden = entry.file_name().to_string_lossy().starts_with('.');
        if kind.is_dir() && !hidden && entry.file_name() != JOURNALS {
            find(&path, paths)?;
        } else if kind.is_file()
            && !hidden
            && path
                .extension()
                .is_some_and(|extension| extension == "toml")
        {
            paths.push(path);
        }
    }

    Ok(())
}
