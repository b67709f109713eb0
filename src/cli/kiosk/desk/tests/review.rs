//! A second look at a result that lies on disk: what is set makes a new one beside it.

use super::*;
use crate::kiosk::invigilator::Page;
use crate::results::summary;

/// A sitting that was handed in, its result, and the page of its first item.
fn looked(folder: &Path) -> (Stand, PathBuf) {
    let mut stand = stand(folder);
    stand.sit("3118");
    let _ = stand.open_item(300);
    stop(&mut stand);
    stand.wait(100);
    let name = PathBuf::from(&ended(&stand).kept.as_ref().unwrap().name);
    open(&mut stand);
    let row = row(&stand, "Review the items");
    stand.kiosk.act(Act::Invigilator(Do::Row(row)));
    stand.kiosk.act(Act::Invigilator(Do::Row(0)));
    assert_eq!(stand.kiosk.invigilator.page, Some(Page::Item(0)));

    (stand, name)
}

fn open(stand: &mut Stand) {
    stand.kiosk.act(Act::Invigilator(Do::Open));
    for sign in "2468".chars() {
        stand.kiosk.act(Act::Invigilator(Do::Sign(sign)));
    }
    stand.kiosk.act(Act::Invigilator(Do::Enter));
}

fn row(stand: &Stand, label: &str) -> usize {
    rows(&stand.kiosk)
        .iter()
        .position(|row| row.label == label)
        .unwrap_or_else(|| panic!("{label} is there"))
}

/// Sets the open item's level for the first reason, as JW.
fn set(stand: &mut Stand, level: char) {
    stand.kiosk.act(Act::Invigilator(Do::Sign(level)));
    stand.kiosk.act(Act::Invigilator(Do::Row(0)));
    while matches!(&stand.kiosk.invigilator.page, Some(Page::By { typed, .. }) if typed != "JW") {
        stand.kiosk.act(Act::Invigilator(Do::RubOut));
        for sign in "JW".chars() {
            stand.kiosk.act(Act::Invigilator(Do::Sign(sign)));
        }
    }
    stand.kiosk.act(Act::Invigilator(Do::Enter));
    stand.kiosk.act(Act::Invigilator(Do::Row(0)));
}

fn told(path: &Path) -> summary::Summary {
    summary::read(&fs::read_to_string(path).unwrap()).unwrap()
}

#[test]
fn levels_that_are_set_make_a_chain_of_results() {
    let folder = tempfile::tempdir().unwrap();
    let (mut stand, first) = looked(folder.path());
    let before = fs::read(&first).unwrap();
    set(&mut stand, '4');
    let second = PathBuf::from(&ended(&stand).kept.as_ref().unwrap().name);
    stand.kiosk.act(Act::Invigilator(Do::Enter));
    set(&mut stand, '2');
    let third = PathBuf::from(&ended(&stand).kept.as_ref().unwrap().name);

    assert_eq!(fs::read(&first).unwrap(), before);
    let (first, second, third) = (told(&first), told(&second), told(&third));
    let of = |made: &summary::Summary| made.remark_of.clone().unwrap().1.unwrap();
    assert_eq!(of(&second), first.digest.to_string());
    assert_eq!(of(&third), second.digest.to_string());
    assert_eq!(
        (first.overrules, second.overrules, third.overrules),
        (0, 1, 2)
    );
    // What is in memory is what is on disk.
    let here = outcome(&ended(&stand).sitting);
    let mark = crate::fraction::hundredths(here.grade.total.mark);
    assert_eq!(format!("{:.2}", third.mark as f64 / 100.0), mark);
    // Of the chain only the last is offered to be looked at.
    let listed = desk(folder.path()).results();
    assert_eq!(listed.len(), 1);
    assert!(listed[0].name.ends_with("-review-2.toml"), "{listed:?}");
}

#[test]
fn a_result_that_is_gone_or_altered_is_not_reviewed() {
    let folder = tempfile::tempdir().unwrap();
    let (mut stand, name) = looked(folder.path());
    let text = fs::read_to_string(&name).unwrap();
    fs::write(&name, text.replace("3118", "3119")).unwrap();
    set(&mut stand, '4');
    assert!(matches!(
        stand.kiosk.invigilator.page,
        Some(Page::Told(Said::Trouble(_)))
    ));
    assert!(ended(&stand).sitting.overrules().is_empty());
    assert_eq!(files(&folder.path().join("results"), "toml"), [name]);
}

#[test]
fn earlier_results_are_looked_at_when_nobody_sits() {
    let folder = tempfile::tempdir().unwrap();
    let (stand_before, name) = looked(folder.path());
    drop(stand_before);
    fs::write(folder.path().join("results/other.toml"), "[room]\n").unwrap();
    let mut stand = stand(folder.path());
    open(&mut stand);
    let results = row(&stand, "Review earlier results");
    stand.kiosk.act(Act::Invigilator(Do::Row(results)));
    let rows = rows(&stand.kiosk);
    assert_eq!(rows[0].label, "Candidate 3118");
    assert_eq!(rows.len(), 2);
    stand.kiosk.act(Act::Invigilator(Do::Row(0)));
    stand.kiosk.act(Act::Invigilator(Do::Row(0)));
    set(&mut stand, '4');
    let reviewed = name.with_file_name(format!(
        "{}-review.toml",
        name.file_stem().unwrap().to_string_lossy()
    ));
    assert_eq!(told(&reviewed).overrules, 1);
    // Out of it again: nothing of it is kept in the room.
    for _ in 0..4 {
        stand.kiosk.act(Act::Invigilator(Do::Back));
    }
    assert_eq!(stand.kiosk.invigilator.page, Some(Page::Desk));
}

#[test]
fn a_panel_that_marks_after_a_review_goes_on_from_it() {
    let folder = tempfile::tempdir().unwrap();
    let (mut stand, _) = looked(folder.path());
    set(&mut stand, '4');
    let reviewed = PathBuf::from(&ended(&stand).kept.as_ref().unwrap().name);
    for _ in 0..3 {
        stand.kiosk.act(Act::Invigilator(Do::Back));
    }
    let panel = row(&stand, "The panel’s marks");
    stand.kiosk.act(Act::Invigilator(Do::Row(panel)));
    for text in ["80", "Ann", "60", "Ann"] {
        for sign in text.chars() {
            stand.kiosk.act(Act::Invigilator(Do::Sign(sign)));
        }
        stand.kiosk.act(Act::Invigilator(Do::Enter));
    }
    let last = told(Path::new(&ended(&stand).kept.as_ref().unwrap().name));
    let (of, digest) = last.remark_of.unwrap();
    assert_eq!(reviewed.file_name().unwrap().to_str(), Some(of.as_str()));
    assert_eq!(digest.unwrap(), told(&reviewed).digest.to_string());
    assert_eq!(last.overrules, 1);
}
