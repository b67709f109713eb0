//! Sittings: live, replayed, resumed and marked again, always the same marks.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod equal;
mod killed;
mod recorded;
pub(crate) mod room;
pub(crate) mod student;

use std::path::Path;
use std::process::{Command, Output};

/// The program, with its arguments split at blanks, run in a folder.
pub(crate) fn program(folder: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_viva-voicing"));
    let _ = command.current_dir(folder);
    command
}

/// Runs the program and returns its exit code, standard output and standard error.
pub(crate) fn run(folder: &Path, arguments: &[&str]) -> (i32, String, String) {
    said(&program(folder).args(arguments).output().unwrap())
}

pub(crate) fn said(output: &Output) -> (i32, String, String) {
    (
        output.status.code().expect("the program was not killed"),
        String::from_utf8(output.stdout.clone()).unwrap(),
        String::from_utf8(output.stderr.clone()).unwrap(),
    )
}

/// The only result in a folder.
pub(crate) fn only_result(folder: &Path) -> std::path::PathBuf {
    let mut files: Vec<_> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "toml"))
        .collect();
    assert_eq!(files.len(), 1, "{files:?}");

    files.remove(0)
}
