//! Chord tones spelled, and the roots that chord parts print.

use viva_voicing::theory::{Chord, Name, Quality};

use super::{chord, quality, quality_in_table, table};

fn spelled(chord: Chord) -> String {
    chord
        .tones()
        .iter()
        .map(|(_, name)| name.ascii())
        .collect::<Vec<_>>()
        .join(" ")
}

// Source: agreement of music21 10.5.1, harte-library 0.4.5, pychord 1.4.1, tonal 6.4.2 and
// LilyPond 2.24.1.
#[test]
fn chord_tones_are_spelled_as_in_the_reference_table() {
    for row in table("chord_spellings", 455) {
        let root = Name::parse(row.get("root")).expect("a root");
        let chord = Chord::new(root, quality_in_table(row.get("quality")));
        let text = format!("{}{}", row.get("root"), row.get("quality"));
        let tones = chord.tones();
        let mut classes: Vec<u8> = tones.iter().map(|(_, name)| name.class()).collect();
        classes.sort_unstable();
        let semitones: Vec<i32> = chord
            .quality
            .degrees()
            .map(|degree| degree.semitones())
            .collect();
        let doubled = tones.iter().any(|(_, name)| name.is_double());

        assert_eq!(spelled(chord), row.get("notes"), "{text}");
        assert_eq!(semitones, row.numbers::<i32>("semitones"), "{text}");
        assert_eq!(classes, row.numbers::<u8>("pitch_classes"), "{text}");
        assert_eq!(doubled, row.get("double_accidental") == "True", "{text}");
    }
}

// Source: mir_eval 0.8.2, in the syntax of Harte et al. 2005.
#[test]
fn qualities_have_the_pitch_classes_of_the_reference_table() {
    for row in table("chord_qualities", 28) {
        let quality = quality_in_table(row.get("quality"));

        if quality.is_altered() {
            assert_eq!(row.get("pitch_classes"), "", "7alt has no single set");
            continue;
        }

        let expected = row
            .numbers::<u8>("pitch_classes")
            .iter()
            .fold(0, |set, class| set | 1 << class);
        assert_eq!(quality.classes_over(0), expected, "{}", row.get("quality"));
    }
}

// Source: MusicXML 4.0 schema, the values of `kind`.
#[test]
fn qualities_agree_with_the_kinds_of_musicxml() {
    for row in table("musicxml_kinds", 26) {
        let symbol = match row.get("kind") {
            "major" => "",
            "minor" => "m",
            "augmented" => "aug",
            "diminished" => "dim",
            "dominant" => "7",
            "major-seventh" => "maj7",
            "minor-seventh" => "m7",
            "diminished-seventh" => "dim7",
            "augmented-seventh" => "7#5",
            "half-diminished" => "m7b5",
            "major-minor" => "m(maj7)",
            "major-sixth" => "6",
            "minor-sixth" => "m6",
            "dominant-ninth" => "9",
            "major-ninth" => "maj9",
            "minor-ninth" => "m9",
            "dominant-11th" => "11",
            "major-11th" => "maj11",
            "minor-11th" => "m11",
            // The standard's thirteenths contain the eleventh, those of chord parts do not.
            "dominant-13th" => "13(11)",
            "major-13th" => "maj13(11)",
            "minor-13th" => "m13(11)",
            "suspended-second" => "sus2",
            "suspended-fourth" => "sus4",
            "power" => "5",
            "pedal" => continue,
            other => panic!("unknown kind {other}"),
        };
        let semitones: Vec<i32> = quality(symbol)
            .degrees()
            .map(|degree| degree.semitones())
            .collect();

        assert_eq!(semitones, row.numbers::<i32>("semitones"), "{symbol}");
    }
}

// Common practice, no source.
#[test]
fn thirds_and_sevenths_are_those_that_teachers_insist_on() {
    let check = |symbol: &str, third: &str, seventh: &str| {
        let chord = chord(symbol);
        let name = |degree: Option<_>| {
            degree
                .and_then(|degree| chord.name(degree))
                .map(Name::ascii)
                .unwrap_or_default()
        };
        assert_eq!(name(chord.quality.third()), third, "{symbol}");
        assert_eq!(name(chord.quality.seventh()), seventh, "{symbol}");
    };

    for (root, dominant, major, minor) in [
        ("C", "E Bb", "E B", "Eb Bb"),
        ("F", "A Eb", "A E", "Ab Eb"),
        ("Bb", "D Ab", "D A", "Db Ab"),
        ("Eb", "G Db", "G D", "Gb Db"),
        ("Ab", "C Gb", "C G", "Cb Gb"),
        ("Db", "F Cb", "F C", ""),
        ("Gb", "Bb Fb", "Bb F", ""),
        ("F#", "A# E", "A# E#", "A E"),
        ("B", "D# A", "D# A#", "D A"),
        ("E", "G# D", "G# D#", "G D"),
        ("A", "C# G", "C# G#", "C G"),
        ("D", "F# C", "F# C#", "F C"),
        ("G", "B F", "B F#", "Bb F"),
    ] {
        for (suffix, pair) in [("7", dominant), ("maj7", major), ("m7", minor)] {
            if let Some((third, seventh)) = pair.split_once(' ') {
                check(&format!("{root}{suffix}"), third, seventh);
            }
        }
    }

    check("C#m7", "E", "B");
    check("F#m7", "A", "E");
}

// Common practice, no source.
#[test]
fn a_diminished_seventh_is_spelled_strictly_and_printed_plainly() {
    let check = |symbol: &str, strict: &str, printed: &str| {
        let chord = chord(symbol);
        let plain: Vec<_> = chord
            .tones()
            .iter()
            .map(|(_, name)| name.in_print().ascii())
            .collect();
        assert_eq!(spelled(chord), strict);
        assert_eq!(plain.join(" "), printed);
    };

    check("Cdim7", "C Eb Gb Bbb", "C Eb Gb A");
    check("Fdim7", "F Ab Cb Ebb", "F Ab Cb D");
    check("Bbdim7", "Bb Db Fb Abb", "Bb Db Fb G");
    check("Ebdim7", "Eb Gb Bbb Dbb", "Eb Gb A C");
    check("Abdim7", "Ab Cb Ebb Gbb", "Ab Cb D F");
    check("C#dim7", "C# E G Bb", "C# E G Bb");
    check("Bdim7", "B D F Ab", "B D F Ab");
}

fn check_roots(quality: Quality, expected: &str) {
    let printed: Vec<String> = (0..12)
        .map(|class| quality.printed_root(class).ascii())
        .collect();

    assert_eq!(printed.join(" "), expected);

    for class in 0..12 {
        assert_eq!(quality.printed_root(class).class(), class);
    }
}

// Common practice, no source.
#[test]
fn roots_are_printed_so_that_chords_are_easy_to_read() {
    let flats = "C Db D Eb E F Gb G Ab A Bb B";
    check_roots(quality("7"), flats);
    check_roots(quality("maj7"), flats);
    check_roots(quality("7sus4"), flats);
    check_roots(quality("m7"), "C C# D Eb E F F# G Ab A Bb B");
    check_roots(quality("m6"), "C C# D Eb E F F# G Ab A Bb B");
    check_roots(quality("m7b5"), "C C# D D# E F F# G G# A Bb B");
    check_roots(quality("dim7"), "C C# D Eb E F F# G Ab A Bb B");
}

// Source: A. García, "Clear Chord Symbols": no double accidentals in chord parts.
#[test]
fn printed_roots_spare_double_accidentals() {
    for text in [
        "", "m", "6", "m6", "maj7", "7", "m7", "m7b5", "m(maj7)", "9", "m9", "maj9", "13", "7sus4",
    ] {
        for class in 0..12 {
            let quality = quality(text);
            let chord = Chord::new(quality.printed_root(class), quality);
            assert!(
                chord.tones().iter().all(|(_, name)| !name.is_double()),
                "{}",
                spelled(chord)
            );
        }
    }
}

#[test]
fn every_note_of_the_keyboard_has_a_name_in_a_chord() {
    let check = |symbol: &str, class: u8, expected: &str| {
        assert_eq!(chord(symbol).name_class(class).ascii(), expected);
    };

    // Chord tones by the chord, then tensions, whatever the key of the keyboard is called alone.
    check("Ab7", 6, "Gb");
    check("D7", 6, "F#");
    check("Db7", 11, "Cb");
    check("C7#9", 3, "D#");
    check("C7", 3, "Eb");
    check("C7#11", 6, "F#");
    check("C7#5", 8, "G#");
    check("C7b13", 8, "Ab");
    check("Cdim7", 9, "Bbb");
    check("E7", 5, "F");
    check("C7", 0, "C");
}
