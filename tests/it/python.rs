//! A python with the packages that a check from outside needs.

use std::env;
use std::io::Write as _;
use std::process::Command;

/// Finds the python that has some packages; a gate must have it, elsewhere it is told what lacks.
pub(crate) fn with(packages: &str, requirements: &str) -> Option<&'static str> {
    let python = "python3";
    let found = Command::new(python)
        .args(["-c", &format!("import {packages}")])
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .is_ok_and(|output| output.status.success());
    let must_run = env::var("CI").is_ok_and(|ci| ci == "true");

    assert!(
        found || !must_run,
        "a gate has the packages of {requirements}"
    );
    if !found {
        drop(writeln!(
            std::io::stderr(),
            "NOT RUN: this needs tests/reference/{requirements}"
        ));
    }
    found.then_some(python)
}
