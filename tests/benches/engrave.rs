//! Prints how fast drawings are laid out.
#![allow(
    clippy::print_stdout,
    reason = "a benchmark says its figures on the terminal"
)]

use std::hint::black_box;
use std::time::Instant;

use viva_voicing::engraving::grand::{self, Hands};
use viva_voicing::engraving::line::{self, Line};
use viva_voicing::engraving::staff::Options;
use viva_voicing::engraving::symbol::{self, Setting};
use viva_voicing::theory::pitch::{Key, Pitch};
use viva_voicing::theory::symbol::{Style, parse};
use viva_voicing::theory::{Name, progression};

fn pitches(keys: &[i64]) -> Vec<Pitch> {
    keys.iter()
        .filter_map(|number| Key::new(*number).ok())
        .filter_map(|key| Pitch::new(Name::plain(key.class()), key))
        .collect()
}

fn measure(what: &str, count: u32, layout: impl Fn()) {
    let begun = Instant::now();
    layout();
    let first = begun.elapsed().as_secs_f64() * 1e6;

    let begun = Instant::now();
    for _ in 0..count {
        layout();
    }
    let each = begun.elapsed().as_secs_f64() * 1e6 / f64::from(count);
    println!("{what}: {each:.1} µs, the first one {first:.0} µs");
}

fn main() {
    let guide_tones = Hands::new(&pitches(&[46, 53]), &pitches(&[62, 68]));
    let cluster = Hands::new(
        &pitches(&[36, 37, 39, 41, 42]),
        &pitches(&[60, 61, 63, 66, 68, 70]),
    );
    let options = Options::default();
    let chord = parse("Eb13(b9#11)").expect("a symbol");
    let blues = progression::named("blues")
        .expect("it has a name")
        .in_key(Name::parse("Bb").expect("a name"));
    let line = Line {
        chords: &blues,
        hands: &[],
        bars: 12,
        beats: 4,
        signature: 0,
        tempo: Some(80),
        style: Style::DEFAULT,
        symbol: 7.0,
        width: 85.0,
        current: Some((3, "now")),
    };

    measure("a grand staff with four notes", 20_000, || {
        let _ = black_box(grand::layout(black_box(&guide_tones), &options));
    });
    measure("a grand staff with eleven notes", 20_000, || {
        let _ = black_box(grand::layout(black_box(&cluster), &options));
    });
    measure("a chord symbol", 20_000, || {
        let _ = black_box(symbol::layout(
            black_box(chord),
            Setting::new(Style::DEFAULT, 9.0),
        ));
    });
    measure("a line of twelve bars", 2_000, || {
        let _ = black_box(line::layout(black_box(&line)));
    });
}
