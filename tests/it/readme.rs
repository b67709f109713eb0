//! What the first page shows is what the program prints.
//!
//! Each `console` block of README.md is run in turn in a folder with the shipped exams; the output
//! must be the one shown, up to a line `...` where the page cuts it. `UPDATE=1` rewrites the page.

use std::path::Path;
use std::process::Command;
use std::{env, fs};

use tempfile::TempDir;

/// Lines that are kept of a long output, where the page has a `...`.
const KEPT: usize = 44;

fn copy(from: &Path, to: &Path) {
    fs::create_dir_all(to).unwrap();

    for entry in fs::read_dir(from).unwrap() {
        let entry = entry.unwrap();
        let target = to.join(entry.file_name());
        if entry.path().is_dir() {
            copy(&entry.path(), &target);
        } else {
            let _ = fs::copy(entry.path(), target).unwrap();
        }
    }
}

/// Runs one command line of the program in a folder and returns all that it prints.
fn run(line: &str, folder: &Path) -> String {
    let mut words = line.split_whitespace();
    assert_eq!(words.next(), Some("viva-voicing"), "{line}");
    let output = Command::new(env!("CARGO_BIN_EXE_viva-voicing"))
        .args(words)
        .current_dir(folder)
        .env("COLUMNS", "100")
        .output()
        .unwrap();

    String::from_utf8(output.stderr).unwrap() + &String::from_utf8(output.stdout).unwrap()
}

/// Runs the commands of one block and gives the block back as it should be.
fn redone(block: &str, folder: &Path) -> String {
    let cut = block.lines().any(|line| line == "...");
    let mut out = String::new();

    for line in block.lines().filter(|line| line.starts_with("$ ")) {
        let printed = run(&line[2..], folder);
        let lines: Vec<&str> = printed.lines().collect();
        out.push_str(line);
        out.push('\n');
        let kept = if cut {
            KEPT.min(lines.len())
        } else {
            lines.len()
        };
        for line in &lines[..kept] {
            out.push_str(line.trim_end());
            out.push('\n');
        }
        if kept < lines.len() {
            out.push_str("...\n");
        }
    }

    out
}

#[test]
fn the_first_page_shows_what_the_program_prints() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let page = fs::read_to_string(root.join("README.md")).unwrap();
    let room = TempDir::new().unwrap();
    copy(&root.join("exams"), &room.path().join("exams"));
    copy(&root.join("tests/fixtures/readme"), room.path());

    let mut pieces = page.split("```console\n");
    let mut fresh = pieces.next().unwrap_or_default().to_owned();
    let mut blocks = 0;

    for piece in pieces {
        let (block, rest) = piece.split_once("```").expect("a block ends");
        fresh += &format!("```console\n{}```{rest}", redone(block, room.path()));
        blocks += 1;
    }
    assert!(blocks >= 8, "the page shows the use of each verb");

    if env::var_os("UPDATE").is_some() {
        fs::write(root.join("README.md"), &fresh).unwrap();
    } else {
        assert_eq!(
            page, fresh,
            "run the tests with UPDATE=1 and look at README.md"
        );
    }
}
