//! The verbs on marks entered by hand: what they write, say and refuse.

use std::path::Path;

use viva_voicing::exam::code::Code;
use viva_voicing::results::{document, seal, summary};
use viva_voicing::sitting::Sitting;

use super::{copied, table};
use crate::sittings::room::{MIXED, Room};
use crate::sittings::{only_result, run};

/// A folder with an exam, a sitting of it at the keyboard, and the same entered by hand.
fn folder() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path();
    let _ = std::fs::copy(MIXED, path.join("mixed.toml")).unwrap();
    let sitting = fair();
    let arguments = [
        "form",
        "mixed.toml",
        "--form",
        &sitting.form().code.to_string(),
        "--by-hand",
        "empty.csv",
    ];
    let (code, said, complaint) = run(path, &arguments);
    assert_eq!(
        (code, said.as_str(), complaint.as_str()),
        (0, "empty.csv\n", "")
    );
    let script = std::fs::read_to_string(path.join("empty.csv")).unwrap();
    let digest = script.split("sha256:").nth(1).unwrap()[..16].to_owned();
    std::fs::write(path.join("marks.csv"), table(&copied(&sitting, &digest))).unwrap();

    folder
}

/// A sitting without a time factor.
fn fair() -> Sitting {
    (0..99)
        .map(|seed| Room::calm(seed).sit().sitting)
        .find(|sitting| sitting.allowance().factor == 100)
        .expect("most have none")
}

fn entered(path: &Path) -> std::path::PathBuf {
    let arguments = [
        "sit",
        "mixed.toml",
        "--by-hand",
        "marks.csv",
        "--by",
        "Inez",
        "--candidate",
        "3118",
        "--started",
        "2026-03-12T10:21:00Z",
    ];
    let (code, said, complaint) = run(path, &arguments);
    assert_eq!((code, complaint.as_str()), (0, ""), "{said}");
    assert!(
        said.contains("Marked by hand at a piano, by Inez\n"),
        "{said}"
    );
    assert!(said.contains("Routine gap left out"), "{said}");

    only_result(&path.join("results"))
}

/// Wants a verb to end well and to say something.
#[track_caller]
fn says(path: &Path, arguments: &[&str], expected: &str) -> String {
    let (code, said, complaint) = run(path, arguments);
    assert_eq!((code, complaint.as_str()), (0, ""), "{arguments:?}: {said}");
    assert!(said.contains(expected), "{arguments:?}: {said}");
    said
}

#[track_caller]
fn refuses(path: &Path, arguments: &[&str], expected: &str) {
    let (code, said, complaint) = run(path, arguments);
    assert_eq!((code, said.as_str()), (1, ""), "{arguments:?}");
    assert!(complaint.contains(expected), "{arguments:?}: {complaint}");
}

#[test]
fn marks_entered_by_hand_are_a_result_like_any_other() {
    let folder = folder();
    let path = folder.path();
    let result = entered(path);
    let name = result.to_str().unwrap();
    let text = std::fs::read_to_string(&result).unwrap();

    let summary = summary::read(&text).unwrap();
    assert_eq!(summary, summary::read_as_toml(&text).unwrap());
    assert_eq!(
        (summary.by_hand, summary.length_ms),
        (vec!["Inez".to_owned()], None)
    );
    let _ = says(path, &["audit", name], "whole and unaltered");
    let remarked = says(path, &["remark", name], "as before");
    assert!(
        remarked.contains("keeps the marks that Inez entered by hand"),
        "{remarked}"
    );

    let listed = says(
        path,
        &["review", name],
        "Marked by hand at a piano, by Inez: what was played",
    );
    assert!(!listed.contains("Nothing was played"), "{listed}");
    let one = says(
        path,
        &["review", name, "--item", "1"],
        "not recorded: marked by hand",
    );
    assert!(!one.contains("foreign") && !one.contains("spread"), "{one}");
    let heard = says(
        path,
        &["review", name, "--item", "12"],
        "Entered by hand by Inez",
    );
    assert!(!heard.contains("heard "), "{heard}");
    let sound = ["review", name, "--item", "1", "--wav", "a.wav"];
    let (code, _, complaint) = run(path, &sound);
    assert!(
        code == 1 && complaint.contains("nothing was recorded"),
        "{complaint}"
    );
    assert!(!path.join("a.wav").exists());
    refuses(
        path,
        &["export", name, "--performance", "a.mid"],
        "no performance to write",
    );

    let set = [
        "review", name, "--item", "1", "--level", "1", "--reason", "noise", "--by", "Otto",
    ];
    let level = document::read(&text, None).unwrap().sitting;
    let level = viva_voicing::sitting::outcome::outcome(&level).items[0].level();
    assert_ne!(level, 1, "the overruling must change something");
    let _ = says(path, &set, "reviewed by Otto");
    let _ = says(path, &["sheet", name, "--out", "sheet.pdf"], "sheet.pdf");
}

#[test]
fn a_class_may_be_half_at_the_keyboard_and_half_at_the_piano() {
    let folder = folder();
    let path = folder.path();
    let result = std::fs::read_to_string(entered(path)).unwrap();
    let room = Room::calm(22).sit();
    let given = document::Given {
        digest: summary::read(&result).unwrap().exam_digest,
        ..room.given()
    };
    let text = document::write(&room.sitting, &given);
    std::fs::write(path.join("results/played.toml"), text).unwrap();

    let _ = says(
        path,
        &["moderate", "results", "--out", "class"],
        "  2 sittings",
    );
    let said = says(
        path,
        &["moderate", "results"],
        "1 sitting marked by hand at a piano, by Inez",
    );
    assert!(
        said.contains("2 results read, 2 sittings counted"),
        "{said}"
    );
    let class = std::fs::read_dir(path.join("class"))
        .unwrap()
        .next()
        .unwrap()
        .unwrap();
    let class = std::fs::read_to_string(class.path().join("class.csv")).unwrap();
    let lines: Vec<&str> = class.lines().collect();
    assert!(lines[0].ends_with(",by_hand"), "{class}");
    assert_eq!(
        lines[1..]
            .iter()
            .filter(|line| line.ends_with(",Inez"))
            .count(),
        1,
        "{class}"
    );
    let _ = says(
        path,
        &["moderate", "results", "--dataset", "set"],
        "Data set",
    );
    let _ = says(path, &["collect", "results", "--into", "all"], "2 results");
}

#[test]
fn a_faulty_table_is_told_whole_and_nothing_is_written() {
    let folder = folder();
    let path = folder.path();
    let good = std::fs::read_to_string(path.join("marks.csv")).unwrap();
    let sit = ["sit", "mixed.toml", "--by-hand", "marks.csv"];
    let lines: Vec<&str> = good.lines().collect();
    let put = |text: &[u8]| std::fs::write(path.join("marks.csv"), text).unwrap();

    refuses(
        path,
        &sit,
        "marks.csv: line 2, column by: expected who marked this",
    );
    let code = Code::new(77, 1).to_string();
    let other = [&sit[..], &["--form", &code]].concat();
    refuses(
        path,
        &other,
        "the whole table is of another form; sit it with the --form",
    );
    let few: String = lines
        .iter()
        .take(5)
        .map(|line| format!("{line}\n"))
        .collect();
    put(few.as_bytes());
    let (code, _, complaint) = run(path, &sit);
    assert_eq!(code, 1);
    assert!(complaint.lines().count() > 15, "{complaint}");
    assert!(
        complaint
            .lines()
            .all(|line| line.starts_with("marks.csv: ")),
        "{complaint}"
    );
    put(b"item,part,entry\n1,,\xe9\n");
    refuses(path, &sit, "choose CSV with UTF-8");
    refuses(
        path,
        &["sit", "mixed.toml", "--by-hand", "none.csv"],
        "none.csv: expected a file",
    );
    assert!(!path.join("results").exists());

    // A table is never written over.
    refuses(
        path,
        &["form", "mixed.toml", "--by-hand", "marks.csv"],
        "marks.csv",
    );
    for both in [
        ["--performance", "a.mid"],
        ["--journal", "a.journal"],
        ["--panel", "21=0.5"],
    ] {
        let (code, ..) = run(path, &[&sit[..], &both].concat());
        assert_eq!(code, 2, "{both:?}");
    }
}

#[test]
fn a_changed_mark_is_found_by_audit() {
    let folder = folder();
    let result = entered(folder.path());
    let text = std::fs::read_to_string(&result).unwrap();
    assert!(seal::audit(&text).is_ok());
    let place = text.find("[[by_hand]]\nitem = 1\nlevel = ").unwrap() + 29;
    let mut changed = text.into_bytes();
    changed[place] ^= 1;
    assert!(seal::audit(&String::from_utf8(changed).unwrap()).is_err());
}
