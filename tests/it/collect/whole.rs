//! What is gathered, and what is told of.

use super::*;

/// Two kiosks' folders and a stick.
fn school(sat: &Sat) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    for candidate in 1..=3 {
        put(at, &format!("k1/{candidate}.toml"), &sat.result(candidate));
    }
    put(at, "k1/journals/1.journal", "");
    put(at, "k1/room.log", "2026-03-12T10:00:00Z opened\n");
    put(at, "k1/1.toml.sig", "s".repeat(64).as_str());
    put(at, "k1/.viva-x.tmp", &sat.result(9));
    // Another kiosk's first candidate has the same file name; the second is a copy of another's.
    put(at, "k2/1.toml", &sat.result(4));
    put(at, "k2/day/copy-of-2.toml", &sat.result(2));
    let damaged = sat.result(5).replacen("mark = ", "mark = 1", 1);
    put(at, "k2/day/5.toml", &damaged);
    put(at, "k2/guide.toml", "title = \"A script\"\n");
    put(at, "k2/.Trash-1000/6.toml", &sat.result(6));

    folder
}

#[test]
fn results_are_gathered_once_each_and_nothing_is_overwritten() {
    let sat = Sat::new();
    let folder = school(&sat);
    let before = all(folder.path());

    let (code, said, complaint) = run(folder.path(), &["collect", "k1", "k2", "--into", "all"]);
    assert_eq!(code, 1, "{complaint}");
    assert_eq!(
        said,
        "k1: 3 results, 3 new, 0 there already, 1 signature\n\
         k2: 2 results, 1 new, 1 there already, 1 file no result, 1 at fault\n  \
         k2/1.toml: another result has this name; kept as all/1-2.toml\n\
         all: 4 results of 4 candidates\n"
    );
    assert_eq!(complaint.lines().count(), 1, "{complaint}");
    assert!(
        complaint.starts_with("k2/day/5.toml: line") && complaint.contains("was changed"),
        "{complaint}"
    );

    let gathered = all(&folder.path().join("all"));
    let expected = ["1-2.toml", "1.toml", "1.toml.sig", "2.toml", "3.toml"];
    assert_eq!(gathered.keys().collect::<Vec<_>>(), expected);
    assert_eq!(gathered["1.toml"], before["k1/1.toml"]);
    assert_eq!(gathered["1-2.toml"], before["k2/1.toml"]);
    assert_eq!(gathered["1.toml.sig"], before["k1/1.toml.sig"]);
    let mut after = all(folder.path());
    after.retain(|name, _| !name.starts_with("all/"));
    assert!(after == before, "what was collected from is as it was");
}

#[test]
fn again_adds_nothing_in_whatever_order_or_number() {
    let sat = Sat::new();
    let folder = school(&sat);
    let (_, _, _) = run(folder.path(), &["collect", "k1", "k2", "--into", "all"]);
    let once = all(&folder.path().join("all"));

    for from in [
        &["k1", "k2"][..],
        &["k2", "k1"],
        &["k1", "k1", "./k1/../k2"],
        &["."],
        &["all", "k2", "all/2.toml"],
    ] {
        let mut arguments = vec!["collect"];
        arguments.extend(from);
        arguments.extend(["--into", "all"]);
        let (_, said, _) = run(folder.path(), &arguments);
        assert!(said.ends_with("all: 4 results of 4 candidates\n"), "{said}");
        let again = all(&folder.path().join("all"));
        assert!(once == again, "{from:?}: {:?}", again.keys());
    }
}

#[test]
fn only_what_is_missing_is_added() {
    let sat = Sat::new();
    let folder = school(&sat);
    let (_, _, _) = run(folder.path(), &["collect", "k1", "--into", "all"]);
    fs::remove_file(folder.path().join("all/2.toml")).unwrap();
    fs::remove_file(folder.path().join("all/1.toml.sig")).unwrap();

    let (code, said, complaint) = run(folder.path(), &["collect", "k1", "--into", "all"]);
    assert_eq!((code, complaint.as_str()), (0, ""));
    assert!(said.starts_with("k1: 3 results, 1 new, 2 there already, 1 signature\n"));

    // What was cut off in the folder keeps its name; the whole one stands beside it.
    let whole = all(&folder.path().join("all"));
    put(folder.path(), "all/3.toml", "");
    let (code, _, complaint) = run(folder.path(), &["collect", "k1", "--into", "all"]);
    assert_eq!(code, 1);
    assert!(
        complaint.starts_with("all/3.toml: expected a table [seal]"),
        "{complaint}"
    );
    let now = all(&folder.path().join("all"));
    assert_eq!(now["3-2.toml"], whole["3.toml"]);
    assert_eq!(now["3.toml"], b"");
}

#[test]
fn one_sitting_with_two_results_is_a_conflict_unless_one_is_a_remark() {
    let sat = Sat::new();
    let folder = tempfile::tempdir().unwrap();
    let first = sat.result(1);
    let second = sat.remark(1, "1.toml", &first);
    let third = sat.remark(1, "1-remark.toml", &second);
    put(folder.path(), "a/1.toml", &first);
    // Under another name, and before the one that it was made from.
    put(folder.path(), "a/0.toml", &second);
    put(folder.path(), "b/1-remark.toml", &third);
    let arguments = ["collect", "a", "b", "--into", "all"];
    let (code, said, complaint) = run(folder.path(), &arguments);
    assert_eq!((code, complaint.as_str()), (0, ""), "{said}");

    // The middle of the chain is not there: nobody can tell.
    fs::remove_file(folder.path().join("a/0.toml")).unwrap();
    let (code, said, complaint) = run(folder.path(), &["collect", "a", "b", "--into", "gap"]);
    assert_eq!(code, 1, "{said}");
    assert!(
        complaint.starts_with("CONFLICT: candidate 0001 sat mixed form ")
            && complaint.contains("1-remark.toml, 1.toml"),
        "{complaint}"
    );

    // The same sitting, written by a kiosk and again with another instrument's name.
    let mut given = sat.given(1);
    given.equipment.instrument = "another".to_owned();
    put(folder.path(), "c/1.toml", &sat.write(&given));
    let arguments = ["collect", "c", "--into", "all", "--json"];
    let (code, said, complaint) = run(folder.path(), &arguments);
    assert_eq!(code, 1, "{said}");
    assert!(complaint.contains("2 results that were not made from each other"));
    let lines: Vec<Value> = said
        .lines()
        .map(|line| serde_json::from_str(line).unwrap())
        .collect();
    assert_eq!(lines[0]["new"], 1);
    assert_eq!(lines[0]["renamed"][0]["kept_as"], "all/1-2.toml");
    assert_eq!(
        lines[1]["conflicts"][0]["results"],
        serde_json::json!([["0.toml", "1-remark.toml", "1.toml"], ["1-2.toml"]])
    );
}

#[test]
fn journals_without_a_result_are_told_of_and_copied_where_asked() {
    let sat = Sat::new();
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let (journal, ends) = sat.0.journal();
    let head = viva_voicing::sitting::journal::read(journal.as_bytes())
        .unwrap()
        .head;
    let cut = &journal[..ends[ends.len() / 2]];
    put(at, "k1/journals/1.journal", cut);

    let (code, said, complaint) = run(at, &["collect", "k1", "--into", "all"]);
    assert_eq!((code, complaint.as_str()), (0, ""), "{said}");
    assert!(
        said.contains("k1/journals/1.journal: candidate 3118, mixed, begun ")
            && said.contains("not handed in; `sit --resume` takes it up"),
        "{said}"
    );
    assert!(names(&at.join("all")).is_empty());

    let arguments = ["collect", "k1", "--into", "all", "--journals"];
    for (time, names_then) in [["journals/1.journal"]; 2].iter().enumerate() {
        let (code, said, _) = run(at, &arguments);
        assert_eq!((code, said.contains("copied to")), (0, time == 0), "{said}");
        assert_eq!(names(&at.join("all")), *names_then);
    }
    // It went on at the kiosk: the longer one comes beside.
    let longer = &journal[..ends[ends.len() / 2 + 1]];
    put(at, "k1/journals/1.journal", longer);
    let (_, _, _) = run(at, &arguments);
    let copies = all(&at.join("all"));
    assert_eq!(copies["journals/1-2.journal"], longer.as_bytes());
    assert_eq!(copies["journals/1.journal"], cut.as_bytes());

    // It was handed in: its beginning on another disk waits no more either.
    put(at, "k1/journals/1.journal", &journal);
    put(at, "stick/journals/1.journal", cut);
    let given = Given {
        journal: Some(head),
        ..sat.given(3118)
    };
    put(at, "k1/3118.toml", &sat.write(&given));
    let (code, said, complaint) = run(at, &["collect", "k1", "stick", "--into", "all"]);
    assert_eq!((code, complaint.as_str()), (0, ""));
    assert!(!said.contains("not handed in"), "{said}");

    put(at, "k1/journals/2.journal", "no journal\nat all\n");
    let (code, _, complaint) = run(at, &["collect", "k1", "--into", "all"]);
    assert_eq!((code, complaint.lines().count()), (1, 1));
    assert!(
        complaint.starts_with("k1/journals/2.journal: line 1"),
        "{complaint}"
    );
}

#[test]
fn another_signature_of_the_same_result_is_told_of_and_left() {
    let sat = Sat::new();
    let folder = school(&sat);
    let (_, _, _) = run(folder.path(), &["collect", "k1", "--into", "all"]);
    put(folder.path(), "k1/1.toml.sig", &"t".repeat(64));

    let (code, _, complaint) = run(folder.path(), &["collect", "k1", "--into", "all"]);
    assert_eq!(code, 1);
    assert!(
        complaint.contains("another signature of it is beside all/1.toml"),
        "{complaint}"
    );
    let kept = fs::read(folder.path().join("all/1.toml.sig")).unwrap();
    assert_eq!(kept, "s".repeat(64).as_bytes());
}

#[test]
fn what_is_not_there_is_said_and_the_rest_is_gathered() {
    let sat = Sat::new();
    let folder = school(&sat);

    let (code, said, complaint) = run(folder.path(), &["collect", "k9", "k1", "--into", "all"]);
    assert_eq!(code, 1);
    assert!(complaint.starts_with("k9: expected a folder or a result, found nothing"));
    assert!(said.ends_with("all: 3 results of 3 candidates\n"), "{said}");

    put(folder.path(), "file", "");
    let (code, said, complaint) = run(folder.path(), &["collect", "k1", "--into", "file"]);
    assert_eq!((code, said.as_str()), (1, ""));
    assert!(
        complaint.starts_with("file: the folder to collect into"),
        "{complaint}"
    );
    assert_eq!(complaint.lines().count(), 1, "{complaint}");
}

#[cfg(unix)]
#[test]
fn links_that_go_round_in_a_circle_or_nowhere_end() {
    use std::os::unix::fs::symlink;

    let sat = Sat::new();
    let folder = school(&sat);
    let at = folder.path();
    symlink("..", at.join("k1/up")).unwrap();
    symlink(".", at.join("k1/here")).unwrap();
    symlink("nowhere", at.join("k1/lost.toml")).unwrap();
    symlink("nowhere", at.join("k1/lost")).unwrap();
    symlink("loop", at.join("k1/loop")).unwrap();
    symlink("../k2/1.toml", at.join("k1/8.toml")).unwrap();

    let (code, said, complaint) = run(at, &["collect", "k1", "--into", "k1/all"]);
    assert_eq!(code, 1, "{said}");
    assert!(
        said.ends_with("k1/all: 4 results of 4 candidates\n"),
        "{said}"
    );
    assert!(complaint.contains("k1/lost.toml: it is there no more, or a link to nothing"));
    assert_eq!(complaint.lines().count(), 2, "{complaint}");
}
