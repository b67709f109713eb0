//! What is heard: where it lies, what it is, and that nothing but the chord gives it away.
//!
//! The rules are those of the project's notes on the trade, 3.2 and 3.3.

mod answer;
mod cue;
mod long;
mod place;

use viva_voicing::exam::script::{Spacing, Stimulus};
use viva_voicing::exam::sound::{self, Sound};
use viva_voicing::theory::{Quality, symbol};

const SPACINGS: [Spacing; 3] = [Spacing::Close, Spacing::Open, Spacing::TwoHand];

/// Chord qualities with their pitch classes over C, from the reference table.
fn qualities() -> Vec<(String, Quality, u16)> {
    let path = format!(
        "{}/tests/fixtures/reference/chord_qualities.csv",
        env!("CARGO_MANIFEST_DIR")
    );
    let mut reader = csv::Reader::from_path(path).expect("the table is there");
    let rows: Vec<_> = reader
        .records()
        .map(|row| row.expect("every row is whole"))
        .filter(|row| &row[0] != "7alt")
        .map(|row| {
            let name = match &row[0] {
                "maj" => "",
                "min" => "m",
                other => other,
            };
            let quality = symbol::parse_quality(name).expect("a quality");
            let classes = row[2]
                .split_whitespace()
                .map(|class| class.parse::<u16>().expect("a class"))
                .fold(0, |set, class| set | 1 << class);
            (row[0].to_owned(), quality, classes)
        })
        .collect();

    assert_eq!(rows.len(), 27);
    rows
}

/// The pitch classes of keys over a root, as a set.
fn classes(keys: &[u8], root: u8) -> u16 {
    keys.iter()
        .fold(0, |set, key| set | 1 << ((key + 12 - root % 12) % 12))
}

/// The keys of each strike, low to high.
fn strikes(sound: &Sound) -> Vec<Vec<u8>> {
    sound
        .strikes
        .iter()
        .map(|strike| strike.keys.iter().map(|(key, _)| *key).collect())
        .collect()
}

fn build(stimulus: &Stimulus, root: u8, variant: u8) -> Vec<Vec<u8>> {
    strikes(&sound::build(stimulus, root, variant, false))
}

fn chord(quality: Quality, spacing: Spacing, bass: u8) -> Stimulus {
    Stimulus::Chord {
        quality,
        spacing,
        top: None,
        bass,
    }
}

/// The lowest bottom keys of intervals of 1 to 16 semitones at which they are still clear: the
/// notes on the trade, 2.5, after arranging handbooks which say that these are not absolute.
const CLEAR: [u8; 16] = [
    52, 51, 48, 46, 46, 47, 34, 41, 41, 41, 41, 0, 40, 39, 36, 34,
];

/// Checks that keys rise, lie on A2 to C6, and make no interval that is too low to be clear.
fn check_clear(keys: &[u8], what: &str) {
    assert!(!keys.is_empty(), "{what}");
    assert!(
        keys.iter().all(|key| (45..=84).contains(key)),
        "{what}: {keys:?}"
    );
    for pair in keys.windows(2) {
        assert!(pair[0] < pair[1], "{what}: {keys:?}");
        let limit = CLEAR.get(usize::from(pair[1] - pair[0]) - 1).unwrap_or(&0);
        assert!(pair[0] >= *limit, "{what}: {keys:?}");
    }
}
