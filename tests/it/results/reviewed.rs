//! A person looks at a marked item again: what they see, hear and set.

use std::path::Path;

use viva_voicing::results::{document, seal};

use super::{eventful, run, sat, text, written};
use crate::sittings::room::{Room, marks, same};

/// A folder with the result of an eventful sitting in it.
fn folder() -> (tempfile::TempDir, String) {
    let folder = tempfile::tempdir().unwrap();
    let whole = written(&eventful());
    std::fs::write(folder.path().join("r.toml"), &whole).unwrap();

    (folder, whole)
}

fn stored(folder: &Path, name: &str) -> document::Stored {
    document::read(&text(&folder.join(name)), None).unwrap()
}

/// The items as the verb lists them for machines.
fn listed(folder: &Path, more: &[&str]) -> Vec<serde_json::Value> {
    let arguments = [&["review", "r.toml", "--json"], more].concat();
    let (code, said, complaint) = run(folder, &arguments);
    assert_eq!((code, complaint.as_str()), (0, ""));
    serde_json::from_str(&said).unwrap()
}

/// The number of an item of a kind that counts, is marked and is no whole mark.
fn lost(folder: &Path, kind: &str) -> String {
    let items = listed(folder, &["--below", "4"]);
    let item = items.iter().find(|item| item["kind"] == kind);
    item.unwrap_or_else(|| panic!("a {kind} lost marks"))["number"].to_string()
}

fn set<'a>(result: &'a str, item: &'a str, level: &'a str) -> Vec<&'a str> {
    vec![
        "review",
        result,
        "--item",
        item,
        "--level",
        level,
        "--reason",
        "key stuck",
        "--by",
        "JW",
    ]
}

#[test]
fn the_list_has_a_line_an_item_and_a_star_where_marks_were_lost() {
    let (folder, _) = folder();
    let (code, said, complaint) = run(folder.path(), &["review", "r.toml"]);
    assert_eq!((code, complaint.as_str()), (0, ""));
    let items = listed(folder.path(), &[]);
    let lines: Vec<&str> = said.lines().skip(3).collect();
    assert_eq!(lines.len(), items.len());
    for (line, item) in lines.iter().zip(&items) {
        assert_eq!(line.starts_with('*'), item["lost_marks"] == true, "{line}");
        assert_eq!(line.contains("voided, "), !item["voided"].is_null());
        let number = item["number"].to_string();
        let place = format!("{:<3} {number:>3}", item["section"].as_str().unwrap());
        assert_eq!(&line[2..9], place, "{line}");
    }
    let below = listed(folder.path(), &["--below", "4"]);
    let count = items.iter().filter(|item| item["lost_marks"] == true);
    assert_eq!(below.len(), count.count());
    let few = listed(folder.path(), &["--below", "1"]);
    assert!(few.iter().all(|item| item["level"] == 0) && few.len() < below.len());
}

#[test]
fn an_item_is_told_in_words_whatever_it_asks() {
    let (folder, whole) = folder();
    let path = folder.path();
    let before = document::read(&whole, None).unwrap();

    for item in before
        .sitting
        .form()
        .items
        .iter()
        .chain(&before.sitting.form().reserve)
    {
        let number = item.number.to_string();
        let is_there = before
            .items
            .iter()
            .any(|stated| stated.number == item.number);
        let (code, said, complaint) = run(path, &["review", "r.toml", "--item", &number]);
        assert_eq!(code == 0, is_there, "{complaint}");
        if !is_there {
            assert!(
                complaint.contains("expected the number of an item"),
                "{complaint}"
            );
            continue;
        }
        assert!(said.contains(&item.prompt), "{said}");
        let word = match item.task.word() {
            "voicing" => "\n  hands ",
            "run" => "harmony ",
            "ear" => "\n  options ",
            "spell" => "\n  right ",
            _ => "\n  criterion ",
        };
        assert!(said.contains(word), "{said}");
        let stated = before
            .items
            .iter()
            .rfind(|of| of.number == item.number && of.counts);
        if let Some(stated) = stated {
            assert!(said.contains(&stated.reason), "{}: {said}", stated.reason);
        }
    }
}

#[test]
fn attempts_have_their_keys_by_name_and_their_times_from_the_evidence() {
    let folder = tempfile::tempdir().unwrap();
    let result = sat(folder.path(), &Room::calm(21).sit(), &[]);
    let whole = text(&result);
    let document: toml::Table = whole.parse().unwrap();
    let item = document["item"].as_array().unwrap().iter();
    let voicing = item
        .filter(|item| item["kind"].as_str() == Some("voicing"))
        .find(|item| item["level"].as_integer() == Some(4))
        .unwrap();
    let number = voicing["number"].to_string();
    let name = result.to_str().unwrap();
    let (_, said, _) = run(
        folder.path(),
        &["review", name, "--item", &number, "--json"],
    );
    let told: serde_json::Value = serde_json::from_str(&said).unwrap();
    let attempt = &told[0]["attempts"][0];
    assert_eq!(attempt["matches"], true);

    // The keys and the last onset, read from the evidence by hand.
    let evidence = voicing["evidence"].as_array().unwrap().iter();
    let downs: Vec<(f64, i64)> = evidence
        .filter_map(|line| {
            let parts: Vec<&str> = line.as_str()?.split(' ').collect();
            (parts[1] == "down").then(|| (parts[0].parse().unwrap(), parts[2].parse().unwrap()))
        })
        .collect();
    let last = downs.iter().map(|(at, _)| *at).fold(0.0, f64::max);
    assert_eq!(attempt["onset_ms"].as_f64(), Some(last));
    let names = |hand: &str| attempt["keys"][hand].as_array().unwrap().len();
    assert_eq!(names("left") + names("right"), downs.len());
}

#[test]
fn a_level_that_a_person_sets_makes_a_new_result_beside_the_old() {
    let (folder, whole) = folder();
    let path = folder.path();
    let number = lost(path, "voicing");
    let (code, said, complaint) = run(path, &set("r.toml", &number, "4"));
    assert_eq!((code, complaint.as_str()), (0, ""));
    assert!(
        said.starts_with("./r-review.toml: reviewed by JW\n  total "),
        "{said}"
    );
    assert!(
        said.contains(&format!("\n  item {number}: credit 0.")),
        "{said}"
    );
    assert!(
        said.contains("-> 1.00 (Level 4 by JW: key stuck)\n"),
        "{said}"
    );
    assert_eq!(text(&path.join("r.toml")), whole);

    let reviewed = text(&path.join("r-review.toml"));
    let old = seal::audit(&whole).unwrap();
    assert!(seal::audit(&reviewed).is_ok());
    let document: toml::Table = reviewed.parse().unwrap();
    let result = &document["result"];
    assert_eq!(result["remark_of"].as_str(), Some("r.toml"));
    assert_eq!(
        result["remark_digest"].as_str(),
        Some(old.head.to_string().as_str())
    );
    assert_eq!(result["remark_because"].as_str(), Some("reviewed by JW"));
    assert_eq!(document["overrule"][0]["level"].as_integer(), Some(4));

    // What was played is as it was, and the item says who, when, why and what it had before.
    let (before, after) = (stored(path, "r.toml"), stored(path, "r-review.toml"));
    same(
        after.sitting.showings(),
        before.sitting.showings(),
        "review",
    );
    assert_eq!(after.sitting.panel(), before.sitting.panel());
    let (_, said, _) = run(path, &["review", "r-review.toml", "--item", &number]);
    assert!(said.contains("\nOverruled\n"), "{said}");
    assert!(said.contains("JW set level 4 (credit 0."), "{said}");
    assert!(said.contains(": key stuck\n"), "{said}");
}

#[test]
fn reviews_follow_one_another_and_a_remark_keeps_them() {
    let (folder, _) = folder();
    let path = folder.path();
    let (one, two) = (lost(path, "voicing"), lost(path, "ear"));
    let _ = run(path, &set("r.toml", &one, "4"));
    let (_, said, _) = run(path, &set("r-review.toml", &two, "1"));
    assert!(said.starts_with("./r-review-2.toml: "), "{said}");
    let (_, said, _) = run(path, &set("r-review-2.toml", &one, "1"));
    assert!(said.starts_with("./r-review-3.toml: "), "{said}");
    let last = text(&path.join("r-review-3.toml"));
    assert!(last.contains("remark_of = \"r-review-2.toml\""));
    let reviewed = stored(path, "r-review-3.toml");
    let set: Vec<(String, u8)> = reviewed
        .sitting
        .overrules()
        .iter()
        .map(|of| (of.item.to_string(), of.level))
        .collect();
    assert_eq!(set, [(one.clone(), 4), (two, 1), (one, 1)]);

    let (code, said, _) = run(path, &["remark", "r-review-3.toml"]);
    assert_eq!(code, 0);
    assert!(
        said.contains(" as before\n") && !said.contains("  item "),
        "{said}"
    );
    let again = stored(path, "r-review-3-remark.toml");
    assert_eq!(again.sitting.overrules(), reviewed.sitting.overrules());
    same(&marks(&again.sitting), &marks(&reviewed.sitting), "remark");
    assert_eq!((again.mark, again.band), (reviewed.mark, reviewed.band));
}

#[test]
fn a_person_marks_what_awaits_a_mark() {
    let folder = tempfile::tempdir().unwrap();
    let result = sat(folder.path(), &Room::calm(21).sit(), &[]);
    std::fs::rename(result, folder.path().join("r.toml")).unwrap();
    let path = folder.path();
    let items = listed(path, &[]);
    let panel = items.iter().find(|item| item["kind"] == "panel").unwrap();
    assert!(panel["level"].is_null());
    let number = panel["number"].to_string();
    let (code, said, complaint) = run(path, &set("r.toml", &number, "3"));
    assert_eq!((code, complaint.as_str()), (0, ""));
    assert!(
        said.contains("credit awaited (Awaits a person's mark) -> 0.75"),
        "{said}"
    );
    let (_, said, _) = run(path, &["review", "r-review.toml", "--item", &number]);
    assert!(
        said.contains("JW set level 3 (a mark was awaited)"),
        "{said}"
    );
}

#[test]
fn what_cannot_be_overruled_says_so_and_writes_nothing() {
    let (folder, whole) = folder();
    let path = folder.path();
    let number = lost(path, "voicing");
    let voided = listed(path, &[])
        .iter()
        .find(|item| !item["voided"].is_null())
        .map(|item| item["number"].to_string());
    let bad = whole.replace("3118", "3119");
    std::fs::write(path.join("bad.toml"), bad).unwrap();
    let mut nobody = set("r.toml", &number, "4");
    nobody[9] = " ";
    let mut unsaid = set("r.toml", &number, "4");
    unsaid[7] = "";

    for (arguments, expected) in [
        (
            set("r.toml", "999", "4"),
            "r.toml: expected the number of an item",
        ),
        (set("bad.toml", &number, "4"), "bad.toml: lines "),
        (vec!["review", "bad.toml"], "bad.toml: lines "),
        (set("no.toml", &number, "4"), "no.toml: expected a file"),
        (nobody, "expected the name or the initials"),
        (unsaid, "expected a reason in words"),
    ] {
        let (code, said, complaint) = run(path, &arguments);
        assert_eq!((code, said.as_str()), (1, ""), "{arguments:?}");
        assert!(complaint.contains(expected), "{complaint}");
        assert_eq!(complaint.lines().count(), 1, "{complaint}");
    }
    assert!(voided.is_some());
    assert!(!path.join("r-review.toml").exists());
    assert!(!path.join("bad-review.toml").exists());
}

#[test]
fn the_level_that_an_item_has_is_not_set_again() {
    let (folder, _) = folder();
    let path = folder.path();
    let items = listed(path, &[]);
    let item = items
        .iter()
        .find(|item| item["level"] == 4 && item["voided"].is_null())
        .unwrap();
    let number = item["number"].to_string();
    let (code, _, complaint) = run(path, &set("r.toml", &number, "4"));
    assert_eq!(code, 1);
    assert!(complaint.contains("has level 4 already"), "{complaint}");
}

#[test]
fn what_was_played_is_written_as_a_wave_of_its_length() {
    let folder = tempfile::tempdir().unwrap();
    let result = sat(folder.path(), &Room::calm(21).sit(), &[]);
    std::fs::rename(result, folder.path().join("r.toml")).unwrap();
    let path = folder.path();
    let whole = text(&path.join("r.toml"));
    let number = lost(path, "voicing");
    let (code, said, complaint) = run(
        path,
        &["review", "r.toml", "--item", &number, "--wav", "own.wav"],
    );
    assert_eq!((code, complaint.as_str()), (0, ""));
    assert!(said.ends_with("\nown.wav\n"), "{said}");
    let wave = hound::WavReader::open(path.join("own.wav")).unwrap();
    let seconds = f64::from(wave.duration()) / f64::from(wave.spec().sample_rate);

    // From the first key to the last one up, and half a second in which it dies away.
    let document: toml::Table = whole.parse().unwrap();
    let of_item = document["item"]
        .as_array()
        .unwrap()
        .iter()
        .rfind(|item| item["number"].to_string() == number)
        .unwrap();
    let times = |what: &str| -> Vec<f64> {
        let lines = of_item["evidence"].as_array().unwrap().iter();
        lines
            .filter_map(|line| line.as_str())
            .filter(|line| line.split(' ').nth(1) == Some(what))
            .map(|line| line.split(' ').next().unwrap().parse().unwrap())
            .collect()
    };
    let first = times("down").into_iter().fold(f64::MAX, f64::min);
    let last = times("up").into_iter().fold(0.0, f64::max);
    let expected = (last - first) / 1_000.0 + 0.5;
    assert!(
        (seconds - expected).abs() < 0.05,
        "{seconds} for {expected}"
    );

    // It is not overwritten.
    let again = ["review", "r.toml", "--item", &number, "--wav", "own.wav"];
    let (code, _, complaint) = run(path, &again);
    assert_eq!((code, complaint.lines().count()), (1, 1), "{complaint}");
}

#[test]
#[cfg(all(feature = "kiosk", target_os = "linux"))]
fn without_a_screen_or_a_sound_output_it_says_so() {
    let (folder, _) = folder();
    let number = lost(folder.path(), "voicing");
    let ask = |arguments: &[&str]| {
        let output = crate::sittings::program(folder.path())
            .args(arguments)
            .env_remove("DISPLAY")
            .env_remove("WAYLAND_DISPLAY")
            .output()
            .unwrap();
        crate::sittings::said(&output)
    };
    let (code, _, complaint) = ask(&["review", "r.toml", "--window"]);
    assert_eq!(code, 1);
    assert!(complaint.contains("there is no screen here"), "{complaint}");

    // A sound output that no computer has.
    std::fs::write(
        folder.path().join("room.toml"),
        "[sound]\noutput = \"no such output\"\n",
    )
    .unwrap();
    let (code, _, complaint) = ask(&[
        "review",
        "r.toml",
        "--item",
        &number,
        "--play",
        "--settings",
        "room.toml",
    ]);
    assert_eq!(code, 1);
    assert!(
        complaint.to_lowercase().contains("output") || complaint.contains("sound"),
        "{complaint}"
    );
}
