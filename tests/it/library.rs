//! The exams that the program brings along: without fault, drawn as they say, sat by all sorts.

mod forms;
pub(crate) mod sat;

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use viva_voicing::exam::read;
use viva_voicing::exam::script::{Ask, Exam, Kind};

/// An exam of the folder, with its script.
pub(crate) struct Shipped {
    pub(crate) exam: Exam,
    pub(crate) source: String,
}

/// All scripts of the folder, by name.
fn scripts() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("exams");
    let mut paths: Vec<PathBuf> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "toml"))
        .collect();

    paths.sort();
    assert!(paths.len() >= 11, "{paths:?}");
    paths
}

pub(crate) fn shipped() -> Vec<Shipped> {
    scripts()
        .iter()
        .map(|path| {
            let name = path.file_stem().unwrap().to_str().unwrap();
            let source = std::fs::read_to_string(path).unwrap();
            let (exam, found) = read::read(&source, name);
            assert!(found.is_empty(), "{name}: {found:?}");
            Shipped {
                exam: exam.unwrap(),
                source,
            }
        })
        .collect()
}

#[test]
fn every_exam_is_without_fault_and_warning() {
    let all = shipped();

    for Shipped { exam, .. } in &all {
        assert!(!exam.level.is_empty(), "{}", exam.name);
        assert!(!exam.about.trim().is_empty(), "{}", exam.name);
        assert!(!exam.bands.is_empty(), "{}", exam.name);
    }
}

/// Whom it is for, how long it takes and how it is marked: a teacher reads that first.
#[test]
fn every_script_begins_with_whom_it_is_for_how_long_it_takes_and_how_it_is_marked() {
    for Shipped { exam, source } in shipped() {
        let head: Vec<&str> = source
            .lines()
            .take_while(|line| line.starts_with('#'))
            .map(|line| line.trim_start_matches('#').trim())
            .collect();
        let head = head.join(" ");
        for word in ["For ", "It takes about", "minutes", "Marks: "] {
            let is_said = head.contains(word) || word == "It takes about" && head.contains("It is");
            assert!(is_said, "{}: no `{word}` in its header", exam.name);
        }
        let commented = source
            .split("\n[[section]]\n")
            .skip(1)
            .zip(source.split("\n[[section]]\n"));
        for (section, before) in commented {
            let explains = before
                .lines()
                .next_back()
                .is_some_and(|line| line.starts_with("# "));
            let is_rest = section.contains("kind = \"rest\"");
            assert!(
                explains || is_rest,
                "{}: a section without a word:\n{}",
                exam.name,
                section.lines().take(2).collect::<String>()
            );
        }
    }
}

#[test]
fn every_kind_of_section_and_every_question_is_asked_somewhere() {
    let all = shipped();
    let sections = || all.iter().flat_map(|shipped| &shipped.exam.sections);
    let kinds: BTreeSet<&str> = sections().map(|section| section.kind.word()).collect();
    let asks: Vec<Ask> = sections()
        .filter_map(|section| match &section.kind {
            Kind::Ear(ear) => Some(ear.asks.clone()),
            _ => None,
        })
        .flatten()
        .collect();

    assert_eq!(
        kinds,
        BTreeSet::from(["ear", "panel", "rest", "run", "spell", "voicing"])
    );
    for (word, ask) in Ask::WORDS {
        assert!(asks.contains(&ask), "nobody asks for `{word}`");
    }
}
