//! Prints how fast sounds are rendered, on one core: a chord, every sound of an exam, and live playing.
#![allow(
    clippy::print_stdout,
    reason = "a benchmark says its figures on the terminal"
)]

use std::hint::black_box;
use std::time::Instant;

use viva_voicing::exam::code::Code;
use viva_voicing::exam::form::Task;
use viva_voicing::exam::{draw, read};
use viva_voicing::instruments::keyboard::Touch;
use viva_voicing::instruments::piano::{Note, Piano};
use viva_voicing::instruments::speaker::RATE;
use viva_voicing::theory::Key;
use viva_voicing::time::Time;

const CHORDS: u32 = 200;
const HELD: Time = Time::from_ms(2000);
const LENGTH: Time = Time::from_ms(2500);

fn main() {
    let begun = Instant::now();
    let piano = Piano::bundled().expect("the bundled piano is whole");
    println!("loading: {:.1} ms", begun.elapsed().as_secs_f64() * 1e3);

    chords(&piano);
    exam(
        &piano,
        "ears",
        include_str!("../fixtures/scripts/ears.toml"),
    );
    live(&piano);
}

/// Four notes each, all over the register of ear items.
fn chords(piano: &Piano) {
    let begun = Instant::now();
    for round in 0..CHORDS {
        let root = 48 + i64::from(round % 12);
        let notes: Vec<Note> = [0, 16, 22, 26]
            .into_iter()
            .map(|above| note(root + above, Time::ZERO, HELD))
            .collect();
        let _ = black_box(piano.render(&notes, LENGTH, 0.0));
    }
    let took = begun.elapsed().as_secs_f64() / f64::from(CHORDS);
    println!(
        "a chord of four, {:.1} s: {:.1} ms, {:.0} x real time",
        LENGTH.as_seconds(),
        took * 1e3,
        LENGTH.as_seconds() / took
    );
}

/// Every sound of a form: chords, progressions, intervals.
fn exam(piano: &Piano, name: &str, source: &str) {
    let (exam, _) = read::read(source, name);
    let form = draw::draw(&exam.expect("the script is without fault"), Code::FIRST)
        .expect("a form can be drawn");
    let (mut sounds, mut strikes, mut seconds) = (0, 0, 0.0);

    let begun = Instant::now();
    for item in form.items.iter().chain(&form.reserve) {
        let Task::Ear(task) = &item.task else {
            continue;
        };
        let notes: Vec<Note> = task
            .sound
            .strikes
            .iter()
            .flat_map(|strike| {
                strike
                    .keys
                    .iter()
                    .map(|(key, _)| note(i64::from(*key), strike.at, strike.held))
            })
            .collect();
        let _ = black_box(piano.render(&notes, task.sound.length, 0.0));
        sounds += 1;
        strikes += task.sound.strikes.len();
        seconds += task.sound.length.as_seconds();
    }
    let took = begun.elapsed().as_secs_f64();
    println!(
        "{name}: {sounds} sounds with {strikes} chords, {seconds:.0} s: {:.1} ms a chord, {:.0} x real time",
        took * 1e3 / strikes as f64,
        seconds / took
    );
}

/// As many keys as can sound at once, struck again and again: the most that a device's call can cost.
fn live(piano: &Piano) {
    let mut live = piano.live().expect("the bundled piano is whole");
    let seconds = 10;

    let begun = Instant::now();
    for frame in 0..seconds * RATE {
        if frame % 96 == 0 {
            live.touch(Touch::Down {
                key: key(36 + i64::from(frame / 96 % 48)),
                velocity: 80,
            });
        }
        let _ = black_box(live.frame());
    }
    let took = begun.elapsed().as_secs_f64();
    println!(
        "live, 48 keys and 500 strikes a second: {:.0} x real time, 256 frames in {:.2} ms",
        f64::from(seconds) / took,
        took / f64::from(seconds * RATE) * 256e3
    );
}

fn note(number: i64, at: Time, held: Time) -> Note {
    Note {
        at,
        held,
        key: key(number),
        velocity: 80,
    }
}

fn key(number: i64) -> Key {
    Key::new(number).expect("a key of the piano")
}
