//! Forms on paper: the PDF is sound, and says what it should and nothing else.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use std::fs;
use std::io::Write;
use std::path::Path;
use std::process::Command;

use crate::sittings::run;

const EXAM: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/exams/guide-tones.toml");
const EARS: &str = concat!(
    env!("CARGO_MANIFEST_DIR"),
    "/tests/fixtures/scripts/ears.toml"
);

/// Whether programs of other makers are there (Debian qpdf, poppler-utils); a gate must have them.
fn has(test: &str, name: &str) -> bool {
    let path = std::env::var_os("PATH").unwrap_or_default();
    let found = std::env::split_paths(&path).any(|folder| folder.join(name).is_file());
    let must_run = std::env::var("CI").is_ok_and(|ci| ci == "true");

    assert!(found || !must_run, "{test} must run here, and lacks {name}");
    if !found {
        drop(writeln!(
            std::io::stderr(),
            "papers: NOT RUN: {test} lacks {name}"
        ));
    }

    found
}

/// The text of each page of a PDF, blanks made one.
fn pages(pdf: &Path) -> Vec<String> {
    let output = Command::new("pdftotext")
        .args(["-raw".as_ref(), pdf.as_os_str(), "-".as_ref()])
        .output()
        .unwrap();
    let text = String::from_utf8(output.stdout).unwrap();

    text.split_terminator('\u{c}')
        .map(|page| page.split_whitespace().collect::<Vec<_>>().join(" "))
        .collect()
}

fn check_sound(pdf: &Path) {
    if has("the papers' soundness", "qpdf") {
        let output = Command::new("qpdf")
            .arg("--check")
            .arg(pdf)
            .output()
            .unwrap();
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert!(
            output.status.success() && !said.contains("WARNING"),
            "{said}"
        );
    }
}

#[test]
fn a_form_is_printed_on_both_papers_with_its_code_on_every_page() {
    let folder = tempfile::tempdir().unwrap();
    for exam in [EXAM, EARS] {
        for (size, key) in [
            ("a4", false),
            ("letter", false),
            ("a4", true),
            ("letter", true),
        ] {
            let mut arguments = vec!["form", exam, "--paper", "--size", size];
            if key {
                arguments.push("--key");
            }
            let (code, said, complaint) = run(folder.path(), &arguments);
            assert_eq!((code, complaint.as_str()), (0, ""));
            let pdf = folder.path().join(said.trim());
            assert_eq!(key, said.contains("-key"), "{said}");
            check_sound(&pdf);
            if has("the papers' text", "pdftotext") {
                let pages = pages(&pdf);
                for (place, page) in pages.iter().enumerate() {
                    let foot = format!("{} of {}", place + 1, pages.len());
                    for what in ["Candidate", "Date", "form 222-229", &foot] {
                        assert!(page.contains(what), "`{what}` is not in:\n{page}");
                    }
                }
            }
        }
    }
}

#[test]
fn the_answers_stand_in_the_paper_with_the_key_alone() {
    let folder = tempfile::tempdir().unwrap();
    let (_, toml, _) = run(folder.path(), &["form", EXAM, "--key"]);
    let form: toml::Table = toml.parse().unwrap();
    for key in [false, true] {
        let name = if key { "key.pdf" } else { "plain.pdf" };
        let mut arguments = vec!["form", EXAM, "--paper", name];
        if key {
            arguments.push("--key");
        }
        assert_eq!(run(folder.path(), &arguments).0, 0);
        if !has("the answers' text", "pdftotext") {
            continue;
        }
        let all = pages(&folder.path().join(name)).join(" ");
        for item in form["item"].as_array().unwrap() {
            if item["kind"].as_str() != Some("spell") {
                continue;
            }
            // Names as printed, under their symbol in one row.
            let strict = item["answers"][0].as_str().unwrap();
            let third = strict.split(' ').nth(1).unwrap();
            let printed = third.replace('b', "♭").replace('#', "♯");
            let root = strict.split(' ').next().unwrap();
            let root = root.replace('b', "♭").replace('#', "♯");
            let row = format!("{root} root {printed} third");
            assert_eq!(all.contains(&row), key, "{row}\n{all}");
        }
    }
}

#[test]
fn a_named_file_is_never_overwritten() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("mine.pdf"), "mine").unwrap();
    let (code, _, complaint) = run(folder.path(), &["form", EXAM, "--paper", "mine.pdf"]);

    assert_eq!(code, 1);
    assert!(complaint.contains("mine.pdf"), "{complaint}");
    assert_eq!(
        fs::read_to_string(folder.path().join("mine.pdf")).unwrap(),
        "mine"
    );
    let (code, ..) = run(folder.path(), &["form", EXAM, "--size", "a4"]);
    assert_eq!(code, 2, "a size is of paper");
    let (code, ..) = run(folder.path(), &["form", EXAM, "--paper", "--json"]);
    assert_eq!(code, 2);
}

/// W3C MusicXML 4.0, `musicxml.xsd`, as the PyPI package `musicxml` 1.6.3 carries it.
#[test]
fn the_answers_as_musicxml_are_valid_against_the_schema() {
    let Some(python) = crate::python::with("lxml, musicxml", "musicxml-requirements.txt") else {
        return;
    };
    let output = Command::new(python)
        .arg("tests/reference/musicxml_valid.py")
        .args(["--program", env!("CARGO_BIN_EXE_viva-voicing")])
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .unwrap();
    let said = String::from_utf8_lossy(&output.stdout).into_owned()
        + &String::from_utf8_lossy(&output.stderr);

    assert!(output.status.success(), "{said}");
    assert!(said.trim().ends_with("passed"), "{said}");
}

#[test]
fn the_answers_as_musicxml_name_their_items() {
    let folder = tempfile::tempdir().unwrap();
    let (code, said, complaint) = run(folder.path(), &["form", EXAM, "--musicxml", "a.musicxml"]);
    assert_eq!(
        (code, complaint.as_str(), said.trim()),
        (0, "", "a.musicxml")
    );
    let text = fs::read_to_string(folder.path().join("a.musicxml")).unwrap();
    for what in [
        "<words>A 1</words>",
        "<kind text=\"maj7\">major-seventh</kind>",
        "version=\"4.0\"",
    ] {
        assert!(text.contains(what), "{what}");
    }
    let (code, ..) = run(folder.path(), &["form", EXAM, "--musicxml", "a.musicxml"]);
    assert_eq!(code, 1, "nothing is overwritten");
}
