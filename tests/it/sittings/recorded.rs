//! A recorded journal with its expected marks, committed: old journals stay readable.
//!
//! `UPDATE=1 cargo test recorded` writes the marks anew; the journal is made again where there is
//! none.

use std::path::Path;

use viva_voicing::sitting::{journal, resume};

use super::room::{Room, marks, same};

const JOURNAL: &str = "tests/fixtures/sittings/mixed.journal";
const MARKS: &str = "tests/fixtures/sittings/mixed.marks";

#[test]
fn a_recorded_sitting_keeps_its_marks() {
    let update = std::env::var_os("UPDATE").is_some();
    if update && !Path::new(JOURNAL).exists() {
        std::fs::write(JOURNAL, Room::new(1).sit().journal().0).unwrap();
    }
    let reading = journal::read(&std::fs::read(JOURNAL).unwrap()).unwrap();
    let (_, sitting) = resume::sitting(&reading).unwrap();
    let found = marks(&sitting);
    if update {
        std::fs::write(MARKS, found.join("\n") + "\n").unwrap();
    }
    let expected = std::fs::read_to_string(MARKS).unwrap();
    let expected: Vec<String> = expected.lines().map(str::to_owned).collect();
    same(&found, &expected, MARKS);
}
