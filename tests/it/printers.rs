//! Printing through a real service (CUPS) that has printers and no paper.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

#[path = "../servers/cups.rs"]
mod cups;

use std::fs;
use std::path::PathBuf;
use std::time::{Duration, Instant};

use viva_voicing::cli::lp::{Error, Service};

use cups::Cups;

fn service(cups: &Cups) -> Service {
    Service {
        server: Some(cups.server.clone()),
        ..Service::default()
    }
}

fn sheet(cups: &Cups, name: &str, bytes: &[u8]) -> PathBuf {
    let path = cups.folder.path().join(name);
    fs::write(&path, bytes).unwrap();
    path
}

/// Bytes that no filter may change: a page is not what this is about.
fn pdf() -> Vec<u8> {
    let mut bytes = b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n".to_vec();
    bytes.extend((0..200_000_u32).map(|i| (i * 7 + i / 251) as u8));
    bytes
}

#[test]
fn a_sheet_arrives_at_the_printer_byte_for_byte() {
    let Some(cups) = Cups::start("a_sheet_arrives_at_the_printer_byte_for_byte") else {
        return;
    };
    // A name that looks like an option is a name.
    let sheet = sheet(&cups, "-d 3118 ♭.pdf", &pdf());

    for printer in [None, Some("practice")] {
        let told = service(&cups).print(&sheet, printer).unwrap();
        let job = told.job.unwrap();
        assert!(job.starts_with("practice-"), "{job}");
        assert!(told.words.contains(&format!("job {job}")), "{}", told.words);
        assert!(!told.words.contains("paused"), "{}", told.words);
        assert!(cups.kept(&job) == pdf(), "{job}: other bytes arrived");
    }
}

#[test]
fn a_paused_printer_is_told_of() {
    let Some(cups) = Cups::start("a_paused_printer_is_told_of") else {
        return;
    };
    let sheet = sheet(&cups, "sheet.pdf", &pdf());

    let told = service(&cups).print(&sheet, Some("paused")).unwrap();
    let job = told.job.unwrap();
    assert!(job.starts_with("paused-"), "{job}");
    let expected = format!(
        "handed to paused, but that printer is paused (Out of paper); job {job} waits until it \
         goes on (`cupsenable paused`)"
    );
    assert!(told.words.contains(&expected), "{}", told.words);
    let kept = cups.folder.path().join("kept");
    assert_eq!(fs::read_dir(kept).unwrap().count(), 0);
}

#[test]
fn a_printer_that_is_not_there_is_told_of_with_those_that_are() {
    let Some(cups) = Cups::start("a_printer_that_is_not_there_is_told_of_with_those_that_are")
    else {
        return;
    };
    let sheet = sheet(&cups, "sheet.pdf", &pdf());

    let error = service(&cups).print(&sheet, Some("practise")).unwrap_err();
    assert!(
        matches!(&error, Error::Unknown { name, known, .. }
            if name == "practise" && *known == ["paused", "practice"]),
        "{error}"
    );

    cups.stop();
    let begun = Instant::now();
    // It ends in its own time.
    let error = loop {
        match service(&cups).print(&sheet, Some("practise")) {
            Err(Error::Unknown { .. } | Error::Other { .. })
                if begun.elapsed() < Duration::from_secs(30) => {}
            told => break told.unwrap_err(),
        }
    };
    assert!(matches!(error, Error::Silent(_)), "{error}");
    assert!(error.to_string().contains("sheet.pdf"), "{error}");
}
