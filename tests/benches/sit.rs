//! How long `sit` takes on the shipped exam with the demo performance, process start included.
//!
//! To reach: under 50 ms. No limit is enforced.
#![expect(clippy::print_stdout, reason = "a benchmark prints its figures")]

use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

const RUNS: usize = 20;

fn main() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let results = tempfile::tempdir().expect("a temporary folder");
    let mut all: Vec<Duration> = (0..=RUNS)
        .map(|_| {
            let start = Instant::now();
            let status = Command::new(env!("CARGO_BIN_EXE_viva-voicing"))
                .arg("sit")
                .arg(root.join("exams/guide-tones.toml"))
                .arg("--performance")
                .arg(root.join("exams/demo/first-sitting.mid"))
                .arg("--results")
                .arg(results.path())
                .args(["--candidate", "3118", "--started", "2026-03-12T10:21:00Z"])
                .stdin(Stdio::null())
                .stdout(Stdio::null())
                .status()
                .expect("the program runs");
            assert!(status.success(), "sit ended with {status}");
            start.elapsed()
        })
        .collect();

    // The first run finds nothing in the disk's cache.
    let first = all.remove(0);
    all.sort();
    println!(
        "sit: median {} ms of {RUNS} runs, fastest {}, slowest {}, first {} (to reach: 50 ms)",
        ms(all[RUNS / 2]),
        ms(all[0]),
        ms(all[RUNS - 1]),
        ms(first)
    );
}

fn ms(time: Duration) -> String {
    format!("{:.1}", time.as_secs_f64() * 1000.0)
}
