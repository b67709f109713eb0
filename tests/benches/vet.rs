//! How long `vet` takes on scripts of 2,000 lines, process start included.
//!
//! To reach: under 20 ms. No limit is enforced.
#![expect(clippy::print_stdout, reason = "a benchmark prints its figures")]

use std::fmt::Write;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

const RUNS: usize = 20;
const LINES: usize = 2_000;

const QUALITIES: [&str; 15] = [
    "maj7", "7", "m7", "m7b5", "dim7", "6", "m6", "m9", "9", "13", "maj9", "7b9", "7#9", "m(maj7)",
    "7sus4",
];
const PROGRESSIONS: [&str; 11] = [
    "ii-V-I",
    "ii-V-i",
    "I-VI-ii-V",
    "iii-VI-ii-V",
    "blues",
    "rhythm-changes",
    "V-I",
    "IV-I",
    "V-vi",
    "iv-bVII-I",
    "ii-bII-I",
];

/// Writes a section of a kind, with a number.
type Kind = fn(&mut String, usize);

/// Begins a section up to its cells.
fn section(out: &mut String, number: usize, kind: &str) {
    let _ = write!(
        out,
        "[[section]]\nid = \"S{number}\"\ntitle = \"Section {number}\"\npoints = 10\n{kind}\ncells = [\n"
    );
}

fn voicings(out: &mut String, number: usize) {
    section(
        out,
        number,
        "kind = \"voicing\"\nseconds = 6\nform = \"guide-tones\"",
    );
    for quality in QUALITIES {
        for (group, order) in [("I", "third on top"), ("II", "seventh on top")] {
            let _ = writeln!(
                out,
                "    {{ count = 2, quality = \"{quality}\", group = \"{group}\", order = \"{order}\" }},"
            );
        }
    }
}

fn runs(out: &mut String, number: usize) {
    section(out, number, "kind = \"run\"\ntempo = 80");
    for progression in PROGRESSIONS {
        for form in ["guide-tones", "guide-tones-with-root", "three-note-shell"] {
            let _ = writeln!(
                out,
                "    {{ progression = \"{progression}\", form = \"{form}\", start = \"third on top\" }},"
            );
        }
    }
}

fn sounds(out: &mut String, number: usize) {
    section(
        out,
        number,
        "kind = \"ear\"\nask = \"quality\"\nseconds = 10",
    );
    for quality in &QUALITIES[..7] {
        for spacing in ["close", "open", "two-hand"] {
            let _ = writeln!(
                out,
                "    {{ count = 2, quality = \"{quality}\", spacing = \"{spacing}\" }},"
            );
        }
    }
}

fn spelling(out: &mut String, number: usize) {
    section(out, number, "kind = \"spell\"\nseconds = 20");
    for quality in QUALITIES {
        let _ = writeln!(
            out,
            "    {{ count = 2, quality = \"{quality}\", roots = [\"Ab\", \"Db\", \"Eb\", \"Gb\", \"Bb\", \"F\"] }},"
        );
    }
}

/// Writes a script with sections of these kinds in turn.
fn script(kinds: &[Kind]) -> String {
    let mut out = "title = \"A long exam\"\n[rules]\ntiming = \"In time.\"\n\n".to_owned();

    for number in 0.. {
        if out.lines().count() >= LINES {
            break;
        }
        kinds[number % kinds.len()](&mut out, number);
        out.push_str("]\n\n");
    }

    out
}

fn main() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let path = folder.path().join("long.toml");
    let cases: [(&str, &[Kind]); 4] = [
        ("all kinds", &[voicings, runs, sounds, spelling]),
        ("voicings", &[voicings]),
        ("runs", &[runs]),
        ("sounds", &[sounds]),
    ];

    for (name, kinds) in cases {
        let text = script(kinds);
        std::fs::write(&path, &text).expect("the folder can be written");
        let mut all: Vec<Duration> = (0..RUNS).map(|_| vet(&path)).collect();
        all.sort();
        println!(
            "vet, {} lines, {name}: median {} ms of {RUNS} runs, fastest {}, slowest {} (to reach: 20 ms)",
            text.lines().count(),
            ms(all[RUNS / 2]),
            ms(all[0]),
            ms(all[RUNS - 1])
        );
    }
}

fn vet(path: &Path) -> Duration {
    let start = Instant::now();
    let status = Command::new(env!("CARGO_BIN_EXE_viva-voicing"))
        .arg("vet")
        .arg(path)
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .status()
        .expect("the program runs");
    assert!(status.success(), "vet ended with {status}");

    start.elapsed()
}

fn ms(time: Duration) -> String {
    format!("{:.1}", time.as_secs_f64() * 1000.0)
}
