//! Prints how fast forms are drawn: 10,000 forms of the shipped exam, prompts and sounds and all.
#![allow(
    clippy::print_stdout,
    reason = "a benchmark says its figures on the terminal"
)]

use std::hint::black_box;
use std::time::Instant;

use viva_voicing::exam::code::Code;
use viva_voicing::exam::{draw, read};

const FORMS: usize = 10_000;

fn main() {
    let source = include_str!("../../exams/guide-tones.toml");
    let (exam, _) = read::read(source, "guide-tones");
    let exam = exam.expect("the shipped exam is without fault");

    let begun = Instant::now();
    let mut forms = 0;
    let mut items = 0;
    for seed in 0.. {
        let set = black_box(draw::draw_set(&exam, seed)).expect("every set can be drawn");
        forms += set.len();
        items += set
            .iter()
            .map(|form| form.items.len() + form.reserve.len() + form.warm_ups.len())
            .sum::<usize>();
        if forms >= FORMS {
            break;
        }
    }
    let took = begun.elapsed().as_secs_f64();
    println!(
        "sets: {forms} forms with {items} items in {took:.3} s, {:.0} forms/s",
        forms as f64 / took
    );

    let last = exam.rules.seats;
    let begun = Instant::now();
    let count = 200;
    for seed in 0..count {
        let form = black_box(draw::draw(&exam, Code::new(seed, last)));
        assert!(form.is_ok(), "seat {last} of every set can be drawn");
    }
    let each = begun.elapsed().as_secs_f64() * 1e6 / f64::from(count);
    println!("one form alone, seat {last}: {each:.0} µs");
}
