//! Results: what a file holds, and that it stays whole, readable and markable.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod audited;
mod bass;
mod held;
mod old;
mod remarked;
mod reviewed;
mod signed;

use std::path::{Path, PathBuf};

use viva_voicing::cli::replay;
use viva_voicing::exam::script::Exam;
use viva_voicing::fraction;
use viva_voicing::instruments::performance;
use viva_voicing::results::document;
use viva_voicing::sitting::Event;
use viva_voicing::time::Time;

use crate::sittings::room::{MIXED, Room};
use crate::sittings::{only_result, run};

/// A sitting in which much has happened: voided, passed over, marked by a person.
fn eventful() -> Room {
    let seeds = 0..200;
    let mut room = seeds
        .map(|seed| Room::new(seed).sit())
        .find(|room| {
            let showings = room.sitting.showings();
            let voided = showings.iter().filter(|showing| showing.voided.is_some());
            let twice = showings.iter().any(|showing| {
                let same = showings
                    .iter()
                    .filter(|other| other.number == showing.number);
                same.count() > 1
            });
            voided.count() > 2 && twice && showings.iter().any(|showing| showing.added > Time::ZERO)
        })
        .expect("a sitting in two hundred is eventful");
    let panel = room
        .sitting
        .form()
        .items
        .iter()
        .find(|item| item.task.word() == "panel")
        .map(|item| item.number)
        .unwrap();
    let now = room.sitting.now();
    room.take(
        now,
        Event::Panel {
            item: panel,
            credit: fraction::of(2, 3).unwrap(),
            by: "Inez \"the ear\" Ó Briain".to_owned(),
        },
    );

    room
}

/// A sitting that was stopped in its second section.
fn stopped(reason: &str) -> Room {
    let mut room = Room::calm(3);
    for (at, number) in [(1_000, 1), (20_000, 2), (40_000, 7)] {
        room.take(Time::from_ms(at), Event::Shown(number));
    }
    room.take(Time::from_ms(41_500), Event::Stopped(reason.to_owned()));

    room
}

/// Writes the performance of a sitting into a folder, sits it and returns the result.
fn sat(folder: &Path, room: &Room, more: &[&str]) -> PathBuf {
    let bytes = performance::write(&replay::performance(&room.sitting));
    std::fs::write(folder.join("played.mid"), bytes).unwrap();
    let exam = std::fs::canonicalize(MIXED).unwrap();
    let allowance = room.sitting.allowance();
    let factor = format!("{:.2}", f64::from(allowance.factor) / 100.0);
    let hearings = allowance.hearings.to_string();
    let mut arguments = vec![
        "sit",
        exam.to_str().unwrap(),
        "--performance",
        "played.mid",
        "--time-factor",
        &factor,
        "--extra-hearings",
        &hearings,
        "--candidate",
        "3118",
        "--started",
        "2026-03-12T10:21:00Z",
    ];
    arguments.extend(more);
    let (code, _, complaint) = run(folder, &arguments);
    assert_eq!(code, 0, "{complaint}");

    only_result(&folder.join("results"))
}

fn text(path: &Path) -> String {
    std::fs::read_to_string(path).unwrap()
}

/// The result of a room, as the library writes it.
fn written(room: &Room) -> String {
    document::write(&room.sitting, &room.given())
}

/// The script of the tests with something else in it, read.
fn script(from: &str, to: &str) -> (Exam, String) {
    let source = text(Path::new(MIXED));
    assert!(source.contains(from), "{from}");
    let source = source.replacen(from, to, 1);
    let (exam, diagnostics) = viva_voicing::exam::read::read(&source, "mixed");

    (exam.unwrap_or_else(|| panic!("{diagnostics:?}")), source)
}
