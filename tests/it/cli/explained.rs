//! `vet --explain`: in words and for machines.

use super::{check_golden, folder, run};

#[test]
fn what_an_exam_will_ask_is_told_in_words() {
    let folder = folder();
    let (code, said, complaint) = run(folder.path(), &["vet", "--explain", "mixed.toml"]);

    assert_eq!(code, 0, "{complaint}");
    for line in said.lines() {
        assert!(line.chars().count() <= 100, "{line}");
    }
    check_golden("explained.txt", &said);
}

#[test]
fn a_machine_can_read_the_explanation() {
    let folder = folder();
    let (code, said, _) = run(folder.path(), &["vet", "--explain", "--json", "mixed.toml"]);
    let objects: Vec<serde_json::Value> = said
        .lines()
        .map(|line| serde_json::from_str(line).unwrap())
        .collect();

    assert_eq!(code, 0);
    // What was found comes first, an object each; the explanation is the last.
    let (last, found) = objects.split_last().unwrap();
    assert!(found.iter().all(|found| found["severity"] == "warning"));
    assert_eq!(last["file"], "mixed.toml");
    let sections = last["explanation"]["sections"].as_array().unwrap();
    let sum: f64 = sections
        .iter()
        .map(|section| section["points"].as_f64().unwrap())
        .sum();
    assert_eq!(Some(sum), last["explanation"]["points"].as_f64());
    for section in sections {
        let spans = section["seconds"].as_array().unwrap();
        assert_eq!(spans.len(), 3);
        for span in spans {
            assert!(span["usual"].as_f64() <= span["most"].as_f64(), "{span}");
        }
    }
    let (_, plain, _) = run(folder.path(), &["vet", "--json", "mixed.toml"]);
    assert_eq!(plain.lines().count(), found.len());
}

#[test]
fn a_faulty_script_is_not_explained() {
    let folder = folder();
    std::fs::write(
        folder.path().join("faulty.toml"),
        "title = \"No sections\"\n",
    )
    .unwrap();
    let (code, said, complaint) = run(folder.path(), &["vet", "--explain", "faulty.toml"]);

    assert_eq!(code, 1);
    assert_eq!(said.lines().count(), 1, "{said}");
    assert!(complaint.contains("section"), "{complaint}");
    let (code, said, _) = run(
        folder.path(),
        &["vet", "--explain", "--json", "faulty.toml"],
    );
    assert_eq!(code, 1);
    assert!(!said.contains("explanation"), "{said}");
}
