//! Chord symbols read: every way of writing that the trade has, and faults with their place.

use std::ops::Range;

use proptest::prelude::*;
use viva_voicing::theory::{Quality, symbol};

use super::{ascii, chord};

fn check(texts: &str, expected: &str) {
    for text in texts.split_whitespace() {
        let read: Vec<_> = chord(text).quality.degrees().collect();
        assert_eq!(ascii(&read), expected, "{text}");
    }
}

// Ways of writing after the project's notes on the trade, 5.1 (A. García, "Clear Chord Symbols";
// R. Stone, best practices), the rest common practice, no source.

#[test]
fn triads_are_read_in_every_way() {
    check("C CM Cmaj CMA CMaj", "1 3 5");
    check("Cm C- C− C– Cmi CMI Cmin CMin CMIN", "1 b3 5");
    check("C+ Caug C(♯5) C(#5) C(+5)", "1 3 #5");
    check("C° Cdim Co Cm(♭5) Cm-5 Cmb5", "1 b3 b5");
    check("C(♭5) C(b5)", "1 3 b5");
    check("Csus4 Csus C(sus4)", "1 4 5");
    check("Csus2", "1 2 5");
    check("C5", "1 5");
    check("Cadd9 Cadd2 C(add9) Cmajadd9", "1 3 5 9");
    check("Cmadd9 Cm(add9) C-add9 CMI(add9) Cm(add2)", "1 b3 5 9");
    check("Cadd♯11 C(♯11) C(add#4)", "1 3 5 #11");
    check("Cadd4", "1 3 5 11");
}

#[test]
fn sixths_and_sevenths_are_read_in_every_way() {
    check("C6 Cmaj6 CMA6", "1 3 5 6");
    check("Cm6 C-6 CMI6", "1 b3 5 6");
    check("C6/9 C69 C6(9) C6add9", "1 3 5 6 9");
    check("Cm6/9 Cm69", "1 b3 5 6 9");
    check(
        "Cmaj7 CMA7 CM7 C△ C△7 CΔ7 C∆7 Cj7 CMaj7 CMAJ7 Cma7 CMa7 C(maj7)",
        "1 3 5 7",
    );
    check("C7", "1 3 5 b7");
    check(
        "Cm7 CMI7 Cmi7 Cmin7 C−7 C-7 C–7 CMin7 CMIN7 CMi7",
        "1 b3 5 b7",
    );
    check(
        "Cm7♭5 Cm7b5 Cmi7(♭5) CMI7(b5) C−7♭5 C-7-5 Cm7-5 Cø7 Cø CØ7",
        "1 b3 b5 b7",
    );
    check("C°7 Cdim7 Co7", "1 b3 b5 bb7");
    check(
        "Cm(maj7) Cmmaj7 CmM7 CMI(MA7) CMIMA7 C−△7 C-△ C−△ Cm△7 C-(maj7) Cminmaj7",
        "1 b3 5 7",
    );
    check("C°(maj7) Cdim(maj7)", "1 b3 b5 7");
    check("C7♯5 C7#5 C+7 C7(♯5) C7+5 C7+ Caug7 C7aug", "1 3 #5 b7");
    check("C7♭5 C7b5 C7-5 C7(♭5) C7−5", "1 3 b5 b7");
    check("Cmaj7♯5 C△7♯5 CMA7(♯5) C+maj7 C+M7", "1 3 #5 7");
    check("C7sus4 C7sus C7(sus4)", "1 4 5 b7");
    check("C7sus2", "1 2 5 b7");
    check("Cmaj7sus4", "1 4 5 7");
}

#[test]
fn taller_chords_are_read_in_every_way() {
    check("C9", "1 3 5 b7 9");
    check("Cmaj9 CMA9 C△9 C△(9) Cmaj7(9)", "1 3 5 7 9");
    check("Cm9 C-9 CMI9", "1 b3 5 b7 9");
    check("Cm(maj9) C−△9", "1 b3 5 7 9");
    check("C9sus4 C9sus", "1 4 5 b7 9");
    check("C13sus4", "1 4 5 b7 9 13");
    check("C+9 C9♯5", "1 3 #5 b7 9");
    check("C11", "1 3 5 b7 9 11");
    check("Cm11", "1 b3 5 b7 9 11");
    check("Cm11♭5 Cø11", "1 b3 b5 b7 9 11");
    check("C13 C7(9,13) C9(13)", "1 3 5 b7 9 13");
    check("Cmaj13", "1 3 5 7 9 13");
    check("C7(13)", "1 3 5 b7 13");
    check("C13(11)", "1 3 5 b7 9 11 13");
}

#[test]
fn alterations_are_read_with_and_without_brackets() {
    check("C7♭9 C7b9 C7(♭9) C7-9 C7−9 C7(-9)", "1 3 5 b7 b9");
    check("C7♯9 C7#9 C7(♯9) C7+9", "1 3 5 b7 #9");
    check("C7♯11 C7(♯11) C7+11 C7(♯4)", "1 3 5 b7 #11");
    check("C7♭13 C7(♭13) C7(b6)", "1 3 5 b7 b13");
    check(
        "C7(♭9♭13) C7b9b13 C7(♭9,♭13) C7(♭9)(♭13)",
        "1 3 5 b7 b9 b13",
    );
    check("C7♯9♯5 C7#5#9 C7(♯5♯9) C7♯5(♯9)", "1 3 #5 b7 #9");
    check("C7(♭9♯9)", "1 3 5 b7 b9 #9");
    check("C13♭9 C13(♭9) C7(♭9,13)", "1 3 5 b7 b9 13");
    check("C13♯11", "1 3 5 b7 9 #11 13");
    check("Cmaj7♯11 CMA7(♯11) C△7♯11", "1 3 5 7 #11");
    check("C7sus4(♭9) C7sus4b9 C7susb9", "1 4 5 b7 b9");
    check("Cm7♭5(♭9) Cø7(♭9) Cm7b5b9", "1 b3 b5 b7 b9");
    check("C6(♯11)", "1 3 5 6 #11");
    check("C6/9(♯11)", "1 3 5 6 9 #11");
}

#[test]
fn blanks_may_stand_between_the_parts() {
    assert_eq!(chord("C7 (♭9, 13)"), chord("C7(♭9,13)"));
    assert_eq!(chord("C7 alt"), chord("C7alt"));
}

#[test]
fn altered_dominants_have_a_quality_of_their_own() {
    for text in ["C7alt", "Calt", "C7(alt)"] {
        assert_eq!(chord(text).quality, Quality::ALTERED, "{text}");
    }
}

#[test]
fn roots_are_read_with_either_kind_of_sign() {
    let check = |text: &str, root: &str, quality: &str| {
        let chord = chord(text);
        assert_eq!(chord.root.ascii(), root, "{text}");
        assert_eq!(symbol::ascii_quality(chord.quality), quality, "{text}");
    };

    check("Bb7", "Bb", "7");
    check("B♭7", "Bb", "7");
    check("B7", "B", "7");
    check("Bb5", "Bb", "5");
    check("B(b5)", "B", "(b5)");
    check("C♯9", "C#", "9");
    check("C7♯9", "C", "7#9");
    check("C#m7b5", "C#", "m7b5");
    check("E♮7", "E", "7");
    check("Abm", "Ab", "m");
    check("Amaj7", "A", "maj7");
    check("Fo", "F", "dim");
}

#[test]
fn a_slash_names_the_lowest_note() {
    let check = |text: &str, quality: &str, bass: Option<&str>| {
        let chord = chord(text);
        assert_eq!(symbol::ascii_quality(chord.quality), quality, "{text}");
        assert_eq!(
            chord.bass.map(|bass| bass.ascii()).as_deref(),
            bass,
            "{text}"
        );
    };

    check("C/E", "", Some("E"));
    check("B♭/C", "", Some("C"));
    check("Cm7/Bb", "m7", Some("Bb"));
    check("C7/B♭", "7", Some("Bb"));
    check("C6/9", "6/9", None);
    check("C6/9/E", "6/9", Some("E"));
    check("F7(♭9)/A", "7b9", Some("A"));
    check("C/C", "", None);
    check("B♯7/C", "7", None);
}

fn check_fault(text: &str, span: Range<usize>) {
    let error = symbol::parse(text).expect_err(text);

    assert_eq!(error.span, span, "{text}: {error}");
    assert!(error.message.starts_with("expected "), "{text}: {error}");
    assert!(!error.message.ends_with('.'), "{text}: {error}");
}

#[test]
fn a_fault_says_which_part_of_the_text_it_is() {
    // No root.
    check_fault("", 0..0);
    check_fault("H7", 0..1);
    check_fault("c7", 0..1);
    check_fault("7", 0..1);
    check_fault(" C7", 0..1);
    check_fault("♭", 0..3);
    check_fault("♯7", 0..3);
    check_fault("#", 0..1);
    check_fault("b9", 0..1);
    check_fault("🎹", 0..4);
    check_fault("/C", 0..1);
    check_fault("Bbb7", 0..3);
    check_fault("F𝄪m", 0..5);
    check_fault("Cx", 0..2);

    // What is no part of a symbol, or one part too many.
    check_fault("Cm7x", 3..4);
    check_fault("C7🎹", 2..6);
    check_fault("Cmaj77", 5..6);
    check_fault("Cmaj7maj7", 5..8);
    check_fault("C79", 2..3);
    check_fault("C4", 1..2);
    check_fault("C7m", 2..3);
    check_fault("Cmm7", 2..3);
    check_fault("C7dim", 2..5);
    check_fault("Cmsus4", 2..6);
    check_fault("C7sus4sus2", 6..10);
    check_fault("C7sus9", 2..6);
    check_fault("Cø7maj", 4..7);
    check_fault("C5(b9)", 1..2);
    check_fault("C-5", 2..3);
    check_fault("C(9)", 2..3);
    check_fault("Cadd", 1..4);
    check_fault("Cadd6", 1..5);
    check_fault("C7altb9", 5..7);
    check_fault("C13alt", 3..6);
    check_fault("C6(♭6)7", 8..9);

    // Alterations that name nothing, or name it twice.
    check_fault("C7b", 2..3);
    check_fault("C7b7", 2..4);
    check_fault("C7♯13", 2..7);
    check_fault("C7♭5♯5", 6..10);
    check_fault("C+7♯5", 3..7);
    check_fault("Cdim7b5", 5..7);
    check_fault("C7♭9♭9", 6..10);
    check_fault("C9♭9", 2..6);
    check_fault("C7(9,♭9)", 5..9);
    check_fault("C11♯11", 3..8);

    // Brackets.
    check_fault("C7(b9", 2..3);
    check_fault("C7b9)", 4..5);
    check_fault("C7((b9))", 3..4);
    check_fault("C7)b9(", 2..3);
    check_fault("C(", 1..2);

    // Slashes.
    check_fault("C/", 1..2);
    check_fault("C7/H", 3..4);
    check_fault("C7/e", 3..4);
    check_fault("C7/Em", 3..5);
    check_fault("C/9", 1..2);
    check_fault("C//E", 1..2);
}

#[test]
fn a_message_quotes_what_is_at_fault() {
    let check = |text: &str, message: &str| {
        let error = symbol::parse(text).expect_err(text);
        assert_eq!(error.to_string(), message);
    };

    check("Cm7x", "expected a part of a chord symbol, found `x`");
    check("C7(b9", "expected every bracket to be closed, found `(`");
    check("C7/H", "expected a note such as C, F♯ or B♭, found `H`");
}

#[test]
fn any_number_of_signs_is_refused_without_harm() {
    for sign in ["b", "#", "♭", "♯", "x", "𝄫", "♮"] {
        let text = format!("C{}", sign.repeat(400));
        assert!(symbol::parse(&text).is_err(), "C with 400 times {sign}");
    }
}

proptest! {
    #[test]
    fn no_text_makes_the_reader_panic(text in any::<String>()) {
        if let Err(error) = symbol::parse(&text) {
            prop_assert!(text.get(error.span).is_some());
        }
        if let Err(error) = symbol::parse_quality(&text) {
            prop_assert!(text.get(error.span).is_some());
        }
    }

    #[test]
    fn no_scramble_of_parts_makes_the_reader_panic(
        parts in prop::collection::vec(prop::sample::select(PARTS), 0..7),
        root in prop::sample::select(vec!["C", "B♭", "F#", "H", ""]),
    ) {
        let text = format!("{root}{}", parts.concat());

        match symbol::parse(&text) {
            Ok(chord) => {
                let printed = symbol::print(chord, symbol::Style::DEFAULT);
                prop_assert_eq!(symbol::parse(&printed), Ok(chord), "{} from {}", printed, text);
                let printed = symbol::ascii(chord);
                prop_assert_eq!(symbol::parse(&printed), Ok(chord), "{} from {}", printed, text);
            }
            Err(error) => prop_assert!(text.get(error.span).is_some(), "{}", text),
        }
    }
}

const PARTS: &[&str] = &[
    "maj", "MA", "M", "△", "m", "MI", "−", "-", "dim", "°", "ø", "aug", "+", "sus", "sus4", "sus2",
    "add", "alt", "5", "6", "/9", "7", "9", "11", "13", "b", "♭", "#", "♯", "♭5", "♯5", "♭9", "♯9",
    "♯11", "♭13", "(", ")", ",", " ", "/E", "/G♭", "/",
];
