//! The disk: whole files read and written, and the journal of a sitting kept on it.

use std::fs::{self, File};
use std::io::{self, ErrorKind, Read, Write};
use std::path::{Path, PathBuf};
use std::time::{Duration, SystemTime};

use tempfile::NamedTempFile;

pub use self::journal::JournalFile;
pub use self::staged::Staged;

mod journal;
mod staged;
#[cfg(test)]
mod tests;

use crate::sitting::journal as record;

/// Why a file can't be read or written. Each says where, what, and how to mend it.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum Error {
    /// Nothing has this name.
    #[error("{path}: expected a file, found nothing of this name; check the spelling")]
    Missing {
        /// The name.
        path: PathBuf,
    },
    /// The folder to write into is not there (any more).
    #[error(
        "{path}: expected a folder, found none of this name; make it, \
         or plug the drive in again"
    )]
    NoFolder {
        /// The folder.
        path: PathBuf,
    },
    /// A folder stands where a file is wanted.
    #[error("{path}: expected a file, found a folder; name a file in it")]
    Folder {
        /// The folder.
        path: PathBuf,
    },
    /// A device, a pipe or a socket stands where a file is wanted.
    #[error("{path}: expected an ordinary file, found a device or a pipe; save it as a file first")]
    Device {
        /// The name.
        path: PathBuf,
    },
    /// The system refuses access.
    #[error(
        "{path}: this account may not {doing} it; change its permissions or choose another place"
    )]
    Denied {
        /// The name.
        path: PathBuf,
        /// What was tried.
        doing: Doing,
    },
    /// The file is longer than such a file can be.
    #[error("{path}: expected at most {limit} bytes, found more; check that it is the right file")]
    TooLong {
        /// The name.
        path: PathBuf,
        /// The greatest length, in bytes.
        limit: u64,
    },
    /// The name is taken. What has it is left as it is.
    #[error("{path}: a file of this name is there already and was left alone; choose another name")]
    Taken {
        /// The name.
        path: PathBuf,
    },
    /// The name can't be that of a file in the folder.
    #[error("{name:?}: expected a plain file name; leave out slashes and shorten it")]
    Name {
        /// The name.
        name: String,
    },
    /// The disk has no room left.
    #[error("{path}: the disk is full, so this was not saved; make room and try again")]
    Full {
        /// The name.
        path: PathBuf,
    },
    /// The disk takes no changes.
    #[error("{path}: the disk is read-only; choose a folder on another disk")]
    ReadOnly {
        /// The name.
        path: PathBuf,
    },
    /// Another program holds the journal.
    #[error("{path}: another program is writing this sitting; close it there first")]
    InUse {
        /// The journal.
        path: PathBuf,
    },
    /// The journal's text is not whole, or a line does not follow it.
    #[error("{path}: {source}")]
    Record {
        /// The journal.
        path: PathBuf,
        /// What is wrong and where.
        source: record::Error,
    },
    /// An earlier fault left it open what is on disk, so no more is written.
    #[error("{path}: an earlier write failed; close the sitting, mend the disk and resume")]
    Broken {
        /// The journal.
        path: PathBuf,
    },
    /// Anything else that the system reports.
    #[error("{path}: could not {doing} it: {source}; if it happens again, choose another place")]
    Other {
        /// The name.
        path: PathBuf,
        /// What was tried.
        doing: Doing,
        /// The system's report.
        source: io::Error,
    },
}

/// What was tried on a file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Doing {
    /// To open or read it.
    Read,
    /// To make or write it.
    Write,
    /// To keep other programs from writing it.
    Lock,
}

impl std::fmt::Display for Doing {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            Self::Read => "read",
            Self::Write => "write",
            Self::Lock => "lock",
        })
    }
}

impl Error {
    /// Puts the system's report about `path` into plain words.
    fn new(path: &Path, doing: Doing, source: io::Error) -> Self {
        let path = path.to_owned();
        match source.kind() {
            ErrorKind::NotFound if doing == Doing::Read => Self::Missing { path },
            ErrorKind::NotFound | ErrorKind::NotADirectory => Self::NoFolder {
                path: folder_of(&path).to_owned(),
            },
            ErrorKind::IsADirectory => Self::Folder { path },
            ErrorKind::PermissionDenied => Self::Denied { path, doing },
            ErrorKind::AlreadyExists => Self::Taken { path },
            ErrorKind::StorageFull | ErrorKind::QuotaExceeded => Self::Full { path },
            ErrorKind::ReadOnlyFilesystem => Self::ReadOnly { path },
            ErrorKind::InvalidFilename => Self::Name {
                name: path.file_name().unwrap_or_default().display().to_string(),
            },
            _ => Self::Other {
                path,
                doing,
                source,
            },
        }
    }
}

/// How the names of our temporary files begin.
const PREFIX: &str = ".viva-";
const SUFFIX: &str = ".tmp";
/// A temporary file lives for the time of one write. One older than this was left by a crash.
const STALE: Duration = Duration::from_secs(24 * 60 * 60);

/// Reads a whole file, or standard input where `path` is `-`.
///
/// # Errors
/// When there is no such file, it is a folder, a device or a pipe, it may not be read, or it has
/// more than `limit` bytes; no more than one byte beyond the limit is read.
pub fn read_limited(path: &Path, limit: u64) -> Result<Vec<u8>, Error> {
    if path == Path::new("-") {
        return read_from(io::stdin().lock(), Path::new("standard input"), limit);
    }
    let error = |source| Error::new(path, Doing::Read, source);
    // Opening a pipe would wait for its writer, so what it is comes first.
    require_file(path, &fs::metadata(path).map_err(error)?)?;
    let file = File::open(path).map_err(error)?;
    read_from(file, path, limit)
}

fn read_from(source: impl Read, path: &Path, limit: u64) -> Result<Vec<u8>, Error> {
    let mut bytes = Vec::new();
    let count = source
        .take(limit.saturating_add(1))
        .read_to_end(&mut bytes)
        .map_err(|source| Error::new(path, Doing::Read, source))?;
    if count as u64 > limit {
        return Err(Error::TooLong {
            path: path.to_owned(),
            limit,
        });
    }
    Ok(bytes)
}

fn require_file(path: &Path, metadata: &fs::Metadata) -> Result<(), Error> {
    let path = path.to_owned();
    if metadata.is_file() {
        Ok(())
    } else if metadata.is_dir() {
        Err(Error::Folder { path })
    } else {
        Err(Error::Device { path })
    }
}

/// Writes a new file so that it is there whole, and on disk, or not at all.
///
/// Everybody may read it, as far as the account's file mask allows.
///
/// # Errors
/// When the name is taken (the old file stays as it is), the folder is not there or may not be
/// written, or the disk is full. No part of the new file stays behind; only where the folder can't
/// be synced at the very end the whole file stays.
pub fn write_new(path: &Path, bytes: &[u8]) -> Result<(), Error> {
    let file = stage(path, bytes)?;
    match file.persist_noclobber(path) {
        Ok(_) => sync_folder(folder_of(path)),
        Err(refused) => Err(Error::new(path, Doing::Write, refused.error)),
    }
}

/// Writes a new file under the first free name of `stem.ext`, `stem-2.ext`, … as [`write_new`]
/// does, and returns that name. Safe against other programs that do the same.
///
/// # Errors
/// As [`write_new`], save that a taken name only means the next one; or when `stem` and `ext`
/// make no plain file name.
pub fn write_numbered(
    folder: &Path,
    stem: &str,
    ext: &str,
    bytes: &[u8],
) -> Result<PathBuf, Error> {
    let mut path = free_name(folder, stem, ext)?;
    let mut file = stage(&path, bytes)?;
    loop {
        match file.persist_noclobber(&path) {
            Ok(_) => {
                sync_folder(folder)?;
                return Ok(path);
            }
            // Another program took the name between the look and the write.
            Err(refused) if refused.error.kind() == ErrorKind::AlreadyExists => {
                file = refused.file;
                path = free_name(folder, stem, ext)?;
            }
            Err(refused) => return Err(Error::new(&path, Doing::Write, refused.error)),
        }
    }
}

/// Returns the first of `stem.ext`, `stem-2.ext`, … that nothing has at this moment.
///
/// Another program may take it at the next: make the file with [`JournalFile::create`], which
/// says [`Error::Taken`], and ask again; or leave both to [`write_numbered`].
///
/// # Errors
/// When `stem` and `ext` make no plain file name, or the folder can't be looked into.
pub fn free_name(folder: &Path, stem: &str, ext: &str) -> Result<PathBuf, Error> {
    let mut number = 1_u64;
    loop {
        let name = match number {
            1 => format!("{stem}.{ext}"),
            _ => format!("{stem}-{number}.{ext}"),
        };
        if stem.is_empty() || name.contains(['/', '\\', '\0']) {
            return Err(Error::Name { name });
        }
        let path = folder.join(name);
        // Not `exists`, which takes a link to nowhere for a free name.
        match fs::symlink_metadata(&path) {
            Ok(_) => number += 1,
            Err(error) if error.kind() == ErrorKind::NotFound => return Ok(path),
            Err(error) => return Err(Error::new(&path, Doing::Write, error)),
        }
    }
}

/// Takes away temporary files of ours that a crash left in `folder` more than a day before `now`,
/// and returns how many went.
///
/// # Errors
/// When the folder can't be looked into. A file that can't be taken away stays for the next time.
pub fn sweep(folder: &Path, now: SystemTime) -> Result<usize, Error> {
    let entries = fs::read_dir(folder).map_err(|source| match source.kind() {
        ErrorKind::NotFound | ErrorKind::NotADirectory => Error::NoFolder {
            path: folder.to_owned(),
        },
        _ => Error::new(folder, Doing::Read, source),
    })?;
    let stale = |entry: &fs::DirEntry| {
        let name = entry.file_name();
        let name = name.to_string_lossy();
        let ours = name.starts_with(PREFIX) && name.ends_with(SUFFIX);
        let metadata = if ours { entry.metadata().ok() } else { None };
        let changed = metadata
            .filter(fs::Metadata::is_file)
            .and_then(|file| file.modified().ok());
        changed.and_then(|changed| now.duration_since(changed).ok()) > Some(STALE)
    };
    let gone = |entry: &fs::DirEntry| fs::remove_file(entry.path()).is_ok();
    Ok(entries.flatten().filter(stale).filter(gone).count())
}

/// Writes the bytes to a temporary file beside `path` and has them on disk.
fn stage(path: &Path, bytes: &[u8]) -> Result<NamedTempFile, Error> {
    let error = |source| Error::new(path, Doing::Write, source);
    let mut file = temporary(path)?;
    file.write_all(bytes).map_err(error)?;
    file.as_file().sync_all().map_err(error)?;
    Ok(file)
}

/// Makes an empty temporary file beside `path`.
fn temporary(path: &Path) -> Result<NamedTempFile, Error> {
    let error = |source| Error::new(path, Doing::Write, source);
    let mut builder = tempfile::Builder::new();
    let builder = builder.prefix(PREFIX).suffix(SUFFIX);
    #[cfg(unix)]
    let builder = {
        use std::os::unix::fs::PermissionsExt;
        builder.permissions(fs::Permissions::from_mode(0o644))
    };
    builder.tempfile_in(folder_of(path)).map_err(error)
}

fn folder_of(path: &Path) -> &Path {
    match path.parent() {
        Some(folder) if folder != Path::new("") => folder,
        _ => Path::new("."),
    }
}

/// Has a new name in a folder on disk, where the system can do that.
fn sync_folder(folder: &Path) -> Result<(), Error> {
    if !cfg!(unix) {
        return Ok(());
    }
    match File::open(folder).and_then(|folder| folder.sync_all()) {
        Ok(()) => Ok(()),
        // Some network disks keep their folders in order themselves and say so in this way.
        Err(error)
            if matches!(
                error.kind(),
                ErrorKind::InvalidInput | ErrorKind::Unsupported
            ) =>
        {
            Ok(())
        }
        Err(error) => Err(Error::new(folder, Doing::Write, error)),
    }
}
