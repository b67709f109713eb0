//! How long a mark sheet takes, and thirty of a class: the whole program, from results on disk to
//! PDF files on disk.
//!
//! To reach: one in under 150 ms, thirty in under 3 s. No limit is enforced.
#![expect(clippy::print_stdout, reason = "a benchmark prints its figures")]

#[path = "moderate/class.rs"]
#[allow(dead_code, reason = "the class is shared with another benchmark")]
mod class;

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use class::Class;

const SCRIPT: &str = include_str!("../../exams/guide-tones.toml");

fn main() {
    let room = tempfile::tempdir().expect("a temporary folder");
    let class = Class::new(SCRIPT, "guide-tones");
    let results: Vec<PathBuf> = (0..30)
        .map(|candidate| {
            let path = room.path().join(format!("{candidate:02}.toml"));
            fs::write(&path, class.result(candidate)).expect("a result");
            path
        })
        .collect();

    for count in [1, results.len()] {
        let best = (0..5)
            .map(|round| {
                run(
                    &results[..count],
                    &room.path().join(format!("{count}-{round}")),
                )
            })
            .min()
            .unwrap_or(Duration::ZERO);
        println!(
            "sheet: {count:>2} in {:.0} ms (fastest of five, whole process)",
            best.as_secs_f64() * 1e3
        );
    }
    println!("  (to reach: 1 in 150 ms, 30 in 3000 ms)");
}

fn run(results: &[PathBuf], out: &Path) -> Duration {
    let begin = Instant::now();
    let status = Command::new(env!("CARGO_BIN_EXE_viva-voicing"))
        .arg("sheet")
        .args(results)
        .arg("--out")
        .arg(out)
        .stdout(Stdio::null())
        .status()
        .expect("the program runs");
    assert!(status.success(), "{status}");

    begin.elapsed()
}
