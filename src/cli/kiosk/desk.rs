//! Sittings and results on disk.

use std::path::{Path, PathBuf};

use chrono::{SecondsFormat, Utc};

use super::super::{disk, sit};
use crate::kiosk::desk::Desk;
use crate::results::document::{self, Given};
use crate::room;
use crate::sitting::journal::Writer;
use crate::sitting::{Event, Sitting, wire};
use crate::time::Time;

/// A folder of results, with the journals of sittings that go on.
pub(super) struct Disk {
    results: PathBuf,
}

/// Where journals lie, below the results.
const JOURNALS: &str = "journals";

impl Disk {
    pub(super) fn new(results: &Path) -> Self {
        Self {
            results: results.to_owned(),
        }
    }
}

impl Desk for Disk {
    fn ready(&mut self) -> Result<(), String> {
        let folder = self.results.join(JOURNALS);
        std::fs::create_dir_all(&folder)
            .map_err(|error| format!("{}: it cannot be made: {error}", folder.display()))?;
        // A folder may be there and take nothing: the disk is full, or it is read-only.
        tempfile::NamedTempFile::new_in(&folder)
            .and_then(|mut file| std::io::Write::write_all(&mut file, &[0; 65_536]))
            .map_err(|error| format!("{}: it takes no file: {error}", folder.display()))?;

        Ok(())
    }

    fn begin(&mut self, header: &wire::Header) -> Result<Box<dyn room::Journal>, String> {
        let folder = self.results.join(JOURNALS);
        let stem = sit::stem(
            &header.exam,
            &header.candidate,
            &header.form,
            &header.started,
        );
        let path = disk::free_name(&folder, &stem, "journal").map_err(|error| error.to_string())?;
        let mut file = disk::JournalFile::create(&path).map_err(|error| error.to_string())?;
        let mut writer = Writer::new();
        let line = writer.line(header).map_err(|error| error.to_string())?;
        file.append(&line).map_err(|error| error.to_string())?;

        Ok(Box::new(Journal { file, writer }))
    }

    fn store(&mut self, sitting: &Sitting, given: &Given) -> Result<String, String> {
        let text = document::write(sitting, given);
        let code = sitting.form().code.to_string();
        let stem = sit::stem(
            &sitting.exam().name,
            &given.candidate,
            &code,
            &given.started,
        );
        let path = disk::write_numbered(&self.results, &stem, "toml", text.as_bytes())
            .map_err(|error| error.to_string())?;

        Ok(path.display().to_string())
    }

    fn date(&self) -> String {
        Utc::now().to_rfc3339_opts(SecondsFormat::Secs, true)
    }
}

/// The journal of a sitting: a line is synced before its event counts.
struct Journal {
    file: disk::JournalFile,
    writer: Writer,
}

impl room::Journal for Journal {
    fn keep(&mut self, at: Time, event: &Event) -> Result<(), String> {
        let line = self
            .writer
            .line(&wire::Line::new(at, event))
            .map_err(|error| error.to_string())?;

        self.file.append(&line).map_err(|error| error.to_string())
    }
}
