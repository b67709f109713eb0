//! From a press on the last page to the printer, through a real service, and past a slow one.

#[path = "../../../../../tests/servers/cups.rs"]
mod cups;

use std::time::{Duration, Instant};

use super::super::super::super::lp::Service;
use super::*;
use crate::kiosk::Paper;
use crate::kiosk::words::{ENGLISH, Words};
use crate::settings;
use cups::Cups;

fn printing(service: Service, printer: Option<&str>) -> Printing {
    let set = settings::Results {
        printer: printer.map(str::to_owned),
        ..settings::Results::default()
    };

    Printing::of(&set).through(service)
}

fn says(stand: &Stand, text: &str) -> bool {
    stand
        .kiosk
        .sheet(Paper::new(1920.0, 1080.0, 1.0, false))
        .says(text)
}

/// Looks as the window does, at the same moment of the kiosk's time, until something is so.
fn until(stand: &mut Stand, is: impl Fn(&Stand) -> bool) {
    let begun = Instant::now();
    while !is(stand) {
        assert!(
            begun.elapsed() < Duration::from_secs(60),
            "nothing became of it"
        );
        stand.kiosk.tick(stand.kiosk.now);
        std::thread::yield_now();
    }
}

/// A candidate has handed in, and presses the key that prints.
fn pressed(folder: &Path, printing: Printing, words: &'static Words) -> Stand {
    let mut stand = Stand::new(Box::new(desk(folder).printing(printing)));
    stand.kiosk.setup.words = words;
    stand.sit("3118");
    let _ = stand.open_item(100);
    stop(&mut stand);
    stand.wait(100);
    stand.write("p");
    stand
}

#[test]
fn a_press_on_the_last_page_brings_the_very_sheet_to_the_printer() {
    let Some(cups) = Cups::start("a_press_on_the_last_page_brings_the_very_sheet_to_the_printer")
    else {
        return;
    };
    let folder = tempfile::tempdir().unwrap();
    let results = folder.path().join("results");
    let service = Service {
        server: Some(cups.server.clone()),
        ..Service::default()
    };
    let printing = printing(service, Some("practice"));
    let mut stand = pressed(folder.path(), printing, &ENGLISH);
    assert!(says(&stand, ENGLISH.prn_going));
    until(&mut stand, |stand| !says(stand, ENGLISH.prn_going));
    assert!(says(&stand, "practice"));

    let sheets = files(&results, "pdf");
    assert_eq!(sheets.len(), 1, "one press, one sheet");
    let result = Path::new(&ended(&stand).kept.as_ref().unwrap().name).to_owned();
    let stem = result.file_stem().unwrap().to_str().unwrap();
    assert_eq!(sheets[0], results.join(format!("{stem}-sheet.pdf")));
    let sheet = fs::read(&sheets[0]).unwrap();
    assert!(sheet.starts_with(b"%PDF-"));
    assert!(cups.kept("practice-1") == sheet, "other bytes arrived");
    let log = fs::read_to_string(results.join(LOG)).unwrap();
    assert!(log.contains("(job practice-1)"), "{log}");
}

/// Programs of a test's own in the place of the system's.
#[cfg(unix)]
fn programs(folder: &Path, lp: &str) -> Service {
    let programs = folder.join("programs");
    fs::create_dir(&programs).unwrap();
    for (name, text) in [("lp", lp), ("lpstat", "exit 1")] {
        // Written by another process: a file that this one has open for writing while it forks
        // cannot be run.
        let status = Command::new("sh")
            .args([
                "-c",
                "printf '#!/bin/sh\\n%s\\n' \"$1\" >\"$2\" && chmod 755 \"$2\"",
                "sh",
            ])
            .arg(text)
            .arg(programs.join(name))
            .status()
            .unwrap();
        assert!(status.success());
    }

    Service {
        programs: Some(programs),
        ..Service::default()
    }
}

#[cfg(unix)]
#[test]
fn the_room_goes_on_while_a_printer_takes_its_time_and_is_left_without_waiting() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    let [begun, go, done] = ["begun", "go", "done"].map(|name| folder.join(name));
    let lp = format!(
        ": >'{}'; while ! [ -e '{}' ]; do :; done; : >'{}'; echo 'request id is Hall-7 (1 file(s))'",
        begun.display(),
        go.display(),
        done.display()
    );
    let service = programs(folder, &lp);
    let mut stand = pressed(folder, printing(service, None), &ENGLISH);
    until(&mut stand, |_| begun.exists());
    // The page closes by itself and the next candidate signs in.
    stand.wait(61_000);
    assert!(matches!(stand.kiosk.screen, Screen::Cover));
    stand.sit("3119");
    let _ = stand.open_item(100);
    // The window is gone before the printer has answered.
    drop(stand);
    assert!(!done.exists());
    fs::write(&go, "").unwrap();
    let begun = Instant::now();
    while !done.exists() {
        assert!(begun.elapsed() < Duration::from_secs(30), "it was lost");
        std::thread::yield_now();
    }
}

#[cfg(unix)]
#[test]
fn what_keeps_a_sheet_from_the_printer_is_said_and_the_sheet_stays() {
    let check = |lp: &str, words: &'static Words, expected: &str| {
        let folder = tempfile::tempdir().unwrap();
        let service = programs(folder.path(), lp);
        let mut stand = pressed(folder.path(), printing(service, None), words);
        until(&mut stand, |stand| !says(stand, words.prn_going));
        let sheet = stand.kiosk.sheet(Paper::new(1920.0, 1080.0, 1.0, false));
        assert!(sheet.says(expected), "{:?}", sheet.said);
        assert_eq!(files(&folder.path().join("results"), "pdf").len(), 1);
    };
    let none = "echo 'lp: Error - no default destination available.' >&2; exit 1";
    check(
        none,
        &ENGLISH,
        "No printer is set as this computer’s usual one.",
    );
    check(none, &crate::kiosk::words::GERMAN, "kein Drucker");
    check(
        "echo 'lp: Error - The drum is worn.' >&2; exit 1",
        &ENGLISH,
        "The printing service says: The drum is worn.",
    );
}

#[test]
fn a_result_that_is_gone_has_no_sheet_and_says_so() {
    let folder = tempfile::tempdir().unwrap();
    let mut desk = desk(folder.path());
    let name = folder.path().join("gone.toml").display().to_string();
    desk.print(&name).unwrap();
    let begun = Instant::now();
    let (of, became) = loop {
        if let Some(told) = desk.printed() {
            break told;
        }
        assert!(begun.elapsed() < Duration::from_secs(30));
        std::thread::yield_now();
    };
    assert_eq!(of, name);
    assert!(
        matches!(&became, Became::None(why) if why.contains("gone.toml: expected a file")),
        "{became:?}"
    );
    assert_eq!(desk.printed(), None);
}
