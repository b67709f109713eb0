//! The demo performance ends in a real mark, and shows what a mark can say.

use std::path::Path;
use std::process::{Command, Stdio};

use serde_json::Value;

/// Sits the shipped exam with the demo performance: the summary, the result, and what was said on
/// standard error.
fn sitting() -> (Value, toml::Table, String) {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let results = tempfile::tempdir().unwrap();
    let output = Command::new(env!("CARGO_BIN_EXE_viva-voicing"))
        .args(["sit", "exams/guide-tones.toml", "--json"])
        .args(["--performance", "exams/demo/first-sitting.mid"])
        .args(["--candidate", "3118", "--started", "2026-03-12T10:21:00Z"])
        .arg("--results")
        .arg(results.path())
        .current_dir(root)
        .stdin(Stdio::null())
        .output()
        .unwrap();
    let said = String::from_utf8(output.stderr).unwrap();
    assert!(output.status.success(), "{said}");
    let summary: Value = serde_json::from_slice(&output.stdout).unwrap();
    let result = std::fs::read_to_string(summary["result"].as_str().unwrap()).unwrap();

    (summary, result.parse().unwrap(), said)
}

#[test]
fn the_demo_passes_with_every_item_reached_and_every_kind_of_fault() {
    let (summary, result, said) = sitting();
    let mark: f64 = summary["mark"].as_str().unwrap().parse().unwrap();
    let reasons: Vec<&str> = result["item"]
        .as_array()
        .unwrap()
        .iter()
        .flat_map(|item| item["reasons"].as_array().unwrap())
        .map(|reason| reason.as_str().unwrap())
        .collect();

    // A note would say that an item was not reached: then the demo is of another form.
    assert_eq!(said, "", "make the demo again, see exams/demo/README.md");
    assert!((75.0..=85.0).contains(&mark), "{mark}");
    assert_eq!(summary["passed"], true);
    for expected in [
        "Right at once",
        "s late",
        "Right at the second attempt",
        "Right after one foreign note",
        "Right after 2 foreign notes",
        "was on top: the",
        "outside the register asked",
        "some are doubled",
        "instead of",
        "it is another chord",
        "its neighbour in the cycle of fourths",
        ": late",
        "not played",
        "missing in the left hand",
        "added",
        " for ",
        "No answer: it was",
        "each chord tone has its own letter",
        "not written",
    ] {
        assert!(
            reasons.iter().any(|reason| reason.contains(expected)),
            "no reason says `{expected}`: {reasons:#?}"
        );
    }
    let has_graze = result["item"]
        .as_array()
        .unwrap()
        .iter()
        .any(|item| item.get("grazes").and_then(toml::Value::as_integer) == Some(1));
    assert!(has_graze, "no graze was set aside");
}
