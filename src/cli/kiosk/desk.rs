//! Sittings and results on disk.

mod journal;
mod pin;
mod print;
mod results;
#[cfg(test)]
mod tests;
mod waiting;

use std::path::{Path, PathBuf};

use chrono::{DateTime, Local, Utc};

use super::super::{disk, load, overrule, remark, sit};
use crate::exam::code::Code;
use crate::kiosk::desk::{Before, Desk, Handed, Pin, Stored, TakenUp, Unfinished};
use crate::kiosk::invigilator::Looked;
use crate::kiosk::print::Became;
use crate::kiosk::shelf::Shelved;
use crate::practise::Paper;
use crate::results::document::{self, Given};
use crate::results::seal;
use crate::room;
use crate::sitting::{Sitting, resume, wire};
use crate::time::Time;
use journal::Journal;
pub(super) use print::Printing;

/// A folder of results, with the journals of sittings that go on.
pub(super) struct Disk {
    results: PathBuf,
    /// Where things go when the results' folder takes no more.
    second: Option<PathBuf>,
    /// The settings file, for a new PIN.
    settings: Option<PathBuf>,
    /// The hash of the PIN.
    pin: Option<String>,
    /// The printer.
    printing: Printing,
}

/// Where journals lie, below the results.
const JOURNALS: &str = "journals";
/// Where practice papers lie, below the results.
const PAPERS: &str = "practice-papers";
/// What happened in the room outside of sittings.
const LOG: &str = "room.log";
/// Room that there has to be before a sitting begins: a long one with its result takes less.
const ROOM: usize = 1 << 20;

impl Disk {
    pub(super) fn new(results: &Path, second: Option<PathBuf>) -> Self {
        Self {
            results: results.to_owned(),
            second,
            settings: None,
            pin: None,
            printing: Printing::default(),
        }
    }

    /// With the settings file that a new PIN goes into, and the hash of the one there is.
    pub(super) fn guarded(self, settings: Option<PathBuf>, pin: Option<String>) -> Self {
        Self {
            settings,
            pin,
            ..self
        }
    }

    /// With a printer and its paper.
    pub(super) fn printing(self, printing: Printing) -> Self {
        Self { printing, ..self }
    }

    /// The folders that results may be in.
    fn folders(&self) -> impl Iterator<Item = &Path> {
        std::iter::once(self.results.as_path()).chain(self.second.as_deref())
    }
}

/// Makes sure that a folder is there and takes files.
fn usable(folder: &Path) -> Result<(), String> {
    std::fs::create_dir_all(folder)
        .map_err(|error| format!("{}: it cannot be made: {error}", folder.display()))?;
    // A folder may be there and take nothing: the disk is full, or it is read-only.
    tempfile::NamedTempFile::new_in(folder)
        .and_then(|mut file| {
            std::io::Write::write_all(&mut file, &vec![0; ROOM])?;
            file.as_file().sync_all()
        })
        .map_err(|error| format!("{}: it takes no file: {error}", folder.display()))
}

fn store(folder: &Path, stem: &str, text: &str) -> Result<String, String> {
    std::fs::create_dir_all(folder)
        .map_err(|error| format!("{}: it cannot be made: {error}", folder.display()))?;

    disk::write_numbered(folder, stem, "toml", text.as_bytes())
        .map(|path| path.display().to_string())
        .map_err(|error| error.to_string())
}

/// With the file's own name, and its digest, of the result that a new one goes on from.
fn named(given: &Given) -> Given {
    let mut given = given.clone();
    if let Some(remark) = &mut given.remark
        && remark.digest.is_none()
    {
        let path = PathBuf::from(&remark.of);
        remark.of = remark::file_name(&path);
        remark.digest = load::text(&path)
            .ok()
            .and_then(|text| seal::audit(&text).ok())
            .map(|verified| verified.head);
    }

    given
}

impl Desk for Disk {
    fn ready(&mut self) -> Result<(), String> {
        usable(&self.results.join(JOURNALS))
    }

    fn begin(&mut self, header: &wire::Header) -> Result<Box<dyn room::Journal>, String> {
        let folder = self.results.join(JOURNALS);
        let stem = sit::stem(
            &header.exam,
            &header.candidate,
            &header.form,
            &header.started,
        );
        let journal = Journal::begin(&folder, &stem, header, self.second.clone())?;

        Ok(Box::new(journal))
    }

    fn store(&mut self, sitting: &Sitting, given: &Given) -> Result<Stored, String> {
        let text = document::write(sitting, &named(given));
        let code = sitting.form().code.to_string();
        let stem = sit::stem(
            &sitting.exam().name,
            &given.candidate,
            &code,
            &given.started,
        );
        let first = store(&self.results, &stem, &text);

        match (first, &self.second) {
            (Ok(name), _) => Ok(Stored {
                name,
                elsewhere: false,
            }),
            (Err(why), None) => Err(why),
            (Err(why), Some(second)) => {
                let name =
                    store(second, &stem, &text).map_err(|other| format!("{why}; {other}"))?;
                self.log(&format!("{why}; the result is {name}"));
                Ok(Stored {
                    name,
                    elsewhere: true,
                })
            }
        }
    }

    fn store_reviewed(
        &mut self,
        name: &str,
        set: (u32, u8),
        said: (&str, &str, &str),
    ) -> Result<Stored, String> {
        overrule::overrule(Path::new(name), set, said)
            .map(|report| Stored {
                name: report.remark,
                elsewhere: false,
            })
            .map_err(|fault| load::placed(Path::new(name), &fault.0))
    }

    fn results(&mut self) -> Vec<Handed> {
        results::list(&self.folders().collect::<Vec<_>>())
    }

    fn result(&mut self, name: &str) -> Result<Looked, String> {
        results::open(name)
    }

    fn print(&mut self, name: &str) -> Result<(), String> {
        self.printing.begin(name)
    }

    fn printed(&mut self) -> Option<(String, Became)> {
        self.printing.told()
    }

    fn shelve(&mut self, paper: &Paper, candidate: &str) -> Result<Shelved, String> {
        let day = self.date();
        let stem = sit::stem(&paper.exam.name, candidate, "paper", &day);
        let mut kept = Err(String::new());
        for folder in self.folders().map(|folder| folder.join(PAPERS)) {
            kept = store(&folder, &stem, &paper.script);
            if kept.is_ok() {
                break;
            }
        }

        kept.map(|_| Shelved {
            exam: paper.exam.clone(),
            script: paper.script.clone(),
            digest: load::digest(&paper.script),
        })
    }

    fn date(&self) -> String {
        overrule::now()
    }

    fn clock(&self, date: &str, after: Time) -> String {
        let after = chrono::TimeDelta::microseconds(after.tenths().saturating_mul(100));

        DateTime::parse_from_rfc3339(date)
            .ok()
            .and_then(|date| date.checked_add_signed(after))
            .map_or_else(String::new, |date| {
                date.with_timezone(&Local).format("%H:%M:%S").to_string()
            })
    }

    fn wall(&self) -> Option<Time> {
        Some(Time::from_tenths(Utc::now().timestamp_micros() / 100))
    }

    fn pin(&self) -> Pin {
        match (&self.pin, &self.settings) {
            (Some(_), _) => Pin::Chosen,
            (None, Some(_)) => Pin::Open,
            (None, None) => Pin::Fleeting,
        }
    }

    fn is_pin(&self, typed: &str) -> bool {
        self.pin.as_deref().is_some_and(|hash| pin::is(hash, typed))
    }

    fn set_pin(&mut self, typed: &str) -> bool {
        let Some(hash) = pin::hash(typed) else {
            return false;
        };
        let kept = self.settings.as_deref().map(|file| pin::keep(file, &hash));
        if let Some(Err(why)) = &kept {
            self.log(&format!("the PIN is not in the settings file: {why}"));
        }
        self.pin = Some(hash);

        matches!(kept, Some(Ok(())))
    }

    fn log(&mut self, text: &str) {
        let line = format!(
            "{} {}\n",
            self.date(),
            text.replace(char::is_control, " ").trim()
        );
        // A log that cannot be written keeps nobody from an exam.
        let _ = self.folders().any(|folder| {
            std::fs::create_dir_all(folder).is_ok()
                && std::fs::OpenOptions::new()
                    .create(true)
                    .append(true)
                    .open(folder.join(LOG))
                    .and_then(|mut file| std::io::Write::write_all(&mut file, line.as_bytes()))
                    .is_ok()
        });
    }

    fn unfinished(&mut self) -> Vec<Unfinished> {
        waiting::unfinished(&self.folders().collect::<Vec<_>>())
    }

    fn take_up(&mut self, name: &str) -> Result<TakenUp, String> {
        let path = Path::new(name);
        let (file, reading) = disk::JournalFile::open(path).map_err(|error| error.to_string())?;
        if waiting::heads(&self.folders().collect::<Vec<_>>()).contains(&reading.head.to_string()) {
            return Err(format!("{name}: it has been handed in meanwhile"));
        }
        let (header, sitting) =
            resume::sitting(&reading).map_err(|error| format!("{name}: {error}"))?;
        let digest = load::digest(&header.script);
        let shelved = Shelved {
            exam: sitting.exam().clone(),
            script: header.script.clone(),
            digest: digest.clone(),
        };
        let given = Given {
            program: env!("CARGO_PKG_VERSION").to_owned(),
            digest,
            equipment: header.equipment(),
            candidate: header.candidate,
            started: header.started,
            script: header.script,
            remark: None,
            journal: None,
        };

        Ok(TakenUp {
            shelved,
            sitting,
            given,
            journal: Box::new(Journal::go_on(file, &reading, self.second.clone())?),
            torn: reading.torn,
        })
    }

    fn before(&mut self, exam: &str, candidate: &str) -> Option<Before> {
        waiting::before(&self.folders().collect::<Vec<_>>(), exam, candidate)
    }

    fn sat(&mut self, exam: &str, candidate: &str) -> Vec<Code> {
        waiting::sat(&self.folders().collect::<Vec<_>>(), exam, candidate)
    }
}

/// The folder that stands in by default: the account's own data, which stays there after a restart
/// and is nobody else's (XDG Base Directory Specification 0.8 on Linux; common practice elsewhere).
pub(super) fn own_folder() -> Option<PathBuf> {
    let set = |name: &str| {
        std::env::var_os(name)
            .map(PathBuf::from)
            .filter(|path| path.is_absolute())
    };
    let home = || std::env::home_dir().filter(|path| path.is_absolute());
    let data = if cfg!(windows) {
        set("LOCALAPPDATA")
    } else if cfg!(target_os = "macos") {
        home().map(|home| home.join("Library/Application Support"))
    } else {
        set("XDG_DATA_HOME").or_else(|| home().map(|home| home.join(".local/share")))
    };

    data.map(|data| data.join("viva-voicing"))
}
