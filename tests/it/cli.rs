//! The command line: help, exit codes, and one clear line for whatever is wrong.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod drafted;
mod explained;
mod help;
mod printed;
mod refused;

use std::path::{Path, PathBuf};

use viva_voicing::cli::replay;
use viva_voicing::instruments::performance::{self, Event, Kind, Performance};
use viva_voicing::time::Time;

use crate::sittings::room::{MIXED, Room};
use crate::sittings::run;

/// Compares with a file of `tests/fixtures/expected`; `UPDATE=1` writes it anew.
pub(crate) fn check_golden(name: &str, found: &str) {
    let path = Path::new("tests/fixtures/expected").join(name);

    if std::env::var_os("UPDATE").is_some() {
        std::fs::write(&path, found).unwrap();
    }
    let expected = std::fs::read_to_string(&path).unwrap_or_default();
    for (number, (found, expected)) in found.lines().zip(expected.lines()).enumerate() {
        assert_eq!(found, expected, "{name}, line {}", number + 1);
    }
    assert_eq!(found, expected, "{name}: see UPDATE=1");
}

/// A folder with the exam of the tests and a performance of it.
fn folder() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let mixed = std::fs::canonicalize(MIXED).unwrap();
    let _ = std::fs::copy(mixed, folder.path().join("mixed.toml")).unwrap();
    let room = Room::calm(21).sit();
    let mut performance = replay::performance(&room.sitting);
    performance.exam = Some("mixed".to_owned());
    std::fs::write(
        folder.path().join("played.mid"),
        performance::write(&performance),
    )
    .unwrap();

    folder
}

/// A performance that consists of markers.
fn markers(numbers: &[u32]) -> Performance {
    let events = numbers.iter().enumerate().map(|(place, number)| Event {
        at: Time::from_ms(1_000 * place as i64),
        kind: Kind::Item(*number),
    });

    Performance {
        events: events.collect(),
        ..Performance::default()
    }
}

/// The files in a folder, sorted by their names.
fn files(folder: &Path) -> Vec<PathBuf> {
    let mut files: Vec<_> = std::fs::read_dir(folder)
        .into_iter()
        .flatten()
        .map(|entry| entry.unwrap().path())
        .collect();
    files.sort();

    files
}
