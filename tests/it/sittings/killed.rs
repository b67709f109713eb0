//! Sittings that are killed and taken up again: nothing acknowledged is lost.

use std::path::Path;
use std::time::Duration;

use viva_voicing::cli::replay;
use viva_voicing::exam::chance::Chance;
use viva_voicing::exam::form::Task;
use viva_voicing::instruments::performance::{self, Kind, Performance};
use viva_voicing::results::{document, seal};
use viva_voicing::sitting::outcome::outcome;
use viva_voicing::sitting::{Event, Sitting, journal, resume};
use viva_voicing::time::Time;

use super::room::{MIXED, Room, marks, same};

/// The exact credits of all showings that had closed, in order.
fn done(sitting: &Sitting) -> Vec<String> {
    let open = sitting.open_item();
    let outcome = outcome(sitting);
    let shown = outcome.items.iter().filter(|item| item.showing.is_some());
    let mut done: Vec<String> = shown
        .map(|item| format!("{} {:?}", item.item.number, item.marked.credit()))
        .collect();
    if open.is_some() {
        drop(done.pop());
    }

    done
}

/// Kills a sitting at a byte of its journal and goes on with another student.
fn check(room: &Room, text: &str, ends: &[usize], cut: usize, seed: u64) {
    let what = format!("cut at byte {cut} of {}", text.len());
    let lines = ends.iter().filter(|end| **end <= cut).count();
    let reading = journal::read(&text.as_bytes()[..cut]).unwrap();
    assert_eq!(reading.bodies.len(), lines, "{what}");
    if lines == 0 {
        // Not even the head was acknowledged: there was no sitting yet.
        assert!(resume::sitting(&reading).is_err(), "{what}");
        return;
    }

    // All that was acknowledged is there, and the marks of what was done are those it had.
    let (header, mut sitting) = resume::sitting(&reading).unwrap();
    let done_then = done(&sitting);
    same(&done(&room.sitting)[..done_then.len()], &done_then, &what);
    let events = &room.events[..lines - 1];
    let kept: usize = sitting
        .showings()
        .iter()
        .map(|showing| showing.events.len())
        .sum();
    let all: usize = room
        .sitting
        .showings()
        .iter()
        .take(sitting.showings().len())
        .map(|showing| showing.events.len())
        .sum();
    assert!(kept <= all && kept <= events.len(), "{what}");

    // The item that was open is voided and replaced, and an incident says so.
    let ended = sitting.end().is_some();
    let open = sitting.open_item();
    let before = sitting.incidents().len();
    let mut resumed = Vec::new();
    for (at, event) in resume::interruption(&sitting, reading.torn) {
        drop(sitting.update(event.clone(), at));
        resumed.push((at, event));
    }
    assert_eq!(sitting.incidents().len() > before, !ended, "{what}");
    if let Some(open) = open {
        let showing = sitting.showings().last().unwrap();
        assert_eq!(showing.number, open, "{what}");
        let why = showing.voided.as_deref().expect("it was voided");
        assert!(why.starts_with("the program ended"), "{what}: {why}");
        let next = sitting.next_item().expect("something takes its place");
        let form = sitting.form();
        let (old, new) = (form.item(open).unwrap(), form.item(next).unwrap());
        assert_eq!((old.section, old.cell), (new.section, new.cell), "{what}");
        if matches!(old.task, Task::Run(_)) {
            assert_eq!(next, open, "{what}: a run starts again");
        }
    }
    same(&done(&sitting)[..done_then.len()], &done_then, &what);

    // It goes on to a result that is sealed, holds everything, and whose journal replays.
    let mut on = Room::goes_on(sitting, header.script, seed).sit();
    let mut all = room.events[..lines - 1].to_vec();
    all.extend(resumed);
    all.append(&mut on.events);
    on.events = all;
    let result = document::write(&on.sitting, &on.given());
    assert!(seal::audit(&result).is_ok(), "{what}");
    let stored = document::read(&result, None).unwrap();
    same(&marks(&stored.sitting), &marks(&on.sitting), &what);
    same(&done(&on.sitting)[..done_then.len()], &done_then, &what);
    if !seed.is_multiple_of(4) {
        return;
    }
    let (whole, _) = on.journal();
    let (_, again) = resume::sitting(&journal::read(whole.as_bytes()).unwrap()).unwrap();
    same(again.showings(), on.sitting.showings(), &what);
    same(again.incidents(), on.sitting.incidents(), &what);
}

#[test]
fn a_sitting_killed_at_two_hundred_moments_goes_on() {
    let mut chance = Chance::new("killed", &[1]);

    for seed in 0..10 {
        let room = Room::new(3_000 + seed).sit();
        let (text, ends) = room.journal();
        for cut in 0..20 {
            // Most of a journal is its head: half of the cuts are made after it.
            let from = if cut % 10 == 0 { 0 } else { ends[0] };
            let at = from + chance.below(text.len() - from + 1);
            check(&room, &text, &ends, at, seed * 100 + cut);
        }
    }
}

/// Starts `sit --journal` and kills it after a while, or lets it end.
fn kill(folder: &Path, exam: &str, performance: &str, journal: &str, after: Duration) {
    let mut running = super::program(folder)
        .args(["sit", exam, "--performance", performance])
        .args(["--journal", journal, "--results", "killed"])
        .stdout(std::process::Stdio::null())
        .stderr(std::process::Stdio::null())
        .spawn()
        .unwrap();
    // A wait for another program's work; nothing depends on how far it gets.
    let begun = std::time::Instant::now();
    while begun.elapsed() < after && running.try_wait().unwrap().is_none() {
        std::thread::yield_now();
    }
    let _ = running.kill();
    let _ = running.wait().unwrap();
}

#[test]
fn the_program_killed_while_it_sits_is_taken_up_again() {
    let folder = tempfile::tempdir().unwrap();
    let exam = std::fs::canonicalize(MIXED).unwrap();
    let exam = exam.to_str().unwrap();
    let room = Room::calm(77).sit();
    let bytes = performance::write(&replay::performance(&room.sitting));
    std::fs::write(folder.path().join("live.mid"), bytes).unwrap();

    let mut chance = Chance::new("the program killed", &[2]);
    let mut inside = 0;
    for kill_number in 0..12 {
        let name = format!("{kill_number}.journal");
        let journal = folder.path().join(&name);
        let after = Duration::from_micros(15_000 + 25_000 * kill_number);
        kill(folder.path(), exam, "live.mid", &name, after);
        let Ok(mut text) = std::fs::read(&journal) else {
            continue;
        };
        if kill_number % 2 == 1 && text.len() > 4_000 {
            // A kill seldom stops inside a write. A power cut does.
            let torn = text.len() - chance.below(60);
            text.truncate(torn);
            std::fs::write(&journal, &text).unwrap();
        }
        let reading = journal::read(&text).unwrap();
        let results = format!("{kill_number}-results");
        let arguments = ["sit", "--resume", &name, "--results", &results];
        let (code, said, complaint) = super::run(folder.path(), &arguments);
        if reading.bodies.is_empty() {
            assert_eq!(code, 1, "{said}");
            assert!(complaint.contains("found an empty one"), "{complaint}");
            continue;
        }
        assert_eq!(code, 0, "{complaint}");

        let (_, then) = resume::sitting(&reading).unwrap();
        inside += usize::from(then.end().is_none() && !then.showings().is_empty());
        let result = super::only_result(&folder.path().join(&results));
        let (code, said, complaint) =
            super::run(folder.path(), &["audit", result.to_str().unwrap()]);
        assert_eq!((code, complaint.as_str()), (0, ""), "{said}");
        let stored = document::read(&std::fs::read_to_string(&result).unwrap(), None).unwrap();
        let before = done(&then);
        same(&done(&stored.sitting)[..before.len()], &before, &name);
        let why = stored
            .sitting
            .incidents()
            .iter()
            .any(|incident| incident.text.starts_with("the program ended"));
        assert_eq!(why, then.end().is_none(), "{name}");
    }
    assert!(inside > 2, "{inside} kills came inside the sitting");
}

/// Splits a performance before an item: the part after it, moved to begin at zero.
fn rest(performance: &Performance, after: Time, spare: Option<(u32, u32)>) -> Performance {
    let events = performance
        .events
        .iter()
        .filter(|event| event.at >= after)
        .map(|event| performance::Event {
            at: event.at - after,
            kind: match (&event.kind, spare) {
                (Kind::Item(number), Some((old, new))) if *number == old => Kind::Item(new),
                (kind, _) => kind.clone(),
            },
        });

    Performance {
        events: events.collect(),
        ..performance.clone()
    }
}

#[test]
fn a_sitting_goes_on_with_the_rest_of_its_performance() {
    let folder = tempfile::tempdir().unwrap();
    let room = Room::calm(5).sit();
    let (text, ends) = room.journal();
    let performance = replay::performance(&room.sitting);

    // Killed in the middle of item 4: item 4 is voided and a spare one takes its place.
    let shown = |number: u32| {
        room.events
            .iter()
            .position(|(_, event)| *event == Event::Shown(number))
            .unwrap()
    };
    let cut = ends[shown(4) + 2];
    std::fs::write(folder.path().join("cut.journal"), &text[..cut]).unwrap();
    let (_, mut sitting) =
        resume::sitting(&journal::read(&text.as_bytes()[..cut]).unwrap()).unwrap();
    assert_eq!(sitting.open_item(), Some(4));
    for (at, event) in resume::interruption(&sitting, false) {
        drop(sitting.update(event, at));
    }
    let spare = sitting.next_item().unwrap();
    assert_ne!(spare, 4);

    let begins = room.events[shown(4)].0;
    let part = rest(&performance, begins, Some((4, spare)));
    std::fs::write(folder.path().join("rest.mid"), performance::write(&part)).unwrap();
    let (code, _, complaint) = super::run(
        folder.path(),
        &[
            "sit",
            "--resume",
            "cut.journal",
            "--performance",
            "rest.mid",
            "--results",
            "out",
        ],
    );
    assert_eq!((code, complaint.as_str()), (0, ""));
    let result = super::only_result(&folder.path().join("out"));
    let stored = document::read(&std::fs::read_to_string(result).unwrap(), None).unwrap();
    let others = |sitting: &Sitting| -> Vec<String> {
        marks(sitting)
            .into_iter()
            .filter(|line| line.starts_with("item "))
            .filter(|line| !line.starts_with("item 4:"))
            .filter(|line| !line.starts_with(&format!("item {spare}:")))
            .collect()
    };
    same(
        &others(&stored.sitting),
        &others(&room.sitting),
        "all but the interrupted item",
    );
    assert!(marks(&stored.sitting).contains(&"item 4: voided".to_owned()));

    // The journal went on in the same file, and its head stands in the result.
    let text = std::fs::read(folder.path().join("cut.journal")).unwrap();
    let reading = journal::read(&text).unwrap();
    let (_, again) = resume::sitting(&reading).unwrap();
    same(again.showings(), stored.sitting.showings(), "the journal");
    let result = std::fs::read_to_string(super::only_result(&folder.path().join("out"))).unwrap();
    assert_eq!(seal::audit(&result).unwrap().journal, Some(reading.head));

    // It ended: taking it up once more gives the same marks under another name.
    let arguments = ["sit", "--resume", "cut.journal", "--results", "again"];
    let (code, _, complaint) = super::run(folder.path(), &arguments);
    assert_eq!((code, complaint.as_str()), (0, ""));
    let again = super::only_result(&folder.path().join("again"));
    let again = document::read(&std::fs::read_to_string(again).unwrap(), None).unwrap();
    same(&marks(&again.sitting), &marks(&stored.sitting), "again");
}

#[test]
fn a_journal_that_is_no_sitting_is_refused_in_one_line() {
    let folder = tempfile::tempdir().unwrap();
    let check = |text: &str, expected: &str| {
        std::fs::write(folder.path().join("j"), text).unwrap();
        let arguments = ["sit", "--resume", "j"];
        let (code, said, complaint) = super::run(folder.path(), &arguments);
        assert_eq!((code, said.as_str()), (1, ""), "{complaint}");
        assert!(complaint.contains(expected), "{complaint}");
        assert_eq!(complaint.lines().count(), 1, "{complaint}");
    };
    check(
        "",
        "j: expected the journal of a sitting, found an empty one",
    );
    check(
        "no journal\n",
        "j: expected the journal of a sitting, found an empty one",
    );
    check(
        "no journal\nat all\n",
        "j: line 1: expected a line that begins",
    );
    let room = Room::calm(5);
    let (text, _) = room.journal();
    check(&text.replace("3118", "3119"), "j: line 1: expected digest");
    let _ = std::fs::remove_file(folder.path().join("j"));
    let (code, _, complaint) = super::run(folder.path(), &["sit", "--resume", "j"]);
    assert_eq!((code, complaint.lines().count()), (1, 1), "{complaint}");
}
