//! Whatever is wrong with the input: exit code 1, one clear line, nothing written, no panic.

use std::path::Path;

use viva_voicing::exam::code::Code;
use viva_voicing::instruments::performance::{self, Event, Kind};
use viva_voicing::time::Time;

use super::{files, folder, markers, run};

/// Runs the program and wants one line that holds certain words.
fn check(folder: &Path, arguments: &[&str], expected: &str) {
    let before = files(folder);
    let (code, said, complaint) = run(folder, arguments);
    assert_eq!((code, said.as_str()), (1, ""), "{arguments:?}: {complaint}");
    assert!(complaint.contains(expected), "{arguments:?}: {complaint}");
    assert_eq!(complaint.lines().count(), 1, "{arguments:?}: {complaint}");
    assert!(!complaint.contains("panicked"), "{complaint}");
    assert_eq!(files(folder), before, "{arguments:?} wrote something");
}

fn sit<'a>(performance: &'a str, more: &[&'a str]) -> Vec<&'a str> {
    let mut arguments = vec!["sit", "mixed.toml", "--performance", performance];
    arguments.extend(more);
    arguments
}

#[test]
fn a_performance_that_is_none_is_refused() {
    let folder = folder();
    let path = folder.path();
    let whole = std::fs::read(path.join("played.mid")).unwrap();
    let put = |name: &str, bytes: &[u8]| std::fs::write(path.join(name), bytes).unwrap();
    put("empty.mid", b"");
    put("text.mid", b"item 1\nC E G\n");
    put("cut.mid", &whole[..whole.len() / 2]);
    put("header.mid", &whole[..9]);
    put(
        "unmarked.mid",
        b"MThd\0\0\0\x06\0\0\0\x01\0\x60MTrk\0\0\0\x04\0\xff\x2f\0",
    );
    put("other.mid", &performance::write(&markers(&[1, 2, 99])));
    let all: Vec<u32> = (1..=21).collect();
    put("panel.mid", &performance::write(&markers(&all)));
    put("twice.mid", &performance::write(&markers(&[1, 2, 2])));
    put("down.mid", &performance::write(&markers(&[4, 3])));
    std::fs::create_dir(path.join("folder.mid")).unwrap();

    for (name, expected) in [
        (
            "missing.mid",
            "missing.mid: expected a file, found nothing of this name",
        ),
        ("folder.mid", "folder.mid: expected a file, found a folder"),
        ("/dev/null", "/dev/null: expected an ordinary file"),
        ("empty.mid", "empty.mid: expected a Standard MIDI File"),
        (
            "text.mid",
            "text.mid: expected a Standard MIDI File, which begins with MThd, found",
        ),
        ("mixed.toml", "mixed.toml: expected a Standard MIDI File"),
        ("cut.mid", "cut.mid: track 1 at byte"),
        ("header.mid", "header.mid: expected a header of 6 bytes"),
        ("unmarked.mid", "unmarked.mid: found no marker `item N`"),
        (
            "twice.mid",
            "twice.mid: item 2 at 2000.0 ms has appeared at 1000.0 ms already",
        ),
        (
            "down.mid",
            "down.mid: item 3 at 1000.0 ms comes after item 4",
        ),
        (
            "panel.mid",
            "marker `item 21` at 20000.0 ms: a person marks this item",
        ),
    ] {
        check(path, &sit(name, &[]), expected);
    }
    // A gap in the numbers is noted before the number that is too great is refused.
    let (code, _, complaint) = run(path, &sit("other.mid", &[]));
    assert_eq!((code, complaint.lines().count()), (1, 2), "{complaint}");
    assert!(
        complaint.contains("marker `item 99` at 2000.0 ms: form "),
        "{complaint}"
    );
}

#[test]
fn an_item_that_counts_already_is_refused() {
    let folder = folder();
    let mut performance = markers(&[1, 2, 3]);
    performance.events.insert(
        2,
        Event {
            at: Time::from_ms(1_500),
            kind: Kind::Void("noise".to_owned()),
        },
    );
    performance.events[3].kind = Kind::Item(1);
    std::fs::write(
        folder.path().join("again.mid"),
        performance::write(&performance),
    )
    .unwrap();
    check(
        folder.path(),
        &sit("again.mid", &[]),
        "marker `item 1` at 2000.0 ms: this item was shown 0.0 ms into the sitting and not voided",
    );
}

#[test]
fn a_performance_of_another_form_or_exam_is_noted() {
    let folder = folder();
    let code = Code::new(77, 1).to_string();
    let mut performance = markers(&[1]);
    performance.form = Some(code.clone());
    performance.exam = Some("another".to_owned());
    std::fs::write(
        folder.path().join("x.mid"),
        performance::write(&performance),
    )
    .unwrap();
    let first = Code::FIRST.to_string();
    let (exit, said, complaint) = run(folder.path(), &sit("x.mid", &["--form", &first]));
    assert_eq!(exit, 0);
    assert!(said.contains(&first), "{said}");
    for expected in [
        "note: the performance says that it is of exam another, it is marked as mixed".to_owned(),
        format!(
            "note: the performance says that it is of form {code}, it is marked as form {first}"
        ),
    ] {
        assert!(complaint.contains(&expected), "{complaint}");
    }
    // Without a wish it is taken at its word.
    let (_, said, complaint) = run(folder.path(), &sit("x.mid", &[]));
    assert!(said.contains(&code), "{said}");
    assert!(!complaint.contains("of form"), "{complaint}");
}

#[test]
fn a_time_or_a_number_that_is_none_is_refused() {
    let folder = folder();
    let path = folder.path();
    for started in [
        "yesterday",
        "2026-02-30T00:00:00Z",
        "2026-03-12",
        "",
        "2026-03-12T10:21:00",
    ] {
        check(
            path,
            &sit("played.mid", &["--started", started]),
            &format!("after --started, found `{started}`"),
        );
    }
    for factor in ["0.99", "3.01", "-1", "NaN", "inf", "1e300"] {
        let named = format!("--time-factor={factor}");
        check(
            path,
            &sit("played.mid", &[&named]),
            "expected a time factor from 1 to 3",
        );
    }
    for candidate in ["", "   ", "31\n18", "a\tb", &"x".repeat(65)] {
        let named = format!("--candidate={candidate}");
        check(
            path,
            &sit("played.mid", &[&named]),
            "expected a candidate's number",
        );
    }
    for panel in ["21", "21=", "x=1", "21=1.5", "21=-0.1", "21=NaN"] {
        check(
            path,
            &sit("played.mid", &["--panel", panel, "--by", "Inez"]),
            "expected a panel item and a share from 0 to 1",
        );
    }
    check(
        path,
        &sit("played.mid", &["--panel", "1=1", "--by", "Inez"]),
        "item 1 is not one that a panel marks",
    );
    check(
        path,
        &sit("played.mid", &["--form", "222-22I"]),
        "a form code has no `I`",
    );
    check(path, &sit("played.mid", &["--form", "22"]), "form code");
    let mistyped = {
        let code = Code::FIRST.to_string();
        let last = code.chars().last().unwrap();
        let other = if last == '2' { '3' } else { '2' };
        format!("{}{other}", &code[..code.len() - 1])
    };
    check(
        path,
        &sit("played.mid", &["--form", &mistyped]),
        "is mistyped",
    );
}

#[test]
fn an_exam_that_is_none_is_refused() {
    let folder = folder();
    let path = folder.path();
    std::fs::write(path.join("latin.toml"), b"title = \"\xe9\"\n").unwrap();
    for (exam, expected) in [
        (
            "missing.toml",
            "missing.toml: expected a file, found nothing",
        ),
        ("latin.toml", "latin.toml: "),
        ("played.mid", "played.mid: "),
        (".", ".: expected a file, found a folder"),
    ] {
        check(
            path,
            &["sit", exam, "--performance", "played.mid"],
            expected,
        );
    }
    // Every fault of a script has its own line.
    std::fs::write(path.join("bad.toml"), "title = 3\n").unwrap();
    let (code, said, complaint) = run(path, &["sit", "bad.toml", "--performance", "played.mid"]);
    assert_eq!((code, said.as_str()), (1, ""));
    assert!(complaint.contains("bad.toml:1:1: ") && complaint.contains("bad.toml:1:9: "));
}

#[test]
fn results_that_have_nowhere_to_go_are_refused() {
    let folder = folder();
    let path = folder.path();
    check(
        path,
        &sit("played.mid", &["--results", "mixed.toml"]),
        "mixed.toml: the folder for results cannot be made",
    );
    check(
        path,
        &sit("played.mid", &["--results", "mixed.toml/deeper/still"]),
        "the folder for results cannot be made",
    );
    check(
        path,
        &sit("played.mid", &["--journal", "nowhere/j"]),
        "nowhere: expected a folder, found none of this name",
    );
}

#[test]
fn a_result_that_can_not_be_exported_is_refused() {
    let folder = folder();
    let path = folder.path();
    let (code, said, _) = run(path, &sit("played.mid", &["--json"]));
    assert_eq!(code, 0);
    let summary: serde_json::Value = serde_json::from_str(&said).unwrap();
    let result = summary["result"].as_str().unwrap();
    let export = |result, out| vec!["export", result, "--performance", out];
    check(
        path,
        &export(result, "nowhere/out.mid"),
        "nowhere: expected a folder",
    );
    check(path, &export(result, "results"), "results: ");
    check(
        path,
        &export("mixed.toml", "out.mid"),
        "mixed.toml: expected a table [seal]",
    );
    check(
        path,
        &export("no.toml", "out.mid"),
        "no.toml: expected a file",
    );
    let text = std::fs::read_to_string(path.join(result)).unwrap();
    std::fs::write(
        path.join("changed.toml"),
        text.replace("mark = ", "mark =  "),
    )
    .unwrap();
    check(
        path,
        &export("changed.toml", "out.mid"),
        "changed.toml: lines ",
    );
}

#[test]
fn a_hundred_thousand_events_are_handled() {
    let folder = folder();
    let mut performance = markers(&[1]);
    // Items shown and voided for ever, keys struck for ever: no pile of either grows too slow.
    for n in 0..30_000_i64 {
        let at = Time::from_tenths(n * 3 + 10);
        let kinds = [
            Kind::Down {
                key: (n % 128) as u8,
                velocity: 80,
            },
            Kind::Void("again".to_owned()),
            Kind::Item(1),
        ];
        let events = kinds.into_iter().zip(0..);
        performance.events.extend(events.map(|(kind, tick)| Event {
            at: at + Time::from_tenths(tick),
            kind,
        }));
    }
    let path = folder.path().join("long.mid");
    std::fs::write(path, performance::write(&performance)).unwrap();
    let (code, _, complaint) = run(folder.path(), &sit("long.mid", &[]));
    assert_eq!(code, 0, "{complaint}");
    assert!(!complaint.contains("panicked"), "{complaint}");
}

/// A paper is for one candidate, and for results that are whole.
#[test]
fn results_that_make_no_practice_paper_are_refused() {
    let folder = folder();
    let path = folder.path();
    for candidate in ["3118", "3119"] {
        let mut arguments = sit("played.mid", &["--results", "results"]);
        arguments.extend(["--candidate", candidate]);
        let (code, _, complaint) = run(path, &arguments);
        assert_eq!(code, 0, "{complaint}");
    }
    let names: Vec<String> = files(&path.join("results"))
        .iter()
        .map(|path| format!("results/{}", path.file_name().unwrap().to_string_lossy()))
        .collect();
    let [one, two] = names.as_slice() else {
        panic!("{names:?}");
    };
    let text = std::fs::read_to_string(path.join(one)).unwrap();
    let put = |name: &str, text: &str| std::fs::write(path.join(name), text).unwrap();
    put("changed.toml", &text.replacen("mark = ", "mark = 1", 1));
    put("there.toml", "a file of somebody's\n");

    check(
        path,
        &["practise", one, two],
        "expected a result of candidate 3118, found one of candidate 3119",
    );
    check(path, &["practise", "changed.toml"], "changed.toml: ");
    check(path, &["practise", "mixed.toml"], "mixed.toml: ");
    check(
        path,
        &["practise", "none.toml"],
        "none.toml: expected a file",
    );
    check(
        path,
        &["practise", one, "--out", "there.toml"],
        "there.toml",
    );
}
