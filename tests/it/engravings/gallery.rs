//! Drawings to be looked at, kept as SVG beside the test's build, some of them word for word.
//!
//! `UPDATE=1 cargo test gallery` writes the new expectations.

use std::path::PathBuf;

use viva_voicing::engraving::grand::{self, Caption, Hands, Label};
use viva_voicing::engraving::line::{self, Line};
use viva_voicing::engraving::staff::{self, Clef, Options};
use viva_voicing::engraving::strip::{self, Strip};
use viva_voicing::engraving::symbol::{self, Setting};
use viva_voicing::engraving::{Drawing, Face, Ink, pair, text};
use viva_voicing::theory::pitch::Key;
use viva_voicing::theory::progression::Progression;
use viva_voicing::theory::symbol::{Style, parse};
use viva_voicing::theory::{Name, progression};

use super::{hands, paint, pitches};

fn grand(left: &str, right: &str) -> Drawing {
    grand::layout(&hands(left, right), &Options::default())
}

fn labelled(mut hands: Hands, left: &[&str], right: &[&str], strong: &[&str]) -> Hands {
    for (notes, words) in [(&mut hands.left, left), (&mut hands.right, right)] {
        for (note, word) in notes.iter_mut().zip(words) {
            note.label = Some(Label {
                text: (*word).to_owned(),
                strong: strong.contains(word),
            });
        }
    }
    hands
}

fn asked_and_played() -> Drawing {
    let caption = |text| Caption {
        text,
        size: 2.0,
        ink: Ink::Plain,
    };
    let strong = ["third", "seventh"];
    let asked = labelled(
        hands("Ab2 Eb3", "C4 Gb4"),
        &["root", "fifth"],
        &["third", "seventh"],
        &strong,
    );
    let played = labelled(
        hands("Ab2 Eb3", "Gb4 C5"),
        &["root", "fifth"],
        &["seventh", "third"],
        &strong,
    );

    pair::layout(
        [(caption("Asked"), &asked), (caption("Played"), &played)],
        &Options::default(),
    )
}

fn strip(held: &[i64], heard: bool) -> Drawing {
    let key = |number| Key::new(number).unwrap();
    let held: Vec<Key> = held.iter().map(|number| key(*number)).collect();

    strip::layout(&Strip {
        lowest: key(36),
        highest: key(96),
        held: &held,
        heard,
        height: 1.75,
        caption: Some(("middle C", 0.63)),
    })
}

fn beats() -> Line<'static> {
    Line {
        chords: &[],
        hands: &[],
        bars: 4,
        beats: 4,
        signature: 0,
        tempo: Some(80),
        style: Style::DEFAULT,
        symbol: 7.0,
        width: 85.0,
        current: None,
    }
}

fn two_five_one() -> Drawing {
    let chords = progression::named("ii-V-I")
        .unwrap()
        .in_key(Name::parse("Eb").unwrap());

    line::layout(&Line {
        chords: &chords,
        signature: -3,
        current: Some((1, "now")),
        ..beats()
    })
    .drawing
}

/// Twelve bars of our own.
fn twelve() -> Drawing {
    let bars: Vec<String> = [
        "I7",
        "IV7",
        "I7",
        "Vm7 I7",
        "IV7",
        "#IVdim7",
        "I7",
        "IIIm7b5 VI7b9",
        "IIm7",
        "V7",
        "I7 VI7(b9b13)",
        "IIm7 V7",
    ]
    .map(str::to_owned)
    .to_vec();
    let chords = Progression::parse("twelve", &bars)
        .unwrap()
        .in_key(Name::parse("Bb").unwrap());

    line::layout(&Line {
        chords: &chords,
        bars: 12,
        current: Some((6, "now")),
        ..beats()
    })
    .drawing
}

fn with_notes() -> Drawing {
    let chords = progression::named("ii-V-I")
        .unwrap()
        .in_key(Name::parse("Eb").unwrap());
    let hands: Vec<Hands> = [
        hands("F2 C3", "Ab3 Eb4"),
        hands("Bb2 F3", "Ab3 D4"),
        hands("Eb2 Bb2", "G3 D4"),
    ]
    .to_vec();

    line::layout(&Line {
        chords: &chords,
        hands: &hands,
        symbol: 4.0,
        width: 60.0,
        ..beats()
    })
    .drawing
}

/// Every drawing by its name.
fn all() -> Vec<(&'static str, Drawing)> {
    let single = |notes: &str| staff::layout(&pitches(notes), Clef::Treble, &Options::default());
    let echo = Options {
        width: 82.3,
        axis: Some(33.1),
        lines: Ink::Quiet,
    };

    vec![
        ("guide-tones", grand("Bb2 F3", "D4 Ab4")),
        ("ninth-played", grand("Eb3 Bb3", "Db4 F4 G4")),
        ("cluster", grand("Eb2 F2 Gb2 Ab2", "C#4 D4 E#4 F#4 G#4 A4")),
        ("double", grand("Gb2 Bbb2 Dbb3", "F##4 A##4 C##5 E#5")),
        ("unison", grand("F3 F#3 G3", "Bb4 B4 C5 Db5 D5")),
        ("octaves", grand("Bb1 Bb2", "Bb3 D4 Gb4 Bb4")),
        ("six", grand("C#2 G#2", "B#3 D#4 F#4 A#4 C#5 E#5")),
        ("flats", grand("Db3 Ab3", "Gb4 Bb4 Eb5 Ab5")),
        ("lowest-highest", grand("A0 E1", "F7 C8")),
        ("crossing", grand("F4 C5", "Bb2 Eb3")),
        ("ledgers", grand("E2 D4 E4", "A3 B3 B5 C6 Eb6")),
        (
            "ledger-flats",
            grand("C2 Db2 Eb2", "Ab3 Bb3 Db4 Ab5 Cb6 Db6"),
        ),
        ("echo", grand::layout(&hands("Ab2 Eb3", "C4 Gb4"), &echo)),
        ("empty", grand("", "")),
        ("asked-played", asked_and_played()),
        ("spelling", single("Db4 F4 Ab4 Cb5")),
        ("spelling-double", single("Cb4 Ebb4 Gbb4 Bbbb4")),
        ("strip", strip(&[44, 51, 60, 61, 66], true)),
        ("strip-lost", strip(&[], false)),
        ("run", two_five_one()),
        ("run-twelve", twelve()),
        ("run-notes", with_notes()),
        (
            "text",
            text::layout(
                "Asked was the seventh, G♭, not F♯; C𝄪 B𝄫 E♮.",
                Face::Regular,
                2.0,
            ),
        ),
        ("symbol", {
            let chord = parse("D7(b9#11b13)").unwrap();
            symbol::layout(chord, Setting::new(Style::DEFAULT, 9.0))
        }),
    ]
}

#[test]
fn every_drawing_is_kept_to_be_looked_at() {
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("engravings");
    std::fs::create_dir_all(&folder).unwrap();

    for (name, drawing) in all() {
        let svg = paint::svg(&drawing, 20.0);
        assert!(!svg.contains("NaN") && !svg.contains("inf"), "{name}");
        std::fs::write(folder.join(format!("{name}.svg")), svg).unwrap();
    }
}

#[test]
fn drawings_are_the_same_word_for_word() {
    const KEPT: [&str; 8] = [
        "guide-tones",
        "cluster",
        "lowest-highest",
        "asked-played",
        "spelling",
        "strip",
        "run",
        "symbol",
    ];
    let path =
        PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures/expected/engravings.txt");
    let found: String = all()
        .into_iter()
        .filter(|(name, _)| KEPT.contains(name))
        .map(|(name, drawing)| format!("{name}\n{}", paint::text(&drawing)))
        .collect();

    if std::env::var_os("UPDATE").is_some() {
        std::fs::write(&path, &found).unwrap();
    }
    let expected = std::fs::read_to_string(&path).unwrap();
    for (expected, found) in expected.lines().zip(found.lines()) {
        assert_eq!(found, expected, "look at the drawing, then UPDATE=1");
    }
    assert_eq!(found.lines().count(), expected.lines().count());
}
