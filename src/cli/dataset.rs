//! `moderate --dataset`: results written into a data set, beside what is there.
#![cfg_attr(
    not(test),
    expect(
        dead_code,
        reason = "the verb that writes data sets comes with the class"
    )
)]

use std::collections::{BTreeMap, BTreeSet};
use std::fs::{self, File, TryLockError};
use std::path::{Path, PathBuf};
use std::time::SystemTime;

use rayon::prelude::*;

use super::disk::Staged;
use super::{Fault, disk, load};
use crate::dataset::{self, Counts, Part, Partition, part_name, results_in, tables};
use crate::results::summary::{self, Whole};

#[cfg(test)]
mod tests;

/// So many results are read at once: with their evidence some ten megabytes.
const AT_ONCE: usize = 128;

/// What came of writing.
#[derive(Debug, Default, PartialEq, Eq)]
pub(super) struct Report {
    /// Rows that were added.
    pub(super) added: Counts,
    /// Results that were there already.
    pub(super) there: usize,
    /// Parts that were added, of each table.
    pub(super) parts: usize,
    /// Results that could not be read, and why; they are left out.
    pub(super) damaged: Vec<(PathBuf, String)>,
}

/// Writes results into a data set; a result that is there already, or given twice, adds nothing.
///
/// A part of `sittings` gets its name last, so that a run that was killed leaves at most parts of
/// the other tables without one. The next run that is given the same results completes them.
///
/// # Errors
/// When the folder can't be written, another program is writing it, a part can't be read, or
/// an unfinished part needs results that are not given.
pub(super) fn write(results: &[PathBuf], into: &Path) -> Result<Report, Fault> {
    fs::create_dir_all(into)
        .map_err(|error| at(into, format_args!("it cannot be made: {error}")))?;
    let _lock = lock(into)?;
    let mut report = Report::default();
    let mut given: BTreeMap<Partition, BTreeMap<String, &PathBuf>> = BTreeMap::new();
    let filed: Vec<_> = results.par_iter().map(|path| file(path)).collect();
    for (path, filed) in results.iter().zip(filed) {
        match filed {
            Ok((partition, digest)) => {
                let _ = given.entry(partition).or_default().insert(digest, path);
            }
            Err(Fault(why)) => report.damaged.push((path.clone(), why)),
        }
    }

    for (partition, mut given) in given {
        let there = There::look(into, &partition)?;
        let count = given.len();
        given.retain(|digest, _| !there.results.contains(digest));
        report.there += count - given.len();
        for (part, digests) in there.unfinished {
            let mut some = BTreeMap::new();
            for digest in digests {
                let Some(path) = given.remove(&digest) else {
                    return Err(at(
                        &part,
                        "an earlier run was cut off and left this part without its sittings; \
                         give the results of that run again, or move the part away",
                    ));
                };
                let _ = some.insert(digest, path);
            }
            add(into, &partition, &some, &mut report)?;
        }
        if !given.is_empty() {
            add(into, &partition, &given, &mut report)?;
        }
    }

    Ok(report)
}

/// Keeps other programs from adding to a data set, where the system can lock a folder.
fn lock(into: &Path) -> Result<Option<File>, Fault> {
    let Ok(folder) = File::open(into) else {
        return Ok(None);
    };
    match folder.try_lock() {
        Err(TryLockError::WouldBlock) => Err(at(
            into,
            "another program is writing this data set; wait for it",
        )),
        Ok(()) | Err(TryLockError::Error(_)) => Ok(Some(folder)),
    }
}

/// Tells where the rows of a result belong, and its digest.
fn file(path: &Path) -> Result<(Partition, String), Fault> {
    let identity = summary::identify(&load::text(path)?)?;
    let partition = Partition::new(&identity.exam, &identity.started)?;

    Ok((partition, identity.digest.to_string()))
}

/// What a partition holds.
#[derive(Default)]
struct There {
    /// The results in it.
    results: BTreeSet<String>,
    /// Parts without their sittings, and the results in each.
    unfinished: Vec<(PathBuf, BTreeSet<String>)>,
}

impl There {
    fn look(into: &Path, partition: &Partition) -> Result<Self, Fault> {
        let mut there = Self::default();
        let mut finished = BTreeSet::new();
        for table in tables::NAMES {
            let folder = into.join(table).join(partition.path());
            fs::create_dir_all(&folder)
                .map_err(|error| at(&folder, format_args!("it cannot be made: {error}")))?;
            let _ = disk::sweep(&folder, SystemTime::now());
        }
        // The sittings come first.
        for (table, is_sittings) in [(tables::NAMES[0], true), (tables::NAMES[1], false)] {
            for path in parts(&into.join(table).join(partition.path()))? {
                let name = path.file_name().unwrap_or_default().to_owned();
                if is_sittings {
                    there.results.extend(read(&path)?);
                    let _ = finished.insert(name);
                } else if !finished.contains(&name) {
                    let results = read(&path)?;
                    there.unfinished.push((path, results));
                }
            }
        }

        Ok(there)
    }
}

fn read(path: &Path) -> Result<BTreeSet<String>, Fault> {
    let file = File::open(path).map_err(|error| at(path, error))?;

    results_in(file).map_err(|error| {
        at(
            path,
            format_args!("expected a part of a data set, found another file: {error}"),
        )
    })
}

fn parts(folder: &Path) -> Result<Vec<PathBuf>, Fault> {
    let entries = fs::read_dir(folder).map_err(|error| at(folder, error))?;
    let mut parts: Vec<PathBuf> = entries
        .flatten()
        .map(|entry| entry.path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "parquet"))
        .collect();

    parts.sort();
    Ok(parts)
}

/// Adds one part to each table.
fn add(
    into: &Path,
    partition: &Partition,
    given: &BTreeMap<String, &PathBuf>,
    report: &mut Report,
) -> Result<(), Fault> {
    let name = part_name(given.keys().map(String::as_str));
    let path = |table: &str| into.join(table).join(partition.path()).join(&name);
    let [sittings, items, events] = tables::NAMES.map(|table| Staged::new(&path(table)));
    let mut part =
        Part::new([sittings?, items?, events?]).map_err(|error| unwritten(into, error))?;

    let given: Vec<_> = given.iter().collect();
    for some in given.chunks(AT_ONCE) {
        let read: Vec<_> = some
            .par_iter()
            .map(|(digest, path)| whole(path, digest))
            .collect();
        for whole in read {
            part.add(&whole?).map_err(|error| unwritten(into, error))?;
        }
    }

    let (counts, [sittings, items, events]) =
        part.finish().map_err(|error| unwritten(into, error))?;
    // Whoever finds items without their sittings knows that the run was cut off here.
    for file in [items, events, sittings] {
        match file.keep() {
            // What a run that was cut off had kept already: the same rows in the same bytes.
            Ok(_) | Err(disk::Error::Taken { .. }) => {}
            Err(error) => return Err(error.into()),
        }
    }
    report.parts += 1;
    report.added.sittings += counts.sittings;
    report.added.items += counts.items;
    report.added.events += counts.events;

    Ok(())
}

fn whole(path: &Path, digest: &str) -> Result<Whole, Fault> {
    let whole = summary::read_with_evidence(&load::text(path)?).map_err(|error| at(path, error))?;
    if whole.summary.digest.to_string() == digest {
        Ok(whole)
    } else {
        Err(at(path, "it was changed while it was read; try again"))
    }
}

/// Puts a failed write into plain words: a full disk says so.
fn unwritten(into: &Path, error: dataset::Error) -> Fault {
    use std::error::Error as _;

    let mut source = match &error {
        dataset::Error::Parquet(error) => error.source(),
        _ => None,
    };
    while let Some(inner) = source {
        if let Some(io) = inner.downcast_ref::<std::io::Error>()
            && io.kind() == std::io::ErrorKind::StorageFull
        {
            return disk::Error::Full {
                path: into.to_owned(),
            }
            .into();
        }
        source = inner.source();
    }

    at(into, format_args!("it could not be written: {error}"))
}

fn at(path: &Path, what: impl std::fmt::Display) -> Fault {
    Fault(load::placed(path, &what.to_string()))
}
