//! A result is marked again beside the old one, which says what changed and why.

use std::path::{Path, PathBuf};

use viva_voicing::results::{document, seal};

use super::{Room, eventful, run, sat, script, stopped, text, written};
use crate::sittings::room::{MIXED, marks, same};

/// A folder with the result of an eventful sitting in it.
fn folder() -> (tempfile::TempDir, String) {
    let folder = tempfile::tempdir().unwrap();
    let whole = written(&eventful());
    std::fs::write(folder.path().join("r.toml"), &whole).unwrap();

    (folder, whole)
}

fn stored(path: &Path) -> document::Stored {
    document::read(&text(path), None).unwrap()
}

/// Marks `r.toml` again by a script with something else in it; returns what was said.
fn by(folder: &Path, from: &str, to: &str) -> (PathBuf, String) {
    let (_, source) = script(from, to);
    std::fs::write(folder.join("mixed.toml"), source).unwrap();
    let (code, said, complaint) = run(folder, &["remark", "r.toml", "--exam", "mixed.toml"]);
    assert_eq!((code, complaint.as_str()), (0, ""));
    let (name, _) = said.split_once(':').unwrap();

    (folder.join(name), said)
}

#[test]
fn the_same_marks_come_out_and_the_old_result_stays() {
    let (folder, whole) = folder();
    let path = folder.path();
    let (code, said, complaint) = run(path, &["remark", "r.toml"]);
    assert_eq!((code, complaint.as_str()), (0, ""));
    let before = document::read(&whole, None).unwrap();
    assert_eq!(
        said,
        format!(
            "./r-remark.toml: marked again by program {}, before by 0.0.0\n  total {} {} as before\n",
            env!("CARGO_PKG_VERSION"),
            before.mark,
            before.band
        )
    );
    assert_eq!(text(&path.join("r.toml")), whole);

    // Nothing is lost: evidence, panel, incidents; and it is sealed.
    let remark = text(&path.join("r-remark.toml"));
    assert!(seal::audit(&remark).is_ok());
    assert!(remark.contains("remark_of = \"r.toml\""));
    let after = document::read(&remark, None).unwrap();
    same(
        after.sitting.showings(),
        before.sitting.showings(),
        "remark",
    );
    same(
        after.sitting.incidents(),
        before.sitting.incidents(),
        "remark",
    );
    assert_eq!(after.sitting.panel(), before.sitting.panel());
    same(&marks(&after.sitting), &marks(&before.sitting), "remark");
}

#[test]
fn a_remark_of_a_remark_works_and_nothing_is_overwritten() {
    let (folder, _) = folder();
    let path = folder.path();
    let names = |said: String| said.split_once(':').unwrap().0.to_owned();
    let again = |file: &str| names(run(path, &["remark", file]).1);
    assert_eq!(again("r.toml"), "./r-remark.toml");
    let first = text(&path.join("r-remark.toml"));
    assert_eq!(again("r.toml"), "./r-remark-2.toml");
    assert_eq!(again("r-remark.toml"), "./r-remark-remark.toml");
    assert_eq!(text(&path.join("r-remark.toml")), first);
    let third = text(&path.join("r-remark-remark.toml"));
    assert!(third.contains("remark_of = \"r-remark.toml\""));
    same(
        &marks(&stored(&path.join("r-remark-remark.toml")).sitting),
        &marks(&stored(&path.join("r.toml")).sitting),
        "thrice",
    );
}

#[test]
fn other_points_change_the_sections_and_the_total() {
    let (folder, whole) = folder();
    let (beside, said) = by(
        folder.path(),
        "points = 40\nhurdle = 20",
        "points = 80\nhurdle = 70",
    );
    let before = document::read(&whole, None).unwrap();
    let after = stored(&beside);
    let (_, mark, _) = &before.sections[0];
    let (_, twice, out_of) = &after.sections[0];
    let number = |text: &str| text.parse::<f64>().unwrap();
    assert!((number(twice) - 2.0 * number(mark)).abs() < 0.011);
    assert_eq!(out_of, "80.00");
    for expected in [
        ": marked by another script\n",
        "the script no longer says `points = 40`",
        "the script no longer says `hurdle = 20`",
        "the script now says `points = 80`",
        "the script now says `hurdle = 70`",
        &format!("section A: {mark} of 40.00 -> {twice} of 80.00"),
        &format!(
            "total {} {} -> {} {}",
            before.mark, before.band, after.mark, after.band
        ),
    ] {
        assert!(said.contains(expected), "{expected}: {said}");
    }
    assert!(!said.contains("item "), "no credit changed: {said}");

    // The file says the same.
    let document: toml::Table = text(&beside).parse().unwrap();
    let result = document["result"].as_table().unwrap();
    assert_eq!(
        result["remark_because"].as_str(),
        Some("marked by another script")
    );
    let changes = result["remark_changes"].as_array().unwrap();
    for change in changes {
        assert!(said.contains(change.as_str().unwrap()), "{change}");
    }
    // The new script is inside.
    assert!(after.script.contains("points = 80"));
}

#[test]
fn other_limits_change_credits_item_by_item_with_their_reasons() {
    let folder = tempfile::tempdir().unwrap();
    let late = (0..100)
        .map(|seed| Room::calm(seed).sit())
        .find(|room| {
            let marks = marks(&room.sitting);
            marks[..6].iter().any(|line| line.contains("[\"Right, "))
        })
        .expect("a student in a hundred is late with a right chord");
    let whole = written(&late);
    std::fs::write(folder.path().join("r.toml"), &whole).unwrap();
    let (beside, said) = by(
        folder.path(),
        "seconds = 6\ngap = 2\nform = \"guide-tones\"",
        "seconds = 30\ngap = 2\nform = \"guide-tones\"",
    );
    let (before, after) = (document::read(&whole, None).unwrap(), stored(&beside));
    let mut expected = Vec::new();
    for (was, now) in before.items.iter().zip(&after.items) {
        assert_eq!(was.number, now.number);
        if was.credit != now.credit && was.counts {
            expected.push(format!(
                "  item {}: credit {} ({}) -> {} ({})",
                was.number,
                was.credit.clone().unwrap(),
                was.reason,
                now.credit.clone().unwrap(),
                now.reason
            ));
        }
    }
    assert!(!expected.is_empty(), "some chord was late: {said}");
    let found: Vec<&str> = said
        .lines()
        .filter(|line| line.starts_with("  item "))
        .collect();
    assert_eq!(found, expected);
}

#[test]
fn a_wider_span_and_other_weights_are_corrections_too() {
    let (folder, _) = folder();
    let _ = by(folder.path(), "warm_ups = 2", "warm_ups = 2\nspan = 14");
    let (_, said) = by(
        folder.path(),
        "title = \"Runs\"\nkind = \"run\"",
        "title = \"Runs\"\nkind = \"run\"\nweights = { harmony = 100, voicing = 0, leading = 0, readiness = 0, time = 0 }",
    );
    assert!(said.contains("section C: "), "{said}");
    let (_, said) = by(folder.path(), "pass = 60", "pass = 99");
    assert!(said.contains("the script now says `pass = 99`"), "{said}");
}

#[test]
fn a_script_that_asks_other_items_is_refused() {
    let (folder, whole) = folder();
    let check = |from: &str, to: &str, expected: &str| {
        let (exam, source) = script(from, to);
        let error = document::read(&whole, Some((&exam, &source, "")))
            .unwrap_err()
            .to_string();
        assert!(error.contains(expected), "{error}");
        assert!(!error.contains('\n'), "{error}");
    };
    check(
        "{ count = 3, quality = \"7\", order",
        "{ count = 3, quality = \"maj7\", order",
        "item ",
    );
    check(
        "count = 3, quality = \"7\" }",
        "count = 4, quality = \"7\" }",
        "the sitting had 22 items and would have 23",
    );
    check("tempo = 120", "tempo = 121", "♩ = 121");
    // What an ear item sounds is not in its prompt.
    check(
        "{ count = 2, quality = \"7\", spacing = \"open\" }",
        "{ count = 2, quality = \"7\", spacing = \"close\" }",
        "another sound",
    );
    check("id = \"E\"", "id = \"Z\"", "was `E, spell");

    // Through the program, and nothing is written.
    let (_, source) = script("tempo = 120", "tempo = 121");
    std::fs::write(folder.path().join("mixed.toml"), source).unwrap();
    let arguments = ["remark", "r.toml", "--exam", "mixed.toml"];
    let (code, said, complaint) = run(folder.path(), &arguments);
    assert_eq!((code, said.as_str()), (1, ""));
    assert!(complaint.starts_with("r.toml: item "), "{complaint}");
    assert_eq!(complaint.lines().count(), 1, "{complaint}");
    assert!(!folder.path().join("r-remark.toml").exists());
}

#[test]
fn an_altered_result_is_not_marked_again() {
    let (folder, whole) = folder();
    std::fs::write(
        folder.path().join("bad.toml"),
        whole.replace("3118", "3119"),
    )
    .unwrap();
    let (code, said, complaint) = run(folder.path(), &["remark", "bad.toml", "r.toml", "no.toml"]);
    assert_eq!(code, 1);
    let complaints: Vec<&str> = complaint.lines().collect();
    assert!(complaints[0].starts_with("bad.toml: lines "), "{complaint}");
    assert!(
        complaints[1].starts_with("no.toml: expected a file"),
        "{complaint}"
    );
    assert_eq!(complaints.len(), 2, "{complaint}");
    // The others are marked all the same.
    assert!(said.starts_with("./r-remark.toml"), "{said}");
}

#[test]
fn a_machine_can_read_what_changed() {
    let (folder, _) = folder();
    let (_, source) = script("points = 40", "points = 50");
    std::fs::write(folder.path().join("mixed.toml"), source).unwrap();
    let arguments = ["remark", "r.toml", "--exam", "mixed.toml", "--json"];
    let (code, said, _) = run(folder.path(), &arguments);
    assert_eq!((code, said.lines().count()), (0, 1));
    let report: serde_json::Value = serde_json::from_str(&said).unwrap();
    assert_eq!(report["result"], "r.toml");
    assert_eq!(report["remark"], "./r-remark.toml");
    assert!(report["changes"].as_array().unwrap().len() >= 3);
    assert_ne!(report["was"]["mark"], report["now"]["mark"]);
}

#[test]
fn a_void_sitting_stays_void() {
    let folder = tempfile::tempdir().unwrap();
    let whole = written(&stopped("pain in the wrist"));
    std::fs::write(folder.path().join("r.toml"), whole).unwrap();
    let (code, said, _) = run(folder.path(), &["remark", "r.toml"]);
    assert_eq!(code, 0);
    assert!(said.contains(" void as before"), "{said}");
    let document: toml::Table = text(&folder.path().join("r-remark.toml")).parse().unwrap();
    assert_eq!(document["total"]["band"].as_str(), Some("void"));
    assert_eq!(
        document["sitting"]["reason"].as_str(),
        Some("pain in the wrist")
    );
}

#[test]
fn a_sitting_by_the_program_is_marked_again_to_the_same() {
    let folder = tempfile::tempdir().unwrap();
    let result = sat(folder.path(), &Room::calm(21).sit(), &[]);
    let (code, said, _) = run(folder.path(), &["remark", result.to_str().unwrap()]);
    assert_eq!(code, 0);
    assert!(
        said.contains(", as before\n") && said.contains(" as before\n"),
        "{said}"
    );
    let exam = std::fs::canonicalize(MIXED).unwrap();
    let arguments = [
        "remark",
        result.to_str().unwrap(),
        "--exam",
        exam.to_str().unwrap(),
    ];
    let (code, said, _) = run(folder.path(), &arguments);
    assert_eq!(code, 0);
    assert!(said.contains("marked by the same script again"), "{said}");
}
