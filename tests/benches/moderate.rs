//! How long `moderate` takes over a class of invented students, whether it is linear, and how much
//! memory it takes at most.
//!
//! To reach: 10,000 results in under 5 s, linear to 100,000, under 1 GB. No limit is enforced.
//! `cargo bench --bench moderate -- --count 100000` takes more; `cargo run --example class` makes
//! the results alone, for other programs to read.
#![expect(clippy::print_stdout, reason = "a benchmark prints its figures")]

#[path = "moderate/class.rs"]
mod class;

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::sync::mpsc;
use std::thread;
use std::time::{Duration, Instant};

use class::Class;

const SCRIPT: &str = include_str!("../../exams/guide-tones.toml");
const COUNT: u64 = 2_000;

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let after = |name: &str| {
        let place = arguments.iter().position(|argument| argument == name)?;
        arguments.get(place + 1).cloned()
    };
    let count = after("--count").map_or(COUNT, |count| count.parse().expect("a number"));
    let class = Class::new(SCRIPT, "guide-tones");

    let room = tempfile::tempdir().expect("a temporary folder");
    let results = room.path().join("results");
    let mut made = 0;
    println!("moderate, on {} cores:", rayon::current_num_threads());
    for part in [count / 10, count / 3, count] {
        class.make(&results, made..part);
        made = part;
        let (mut best, mut most) = (Duration::MAX, 0);
        for round in 0..3 {
            let (took, memory) = run(&results, &room.path().join(format!("{part}-{round}")));
            best = best.min(took);
            most = most.max(memory);
        }
        println!(
            "  {part:>6} results: {:.2} s, {:.0} µs a result, {:.0} MB at most",
            best.as_secs_f64(),
            best.as_secs_f64() * 1e6 / part as f64,
            most as f64 / 1024.0
        );
    }
    println!("  (to reach: 10000 in 5 s, under 1000 MB; fastest of three, tables written)");
}

/// Runs it and returns how long it took and its greatest memory in kB.
fn run(results: &Path, out: &Path) -> (Duration, u64) {
    let start = Instant::now();
    let mut child = Command::new(env!("CARGO_BIN_EXE_viva-voicing"))
        .arg("moderate")
        .arg(results)
        .arg("--out")
        .arg(out)
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .spawn()
        .expect("the program runs");
    let status = PathBuf::from(format!("/proc/{}/status", child.id()));
    let (sender, ended) = mpsc::channel();
    let waiter = thread::spawn(move || {
        let status = child.wait().expect("a child");
        let _ = sender.send((status, start.elapsed()));
    });
    let mut most = 0;
    loop {
        // The highest mark stands there as long as the program runs.
        if let Ok(text) = fs::read_to_string(&status) {
            let peak = text
                .lines()
                .find_map(|line| line.strip_prefix("VmHWM:"))
                .and_then(|rest| rest.split_whitespace().next())
                .and_then(|number| number.parse().ok());
            most = most.max(peak.unwrap_or(0));
        }
        if let Ok((status, took)) = ended.recv_timeout(Duration::from_millis(2)) {
            assert!(status.success(), "moderate ended with {status}");
            waiter.join().expect("the waiter has seen the end");
            return (took, most);
        }
    }
}
