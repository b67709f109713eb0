//! A sitting's journal on disk: what is acknowledged is there after a power cut.

use std::fs::{File, OpenOptions, TryLockError};
use std::io::{Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

use super::{Doing, Error, folder_of, read_from, record, require_file, sync_folder};

/// The longest journal opened, in bytes: room for a million events.
const LIMIT: u64 = 1 << 28;

/// A journal that this program alone writes, until it is dropped.
#[derive(Debug)]
pub struct JournalFile {
    path: PathBuf,
    file: File,
    writer: record::Writer,
    /// Where the last whole line ends, in bytes.
    length: u64,
    synced: bool,
    broken: bool,
}

impl Drop for JournalFile {
    fn drop(&mut self) {
        // A process that was just started may still hold a copy of the file's descriptor: without
        // this the journal would stay locked until it lets go.
        let _ = self.file.unlock();
    }
}

impl JournalFile {
    /// Begins a journal under a name that nothing has, and has the name on disk.
    ///
    /// # Errors
    /// When the name is taken, the folder is not there or may not be written, or the disk is full.
    pub fn create(path: &Path) -> Result<Self, Error> {
        let error = |source| Error::new(path, Doing::Write, source);
        let mut options = OpenOptions::new();
        let options = options.read(true).write(true).create_new(true);
        #[cfg(unix)]
        let options = {
            use std::os::unix::fs::OpenOptionsExt;
            options.mode(0o644)
        };
        let file = options.open(path).map_err(error)?;
        lock(path, &file)?;
        file.sync_all().map_err(error)?;
        sync_folder(folder_of(path))?;
        Ok(Self::at(path, file, record::Writer::new(), 0))
    }

    /// Opens a journal to go on with it, and returns what it holds.
    ///
    /// A torn last line is cut off. What was read is on disk when this returns, even lines whose
    /// append was never acknowledged.
    ///
    /// # Errors
    /// When there is no such file, another program has it, its chain is broken (then nothing is
    /// changed), or the disk fails.
    pub fn open(path: &Path) -> Result<(Self, record::Reading), Error> {
        let error = |source| Error::new(path, Doing::Read, source);
        // Opening a pipe would wait for its writer, so what it is comes first.
        require_file(path, &std::fs::metadata(path).map_err(error)?)?;
        let mut options = OpenOptions::new();
        let file = options.read(true).write(true).open(path).map_err(error)?;
        lock(path, &file)?;
        let text = read_from(&file, path, LIMIT)?;
        let reading = record::read(&text).map_err(|source| Error::Record {
            path: path.to_owned(),
            source,
        })?;
        let mut journal = Self::at(path, file, reading.writer(), reading.whole_bytes as u64);
        journal.rewind()?;
        journal.sync()?;
        Ok((journal, reading))
    }

    /// Leaves when the lines reach the disk to the system, until [`sync`](Self::sync).
    ///
    /// For replays and other journals that can be made again. An acknowledgement then means
    /// nothing after a power cut.
    #[must_use]
    pub fn without_sync(mut self) -> Self {
        self.synced = false;
        self
    }

    /// Adds the next line and returns when it is on disk.
    ///
    /// After [`Error::Full`] and the like nothing of the line is left, and the same line may be
    /// tried again once the disk is mended.
    ///
    /// # Errors
    /// When the line does not follow the last one ([`head`](Self::head) is what it must follow),
    /// or the disk fails. Where it is not known what reached the disk, every later append gives
    /// [`Error::Broken`]; open the journal anew.
    pub fn append(&mut self, line: &str) -> Result<(), Error> {
        self.require_whole()?;
        let mut writer = self.writer.clone();
        writer.follow(line).map_err(|source| Error::Record {
            path: self.path.clone(),
            source,
        })?;
        if let Err(source) = self.file.write_all(line.as_bytes()) {
            // Part of the line may be there. Left standing, it would make the next one unreadable.
            let error = Error::new(&self.path, Doing::Write, source);
            self.broken = self.rewind().is_err();
            return Err(error);
        }
        if self.synced {
            self.sync()?;
        }
        self.writer = writer;
        self.length += line.len() as u64;
        Ok(())
    }

    /// Returns when every line so far is on disk.
    ///
    /// # Errors
    /// When the disk fails; every later append then gives [`Error::Broken`].
    pub fn sync(&mut self) -> Result<(), Error> {
        self.require_whole()?;
        self.file.sync_data().map_err(|source| {
            // After a failed sync the system may forget what it could not write, and the next
            // sync would succeed without it.
            self.broken = true;
            Error::new(&self.path, Doing::Write, source)
        })
    }

    /// Takes nothing more, as after a failed sync; for tests.
    #[cfg(test)]
    #[cfg_attr(
        not(feature = "kiosk"),
        allow(dead_code, reason = "the kiosk alone needs it")
    )]
    pub(crate) fn break_off(&mut self) {
        self.broken = true;
    }

    /// Returns the digest of the last line.
    pub fn head(&self) -> record::Head {
        self.writer.head()
    }

    /// Returns the number of lines.
    pub fn count(&self) -> usize {
        self.writer.count()
    }

    /// Returns where the journal is.
    pub fn path(&self) -> &Path {
        &self.path
    }

    pub(super) fn at(path: &Path, file: File, writer: record::Writer, length: u64) -> Self {
        Self {
            path: path.to_owned(),
            file,
            writer,
            length,
            synced: true,
            broken: false,
        }
    }

    /// Cuts off whatever stands after the last whole line and goes there.
    fn rewind(&mut self) -> Result<(), Error> {
        self.file
            .set_len(self.length)
            .and_then(|()| self.file.seek(SeekFrom::Start(self.length)))
            .map(|_| ())
            .map_err(|source| Error::new(&self.path, Doing::Write, source))
    }

    fn require_whole(&self) -> Result<(), Error> {
        if self.broken {
            return Err(Error::Broken {
                path: self.path.clone(),
            });
        }
        Ok(())
    }
}

fn lock(path: &Path, file: &File) -> Result<(), Error> {
    file.try_lock().map_err(|error| match error {
        TryLockError::WouldBlock => Error::InUse {
            path: path.to_owned(),
        },
        TryLockError::Error(source) => Error::new(path, Doing::Lock, source),
    })
}
