//! The first page's two commands are the ones that the gate runs.

use std::fs;

use super::{Faults, root};

/// Sets up, and opens the kiosk; the gate opens it behind its own steps.
const KIOSK: &str = "cargo run --release";

/// Passes the tests.
const TEST: &str = "cargo test";

/// The first two shell blocks hold one command each, and the gate runs both as they stand.
fn commands(readme: &str, gate: &str) -> Faults {
    let mut faults = Faults::new();
    let blocks: Vec<&str> = readme
        .split("```sh\n")
        .skip(1)
        .filter_map(|rest| rest.split("\n```").next())
        .take(2)
        .collect();

    if blocks != [KIOSK, TEST] {
        faults.push(format!(
            "README.md: expected the commands {:?}, found {blocks:?}",
            [KIOSK, TEST]
        ));
    }
    for command in [KIOSK, TEST] {
        if !gate
            .lines()
            .any(|line| line.trim().trim_end_matches(" &") == command)
        {
            faults.push(format!(".ci/run: expected a line `{command}`"));
        }
    }

    faults
}

#[test]
fn the_gate_runs_the_commands_of_the_readme() {
    let read = |path| fs::read_to_string(root().join(path)).expect("the file is there");

    assert_eq!(
        commands(&read("README.md"), &read(".ci/run")),
        Faults::new()
    );
}

#[test]
fn commands_that_differ_are_found() {
    let readme = format!("# A\n\n```sh\n{KIOSK}\n```\n\n```sh\n{TEST}\n```\n\n```sh\nother\n```\n");
    let gate = format!("set -e\n{KIOSK}\n  {TEST}\n");

    assert_eq!(commands(&readme, &gate), Faults::new());
    assert_eq!(
        commands(&readme, &gate.replace("cargo test", "cargo test --lib")),
        [".ci/run: expected a line `cargo test`"]
    );
    assert_eq!(
        commands(&readme.replace("cargo test", "cargo test --all"), &gate).len(),
        1
    );
    assert_eq!(commands("# A\n", "").len(), 3);
}
