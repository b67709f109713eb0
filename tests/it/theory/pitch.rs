//! Keys, names and octaves.

use viva_voicing::theory::interval::{self, Interval};
use viva_voicing::theory::pitch::Pitch;
use viva_voicing::theory::{Degree, Key, Name};

use super::table;

fn name(text: &str) -> Name {
    Name::parse(text).unwrap_or_else(|error| panic!("{error}"))
}

/// All names of at most three signs.
fn all_names() -> impl Iterator<Item = Name> {
    ["C", "D", "E", "F", "G", "A", "B"]
        .into_iter()
        .flat_map(|letter| (-3..=3).filter_map(move |sign| Name::new(name(letter).letter(), sign)))
}

// Source: twelve equal steps at A4 = 440 Hz (ISO 16); music21 and pretty_midi agree.
#[test]
fn keys_have_the_frequencies_and_names_of_the_reference_table() {
    for row in table("pitch_12tet_a440", 128) {
        let key = Key::new(row.number("midi")).expect("a key");
        let hz: f64 = row.number("hz");
        assert!((key.frequency_hz() - hz).abs() < 1e-6, "{hz} Hz");

        let flat = row.get("name_flat");
        assert_eq!(key.flat_name(), flat.replace('b', "♭"));

        for text in [flat, row.get("name_sharp")] {
            let letters = text.trim_end_matches(|c: char| c == '-' || c.is_ascii_digit());
            let pitch = Pitch::new(name(letters), key).expect("the name fits the key");
            let ascii = format!("{}{}", pitch.name.ascii(), pitch.octave());
            assert_eq!(ascii, text);
        }
    }
}

// Source: ISO 16.
#[test]
fn the_tuning_note_is_440_hertz() {
    let a4 = Key::new(69).expect("a key");

    assert!((a4.frequency_hz() - 440.0).abs() < f64::EPSILON);
    assert_eq!(a4.flat_name(), "A4");
    assert_eq!(Key::MIDDLE_C.flat_name(), "C4");
}

#[test]
fn the_octave_follows_the_written_letter() {
    let check = |text: &str, key: i64, expected: &str| {
        let key = Key::new(key).expect("a key");
        let pitch = Pitch::new(name(text), key).expect("the name fits the key");
        assert_eq!(pitch.to_string(), expected);
    };

    check("Cb", 71, "C♭5");
    check("B", 71, "B4");
    check("B#", 60, "B♯3");
    check("C", 60, "C4");
    check("Cbb", 70, "C𝄫5");
    check("B##", 61, "B𝄪3");
    check("Fb", 64, "F♭4");
    check("E#", 65, "E♯4");
    check("Cb", 11, "C♭0");
    check("B#", 0, "B♯-2");
}

#[test]
fn a_name_of_another_key_spells_nothing() {
    assert_eq!(Pitch::new(name("C"), Key::new(61).expect("a key")), None);
}

#[test]
fn keys_outside_the_keyboard_are_refused() {
    for number in [-1, 128, i64::MAX, i64::MIN] {
        let error = Key::new(number).expect_err("no key");
        assert_eq!(
            error.to_string(),
            format!("expected a MIDI key from 0 to 127, found {number}")
        );
    }
}

#[test]
fn names_are_read_with_every_usual_sign() {
    let check = |texts: &str, ascii: &str| {
        for text in texts.split_whitespace() {
            assert_eq!(name(text).ascii(), ascii, "{text}");
        }
    };

    check("B♭ Bb", "Bb");
    check("F♯ F#", "F#");
    check("F𝄪 Fx F## F♯♯", "F##");
    check("B𝄫 Bbb B♭♭", "Bbb");
    check("B𝄫♭ Bbbb", "Bbbb");
    check("C C♮", "C");
}

#[test]
fn what_is_no_name_is_refused_with_what_was_found() {
    for text in [
        "", "H", "c", "♭", "Cb#", "C#b", "C♮♭", "C♮♮", "Cbbbb", "C####", "C4", "Bb ", " C", "🎹",
    ] {
        let error = Name::parse(text).expect_err(text);
        assert_eq!(
            error.to_string(),
            format!("expected a note such as C, F♯ or B♭, found `{text}`")
        );
    }
}

#[test]
fn names_are_read_as_they_were_printed() {
    for name in all_names() {
        assert_eq!(Name::parse(&name.to_string()), Ok(name));
        assert_eq!(Name::parse(&name.ascii()), Ok(name));
    }
}

// Source: A. García, "Clear Chord Symbols": double accidentals are respelled enharmonically.
#[test]
fn double_accidentals_are_respelled_in_print() {
    let check = |strict: &str, printed: &str| {
        assert_eq!(name(strict).in_print().ascii(), printed, "{strict}");
    };

    check("Bbb", "A");
    check("Ebb", "D");
    check("Abb", "G");
    check("Fbb", "Eb");
    check("Cbb", "Bb");
    check("F##", "G");
    check("C##", "D");
    check("E##", "F#");
    check("B##", "C#");
    check("Bbbb", "Ab");
    check("F###", "G#");
    check("Cb", "Cb");
    check("E#", "E#");

    for name in all_names() {
        assert_eq!(name.in_print().class(), name.class(), "{name}");
        assert!(!name.in_print().is_double(), "{name}");
    }
}

// Interval names: common practice, no source.
#[test]
fn names_go_up_by_step_and_size() {
    let check = |from: &str, number: u8, semitones: i32, expected: Option<&str>| {
        let up = name(from).up(number, semitones).map(Name::ascii);
        assert_eq!(up.as_deref(), expected, "{from} {number} {semitones}");
    };

    check("C", 3, 4, Some("E"));
    check("Ab", 7, 10, Some("Gb"));
    check("Db", 7, 10, Some("Cb"));
    check("B", 3, 4, Some("D#"));
    check("E", 9, 15, Some("F##"));
    check("Cb", 7, 9, Some("Bbbb"));
    check("Cbb", 7, 9, None);
    check("C", 1, 0, Some("C"));
    check("C", 8, 12, Some("C"));
    check("B", 13, 21, Some("G#"));
    check("C", 250, 0, None);
}

#[test]
fn degrees_are_read_as_they_were_printed() {
    for degree in Degree::ALL {
        assert_eq!(Degree::parse(degree.ascii()), Ok(degree));
        assert_eq!(Degree::parse(&degree.to_string()), Ok(degree));
    }

    assert!(Degree::parse("b4").is_err());
    assert!(Degree::parse("").is_err());
    assert!(Degree::parse_list("1 3 x").is_err());
    assert_eq!(Degree::parse_list(""), Ok(Vec::new()));
}

// Sizes of intervals: common practice, no source.
#[test]
fn intervals_go_by_their_usual_names() {
    let check = |short: &str, semitones: u8, words: &str| {
        let interval = Interval::parse(short).expect(short);
        assert_eq!(interval.semitones(), semitones);
        assert_eq!(interval.words(), words);
        assert_eq!(Interval::new(semitones), Some(interval));
    };

    check("m2", 1, "minor second");
    check("M3", 4, "major third");
    check("P4", 5, "perfect fourth");
    check("TT", 6, "tritone");
    check("P5", 7, "perfect fifth");
    check("m7", 10, "minor seventh");
    check("P8", 12, "octave");
    assert_eq!(Interval::new(0), None);
    assert_eq!(Interval::new(13), None);
    assert_eq!(Interval::all().count(), 12);
}

#[test]
fn a_root_moves_by_the_shorter_way() {
    let check = |from: u8, to: u8, expected: &str| {
        assert_eq!(interval::root_motion(from, to), expected);
    };

    check(2, 7, "up a fourth");
    check(7, 2, "down a fourth");
    check(0, 11, "down a semitone");
    check(11, 0, "up a semitone");
    check(1, 7, "a tritone");
    check(9, 0, "up a minor third");
    check(5, 5, "stays");
}
