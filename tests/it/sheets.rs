//! Mark sheets: what the PDF says is what the result says, and the PDF is sound.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use toml::{Table, Value};
use viva_voicing::results::{document, seal};
use viva_voicing::sitting::Event;
use viva_voicing::time::Time;

use crate::sittings::room::Room;
use crate::sittings::run;

/// Whether programs of other makers are there (Debian qpdf, poppler-utils); a gate must have them.
fn has(test: &str, name: &str) -> bool {
    let path = std::env::var_os("PATH").unwrap_or_default();
    let found = std::env::split_paths(&path).any(|folder| folder.join(name).is_file());
    let must_run = std::env::var("CI").is_ok_and(|ci| ci == "true");

    assert!(found || !must_run, "{test} must run here, and lacks {name}");
    if !found {
        drop(writeln!(
            std::io::stderr(),
            "sheets: NOT RUN: {test} lacks {name}"
        ));
    }

    found
}

/// The text of a PDF in its order, blanks made one.
fn text(pdf: &Path) -> String {
    let output = Command::new("pdftotext")
        .arg("-raw")
        .arg(pdf)
        .arg("-")
        .output()
        .unwrap();
    let text = String::from_utf8(output.stdout).unwrap();

    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn tables<'a>(document: &'a Table, key: &str) -> Vec<&'a Table> {
    let all = document.get(key).and_then(Value::as_array);

    all.into_iter()
        .flatten()
        .filter_map(Value::as_table)
        .collect()
}

fn str<'a>(table: &'a Table, key: &str) -> &'a str {
    table[key].as_str().unwrap()
}

#[track_caller]
fn check_has(said: &str, what: &str) {
    let what = what.split_whitespace().collect::<Vec<_>>().join(" ");

    assert!(said.contains(&what), "`{what}` is not in:\n{said}");
}

/// Compares what a sheet says with its result.
#[track_caller]
fn check_same(said: &str, result: &str) {
    let document: Table = result.parse().unwrap();
    let sitting = document["sitting"].as_table().unwrap();
    let total = document["total"].as_table().unwrap();
    let head = seal::audit(result).unwrap().head;

    check_has(said, str(sitting, "title"));
    check_has(said, &format!("Candidate {}", str(sitting, "candidate")));
    check_has(said, &format!("Form {}", str(sitting, "form")));
    check_has(said, &format!("result {}", seal::short(&head)));
    check_has(said, &str(sitting, "exam_digest")[..4]);
    let mark = total["mark"].as_float().unwrap();
    check_has(
        said,
        &format!(
            "{} of {} marks",
            (mark + 0.5).floor(),
            total["out_of"].as_float().unwrap()
        ),
    );
    if str(total, "band") != "void" {
        let band = str(total, "band");
        check_has(&said.to_lowercase(), band);
    }

    for section in tables(&document, "section") {
        let awaited = tables(&document, "item").iter().any(|item| {
            item["section"] == section["id"]
                && item.get("awaited").and_then(Value::as_bool) == Some(true)
        });
        check_has(said, str(section, "title"));
        if !awaited {
            check_has(
                said,
                &format!("{} %", section["percent"].as_integer().unwrap()),
            );
        }
    }
    for item in tables(&document, "item") {
        let level = item["level"].as_integer().unwrap();
        let voided = item.get("voided").is_some();
        if str(item, "kind") != "voicing" || voided || level >= 3 || !item.contains_key("shown_ms")
        {
            continue;
        }
        let number = item["number"].as_integer().unwrap();
        let named = format!("{} {number}", str(item, "section"));
        check_has(said, &named);
        for reason in item["reasons"].as_array().unwrap() {
            check_has(said, reason.as_str().unwrap().trim_end_matches('.'));
        }
        if let Some(ms) = item.get("complete_ms").and_then(Value::as_float) {
            let tenths = ((ms * 10.0).round() as i64 + 500) / 1000;
            check_has(said, &format!("{}.{} s", tenths / 10, tenths % 10));
        }
    }
    for incident in tables(&document, "incident") {
        if !["clock started", "no spare item left"].contains(&str(incident, "kind")) {
            check_has(&said.to_lowercase(), &str(incident, "text").to_lowercase());
        }
    }
}

fn files(folder: &Path, ending: &str) -> Vec<PathBuf> {
    let mut files: Vec<PathBuf> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|own| own == ending))
        .collect();
    files.sort();

    files
}

/// Sits the demo of the shipped exam into a folder.
fn demo(folder: &Path) -> PathBuf {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let output = Command::new(env!("CARGO_BIN_EXE_viva-voicing"))
        .args(["sit", "exams/guide-tones.toml"])
        .args(["--performance", "exams/demo/first-sitting.mid"])
        .args(["--candidate", "3118", "--started", "2026-03-12T10:21:00Z"])
        .arg("--results")
        .arg(folder)
        .current_dir(root)
        .stdin(Stdio::null())
        .output()
        .unwrap();
    assert!(output.status.success());

    files(folder, "toml").remove(0)
}

#[test]
fn the_demo_has_a_sheet_of_two_pages_that_says_what_its_result_says() {
    let folder = tempfile::tempdir().unwrap();
    let result = demo(folder.path());
    for paper in ["a4", "letter"] {
        let (code, said, complaint) = run(
            folder.path(),
            &[
                "sheet",
                result.to_str().unwrap(),
                "--paper",
                paper,
                "--out",
                paper,
            ],
        );
        assert_eq!((code, complaint.as_str()), (0, ""));
        let sheet = folder.path().join(said.trim());
        assert!(said.trim().ends_with("-sheet.pdf"), "{said}");

        if has("the demo's text", "pdftotext") {
            let said = text(&sheet);
            check_same(&said, &fs::read_to_string(&result).unwrap());
            check_has(&said, "2 of 2");
            check_has(
                &said,
                "the true mark lies between 76 and 83 in about two cases of three",
            );
            check_has(
                &said,
                "24 of 30 right: 80 %, or 75 % when corrected for guessing",
            );
        }
    }
}

#[test]
fn nothing_is_overwritten_and_a_damaged_result_has_no_sheet() {
    let folder = tempfile::tempdir().unwrap();
    let result = demo(folder.path());
    let name = result.to_str().unwrap();
    let once = run(folder.path(), &["sheet", name]).1;
    let again = run(folder.path(), &["sheet", name]).1;
    assert!(again.trim().ends_with("-sheet-2.pdf"), "{again}");
    let bytes = |said: &str| fs::read(said.trim()).unwrap();
    assert_eq!(
        bytes(&once),
        bytes(&again),
        "the same result has the same sheet"
    );

    let changed = fs::read_to_string(&result).unwrap().replacen(
        "candidate = \"3118\"",
        "candidate = \"3119\"",
        1,
    );
    let other = folder.path().join("changed.toml");
    fs::write(&other, changed).unwrap();
    let (code, said, complaint) = run(
        folder.path(),
        &["sheet", "changed.toml", "missing.toml", name],
    );
    assert_eq!(code, 1);
    assert!(
        said.trim().ends_with("-sheet-3.pdf"),
        "the sound one has its sheet: {said}"
    );
    assert_eq!(complaint.lines().count(), 2, "{complaint}");
    assert!(complaint.starts_with("changed.toml: "), "{complaint}");
    assert!(files(folder.path(), "pdf").len() == 3);
}

#[test]
fn sheets_of_all_kinds_of_sittings_say_what_their_results_say() {
    let folder = tempfile::tempdir().unwrap();
    let mut names = vec!["sheet".to_owned()];
    for seed in 0..24 {
        let mut room = Room::new(seed).sit();
        let panel = room
            .sitting
            .form()
            .items
            .iter()
            .find(|item| item.task.word() == "panel")
            .map(|item| item.number);
        if let Some(item) = panel.filter(|_| seed % 3 == 0) {
            let now = room.sitting.now();
            room.take(
                now,
                Event::Panel {
                    item,
                    credit: viva_voicing::fraction::of(2, 3).unwrap(),
                    by: "Inez \"the ear\" Ó Briain".to_owned(),
                },
            );
        }
        if seed % 4 == 1 {
            let number = room
                .sitting
                .showings()
                .iter()
                .find(|of| of.voided.is_none());
            let number = number.map(|of| of.number);
            let why = ("The pedal stuck", "Inez", "2026-03-13T09:10:00Z");
            if let Some(number) = number {
                let _ = room
                    .sitting
                    .overrule(number, 2, why)
                    .or_else(|_| room.sitting.overrule(number, 1, why));
            }
        }
        let name = format!("{seed}.toml");
        let mut given = room.given();
        given.candidate = format!("{}", 3000 + seed);
        fs::write(
            folder.path().join(&name),
            document::write(&room.sitting, &given),
        )
        .unwrap();
        names.push(name);
    }

    let arguments: Vec<&str> = names.iter().map(String::as_str).collect();
    let (code, said, complaint) = run(folder.path(), &arguments);
    assert_eq!((code, complaint.as_str()), (0, ""));
    assert_eq!(said.lines().count(), 24);
    for name in &names[1..] {
        let sheet = folder.path().join(name.replace(".toml", "-sheet.pdf"));
        if has("the sheets' text", "pdftotext") {
            let result = fs::read_to_string(folder.path().join(name)).unwrap();
            check_same(&text(&sheet), &result);
        }
        if has("the sheets' soundness", "qpdf") {
            let output = Command::new("qpdf")
                .arg("--check")
                .arg(&sheet)
                .output()
                .unwrap();
            let said = String::from_utf8_lossy(&output.stderr).into_owned();
            assert!(output.status.success(), "{said}");
            assert!(!said.contains("WARNING"), "{said}");
        }
    }
}

#[test]
fn earlier_sittings_in_the_folder_are_the_development() {
    let folder = tempfile::tempdir().unwrap();
    for (seed, started, candidate) in [
        (3, "2026-03-01T10:00:00Z", "3118"),
        (4, "2026-03-08T10:00:00Z", "3118"),
        (5, "2026-03-09T10:00:00Z", "4000"),
    ] {
        let room = Room::calm(seed).sit();
        let mut given = room.given();
        given.started = started.to_owned();
        given.candidate = candidate.to_owned();
        let text = document::write(&room.sitting, &given);
        fs::write(folder.path().join(format!("{seed}.toml")), text).unwrap();
    }
    fs::write(folder.path().join("notes.toml"), "a = 1\n").unwrap();
    let damaged = fs::read_to_string(folder.path().join("3.toml")).unwrap();
    fs::write(
        folder.path().join("torn.toml"),
        &damaged[..damaged.len() / 2],
    )
    .unwrap();

    let (code, _, complaint) = run(folder.path(), &["sheet", "4.toml", "5.toml", "3.toml"]);
    assert_eq!(code, 0, "{complaint}");
    assert_eq!(complaint.lines().count(), 1, "{complaint}");
    assert!(
        complaint.starts_with("note: left out of the development: torn.toml: ")
            || complaint.contains("torn.toml"),
        "{complaint}"
    );
    if has("the development's text", "pdftotext") {
        let said = text(&folder.path().join("4-sheet.pdf"));
        check_has(&said, "Development");
        check_has(&said, "1 March 2026");
        check_has(&said, "Since 1 March 2026 from ");
        assert!(!text(&folder.path().join("5-sheet.pdf")).contains("Development"));
        assert!(!text(&folder.path().join("3-sheet.pdf")).contains("Development"));
    }
}

#[test]
fn an_item_that_was_added_time_is_timed_against_it() {
    // A sitting in which time was added somewhere still says its sections' marks as its result.
    let room = (0..200)
        .map(|seed| Room::new(seed).sit())
        .find(|room| {
            let mut showings = room.sitting.showings().iter();
            showings.any(|showing| showing.added > Time::ZERO)
        })
        .unwrap();
    let folder = tempfile::tempdir().unwrap();
    let result = document::write(&room.sitting, &room.given());
    fs::write(folder.path().join("added.toml"), &result).unwrap();

    let (code, _, complaint) = run(folder.path(), &["sheet", "added.toml"]);
    assert_eq!((code, complaint.as_str()), (0, ""));
    if has("the added time's text", "pdftotext") {
        let said = text(&folder.path().join("added-sheet.pdf"));
        check_same(&said, &result);
        check_has(&said, "time added: ");
    }
}
