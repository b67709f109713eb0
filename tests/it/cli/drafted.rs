//! `new`: a script to start from.

use super::{check_golden, folder, run};

#[test]
fn a_draft_is_written_once_and_passes_its_check() {
    let folder = folder();
    let draft = |more: &[&str]| {
        let arguments: Vec<&str> = ["new", "week-3"].iter().chain(more).copied().collect();
        run(folder.path(), &arguments)
    };
    let (code, said, complaint) = draft(&[]);
    assert_eq!((code, complaint.as_str()), (0, ""));
    assert!(said.starts_with("week-3.toml: "), "{said}");
    let script = std::fs::read_to_string(folder.path().join("week-3.toml")).unwrap();
    check_golden("draft.toml", &script);

    let (code, said, _) = run(folder.path(), &["vet", "week-3.toml"]);
    assert_eq!(code, 0);
    assert_eq!(said, "week-3.toml: no faults, no warnings\n");

    // Nothing is overwritten.
    let (code, _, complaint) = draft(&["--practice"]);
    assert_eq!(code, 1);
    assert!(complaint.contains("left alone"), "{complaint}");
    let after = std::fs::read_to_string(folder.path().join("week-3.toml")).unwrap();
    assert_eq!(after, script);
}

#[test]
fn every_option_of_a_draft_counts() {
    let folder = folder();
    let (code, _, complaint) = run(
        folder.path(),
        &[
            "new",
            "paper.toml",
            "--title",
            "Half-diminished",
            "--kind",
            "run,spell",
            "--qualities",
            "m7b5",
            "--keys",
            "II,III",
            "--minutes",
            "20",
            "--practice",
        ],
    );
    assert_eq!((code, complaint.as_str()), (0, ""));
    let script: toml::Table = std::fs::read_to_string(folder.path().join("paper.toml"))
        .unwrap()
        .parse()
        .unwrap();
    let sections = script["section"].as_array().unwrap();
    let kinds: Vec<&str> = sections
        .iter()
        .map(|section| section["kind"].as_str().unwrap())
        .collect();

    assert_eq!(script["title"].as_str(), Some("Half-diminished"));
    assert_eq!(script["rules"]["feedback"].as_bool(), Some(true));
    assert_eq!(kinds, ["run", "spell"]);
    for cell in sections[1]["cells"].as_array().unwrap() {
        assert_eq!(cell["quality"].as_str(), Some("m7b5"));
        assert!(["II", "III"].contains(&cell["group"].as_str().unwrap()));
    }
}

#[test]
fn a_draft_that_cannot_be_made_leaves_no_file() {
    let folder = folder();
    let (code, _, complaint) = run(
        folder.path(),
        &["new", "triads", "--kind", "voicing", "--qualities", "m"],
    );
    assert_eq!((code, complaint.lines().count()), (1, 1), "{complaint}");
    for wrong in [
        &["new", "a", "--kind", "dance"][..],
        &["new", "a", "--keys", "IV"],
        &["new", "a", "--minutes", "0"],
        &["new", "a", "--qualities", "zz"],
        &["new"],
    ] {
        let (code, _, _) = run(folder.path(), wrong);
        assert_eq!(code, 2, "{wrong:?}");
    }
    assert!(!folder.path().join("triads.toml").exists());
    assert!(!folder.path().join("a.toml").exists());
}
