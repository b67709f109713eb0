//! The guide and the schema as files: what lies in `exams` is what the data make of them.

use std::path::Path;
use std::process::Command;
use std::{env, fs};

use viva_voicing::exam::diagnostic::Severity;
use viva_voicing::exam::language::{MISTAKES, SMALL, guide, parts, schema};
use viva_voicing::exam::read;

/// Compares with a file of `exams`; `UPDATE=1` writes it anew.
fn check(name: &str, fresh: &str) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("exams")
        .join(name);

    if env::var_os("UPDATE").is_some() {
        fs::write(&path, fresh).unwrap();
    }
    let found = fs::read_to_string(&path).unwrap_or_default();
    assert!(
        found == fresh,
        "exams/{name} is stale: run the tests with UPDATE=1 and look at it"
    );
}

#[test]
fn the_guide_is_up_to_date() {
    check("README.md", &guide());
}

#[test]
fn the_schema_is_up_to_date() {
    check("schema.json", &schema());
}

#[test]
fn the_program_prints_both() {
    for (option, fresh) in [("--guide", guide()), ("--schema", schema())] {
        let output = Command::new(env!("CARGO_BIN_EXE_viva-voicing"))
            .args(["new", option])
            .output()
            .unwrap();
        assert!(output.status.success(), "{output:?}");
        assert!(output.stdout == fresh.as_bytes(), "{option}");
    }
    let output = Command::new(env!("CARGO_BIN_EXE_viva-voicing"))
        .args(["new", "week-3", "--guide"])
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(2), "one or the other");
}

#[test]
fn the_small_exam_of_the_guide_is_read_without_a_word() {
    let (exam, found) = read::read(SMALL, "week-3");

    assert_eq!(found, []);
    assert_eq!(exam.map(|exam| exam.points()), Some(10_000));
}

#[test]
fn every_mistake_of_the_guide_is_one() {
    for (words, right, wrong) in MISTAKES {
        assert_eq!(SMALL.matches(right).count(), 1, "{words}");
        let script = SMALL.replacen(right, wrong, 1);
        let faults = read::read(&script, "week-3")
            .1
            .into_iter()
            .filter(|found| found.severity == Severity::Fault)
            .count();
        assert!((1..=2).contains(&faults), "{words} {faults}");
    }
}

#[test]
fn the_guide_has_every_key_with_its_sentence() {
    let guide = guide();

    for part in parts() {
        assert!(guide.contains(part.title), "{}", part.id);
        for key in part.all_keys() {
            let row = guide.lines().find(|line| {
                line.starts_with(&format!("| `{}` |", key.name)) && line.contains(key.says)
            });
            assert!(row.is_some(), "`{}` of `{}`", key.name, part.id);
        }
    }
}

/// Editors look for the schema from the first line of a script.
#[test]
fn every_shipped_exam_points_to_the_schema() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("exams");
    let mut seen = 0;

    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_some_and(|ending| ending == "toml") {
            let text = fs::read_to_string(&path).unwrap();
            assert!(
                text.starts_with("#:schema schema.json\n"),
                "{}",
                path.display()
            );
            seen += 1;
        }
    }
    assert!(seen >= 11, "{seen}");
}
