//! `vet` as it is run: files that are no scripts, exit codes, and what a machine reads.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use serde_json::Value;

use super::{folder, right, scripts};

fn vet<A: AsRef<std::ffi::OsStr>>(arguments: &[A]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_viva-voicing"))
        .arg("vet")
        .args(arguments)
        .output()
        .expect("the program runs")
}

fn words(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).expect("the program prints UTF-8")
}

/// Writes a file of bytes and returns its name.
fn file(folder: &Path, name: &str, bytes: &[u8]) -> PathBuf {
    let path = folder.join(name);
    fs::write(&path, bytes).expect("the folder can be written");

    path
}

#[test]
fn a_file_that_is_no_script_gets_one_clear_line() {
    let folder = tempfile::tempdir().expect("a folder can be made");
    let at = folder.path();
    let long = "# a comment\n".repeat(50 * 1024 * 1024 / 12);
    let cases = [
        (
            at.join("missing.toml"),
            "expected a file, found nothing of this name",
        ),
        (at.to_owned(), "expected a file, found a folder"),
        (file(at, "empty.toml", b""), "found an empty file"),
        (
            file(at, "blank.toml", b"\n# nothing\n\n"),
            "found only blank lines and comments",
        ),
        (
            file(at, "latin.toml", b"title = \"caf\xe9\"\n"),
            "found the byte 0xe9 at line 1, column 13",
        ),
        (
            file(at, "wide.toml", &[0xff, 0xfe, b't', 0]),
            "found UTF-16",
        ),
        (
            file(at, "long.toml", long.as_bytes()),
            "expected at most 1048576 bytes",
        ),
    ];

    for (path, expected) in cases {
        let out = vet(&[&path]);
        let said = words(&out.stderr);
        assert_eq!(out.status.code(), Some(1), "{said}");
        assert!(out.stdout.is_empty(), "{}", words(&out.stdout));
        assert_eq!(said.lines().count(), 1, "{said}");
        assert!(said.starts_with(&path.display().to_string()), "{said}");
        assert!(said.contains(expected), "{said}");

        let out = vet(&[path.as_os_str(), "--json".as_ref()]);
        let object: Value = serde_json::from_slice(&out.stdout).expect("one object");
        assert_eq!(out.status.code(), Some(1));
        assert_eq!(object["file"], path.display().to_string());
        assert_eq!(object["severity"], "fault");
        assert_eq!(object["line"], Value::Null);
        let message = object["message"].as_str().expect("a message");
        assert!(message.contains(expected), "{message}");
    }
}

#[test]
fn a_text_that_is_not_toml_gets_a_fault_at_its_place() {
    let folder = tempfile::tempdir().expect("a folder can be made");
    let letter = file(
        folder.path(),
        "letter.txt",
        b"Dear students,\nplay in time.\n",
    );
    let out = vet(&[&letter]);
    let said = words(&out.stderr);

    assert_eq!(out.status.code(), Some(1));
    assert!(
        said.starts_with(&format!("{}:1:", letter.display())),
        "{said}"
    );
}

#[test]
fn right_scripts_end_well_and_the_wrong_use_ends_with_2() {
    for (path, _) in right() {
        let out = vet(&[&path]);
        let said = words(&out.stdout);
        assert_eq!(out.status.code(), Some(0), "{}", words(&out.stderr));
        assert!(
            said.starts_with(&format!("{}: no faults, ", path.display())),
            "{said}"
        );
    }

    let none: [&str; 0] = [];
    assert_eq!(vet(&none).status.code(), Some(2));
    assert_eq!(vet(&["--jason"]).status.code(), Some(2));
}

#[test]
fn one_wrong_file_among_right_ones_is_told_and_the_others_are_vetted() {
    let (good, _) = right().remove(0);
    let bad = folder("bad").join("voicing.toml");
    let out = vet(&[&good, &bad, &good]);
    let said = words(&out.stdout);

    assert_eq!(out.status.code(), Some(1));
    assert_eq!(said.lines().count(), 3, "{said}");
    assert!(said.lines().nth(1).expect("a line").contains("faults"));
}

#[test]
fn faults_come_first_and_warnings_apart_each_with_its_place_and_help() {
    let bad = folder("bad").join("run.toml");
    let name = bad.display().to_string();
    let out = vet(&[&bad]);
    let said = words(&out.stderr);
    let heads: Vec<&str> = said
        .lines()
        .filter_map(|line| line.strip_prefix(&format!("{name}:")))
        .collect();
    let first_warning = heads
        .iter()
        .position(|head| head.contains(": warning: "))
        .expect("the script has warnings");

    assert!(first_warning > 0);
    assert!(
        heads[first_warning..]
            .iter()
            .all(|head| head.contains(": warning: "))
    );
    for head in &heads {
        let mut parts = head.splitn(3, ':');
        let mut number = || parts.next().and_then(|part| part.parse::<usize>().ok());
        assert!(number().is_some() && number().is_some(), "{head}");
    }
    let helps = said.lines().filter(|line| line.starts_with("  help: "));
    assert_eq!(helps.count(), heads.len(), "{said}");
}

#[test]
fn every_line_of_json_is_an_object_with_its_place() {
    for path in scripts(&folder("bad")) {
        let source = super::text(&path);
        let out = vet(&[path.as_os_str(), "--json".as_ref()]);
        let said = words(&out.stdout);
        let mut faults = 0;

        assert!(!said.is_empty(), "{}", path.display());
        for line in said.lines() {
            let object: Value = serde_json::from_str(line).expect("an object a line");
            let number = |key: &str| object[key].as_u64().expect("a number") as usize;
            let (start, end) = (number("start"), number("end"));
            assert!(source.get(start..end).is_some(), "{line}");
            assert_eq!(
                source[..start].matches('\n').count() + 1,
                number("line"),
                "{line}"
            );
            assert!(number("column") >= 1, "{line}");
            assert!(object["message"].is_string() && object["help"].is_string());
            faults += usize::from(object["severity"] == "fault");
        }
        let code = i32::from(faults > 0);
        assert_eq!(out.status.code(), Some(code), "{}", path.display());
        assert_eq!(out.stderr.is_empty(), faults == 0, "{}", path.display());
    }
}

#[test]
fn a_script_may_come_from_standard_input() {
    use std::io::Write;
    use std::process::Stdio;

    let mut child = Command::new(env!("CARGO_BIN_EXE_viva-voicing"))
        .args(["vet", "-"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program runs");
    child
        .stdin
        .take()
        .expect("a pipe")
        .write_all(b"title = 3\n")
        .expect("the program reads");
    let out = child.wait_with_output().expect("the program ends");

    assert_eq!(out.status.code(), Some(1));
    assert!(words(&out.stderr).contains(":1:9: expected a text, found the number 3"));
}
