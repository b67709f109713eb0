//! Exam scripts: right ones are read and drawn, wrong ones told to the last column.

mod anything;
mod bad;
mod binary;
mod good;

use std::fs;
use std::path::{Path, PathBuf};

/// The folder of the right or the wrong scripts.
fn folder(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/fixtures/scripts")
        .join(name)
}

/// Lists the scripts of a folder by name.
fn scripts(folder: &Path) -> Vec<PathBuf> {
    let mut paths: Vec<PathBuf> = fs::read_dir(folder)
        .expect("the folder is there")
        .map(|entry| entry.expect("the folder can be listed").path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "toml"))
        .collect();
    paths.sort();

    paths
}

fn text(path: &Path) -> String {
    fs::read_to_string(path).expect("the script is UTF-8")
}

/// The right scripts, and the exam that is shipped.
fn right() -> Vec<(PathBuf, String)> {
    let mut paths = scripts(&folder("good"));
    paths.extend(scripts(
        &Path::new(env!("CARGO_MANIFEST_DIR")).join("exams"),
    ));

    paths
        .into_iter()
        .map(|path| {
            let text = text(&path);
            (path, text)
        })
        .collect()
}
