//! What `sit` prints, and the names of what it writes.

use super::{check_golden, files, folder, run};

const SIT: [&str; 8] = [
    "sit",
    "mixed.toml",
    "--performance",
    "played.mid",
    "--started",
    "2026-03-12T10:21:00+01:00",
    "--time-factor",
    "1.0",
];

fn sit(folder: &std::path::Path, more: &[&str]) -> (i32, String, String) {
    let arguments: Vec<&str> = SIT.iter().chain(more).copied().collect();

    run(folder, &arguments)
}

#[test]
fn the_mark_summary_says_it_all() {
    let folder = folder();
    let (code, said, complaint) = sit(folder.path(), &["--candidate", "3118"]);
    assert_eq!((code, complaint.as_str()), (0, ""));
    // The digest changes with the program's version.
    let end = said.find("Digest: ").unwrap();
    let (summary, digest) = said.split_at(end);
    check_golden("summary.txt", summary);
    let path = summary
        .lines()
        .last()
        .unwrap()
        .strip_prefix("Result: ")
        .unwrap();
    let (code, audited, _) = run(folder.path(), &["audit", path]);
    assert_eq!(code, 0);
    let digest = digest.trim().strip_prefix("Digest: ").unwrap();
    assert!(audited.contains(&format!("digest {digest}\n")), "{audited}");
}

#[test]
fn a_machine_can_read_the_summary() {
    let folder = folder();
    let panel = [
        "--panel", "21=0.8", "--panel", "22=0.5", "--by", "Inez", "--json",
    ];
    let (code, said, _) = sit(folder.path(), &panel);
    assert_eq!((code, said.lines().count()), (0, 1), "{said}");
    let summary: serde_json::Value = serde_json::from_str(&said).unwrap();
    let text = std::fs::read_to_string(folder.path().join(summary["result"].as_str().unwrap()));
    let result: toml::Table = text.unwrap().parse().unwrap();
    let total = result["total"].as_table().unwrap();
    let same = |key: &str| {
        let stated = total[key].as_float().unwrap();
        assert_eq!(
            summary[key].as_str().unwrap(),
            format!("{stated:.2}"),
            "{key}"
        );
    };
    same("mark");
    same("out_of");
    assert_eq!(summary["band"].as_str(), total["band"].as_str());
    assert_eq!(summary["passed"].as_bool(), total["passed"].as_bool());
    assert_eq!(total["provisional"].as_bool(), Some(false));
    let sections = summary["sections"].as_array().unwrap();
    assert_eq!(sections.len(), 6);
    assert_eq!(sections[5]["mark"], "3.25");
    assert_eq!(
        result["sitting"]["started"].as_str(),
        Some("2026-03-12T09:21:00Z")
    );
}

#[test]
fn nothing_is_overwritten() {
    let folder = folder();
    for _ in 0..3 {
        assert_eq!(sit(folder.path(), &[]).0, 0);
    }
    let names: Vec<String> = files(&folder.path().join("results"))
        .iter()
        .map(|path| path.file_name().unwrap().to_string_lossy().into_owned())
        .collect();
    assert_eq!(names.len(), 3);
    let stem = names[1].strip_suffix(".toml").unwrap_or_default();
    assert!(
        names.iter().any(|name| name.ends_with("-2.toml")),
        "{names:?}"
    );
    assert!(
        names.iter().any(|name| name.ends_with("-3.toml")),
        "{names:?} {stem}"
    );

    // Nor a performance, nor a journal.
    let result = format!("results/{}", names[0]);
    let before = std::fs::read(folder.path().join("played.mid")).unwrap();
    let export = ["export", &result, "--performance", "played.mid"];
    let (code, _, complaint) = run(folder.path(), &export);
    assert_eq!(code, 1);
    assert!(
        complaint.contains("is there already and was left alone"),
        "{complaint}"
    );
    assert_eq!(
        std::fs::read(folder.path().join("played.mid")).unwrap(),
        before
    );
    let (code, _, complaint) = sit(folder.path(), &["--journal", "played.mid"]);
    assert_eq!((code, complaint.lines().count()), (1, 1), "{complaint}");
    assert_eq!(
        std::fs::read(folder.path().join("played.mid")).unwrap(),
        before
    );
}

#[test]
fn a_candidate_of_any_signs_makes_a_plain_file_name() {
    let folder = folder();
    for candidate in [
        "../../../x",
        "Zoë ♭/\\:*?\"<>|",
        "-",
        "a.b c",
        ".",
        &"x".repeat(64),
        &"ü".repeat(64),
        "  31  ",
    ] {
        // A value may begin with a dash.
        let named = format!("--candidate={candidate}");
        let (code, said, complaint) = sit(folder.path(), &[&named, "--json"]);
        assert_eq!(code, 0, "{candidate}: {complaint}");
        let summary: serde_json::Value = serde_json::from_str(&said).unwrap();
        assert_eq!(summary["candidate"].as_str(), Some(candidate.trim()));
        let path = std::path::Path::new(summary["result"].as_str().unwrap());
        assert_eq!(path.parent(), Some(std::path::Path::new("results")));
        let name = path.file_name().unwrap().to_str().unwrap();
        assert!(
            name.bytes()
                .all(|b| b.is_ascii_alphanumeric() || b"-_.".contains(&b)),
            "{name}"
        );
        let text = std::fs::read_to_string(folder.path().join(path)).unwrap();
        let result: toml::Table = text.parse().unwrap();
        assert_eq!(
            result["sitting"]["candidate"].as_str(),
            Some(candidate.trim())
        );
    }
    assert_eq!(files(&folder.path().join("results")).len(), 8);
    assert_eq!(files(folder.path()).len(), 3);
}

#[test]
fn a_journalled_sitting_states_its_journals_head() {
    let folder = folder();
    assert_eq!(sit(folder.path(), &["--journal", "j"]).0, 0);
    let text = std::fs::read(folder.path().join("j")).unwrap();
    let reading = viva_voicing::sitting::journal::read(&text).unwrap();
    let result = &files(&folder.path().join("results"))[0];
    let result = std::fs::read_to_string(result).unwrap();
    let verified = viva_voicing::results::seal::audit(&result).unwrap();
    assert_eq!(verified.journal, Some(reading.head));
    assert!(result.contains(&format!("journal = \"{}\"", reading.head)));
}

#[test]
fn the_shipped_exam_can_be_sat() {
    let folder = folder();
    let exam = std::fs::canonicalize("exams/guide-tones.toml").unwrap();
    let bytes = viva_voicing::instruments::performance::write(&super::markers(&[1, 2, 30]));
    std::fs::write(folder.path().join("short.mid"), bytes).unwrap();
    let (code, said, complaint) = run(
        folder.path(),
        &["sit", exam.to_str().unwrap(), "--performance", "short.mid"],
    );
    assert_eq!(code, 0, "{complaint}");
    assert!(said.contains("0.00 of 100 marks, not passed"), "{said}");
    assert!(
        complaint.contains("no marker for item 3 to 29, 31 to "),
        "{complaint}"
    );
}
