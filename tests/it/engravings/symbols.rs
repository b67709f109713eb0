//! Chord symbols drawn in every house.

use std::path::PathBuf;

use viva_voicing::engraving::symbol::{self, Setting};
use viva_voicing::theory::symbol::{House, Style, parse};

use super::paint;

/// The qualities of the reference table on roots that take every sign.
fn symbols() -> Vec<String> {
    let table = include_str!("../../fixtures/reference/chord_qualities.csv");
    let roots = [
        "C", "Bb", "F#", "Ab", "Eb", "B", "Db", "G", "F", "D", "A", "E",
    ];
    let more = [
        "7b9b13",
        "7#5#9",
        "13b9",
        "9#11",
        "7b9#11b13",
        "m(add9)",
        "add#11",
        "6/9#11",
        "/D",
        "7/Bb",
        "m7b5b9",
    ];

    table
        .lines()
        .skip(1)
        .filter_map(|line| line.split(',').next())
        .chain(more)
        .zip(roots.iter().cycle())
        .map(|(quality, root)| format!("{root}{quality}"))
        .filter(|text| parse(text).is_ok())
        .collect()
}

#[test]
fn every_quality_is_drawn_in_every_house() {
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("engravings");
    std::fs::create_dir_all(&folder).unwrap();
    let symbols = symbols();
    assert!(symbols.len() > 30, "{symbols:?}");

    for house in [House::Lower, House::Capital, House::Signs] {
        for slashed in [false, true] {
            for (index, text) in symbols.iter().enumerate() {
                let chord = parse(text).unwrap();
                let style = Style { house, slashed };
                let drawing = symbol::layout(chord, Setting::new(style, 3.0));
                assert!(drawing.width > 1.0 && !drawing.words.is_empty(), "{text}");
                // One height for all, so that rows of symbols stand still.
                assert!(
                    (drawing.height - 3.0 * 1.04).abs() < 0.01,
                    "{text}: {}",
                    drawing.height
                );

                let name = format!("symbol-{house:?}-{slashed}-{index:02}.svg");
                std::fs::write(folder.join(name), paint::svg(&drawing, 20.0)).unwrap();
            }
        }
    }
}
