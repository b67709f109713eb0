//! Drawings of a few notes, measured.

use crate::theory::pitch::{Key, Pitch};
use crate::theory::symbol::{Style, parse};
use crate::theory::{Name, Quality};

use super::cluster::Cluster;
use super::grand::{self, Caption, Hands, Label, Note};
use super::staff::{self, Clef, Options};
use super::strip::{self, Strip};
use super::symbol::{self, Setting};
use super::{Drawing, Face, Glyph, Ink, Mark, pair, text, words};

/// Reads notes such as `Bb2 F3`.
fn pitches(text: &str) -> Vec<Pitch> {
    text.split_whitespace()
        .map(|note| {
            let (name, octave) = Name::parse_prefix(note).unwrap();
            let octave: i64 = octave.parse().unwrap();
            let key =
                12 * (octave + 1) + i64::from(name.letter().class()) + i64::from(name.accidental());
            Pitch::new(name, Key::new(key).unwrap()).unwrap()
        })
        .collect()
}

fn hands(left: &str, right: &str) -> Hands {
    Hands::new(&pitches(left), &pitches(right))
}

fn glyphs(drawing: &Drawing) -> Vec<Glyph> {
    drawing
        .marks
        .iter()
        .filter_map(|mark| match mark {
            Mark::Glyph { glyph, .. } => Some(*glyph),
            _ => None,
        })
        .collect()
}

#[test]
fn steps_count_from_the_bottom_line() {
    let check = |clef: Clef, note: &str, step: i32| {
        assert_eq!(clef.step(pitches(note)[0]), step, "{note}");
    };

    // Common practice, no source: E4 and F5 on the outer lines of the treble staff, G2 and A3 of
    // the bass staff, middle C on the first ledger line of either.
    check(Clef::Treble, "E4", 0);
    check(Clef::Treble, "F5", 8);
    check(Clef::Treble, "C4", -2);
    check(Clef::Bass, "G2", 0);
    check(Clef::Bass, "A3", 8);
    check(Clef::Bass, "C4", 10);
    // The written note counts, not the key.
    check(Clef::Treble, "Cb5", 5);
    check(Clef::Treble, "B#3", -3);
    check(Clef::Treble, "Ebb4", 0);
}

#[test]
fn ledger_lines_are_counted() {
    let check = |step: i32, count: i32| assert_eq!(staff::ledgers(step), count, "{step}");

    check(-1, 0);
    check(9, 0);
    check(10, 1);
    check(11, 1);
    check(14, 3);
    check(15, 3);
    check(16, 4);
    check(-2, 1);
    check(-3, 1);
    check(-6, 3);
    check(-8, 4);
}

#[test]
fn the_octave_sign_comes_beyond_three_ledger_lines() {
    let check = |clef: Clef, notes: &str, octaves: i32| {
        assert_eq!(
            Cluster::new(&pitches(notes), clef, &[]).octaves,
            octaves,
            "{notes}"
        );
    };

    check(Clef::Treble, "E6 F6", 0);
    check(Clef::Treble, "G6", 1);
    check(Clef::Treble, "C7 F7", 1);
    check(Clef::Treble, "C8", 2);
    check(Clef::Treble, "E3", 0);
    check(Clef::Treble, "D3", -1);
    check(Clef::Bass, "A0", -1);
    check(Clef::Bass, "B1", 0);
    check(Clef::Bass, "E2 G4", 0);
    check(Clef::Bass, "", 0);
    // Where one end would need more lines than the other saves, nothing is moved.
    check(Clef::Treble, "C4 G6", 0);
}

#[test]
fn a_natural_stands_only_where_it_is_needed() {
    let signs = |notes: &str, before: &[(i32, i8)]| -> Vec<Glyph> {
        let cluster = Cluster::new(&pitches(notes), Clef::Treble, before);
        cluster.signs.iter().map(|sign| sign.glyph).collect()
    };

    assert_eq!(signs("D4 F4", &[]), []);
    assert_eq!(signs("F4 F#4", &[]), [Glyph::Natural, Glyph::Sharp]);
    // Earlier in the bar there was an F sharp, then an F.
    assert_eq!(signs("F4", &[(1, 1)]), [Glyph::Natural]);
    assert_eq!(signs("F4", &[(1, 0), (1, 1)]), []);
    assert_eq!(signs("F5", &[(1, 1)]), []);
    // An accidental is written for each chord anew.
    assert_eq!(signs("F#4", &[(1, 1)]), [Glyph::Sharp]);
}

#[test]
fn keys_are_split_at_middle_c() {
    let split = Hands::split(&pitches("Bb2 B3 C4 A4"));

    assert_eq!(split, hands("Bb2 B3", "C4 A4"));
    assert_eq!(Hands::split(&[]), Hands::default());
}

#[test]
fn a_drawing_says_what_it_shows() {
    let check = |left: &str, right: &str, expected: &str| {
        let drawing = grand::layout(&hands(left, right), &Options::default());
        assert_eq!(drawing.words, expected);
    };

    check(
        "Bb2 F3",
        "Ab3 D4",
        "left hand B flat 2, F 3; right hand A flat 3, D 4",
    );
    check(
        "",
        "C4 F##4 Bbb4",
        "right hand C 4, F double sharp 4, B double flat 4",
    );
    check("A0", "", "left hand A 0");
    check("", "", "no note");
}

#[test]
fn chords_have_words() {
    let check = |text: &str, expected: &str| {
        assert_eq!(words::chord(parse(text).unwrap()), expected, "{text}");
    };

    check("Bb7", "B flat dominant seventh");
    check("F#m7b5", "F sharp half-diminished");
    check("C", "C major triad");
    check("Dmaj7#11", "D major seventh with sharp eleventh");
    check(
        "G7b9b13",
        "G dominant seventh with flat ninth and flat thirteenth",
    );
    check("G7sus4", "G dominant seventh with fourth for third");
    check("Gsus2", "G major triad with second for third");
    check("G7#5", "G dominant seventh with sharp fifth");
    check("Gmaj7b5", "G major seventh with flat fifth");
    check("A7alt", "A altered dominant");
    check("C6/9", "C major sixth with ninth");
    check("C7/Bb", "C dominant seventh over B flat");
    check("C5", "C chord with root and fifth");
}

#[test]
fn every_word_of_a_quality_tells_it_from_the_others() {
    let qualities = [
        "", "m", "7", "m7", "maj7", "7sus4", "7#5", "9", "7b9", "m6", "dim7", "7b5",
    ];
    let mut said: Vec<String> = qualities
        .iter()
        .map(|text| words::quality(parse(&format!("C{text}")).unwrap().quality))
        .collect();

    said.sort();
    said.dedup();
    assert_eq!(said.len(), qualities.len(), "{said:?}");
}

#[test]
fn labels_stand_beside_their_notes_or_as_near_as_there_is_room() {
    let note = |text: &str, label: &str| Note {
        label: Some(Label {
            text: label.to_owned(),
            strong: false,
        }),
        ..Note::from(pitches(text)[0])
    };
    let hands = Hands {
        left: vec![note("C2", "root")],
        right: vec![
            note("E4", "third"),
            note("F4", "fourth"),
            note("F5", "ninth"),
        ],
    };
    let drawing = grand::layout(&hands, &Options::default());
    let height = |wanted: &str| {
        drawing.marks.iter().find_map(|mark| match mark {
            Mark::Text { text, at, .. } if text == wanted => Some(at.y - drawing.origin.y),
            _ => None,
        })
    };
    let [third, fourth, ninth] = ["third", "fourth", "ninth"].map(|word| height(word).unwrap());

    // The ninth is on the top line; the seconds share their middle, a line of text apart.
    assert!((ninth - 0.32).abs() < 0.01, "{ninth}");
    assert!((third - fourth - 1.5).abs() < 0.01, "{third} {fourth}");
    assert!(((third + fourth) / 2.0 - 0.322 - 3.75).abs() < 0.01);
}

#[test]
fn what_is_asked_and_what_is_played_have_one_height() {
    let caption = |text| Caption {
        text,
        size: 1.7,
        ink: Ink::Quiet,
    };
    // The left one needs more room between the staves.
    let asked = hands("E4 G4", "E3 G3");
    let played = hands("Bb2", "D4");
    let drawing = pair::layout(
        [(caption("asked"), &asked), (caption("played"), &played)],
        &Options::default(),
    );
    let clefs: Vec<f32> = drawing
        .marks
        .iter()
        .filter_map(|mark| match mark {
            Mark::Glyph {
                glyph: Glyph::FClef,
                at,
                ..
            } => Some(at.y),
            _ => None,
        })
        .collect();

    assert_eq!(clefs.len(), 2);
    assert!((clefs[0] - clefs[1]).abs() < 0.001);
    assert_eq!(
        drawing.words,
        "asked: left hand E 4, G 4; right hand E 3, G 3. played: left hand B flat 2; right hand D 4"
    );
}

#[test]
fn a_chord_stands_where_it_is_asked_to() {
    let options = Options {
        width: 82.0,
        axis: Some(33.0),
        lines: Ink::Quiet,
    };
    let drawing = grand::layout(&hands("Ab2", "C4"), &options);

    for mark in &drawing.marks {
        if let Mark::Glyph {
            glyph: Glyph::NoteheadWhole,
            ..
        } = mark
        {
            let bounds = mark.bounds();
            let middle = (bounds.left + bounds.right) / 2.0 - drawing.origin.x;
            assert!((middle - 33.0).abs() < 0.01, "{middle}");
        }
    }
}

#[test]
fn a_symbol_takes_its_signs_from_the_music_font() {
    let check = |text: &str, expected: &[Glyph]| {
        let chord = parse(text).unwrap();
        let drawing = symbol::layout(chord, Setting::new(Style::DEFAULT, 1.0));
        assert_eq!(glyphs(&drawing), expected, "{text}");
    };

    check("C7", &[]);
    check("Bb7", &[Glyph::SymbolFlat]);
    check("F#m7b5", &[Glyph::SymbolSharp, Glyph::SymbolFlat]);
    check("Cdim7", &[Glyph::SymbolDiminished]);
    check("C7/Bb", &[Glyph::SymbolFlat]);
    check("D7(b9#11)", &[Glyph::SymbolFlat, Glyph::SymbolSharp]);
}

#[test]
fn a_triad_has_nothing_after_its_root() {
    let drawing = symbol::quality(Quality::MAJOR, Setting::new(Style::DEFAULT, 1.0));

    assert_eq!(drawing.marks, []);
    assert_eq!(drawing.words, "major triad");
    assert!(drawing.width.abs() < 0.001);
}

#[test]
fn running_text_is_as_wide_as_its_pieces() {
    let plain = text::width("Gb", Face::Regular, 2.0);
    let signed = text::layout("G♭, F♯.", Face::Regular, 2.0);

    assert!((signed.width - text::width("G♭, F♯.", Face::Regular, 2.0)).abs() < 0.01);
    assert!(signed.width > plain);
    assert_eq!(glyphs(&signed), [Glyph::SymbolFlat, Glyph::SymbolSharp]);
    assert_eq!(signed.words, "G♭, F♯.");
}

fn strip(lowest: i64, highest: i64, held: &[i64]) -> Drawing {
    let key = |number| Key::new(number).unwrap();
    let held: Vec<Key> = held.iter().map(|number| key(*number)).collect();

    strip::layout(&Strip {
        lowest: key(lowest),
        highest: key(highest),
        held: &held,
        heard: true,
        height: 1.75,
        caption: None,
    })
}

#[test]
fn a_strip_is_as_wide_as_its_white_keys() {
    let check = |lowest, highest, width: f32| {
        let drawing = strip(lowest, highest, &[]);
        assert!((drawing.width - width).abs() < 0.001, "{}", drawing.width);
    };

    // Common practice, no source: 88 keys have 52 white ones, 61 from C to C have 36.
    check(21, 108, 52.0);
    check(36, 96, 36.0);
    check(60, 60, 1.0);
    // A black key at an end brings the white one beside it.
    check(61, 70, 7.0);
}

#[test]
fn held_keys_are_ink_in_their_places() {
    let inked = |held: &[i64]| -> Vec<(f32, f32)> {
        strip(36, 96, held)
            .marks
            .iter()
            .filter_map(|mark| match mark {
                Mark::Rect {
                    at,
                    width,
                    ink: Ink::Plain,
                    ..
                } if *width < 2.0 => Some((at.x, *width)),
                _ => None,
            })
            .collect()
    };

    assert_eq!(inked(&[]), []);
    // Middle C has 14 white keys to its left on a keyboard from C2.
    assert_eq!(inked(&[60]), [(14.0, 1.0)]);
    let [(left, width)] = inked(&[61])[..] else {
        panic!("one key is held");
    };
    assert!((left + width / 2.0 - 14.9).abs() < 0.001);
    assert_eq!(strip(36, 96, &[61, 44]).words, "held: A flat 2, D flat 4");
    assert_eq!(strip(36, 96, &[]).words, "no key held");
}
