//! The journal of a sitting: a line is synced before its event counts, in another place where the
//! first one takes no more.

use std::path::{Path, PathBuf};

use super::super::super::disk::{self, JournalFile};
use super::JOURNALS;
use crate::room;
use crate::sitting::journal::{Head, Reading, Writer};
use crate::sitting::{Event, wire};
use crate::time::Time;

/// The journal of a sitting.
pub(super) struct Journal {
    file: JournalFile,
    writer: Writer,
    /// All lines so far, for another place.
    text: String,
    /// The other place; none once it has moved there.
    second: Option<PathBuf>,
    /// What is to be told of the move.
    notice: Option<String>,
}

impl Journal {
    /// Begins a journal with its first line.
    pub(super) fn begin(
        folder: &Path,
        stem: &str,
        header: &wire::Header,
        second: Option<PathBuf>,
    ) -> Result<Self, String> {
        let path = disk::free_name(folder, stem, "journal").map_err(|error| error.to_string())?;
        let mut writer = Writer::new();
        let line = writer.line(header).map_err(|error| error.to_string())?;
        let mut file = JournalFile::create(&path).map_err(|error| error.to_string())?;
        file.append(&line).map_err(|error| error.to_string())?;

        Ok(Self {
            file,
            writer,
            text: line,
            second,
            notice: None,
        })
    }

    /// Goes on with a journal that was opened.
    pub(super) fn go_on(
        file: JournalFile,
        reading: &Reading,
        second: Option<PathBuf>,
    ) -> Result<Self, String> {
        let mut text = String::new();
        let mut writer = Writer::new();
        for body in &reading.bodies {
            text += &writer.line(body).map_err(|error| error.to_string())?;
        }

        Ok(Self {
            file,
            writer: reading.writer(),
            text,
            second,
            notice: None,
        })
    }

    /// Has the first place take no more, as a full disk does.
    #[cfg(test)]
    pub(super) fn take_no_more(&mut self) {
        self.file.break_off();
    }

    /// Writes everything so far and the next line into the other place, and goes on there.
    fn move_to(&mut self, second: &Path, line: &str) -> Result<(), String> {
        let folder = second.join(JOURNALS);
        std::fs::create_dir_all(&folder)
            .map_err(|error| format!("{}: it cannot be made: {error}", folder.display()))?;
        let stem = self.file.path().file_stem().unwrap_or_default();
        let path = disk::free_name(&folder, &stem.to_string_lossy(), "journal")
            .map_err(|error| error.to_string())?;
        let write = || -> Result<JournalFile, disk::Error> {
            let mut file = JournalFile::create(&path)?.without_sync();
            for line in self.text.split_inclusive('\n') {
                file.append(line)?;
            }
            file.append(line)?;
            file.sync()?;
            drop(file);
            // Opened anew it syncs every line.
            Ok(JournalFile::open(&path)?.0)
        };

        self.file = write().map_err(|error| error.to_string())?;
        Ok(())
    }
}

impl room::Journal for Journal {
    fn keep(&mut self, at: Time, event: &Event) -> Result<(), String> {
        let mut writer = self.writer.clone();
        let line = writer
            .line(&wire::Line::new(at, event))
            .map_err(|error| error.to_string())?;

        if let Err(error) = self.file.append(&line) {
            let why = error.to_string();
            // Once only: a second place that takes no more either ends it.
            let Some(second) = self.second.take() else {
                return Err(why);
            };
            self.move_to(&second, &line)
                .map_err(|other| format!("{why}; {other}"))?;
            let path = self.file.path().display();
            self.notice = Some(format!("{why}; it goes on in {path}"));
        }
        self.writer = writer;
        self.text += &line;

        Ok(())
    }

    fn head(&self) -> Option<Head> {
        Some(self.writer.head())
    }

    fn notice(&mut self) -> Option<String> {
        self.notice.take()
    }
}
