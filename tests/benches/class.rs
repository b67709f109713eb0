//! A class of invented students: their results in a folder, for other programs to read.
//!
//! `cargo run --example class -- FOLDER 500`
#![expect(clippy::print_stdout, reason = "it says what it has made")]

#[path = "moderate/class.rs"]
#[allow(dead_code, reason = "the class is shared with tests and benchmarks")]
mod class;

use std::path::Path;

use class::Class;

const SCRIPT: &str = include_str!("../../exams/guide-tones.toml");

fn main() {
    let mut arguments = std::env::args().skip(1);
    let folder = arguments.next().expect("a folder");
    let count = arguments.next().expect("how many");
    let count = count.parse().expect("a number");

    Class::new(SCRIPT, "guide-tones").make(Path::new(&folder), 0..count);
    println!("{count} results in {folder}");
}
