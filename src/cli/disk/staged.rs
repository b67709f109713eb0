//! A file that is too long to be held in memory: written bit by bit, there whole or not at all.

use std::io::{self, Write};
use std::path::{Path, PathBuf};

use tempfile::NamedTempFile;

use super::{Doing, Error, folder_of, sync_folder, temporary};

/// A new file that nobody sees until it is kept. One that is dropped goes.
#[derive(Debug)]
pub struct Staged {
    file: NamedTempFile,
    path: PathBuf,
}

impl Staged {
    /// Begins a file that is to have this name.
    ///
    /// # Errors
    /// When the folder is not there or may not be written, or the disk is full.
    pub fn new(path: &Path) -> Result<Self, Error> {
        Ok(Self {
            file: temporary(path)?,
            path: path.to_owned(),
        })
    }

    /// Gives the file its name, once it is on disk, and returns the name.
    ///
    /// # Errors
    /// As [`write_new`](super::write_new).
    pub fn keep(self) -> Result<PathBuf, Error> {
        let Self { file, path } = self;
        file.as_file()
            .sync_all()
            .map_err(|source| Error::new(&path, Doing::Write, source))?;
        match file.persist_noclobber(&path) {
            Ok(_) => {
                sync_folder(folder_of(&path))?;
                Ok(path)
            }
            Err(refused) => Err(Error::new(&path, Doing::Write, refused.error)),
        }
    }
}

impl Write for Staged {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.file.write(bytes)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.file.flush()
    }
}
