//! Desks on disk: killed, full, shared.

mod print;
mod review;

use std::fs;
use std::path::Path;
use std::process::{Child, Command, Stdio};

use super::*;
use crate::kiosk::act::{Act, Do, Reason};
use crate::kiosk::invigilator::tests::Stand;
use crate::kiosk::invigilator::{Said, rows};
use crate::kiosk::model::Screen;

use crate::sitting::outcome::outcome;
use crate::sitting::{Event, journal};

fn desk(folder: &Path) -> Disk {
    let hash = pin::hash("2468").unwrap();

    Disk::new(&folder.join("results"), Some(folder.join("second"))).guarded(None, Some(hash))
}

fn stand(folder: &Path) -> Stand {
    Stand::new(Box::new(desk(folder)))
}

/// The files of a folder with an ending.
fn files(folder: &Path, ending: &str) -> Vec<PathBuf> {
    let Ok(entries) = fs::read_dir(folder) else {
        return Vec::new();
    };
    let mut files: Vec<_> = entries
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|other| other == ending))
        .collect();
    files.sort();
    files
}

fn journals(folder: &Path) -> Vec<PathBuf> {
    files(&folder.join(JOURNALS), "journal")
}

/// Stops as a candidate.
fn stop(stand: &mut Stand) {
    stand.kiosk.act(Act::AskToStop);
    stand.kiosk.act(Act::Stop(Reason::Done));
}

fn ended(stand: &Stand) -> &crate::kiosk::model::Ended {
    match &stand.kiosk.screen {
        Screen::End(ended) => ended,
        _ => panic!("it goes on"),
    }
}

/// What another process runs: it sits in the folder that the environment names, tells that an item
/// is open, and then waits to be killed.
const FOLDER: &str = "VIVA_VOICING_TEST_FOLDER";

#[test]
fn a_candidate_of_another_process() {
    let Some(folder) = std::env::var_os(FOLDER) else {
        return;
    };
    let folder = PathBuf::from(folder);
    let mut stand = stand(&folder);
    stand.sit("3118");
    for _ in 0..2 {
        let first = stand.open_item(0);
        stand.answer(first);
        while stand.seat().sitting().open_item() == Some(first) {
            stand.wait(100);
        }
    }
    let _ = stand.open_item(300);
    fs::write(folder.join("open"), "").unwrap();
    // Killed by the test, or ended with it when its input closes.
    let _ = std::io::Read::read(&mut std::io::stdin(), &mut [0]);
    std::process::abort();
}

/// Starts it, and returns when its item is open.
fn elsewhere(folder: &Path) -> Child {
    let mut child = Command::new(std::env::current_exe().unwrap())
        .args([
            "--exact",
            "cli::kiosk::desk::tests::a_candidate_of_another_process",
        ])
        .env(FOLDER, folder)
        .stdin(Stdio::piped())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    while !folder.join("open").exists() {
        assert_eq!(child.try_wait().unwrap(), None, "it ended before its item");
        std::thread::yield_now();
    }
    child
}

fn kill(mut child: Child) {
    child.kill().unwrap();
    let _ = child.wait().unwrap();
}

/// Marks of the items that were not voided, in order.
fn marks(sitting: &Sitting) -> Vec<String> {
    let outcome = outcome(sitting);
    let counted = outcome
        .items
        .iter()
        .filter(|item| item.showing.is_some_and(|showing| showing.voided.is_none()));

    counted
        .map(|item| format!("{} {:?}", item.item.number, item.marked.credit()))
        .collect()
}

/// Sits what is left.
fn sit_on(stand: &mut Stand) {
    let mut answered = None;
    for _ in 0..4_000 {
        let Screen::Seat(seat) = &stand.kiosk.screen else {
            return;
        };
        if matches!(
            seat.phase,
            crate::kiosk::seat::Phase::Page(_) | crate::kiosk::seat::Phase::Rest(_)
        ) {
            stand.kiosk.act(Act::Go);
        } else if let Some(number) = seat.sitting().open_item()
            && answered != Some(number)
        {
            answered = Some(number);
            stand.answer(number);
        }
        stand.wait(100);
    }
    panic!("it does not end");
}

#[test]
fn a_killed_sitting_is_taken_up_and_two_kiosks_never_write_one() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    let child = elsewhere(folder);

    // While the other process sits, its sitting is nobody's, and its candidate is told.
    let mut desk = desk(folder);
    assert_eq!(desk.unfinished(), []);
    assert_eq!(desk.before("try-out", "3118"), Some(Before::Sitting));
    assert_eq!(desk.before("try-out", "3119"), None);
    assert_eq!(desk.before("try-out", "31"), None);
    let path = journals(&folder.join("results")).remove(0);
    let refused = desk.take_up(path.to_str().unwrap());
    let why = refused.err().expect("it is held");
    assert!(
        why.contains("another program is writing this sitting"),
        "{why}"
    );

    kill(child);
    let waiting = desk.unfinished();
    assert_eq!(waiting.len(), 1);
    assert_eq!(
        (waiting[0].candidate.as_str(), waiting[0].is_over),
        ("3118", false)
    );
    assert_eq!(desk.before("try-out", "3118"), Some(Before::Interrupted));
    let text = fs::read(&path).unwrap();
    let (_, then) = resume::sitting(&journal::read(&text).unwrap()).unwrap();
    let open = then.open_item().expect("it was killed in an item");

    // The invigilator takes it up, and it goes on where it was with another item.
    let mut stand = stand(folder);
    let sheet = stand
        .kiosk
        .sheet(crate::kiosk::Paper::new(1920.0, 1080.0, 1.0, false));
    assert!(
        sheet.says("The sitting of candidate 3118 was interrupted"),
        "{:?}",
        sheet.said
    );
    stand.open("2468");
    stand.choose("Interrupted sittings");
    stand.write("1");
    stand.choose("Go on with it");
    let sitting = stand.seat().sitting();
    assert_eq!(sitting.now(), then.now());
    let last = sitting.showings().last().unwrap();
    assert_eq!(last.number, open);
    assert!(
        last.voided
            .as_deref()
            .unwrap()
            .starts_with("the program ended")
    );
    assert_eq!(stand.kiosk.candidate, "3118");
    stand.choose("Go on with the exam");
    stand.wait(3_100);
    let spare = stand.open_item(0);
    assert_ne!(spare, open);
    assert!(desk.unfinished().is_empty());
    sit_on(&mut stand);

    // The result has what the uninterrupted sitting has, but for the replaced item.
    let result = fs::read_to_string(files(&folder.join("results"), "toml").remove(0)).unwrap();
    let audited = seal::audit(&result).unwrap();
    let reading = journal::read(&fs::read(&path).unwrap()).unwrap();
    assert_eq!(audited.journal, Some(reading.head));
    let (_, again) = resume::sitting(&reading).unwrap();
    assert_eq!(again.showings(), ended(&stand).sitting.showings());
    assert_eq!(again.end(), ended(&stand).sitting.end());
    let calm = tempfile::tempdir().unwrap();
    let mut other = self::stand(calm.path());
    other.sit("3118");
    sit_on(&mut other);
    let without = |marks: Vec<String>, numbers: [u32; 2]| -> Vec<String> {
        let is_one = |line: &String| {
            numbers
                .iter()
                .any(|number| line.starts_with(&format!("{number} ")))
        };
        marks.into_iter().filter(|line| !is_one(line)).collect()
    };
    let (resumed, calm) = (marks(&ended(&stand).sitting), marks(&ended(&other).sitting));
    assert_eq!(resumed.len(), calm.len());
    let credits = |credit: &str| calm.iter().any(|line| line.contains(credit));
    assert!(credits("1, denom: 1") && credits("0, denom: 1"), "{calm:?}");
    assert_eq!(
        without(resumed, [open, spare]),
        without(calm, [open, spare])
    );

    // It is over: nothing waits, and it cannot be taken up once more.
    assert_eq!(desk.unfinished(), []);
    stand.kiosk.act(Act::Go);
    assert_eq!(desk.before("try-out", "3118"), Some(Before::HandedIn));
    let sat = desk.sat("try-out", "3118");
    assert!(!sat.is_empty() && sat.iter().all(|code| *code == Code::FIRST));
    assert_eq!(desk.sat("try-out", "311"), []);
    let why = desk.take_up(path.to_str().unwrap()).err().unwrap();
    assert!(why.contains("handed in meanwhile"), "{why}");
}

#[test]
fn a_killed_sitting_is_handed_in_as_it_is_or_left() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    kill(elsewhere(folder));
    // A power cut tears the last line.
    let path = journals(&folder.join("results")).remove(0);
    let text = fs::read(&path).unwrap();
    fs::write(&path, &text[..text.len() - 7]).unwrap();

    let mut stand = stand(folder);
    stand.open("2468");
    stand.choose("Interrupted sittings");
    stand.write("1");
    stand.choose("Leave it");
    assert_eq!(desk(folder).unfinished().len(), 1);
    stand.choose("Interrupted sittings");
    stand.write("1");
    stand.choose("Hand it in as it is");
    let sitting = &ended(&stand).sitting;
    assert!(
        matches!(sitting.end(), Some(crate::sitting::End::Stopped(why)) if why.contains("as it is"))
    );
    let result = fs::read_to_string(files(&folder.join("results"), "toml").remove(0)).unwrap();
    let head = journal::read(&fs::read(&path).unwrap()).unwrap().head;
    assert_eq!(seal::audit(&result).unwrap().journal, Some(head));
    assert_eq!(desk(folder).unfinished(), []);
}

#[test]
fn the_result_is_sealed_with_its_journal() {
    let folder = tempfile::tempdir().unwrap();
    let mut stand = stand(folder.path());
    stand.sit("3118");
    let _ = stand.open_item(100);
    stop(&mut stand);
    let results = folder.path().join("results");
    let result = fs::read_to_string(files(&results, "toml").remove(0)).unwrap();
    let reading = journal::read(&fs::read(journals(&results).remove(0)).unwrap()).unwrap();
    assert_eq!(seal::audit(&result).unwrap().journal, Some(reading.head));
    assert_eq!(desk(folder.path()).unfinished(), []);

    // The panel marks: another result beside it, sealed with the longer journal.
    stand.open("2468");
    stand.choose("The panel’s marks");
    for _ in 0..stand.kiosk.panel_items().len() {
        stand.write("80");
        stand.open("");
        stand.write("JW");
        stand.open("");
    }
    let stored = files(&results, "toml");
    assert_eq!(stored.len(), 2);
    let reading = journal::read(&fs::read(journals(&results).remove(0)).unwrap()).unwrap();
    let heads: Vec<_> = stored
        .iter()
        .map(|path| {
            seal::audit(&fs::read_to_string(path).unwrap())
                .unwrap()
                .journal
        })
        .collect();
    assert!(heads.contains(&Some(reading.head)), "{heads:?}");
    drop(stand);
    assert_eq!(desk(folder.path()).unfinished(), []);
}

#[test]
fn a_folder_that_takes_nothing_is_said_before_the_first_item() {
    let folder = tempfile::tempdir().unwrap();
    // A path below a file can be made by nobody, whatever the account may do.
    fs::write(folder.path().join("results"), "a file").unwrap();
    let mut stand = stand(folder.path());
    stand.wait(100);
    stand.kiosk.act(Act::Go);
    let Screen::Trouble(why) = &stand.kiosk.screen else {
        panic!("nothing was said");
    };
    assert!(why.contains("results"), "{why}");
}

#[test]
fn a_journal_that_takes_no_more_goes_on_in_the_second_place() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    let header = wire::Header {
        exam: "try-out".to_owned(),
        ..wire::Header::default()
    };
    let first = folder.join("first");
    fs::create_dir_all(&first).unwrap();
    let begin = |second: Option<PathBuf>| Journal::begin(&first, "one", &header, second).unwrap();
    let noted = |text: &str| Event::Paused(text.to_owned());
    let mut journal = begin(Some(folder.join("second")));
    let keep = |journal: &mut Journal, ms: i64, text: &str| {
        room::Journal::keep(journal, Time::from_ms(ms), &noted(text))
    };
    keep(&mut journal, 10, "before").unwrap();
    journal.take_no_more();
    keep(&mut journal, 20, "the one that did not fit").unwrap();
    keep(&mut journal, 30, "after").unwrap();
    let notice = room::Journal::notice(&mut journal).expect("it says so");
    assert!(notice.contains("second"), "{notice}");
    assert_eq!(room::Journal::notice(&mut journal), None);

    // The second file is whole by itself; the first is its beginning.
    let read =
        |folder: &Path, name: &str| journal::read(&fs::read(folder.join(name)).unwrap()).unwrap();
    let moved = read(&folder.join("second/journals"), "one.journal");
    assert_eq!(moved.bodies.len(), 4);
    assert_eq!(Some(moved.head), room::Journal::head(&journal));
    assert_eq!(read(&first, "one.journal").bodies.len(), 2);

    // Without a second place, or where that takes nothing either, nothing counts.
    let mut alone = begin(None);
    alone.take_no_more();
    assert!(keep(&mut alone, 10, "lost").is_err());
    fs::write(folder.join("file"), "").unwrap();
    let mut both = begin(Some(folder.join("file")));
    both.take_no_more();
    let why = keep(&mut both, 10, "lost").unwrap_err();
    assert!(why.contains("file"), "{why}");
}

#[test]
fn a_sitting_goes_on_in_the_second_place_and_its_result_says_where() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    let mut stand = stand(folder);
    stand.sit("3118");
    let _ = stand.open_item(100);
    // The drive is pulled: no name in the folder leads anywhere any more.
    fs::rename(folder.join("results"), folder.join("gone")).unwrap();
    fs::write(folder.join("results"), "").unwrap();
    stop(&mut stand);
    let stored = ended(&stand).kept.clone().unwrap();
    assert!(
        stored.elsewhere && stored.name.contains("second"),
        "{stored:?}"
    );
    let paper = crate::kiosk::Paper::new(1920.0, 1080.0, 1.0, false);
    assert!(stand.kiosk.sheet(paper).says(&stored.name));
    assert_eq!(files(&folder.join("second"), "toml").len(), 1);
    assert!(fs::read_to_string(folder.join("second").join(LOG)).is_ok());
}

#[test]
fn a_prefix_left_behind_does_not_wait() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    kill(elsewhere(folder));
    let path = journals(&folder.join("results")).remove(0);
    let text = fs::read_to_string(&path).unwrap();
    let second = folder.join("second").join(JOURNALS);
    fs::create_dir_all(&second).unwrap();
    let _ = fs::copy(&path, second.join(path.file_name().unwrap())).unwrap();
    let shorter: String = text.split_inclusive('\n').take(3).collect();
    fs::write(&path, shorter).unwrap();
    let waiting = desk(folder).unfinished();
    assert_eq!(waiting.len(), 1);
    assert!(waiting[0].name.contains("second"), "{waiting:?}");
}

#[test]
fn a_pin_is_kept_as_its_hash_in_a_file_of_the_account_alone() {
    let folder = tempfile::tempdir().unwrap();
    let check = |name: &str, before: Option<&str>| {
        let file = folder.path().join(name);
        if let Some(before) = before {
            fs::create_dir_all(file.parent().unwrap()).unwrap();
            fs::write(&file, before).unwrap();
        }
        let mut desk = Disk::new(folder.path(), None).guarded(Some(file.clone()), None);
        assert_eq!(desk.pin(), Pin::Open);
        assert!(desk.set_pin("13579"));
        assert!(desk.is_pin("13579") && !desk.is_pin("1357") && !desk.is_pin(""));
        let text = fs::read_to_string(&file).unwrap();
        assert!(
            text.starts_with(before.unwrap_or("")) && !text.contains("13579"),
            "{text}"
        );
        let (settings, _) = crate::settings::read(&text);
        let pin = settings.unwrap().invigilator.pin;
        let again = Disk::new(folder.path(), None).guarded(Some(file.clone()), pin);
        assert!(again.is_pin("13579") && again.pin() == Pin::Chosen);
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt;
            let mode = fs::metadata(&file).unwrap().permissions().mode();
            assert_eq!(mode & 0o777, 0o600, "{name}");
        }
    };
    check("new.toml", None);
    check("deep/er.toml", None);
    check("old.toml", Some("# Room 2\n[sound]\nlevel = 2 # soft\n"));

    // Where it cannot be written it holds until the program ends.
    fs::write(folder.path().join("file"), "").unwrap();
    let below = folder.path().join("file/settings.toml");
    let mut desk = Disk::new(folder.path(), None).guarded(Some(below), None);
    assert!(!desk.set_pin("1234"));
    assert!(desk.is_pin("1234"));
    let mut desk = Disk::new(folder.path(), None);
    assert_eq!(desk.pin(), Pin::Fleeting);
    assert!(!desk.set_pin("1234") && desk.is_pin("1234"));
}

#[test]
fn a_hash_is_that_of_the_published_algorithm() {
    // The reference implementation of Argon2, its test of argon2id, version 0x13, t = 2, m = 2^16
    // KiB, p = 1, "password" with the salt "somesalt" (phc-winner-argon2, src/test.c).
    let hash = "$argon2id$v=19$m=65536,t=2,p=1$c29tZXNhbHQ\
                $CTFhFdXPJO1aFaMaO6Mm5c8y7cJHAph8ArZWb2GRPPc";
    assert!(pin::is(hash, "password"));
    assert!(!pin::is(hash, "passwore"));
    assert!(!pin::is("$argon2id$no", "password"));
}

#[test]
fn the_clock_of_a_desk_is_that_of_the_place() {
    let desk = Disk::new(Path::new("nowhere"), None);
    let one = desk.clock("2026-03-12T10:21:00Z", Time::from_ms(40_000));
    assert!(one.ends_with(":40") && one.len() == 8, "{one}");
    assert_eq!(desk.clock("no date", Time::ZERO), "");
}

/// It lies beside the results, under a name of its own, and is what was drawn.
#[test]
fn a_practice_paper_is_kept_below_the_results_and_never_over_another() {
    let folder = tempfile::tempdir().unwrap();
    let mut stand = stand(folder.path());
    stand.sit("3118");
    sit_on(&mut stand);
    let ended = ended(&stand);
    let sat = crate::practise::Sat {
        sitting: &ended.sitting,
        script: &ended.given.script,
        started: &ended.given.started,
    };
    let wishes = crate::practise::Wishes {
        minutes: 5,
        seed: 1,
    };
    let paper = crate::practise::paper(&[sat], wishes).unwrap();

    let mut desk = desk(folder.path());
    let shelved = [(); 2].map(|()| desk.shelve(&paper, "3118").unwrap());
    let kept = files(&folder.path().join("results").join(PAPERS), "toml");
    assert_eq!(kept.len(), 2, "{kept:?}");
    for (shelved, file) in shelved.iter().zip(&kept) {
        assert_eq!(fs::read_to_string(file).unwrap(), paper.script);
        assert_eq!(shelved.script, paper.script);
        assert_eq!(shelved.digest, load::digest(&paper.script));
        let name = file.file_name().unwrap().to_string_lossy().into_owned();
        assert!(name.contains("-practice-3118-paper-"), "{name}");
    }
}
