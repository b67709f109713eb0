//! The settings file of the room that a verb works in, and the piano that it names.

use std::ops::RangeInclusive;
use std::path::{Path, PathBuf};

use super::{Fault, complain, disk, load};
use crate::exam::diagnostic::{Lines, Severity};
use crate::instruments::piano::{self, Piano};
use crate::settings::{self, Settings};
use crate::theory::Key;

/// The longest settings file that is read, in bytes; a whole one has less than a thousand.
const LONGEST: u64 = 64 << 10;

/// What a room has set, and where it says so.
#[derive(Debug, Default)]
pub(super) struct Opened {
    pub(super) settings: Settings,
    /// The settings file, if there is one.
    file: Option<PathBuf>,
}

/// The piano that a room hears.
#[derive(Debug)]
pub(super) struct Loaded {
    #[cfg_attr(
        not(feature = "kiosk"),
        allow(dead_code, reason = "nothing sounds it in a build without devices")
    )]
    pub(super) piano: Piano,
    /// Its SoundFont; the bundled one if there is none.
    pub(super) file: Option<PathBuf>,
    /// The keys that stay silent, of the 88.
    pub(super) silent: Vec<Key>,
    /// Why the SoundFont of the settings does not serve, if it does not.
    pub(super) refused: Option<String>,
}

impl Opened {
    /// Reads the settings file that is named, and says its warnings. Where none is named nothing
    /// is looked for: what a command does depends on what stands in it.
    pub(super) fn open(file: Option<&Path>) -> Result<Self, Fault> {
        let Some(file) = file else {
            return Ok(Self::default());
        };
        let bytes = disk::read_limited(file, LONGEST)?;
        let name = file.display().to_string();
        let source = settings::source(&bytes)
            .map_err(|error| Fault::new(format_args!("{name}: {error}")))?;
        let (settings, found) = settings::read(source);
        let lines = Lines::new(source);
        let report = |severity| -> String {
            found
                .iter()
                .filter(|one| one.severity == severity)
                .map(|one| lines.render(one, &name))
                .collect()
        };

        let Some(settings) = settings else {
            return Err(Fault(report(Severity::Fault).trim_end().to_owned()));
        };
        let warnings = report(Severity::Warning);
        if !warnings.is_empty() {
            complain(warnings.trim_end());
        }

        Ok(Self {
            settings,
            file: Some(file.to_owned()),
        })
    }

    /// Loads the piano of the settings; the bundled one where they name none, or one that cannot
    /// be used.
    pub(super) fn piano(&self) -> Result<Loaded, Fault> {
        let bundled = |refused| -> Result<Loaded, Fault> {
            let piano = Piano::bundled()?;
            Ok(Loaded {
                silent: silent(&piano)?,
                piano,
                file: None,
                refused,
            })
        };
        let Some(path) = self.soundfont() else {
            return bundled(None);
        };
        let loaded = load::bytes(&path).and_then(|bytes| {
            let piano = Piano::load(&bytes)?;
            Ok((silent(&piano)?, piano))
        });

        match loaded {
            Ok((silent, piano)) => Ok(Loaded {
                piano,
                silent,
                file: Some(path),
                refused: None,
            }),
            Err(Fault(fault)) => bundled(Some(load::placed(&path, &fault))),
        }
    }

    /// The SoundFont of the settings, from the folder that they lie in.
    fn soundfont(&self) -> Option<PathBuf> {
        let written = self.settings.sound.soundfont.as_ref()?;
        let folder = self.file.as_deref().and_then(Path::parent);

        Some(folder.unwrap_or(Path::new("")).join(written))
    }
}

/// The keys of a piano (88 of them from A0 to C8 are common practice).
const KEYS: RangeInclusive<i64> = 21..=108;

/// Tries every key, so that what is damaged shows now and not in the middle of an exam.
fn silent(piano: &Piano) -> Result<Vec<Key>, piano::Error> {
    let mut silent = Vec::new();

    for key in KEYS.filter_map(|number| Key::new(number).ok()) {
        if !piano.sounds(key)? {
            silent.push(key);
        }
    }

    Ok(silent)
}
