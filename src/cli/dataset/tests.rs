//! Data sets on disk: written again, cut off, completed.

use super::*;
use crate::exam::code::Code;
use crate::exam::{draw, read as script};
use crate::marking::event::Action;
use crate::marking::item::Allowance;
use crate::results::document::{self, Given};
use crate::sitting::{Event, Sitting};
use crate::theory::Key;
use crate::time::Time;

const SCRIPT: &str = r#"
title = "Small"

[[section]]
id = "A"
title = "Cold voicings"
kind = "voicing"
points = 40
seconds = 6
form = "guide-tones"
cells = [{ count = 3, quality = "7", order = "third on top" }]
"#;

/// A result with a few strikes, on the first or the second day.
fn result(candidate: usize) -> String {
    let (exam, _) = script::read(SCRIPT, "small");
    let exam = exam.unwrap();
    let form = draw::draw(&exam, Code::FIRST).unwrap();
    let mut sitting = Sitting::new(exam, form, Allowance::NONE);
    let mut at = Time::ZERO;
    while sitting.end().is_none() {
        at += Time::from_ms(100);
        let event = match (sitting.open_item(), sitting.next_item()) {
            (Some(_), _) => Event::Did(Action::Down(Key::new(40 + candidate as i64).unwrap(), 80)),
            (None, Some(next)) => Event::Shown(next),
            (None, None) => Event::Finished,
        };
        drop(sitting.update(event, at));
        if at > Time::from_ms(60_000) {
            drop(sitting.update(Event::Finished, at));
        }
    }
    let given = Given {
        program: "0.1.0".to_owned(),
        script: SCRIPT.to_owned(),
        candidate: candidate.to_string(),
        started: format!("2026-03-{:02}T10:21:00Z", 12 + candidate % 2),
        ..Given::default()
    };

    document::write(&sitting, &given)
}

fn results(folder: &Path, count: usize) -> Vec<PathBuf> {
    (0..count)
        .map(|candidate| {
            let path = folder.join(format!("{candidate}.toml"));
            fs::write(&path, result(candidate)).unwrap();
            path
        })
        .collect()
}

fn files(folder: &Path) -> BTreeMap<PathBuf, Vec<u8>> {
    let mut found = BTreeMap::new();
    let mut folders = vec![folder.to_owned()];
    while let Some(at) = folders.pop() {
        for entry in fs::read_dir(at).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else {
                let name = path.strip_prefix(folder).unwrap().to_owned();
                drop(found.insert(name, fs::read(path).unwrap()));
            }
        }
    }

    found
}

/// The results that each table has rows of, and no two parts the same.
fn there(folder: &Path) -> [usize; 3] {
    tables::NAMES.map(|table| {
        let mut all = BTreeSet::new();
        for name in files(folder).into_keys() {
            if name.starts_with(table) {
                for result in read(&folder.join(name)).unwrap() {
                    assert!(all.insert(result), "{table}: a result is there twice");
                }
            }
        }
        all.len()
    })
}

#[test]
fn the_same_results_again_add_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let into = folder.path().join("set");
    let results = results(folder.path(), 9);

    let report = write(&results, &into).unwrap();
    assert_eq!((report.added.sittings, report.parts), (9, 2));
    assert_eq!((report.added.items, report.there), (27, 0));
    assert!(report.added.events > 9);
    let once = files(&into);
    assert_eq!(once.len(), 6, "{:?}", once.keys());
    for name in once.keys() {
        let name = name.to_str().unwrap();
        assert!(
            ["12", "13"]
                .iter()
                .any(|day| name.contains(&format!("/exam=small/date=2026-03-{day}/part-"))),
            "{name}"
        );
    }

    // Also in another order, and twice.
    let mut again: Vec<PathBuf> = results.iter().rev().cloned().collect();
    again.extend(results.clone());
    let report = write(&again, &into).unwrap();
    assert_eq!((report.added, report.there), (Counts::default(), 9));
    assert!(files(&into) == once);

    // The same results make the same bytes wherever they are written.
    let other = folder.path().join("other");
    drop(write(&again, &other).unwrap());
    assert!(files(&other) == once);
}

#[test]
fn what_is_missing_is_added_beside() {
    let folder = tempfile::tempdir().unwrap();
    let into = folder.path().join("set");
    let results = results(folder.path(), 9);
    drop(write(&results[..4], &into).unwrap());
    let before = files(&into);

    let report = write(&results, &into).unwrap();
    assert_eq!((report.added.sittings, report.there), (5, 4));
    let now = files(&into);
    assert!(
        before
            .iter()
            .all(|(name, bytes)| now.get(name) == Some(bytes))
    );
    assert_eq!(there(&into), [9; 3]);
}

#[test]
fn a_run_that_was_cut_off_is_completed_by_the_next() {
    let folder = tempfile::tempdir().unwrap();
    let results = results(folder.path(), 9);
    let whole = folder.path().join("whole");
    drop(write(&results[..5], &whole).unwrap());

    // Cut off before the sittings, and before the events too.
    for lost in [&["sittings"][..], &["sittings", "events"]] {
        let into = folder.path().join(lost.join("-"));
        drop(write(&results[..5], &into).unwrap());
        for table in lost {
            fs::remove_dir_all(into.join(table)).unwrap();
        }

        let error = write(&results[1..], &into).unwrap_err().0;
        assert!(error.contains("an earlier run was cut off"), "{error}");
        let report = write(&results, &into).unwrap();
        assert_eq!(report.added.sittings, 9);
        assert_eq!(there(&into), [9; 3]);
        let now = files(&into);
        let kept = files(&whole);
        assert!(
            kept.iter()
                .all(|(name, bytes)| now.get(name) == Some(bytes))
        );
    }
}

#[test]
fn damaged_results_are_listed_and_left_out() {
    let folder = tempfile::tempdir().unwrap();
    let into = folder.path().join("set");
    let mut results = results(folder.path(), 3);
    fs::write(&results[1], result(1).replacen("level = 0", "level = 4", 1)).unwrap();
    results.push(folder.path().join("none.toml"));

    let report = write(&results, &into).unwrap();
    assert_eq!(report.added.sittings, 2);
    let damaged: Vec<_> = report.damaged.iter().map(|(path, _)| path).collect();
    assert_eq!(damaged, [&results[1], &results[3]]);
    assert!(
        report.damaged[0].1.contains("was changed"),
        "{:?}",
        report.damaged
    );
}

#[test]
fn a_foreign_part_or_another_writer_is_told_of() {
    let folder = tempfile::tempdir().unwrap();
    let into = folder.path().join("set");
    let results = results(folder.path(), 2);
    drop(write(&results, &into).unwrap());
    let foreign = into.join("sittings/exam=small/date=2026-03-12/x.parquet");
    fs::write(&foreign, "no table").unwrap();
    let error = write(&results, &into).unwrap_err().0;
    assert!(error.starts_with(&foreign.display().to_string()), "{error}");
    assert!(error.contains("expected a part of a data set"), "{error}");

    fs::remove_file(foreign).unwrap();
    let held = lock(&into).unwrap();
    if held.is_some() {
        let error = write(&results, &into).unwrap_err().0;
        assert!(error.contains("another program is writing"), "{error}");
    }
    drop(held);
    assert!(write(&results, &into).is_ok());
}
