//! Rules of the source, as tests: every rule is a function over text that is tried on planted
//! faults before it is let loose on the project.

mod code;
mod files;
mod layers;
mod licences;
mod lines;
mod readme;

use std::fs;
use std::path::{Path, PathBuf};

/// A fault: `src/theory/pitch.rs:3: theory may not use sitting`.
type Faults = Vec<String>;

/// The folders that hold the project; what else lies about is nobody's business here.
const FOLDERS: [&str; 5] = ["src", "tests", "exams", "assets", ".ci"];

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// A file of the project, its path written with `/`.
struct Source {
    path: String,
    text: String,
}

/// Reads every text file of the project that a rule accepts by its path.
fn sources(accepts: impl Fn(&str) -> bool) -> Vec<Source> {
    let all: Vec<Source> = paths()
        .into_iter()
        .filter(|path| accepts(path))
        .map(|path| Source {
            text: fs::read_to_string(root().join(&path))
                .unwrap_or_else(|error| panic!("{path}: {error}")),
            path,
        })
        .collect();

    assert!(!all.is_empty(), "the rule finds no file to look at");
    all
}

/// The paths of all files, sorted.
fn paths() -> Vec<String> {
    let mut found = Vec::new();
    for folder in FOLDERS {
        walk(&root().join(folder), &mut found);
    }
    found.extend(entries(root()).into_iter().filter(|path| path.is_file()));

    let mut paths: Vec<String> = found
        .iter()
        .map(|path| {
            let relative = path.strip_prefix(root()).expect("it lies in the project");
            let parts: Vec<_> = relative.iter().map(|part| part.to_string_lossy()).collect();
            parts.join("/")
        })
        .collect();
    paths.sort();
    paths
}

fn walk(folder: &Path, found: &mut Vec<PathBuf>) {
    for path in entries(folder) {
        let name = path.file_name().unwrap_or_default().to_string_lossy();
        if !path.is_dir() {
            found.push(path);
        } else if !name.starts_with('.') && name != "__pycache__" {
            walk(&path, found);
        }
    }
}

fn entries(folder: &Path) -> Vec<PathBuf> {
    fs::read_dir(folder)
        .map(|entries| entries.flatten().map(|entry| entry.path()).collect())
        .unwrap_or_default()
}

fn is_rust(path: &str) -> bool {
    path.ends_with(".rs")
}

/// Files that are written and read as text by people.
fn is_text(path: &str) -> bool {
    let name = path.rsplit('/').next().unwrap_or(path);
    let extension = name.rsplit_once('.').map_or("", |(_, extension)| extension);

    matches!(
        extension,
        "rs" | "toml" | "md" | "py" | "sh" | "csv" | "txt"
    ) || path == ".ci/run"
}

/// Runs a rule over files and shows every fault at once.
fn check(sources: &[Source], rule: impl Fn(&Source) -> Faults) {
    let faults: Faults = sources.iter().flat_map(rule).collect();

    assert!(faults.is_empty(), "\n{}\n", faults.join("\n"));
}

/// Tries a rule on one planted file.
fn planted(path: &str, text: &str, rule: impl Fn(&Source) -> Faults, expected: &[&str]) {
    let source = Source {
        path: path.to_owned(),
        text: text.to_owned(),
    };

    assert_eq!(rule(&source), expected, "in {path}:\n{text}");
}
