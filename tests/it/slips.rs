//! Slips: each candidate a form, none that they have sat, and a class list that the kiosk goes by.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use crate::sittings::run;

const EXAM: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/exams/guide-tones.toml");
const PERFORMANCE: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/exams/demo/first-sitting.mid");

/// Runs the program in a folder with a class of so many; returns code, what was said, what was
/// complained of.
fn slips(folder: &Path, count: usize, more: &[&str]) -> (i32, String, String) {
    let mut class = "number,name\n".to_owned();
    for place in 0..count {
        class += &format!("{},Quay\n", 3101 + place);
    }
    fs::write(folder.join("class.csv"), class).unwrap();
    let arguments = ["slips", "--exam", EXAM, "--roster", "class.csv"];

    run(folder, &[&arguments[..], more].concat())
}

/// The rows of a class list: number, seat, form, start.
fn rows(path: &Path) -> Vec<(String, usize, String, String)> {
    let mut reader = csv::Reader::from_path(path).unwrap();
    let head = reader.headers().unwrap().clone();
    assert_eq!(
        head.iter().collect::<Vec<_>>(),
        ["number", "name", "seat", "form", "start"]
    );

    reader
        .records()
        .map(|row| {
            let row = row.unwrap();
            let text = |at: usize| row[at].to_owned();
            (text(0), row[2].parse().unwrap(), text(3), text(4))
        })
        .collect()
}

#[test]
fn thirty_candidates_have_thirty_forms_in_groups() {
    let folder = tempfile::tempdir().unwrap();
    let more = ["--kiosks", "8", "--start", "10:00", "--every", "25"];
    let (code, said, complaint) = slips(folder.path(), 30, &more);

    assert_eq!((code, complaint.as_str()), (0, ""));
    assert!(said.starts_with("30 slips: "), "{said}");
    let rows = rows(&folder.path().join("guide-tones-slips.csv"));
    let forms: BTreeSet<_> = rows.iter().map(|row| &row.2).collect();
    assert_eq!((rows.len(), forms.len()), (30, 30));
    assert_eq!((rows[0].1, rows[0].3.as_str()), (1, "10:00"));
    assert_eq!((rows[8].1, rows[8].3.as_str()), (1, "10:25"));
    assert_eq!((rows[29].1, rows[29].3.as_str()), (6, "11:15"));
    let page = fs::read(folder.path().join("guide-tones-slips.pdf")).unwrap();
    assert!(page.starts_with(b"%PDF-1.7"));

    // Nothing is written over.
    let (code, said, _) = slips(folder.path(), 30, &more);
    assert_eq!(code, 0);
    assert!(said.contains("guide-tones-slips-2.csv"), "{said}");
}

#[test]
fn who_sits_again_has_a_form_that_they_have_not_sat() {
    let folder = tempfile::tempdir().unwrap();
    let sat = |form: &str, day: &str| {
        let started = format!("2026-03-{day}T10:21:00Z");
        // The performance is of another form, which is told.
        let (code, ..) = run(
            folder.path(),
            &[
                "sit",
                EXAM,
                "--performance",
                PERFORMANCE,
                "--candidate",
                "3103",
                "--form",
                form,
                "--started",
                &started,
            ],
        );
        assert_eq!(code, 0);
    };
    let form = |name: &str| {
        let rows = rows(&folder.path().join(name));
        let forms: BTreeSet<_> = rows.iter().map(|row| row.2.clone()).collect();
        assert_eq!(forms.len(), 5);
        rows[2].2.clone()
    };

    let _ = slips(folder.path(), 5, &[]);
    let first = form("guide-tones-slips.csv");
    sat(&first, "12");
    let (_, said, _) = slips(folder.path(), 5, &[]);
    assert!(
        said.contains("1 candidate has sat this exam before"),
        "{said}"
    );
    let second = form("guide-tones-slips-2.csv");
    assert_ne!(first, second);
    sat(&second, "13");
    let _ = slips(folder.path(), 5, &[]);
    let third = form("guide-tones-slips-3.csv");
    assert!(third != first && third != second);
}

#[test]
fn bad_lists_and_times_are_told() {
    let folder = tempfile::tempdir().unwrap();
    let check = |class: &str, more: &[&str], expected: &str| {
        fs::write(folder.path().join("bad.csv"), class).unwrap();
        let arguments = ["slips", "--exam", EXAM, "--roster", "bad.csv"];
        let (code, _, complaint) = run(folder.path(), &[&arguments[..], more].concat());
        assert!(code != 0 && complaint.contains(expected), "{complaint}");
    };

    check(
        "number\n",
        &[],
        "bad.csv: expected a candidate a line, found none",
    );
    check(
        "number,form\n1,222-22X\n",
        &[],
        "line 2: form code `222-22X` is mistyped",
    );
    check("1\n1\n", &[], "line 2: number 1 stands here a second time");
    let late = ["--start", "23:50", "--kiosks", "1", "--every", "20"];
    check("1\n2\n", &late, "candidate 2 would begin after midnight");
    check(
        "1\n",
        &["--start", "25:00"],
        "expected a time of day such as 10:00",
    );
    check(
        "1\n",
        &["--form", "abc"],
        "expected a form code of six signs",
    );
}
