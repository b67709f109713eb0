//! Journals on a real disk: programs that are killed, disks that fill up.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use std::fs::OpenOptions;
use std::io::{self, BufRead, BufReader, Write};
use std::path::Path;
use std::process::{Command, Stdio};

use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use serde::{Deserialize, Serialize};
use viva_voicing::cli::disk::JournalFile;
use viva_voicing::sitting::journal::{Reading, Writer};

/// Names the journal to a copy of this binary that is to write it until it is killed.
const CHILD: &str = "VIVA_TEST_JOURNAL";
/// What stands before the number of an acknowledged event in the child's output.
const ACKNOWLEDGED: &str = "acknowledged ";

#[derive(Serialize, Deserialize)]
struct Event {
    number: usize,
    padding: String,
}

impl Event {
    /// Most events are as short as a note; some long ones make room for a kill inside a write.
    fn new(number: usize) -> Self {
        let length = if number % 16 == 5 { 12_000 } else { 40 };
        Self {
            number,
            padding: "x".repeat(length),
        }
    }
}

/// Runs one test of this binary again, as a child that finds the journal in its environment.
fn child(test: &str, journal: &Path) -> Command {
    let mut command = Command::new(std::env::current_exe().unwrap());
    let _ = command
        .args([test, "--exact", "--nocapture", "--test-threads=1"])
        .env(CHILD, journal)
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped());
    command
}

/// Appends events after those that are there, until there is an error.
fn append_without_end(journal: &Path) -> String {
    let mut file = match journal.exists() {
        true => JournalFile::open(journal).unwrap().0,
        false => JournalFile::create(journal).unwrap(),
    };
    let mut writer = Writer::resume(file.head(), file.count());
    let mut output = io::stdout();
    loop {
        let number = file.count();
        if let Err(error) = file.append(&writer.line(&Event::new(number)).unwrap()) {
            return error.to_string();
        }
        writeln!(output, "{ACKNOWLEDGED}{number}").unwrap();
    }
}

fn acknowledged(line: &str) -> Option<usize> {
    // The test harness may have begun the line with the test's name.
    let (_, number) = line.split_once(ACKNOWLEDGED)?;
    number.parse().ok()
}

fn check_whole(reading: &Reading, acknowledged: Option<usize>) {
    let events: Vec<Event> = reading.decode().unwrap();
    for (number, event) in events.iter().enumerate() {
        assert_eq!(event.number, number);
        assert_eq!(event.padding, Event::new(number).padding);
    }
    let least = acknowledged.map_or(0, |last| last + 1);
    assert!(
        events.len() >= least,
        "{least} acknowledged, {} kept",
        events.len()
    );
}

/// Adds the first bytes of a line to a journal.
fn tear(journal: &Path, bytes: usize) {
    let line = Writer::new().line(&Event::new(0)).unwrap();
    let mut file = OpenOptions::new().append(true).open(journal).unwrap();
    file.write_all(&line.as_bytes()[..bytes]).unwrap();
}

#[test]
fn no_acknowledged_event_is_lost_in_200_kills() {
    if let Some(journal) = std::env::var_os(CHILD) {
        panic!("{}", append_without_end(Path::new(&journal)));
    }
    let folder = tempfile::tempdir().unwrap();
    let mut rng = ChaCha8Rng::seed_from_u64(17);
    for sitting in 0..40 {
        let journal = folder.path().join(format!("{sitting}.journal"));
        let mut kept = 0;
        for _ in 0..5 {
            let mut running = child(
                "journals::no_acknowledged_event_is_lost_in_200_kills",
                &journal,
            )
            .spawn()
            .unwrap();
            let lines = BufReader::new(running.stdout.take().unwrap()).lines();
            let mut numbers = lines
                .map_while(Result::ok)
                .filter_map(|line| acknowledged(&line));
            // The child does not wait for the reader, so it is killed anywhere in its work.
            let moment = rng.random_range(0..40);
            let mut last = numbers.by_ref().take(moment).last();
            running.kill().unwrap();
            last = numbers.last().or(last);
            let output = running.wait_with_output().unwrap();
            let report = String::from_utf8_lossy(&output.stderr);
            assert_eq!(
                output.status.code(),
                None,
                "ended before it was killed: {report}"
            );
            if journal.exists() {
                // A kill seldom stops inside a write. A power cut does, and leaves the like of this.
                let torn = rng.random_range(0..60);
                tear(&journal, torn);
                let (file, reading) = JournalFile::open(&journal).unwrap();
                assert!(reading.torn || torn == 0);
                check_whole(&reading, last);
                assert!(file.count() >= kept, "an event of an earlier run is gone");
                kept = file.count();
                // What was torn is off the disk, not only out of sight.
                let length = std::fs::metadata(&journal).unwrap().len();
                assert_eq!(length, reading.whole_bytes as u64);
            } else {
                assert_eq!((last, kept), (None, 0));
            }
        }
        assert!(kept > 0);
    }
}

#[cfg(unix)]
#[test]
fn an_append_that_finds_no_room_leaves_the_journal_whole() {
    if let Some(journal) = std::env::var_os(CHILD) {
        panic!("{}", append_without_end(Path::new(&journal)));
    }
    let folder = tempfile::tempdir().unwrap();
    let journal = folder.path().join("17.journal");
    // A limit on the length of files (POSIX `ulimit -f`, blocks of 512 bytes) stops a write in its
    // middle, as a full disk does. Ignoring the signal turns it into an error.
    let inner = child(
        "journals::an_append_that_finds_no_room_leaves_the_journal_whole",
        &journal,
    );
    let output = Command::new("sh")
        .args(["-c", "trap '' XFSZ; ulimit -f 20; exec \"$@\"", "sh"])
        .arg(inner.get_program())
        .args(inner.get_args())
        .env(CHILD, &journal)
        .output()
        .unwrap();
    let report = String::from_utf8_lossy(&output.stderr);
    assert!(
        report.contains("17.journal: could not write it"),
        "{report}"
    );
    let last = String::from_utf8_lossy(&output.stdout)
        .lines()
        .filter_map(acknowledged)
        .next_back();
    assert_eq!(last, Some(4), "the long event 5 is the one without room");
    let (_, reading) = JournalFile::open(&journal).unwrap();
    assert!(
        !reading.torn,
        "the part that was written is cut off at once"
    );
    assert_eq!(reading.bodies.len(), 5);
    check_whole(&reading, last);
}
