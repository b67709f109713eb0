//! Chord symbols printed: three houses of style, ASCII, and what was printed read again.

use viva_voicing::theory::symbol::{self, House, Style};
use viva_voicing::theory::{Chord, Degree, Name, Quality};

use super::{quality, quality_in_table, table};

const HOUSES: [House; 3] = [House::Lower, House::Capital, House::Signs];

fn styles() -> impl Iterator<Item = Style> {
    HOUSES
        .into_iter()
        .flat_map(|house| [false, true].map(|slashed| Style { house, slashed }))
}

/// The roots that a symbol may have: seven letters, each plain, flat and sharp.
fn roots() -> Vec<Name> {
    "C D E F G A B"
        .split(' ')
        .flat_map(|letter| ["", "b", "#"].map(|sign| format!("{letter}{sign}")))
        .map(|text| Name::parse(&text).expect("a root"))
        .collect()
}

fn check(text: &str, lower: &str, capital: &str, signs: &str) {
    let quality = quality(text);

    for (house, expected) in HOUSES.into_iter().zip([lower, capital, signs]) {
        let style = Style {
            house,
            slashed: false,
        };
        assert_eq!(symbol::print_quality(quality, style), expected, "{text}");
    }
}

// Houses after the project's notes on the trade, 5.1 (A. García, "Clear Chord Symbols").

#[test]
fn each_house_prints_its_own_signs() {
    check("", "", "", "");
    check("m", "m", "MI", "−");
    check("dim", "°", "°", "°");
    check("aug", "+", "+", "+");
    check("5", "5", "5", "5");
    check("sus4", "sus4", "sus4", "sus4");
    check("6", "6", "6", "6");
    check("m6", "m6", "MI6", "−6");
    check("6/9", "6/9", "6/9", "6/9");
    check("maj7", "maj7", "MA7", "△7");
    check("7", "7", "7", "7");
    check("m7", "m7", "MI7", "−7");
    check("m7b5", "m7♭5", "MI7(♭5)", "−7♭5");
    check("dim7", "°7", "°7", "°7");
    check("m(maj7)", "m(maj7)", "MI(MA7)", "−△7");
    check("dim(maj7)", "°(maj7)", "°(MA7)", "°△7");
    check("7#5", "7♯5", "7(♯5)", "7♯5");
    check("maj7#5", "maj7♯5", "MA7(♯5)", "△7♯5");
    check("7sus4", "7sus4", "7sus4", "7sus4");
    check("9sus4", "9sus4", "9sus4", "9sus4");
    check("maj9", "maj9", "MA9", "△9");
    check("m11", "m11", "MI11", "−11");
    check("maj13", "maj13", "MA13", "△13");
    check("7alt", "7alt", "7alt", "7alt");
}

#[test]
fn tensions_stand_in_brackets() {
    check("7b9", "7(♭9)", "7(♭9)", "7(♭9)");
    check("7b9b13", "7(♭9♭13)", "7(♭9♭13)", "7(♭9♭13)");
    check("maj7#11", "maj7(♯11)", "MA7(♯11)", "△7(♯11)");
    check("7#5#9", "7(♯5♯9)", "7(♯5♯9)", "7(♯5♯9)");
    check("7(13)", "7(13)", "7(13)", "7(13)");
    check("13b9", "13(♭9)", "13(♭9)", "13(♭9)");
    check("7(#11,b13)", "7(♯11♭13)", "7(♯11♭13)", "7(♯11♭13)");
    check("9(#11)", "9(♯11)", "9(♯11)", "9(♯11)");
    check("m7b5b9", "m7♭5(♭9)", "MI7(♭5♭9)", "−7♭5(♭9)");
    check("6/9#11", "6/9(♯11)", "6/9(♯11)", "6/9(♯11)");
}

#[test]
fn without_a_sixth_or_seventh_a_tension_is_added() {
    check("add9", "add9", "add9", "add9");
    check("madd9", "m(add9)", "MI(add9)", "−(add9)");
    check("add#11", "add♯11", "add♯11", "add♯11");
    check("add9add13", "(add9,add13)", "(add9,add13)", "(add9,add13)");
    check("augadd9", "+(add9)", "+(add9)", "+(add9)");
    check("sus4add9", "sus4(add9)", "sus4(add9)", "sus4(add9)");
}

#[test]
fn a_flat_fifth_right_after_the_root_stands_in_brackets() {
    check("(b5)", "(♭5)", "(♭5)", "(♭5)");
    assert_eq!(symbol::ascii_quality(quality("(b5)")), "(b5)");
}

#[test]
fn the_half_diminished_chord_may_have_a_sign_of_its_own() {
    for house in HOUSES {
        let style = Style {
            house,
            slashed: true,
        };
        let check = |text: &str, expected: &str| {
            assert_eq!(symbol::print_quality(quality(text), style), expected);
        };

        check("m7b5", "ø7");
        check("m9b5", "ø9");
        check("m7b5b9", "ø7(♭9)");
        check("dim7", "°7");
    }
}

#[test]
fn a_whole_symbol_has_real_signs() {
    let check = |text: &str, expected: &str| {
        let chord = symbol::parse(text).expect(text);
        assert_eq!(symbol::print(chord, Style::DEFAULT), expected);
    };

    check("Bbmaj7", "B♭maj7");
    check("F#m7b5", "F♯m7♭5");
    check("C#9", "C♯9");
    check("C7#9", "C7(♯9)");
    check("C/E", "C/E");
    check("Bb6/9/D", "B♭6/9/D");
    check("Cdim7/Ebb", "C°7/E𝄫");
}

#[test]
fn ascii_names_are_those_of_the_reference_table() {
    let rows = table("chord_spellings", 455);

    for row in rows {
        let name = row.get("quality");
        let expected = match name {
            "maj" => "",
            "min" => "m",
            other => other,
        };
        assert_eq!(symbol::ascii_quality(quality_in_table(name)), expected);
    }
}

#[test]
fn ascii_keeps_brackets_where_they_are_needed() {
    let check = |text: &str, expected: &str| {
        assert_eq!(symbol::ascii_quality(quality(text)), expected, "{text}");
    };

    check("m(maj7)", "m(maj7)");
    check("m(add9)", "m(add9)");
    check("7(13)", "7(13)");
    check("7(♭9,13)", "13b9");
    check("7(♯11,13)", "7(#11,13)");
    check("m7♭5(♭9)", "m7b5b9");
    check("+(add9)", "aug(add9)");
    check("add♯11", "add#11");
}

/// Every quality that a symbol can name: each third with each fifth, sixth or seventh, ninth,
/// eleventh and thirteenth.
fn qualities() -> Vec<Quality> {
    use Degree::{
        DoubleFlatSeventh, Eleventh, Fifth, FlatFifth, FlatNinth, FlatSeventh, FlatThird,
        FlatThirteenth, Fourth, Ninth, Second, Seventh, SharpEleventh, SharpFifth, SharpNinth,
        Sixth, Third, Thirteenth,
    };

    let mut all = vec![Quality::ALTERED, Quality::of(&[Fifth])];
    let choices: [&[&[Degree]]; 6] = [
        &[&[Third], &[FlatThird], &[Fourth], &[Second]],
        &[&[Fifth], &[FlatFifth], &[SharpFifth]],
        &[
            &[],
            &[Sixth],
            &[FlatSeventh],
            &[Seventh],
            &[DoubleFlatSeventh],
        ],
        &[
            &[],
            &[Ninth],
            &[FlatNinth],
            &[SharpNinth],
            &[FlatNinth, SharpNinth],
        ],
        &[&[], &[Eleventh], &[SharpEleventh]],
        &[&[], &[Thirteenth], &[FlatThirteenth]],
    ];
    let mut sets: Vec<Vec<Degree>> = vec![Vec::new()];

    for choice in choices {
        sets = sets
            .iter()
            .flat_map(|set| choice.iter().map(move |more| [set, *more].concat()))
            .collect();
    }

    // A diminished seventh stands on a diminished triad only.
    all.extend(
        sets.iter()
            .filter(|set| {
                !set.contains(&DoubleFlatSeventh) || set.starts_with(&[FlatThird, FlatFifth])
            })
            .map(|set| Quality::of(set)),
    );
    all
}

#[test]
fn what_was_printed_is_read_as_the_same_quality() {
    let qualities = qualities();
    assert_eq!(qualities.len(), 2 + (12 * 4 + 1) * 5 * 3 * 3);

    for quality in qualities {
        for style in styles() {
            let printed = symbol::print_quality(quality, style);
            assert_eq!(
                symbol::parse_quality(&printed),
                Ok(quality),
                "{printed} in {style:?}"
            );
            assert_eq!(
                printed.matches('(').count(),
                printed.matches(')').count(),
                "{printed}"
            );
        }

        let printed = symbol::ascii_quality(quality);
        assert!(printed.is_ascii(), "{printed}");
        assert_eq!(symbol::parse_quality(&printed), Ok(quality), "{printed}");
    }
}

#[test]
fn no_two_qualities_are_printed_alike() {
    for style in styles() {
        let mut printed: Vec<_> = qualities()
            .into_iter()
            .map(|quality| symbol::print_quality(quality, style))
            .collect();
        let all = printed.len();
        printed.sort_unstable();
        printed.dedup();

        assert_eq!(printed.len(), all, "{style:?}");
    }
}

#[test]
fn what_was_printed_is_read_as_the_same_chord_on_every_root() {
    let names = "maj min aug dim sus2 sus4 add9 6 m6 6/9 maj7 7 m7 m7b5 dim7 m(maj7) maj7#5 \
                 maj7#11 7sus4 9sus4 9 maj9 m9 m11 13 maj13 7b5 7#5 7b9 7#9 7#11 7b13 7b9b13 \
                 7#5#9 7#9b13 (b5) 5 7alt 7(13) 13b9 m(add9) m7b5b9 6(#11)";
    let basses = [None, Some("E"), Some("Bb"), Some("F#"), Some("Cb")];

    for root in roots() {
        for quality in names.split_whitespace().map(quality_in_table) {
            for bass in basses {
                let bass = bass
                    .map(|bass| Name::parse(bass).expect("a bass"))
                    .filter(|bass| bass.class() != root.class());
                let chord = Chord {
                    root,
                    quality,
                    bass,
                };
                let printed = styles()
                    .map(|style| symbol::print(chord, style))
                    .chain([symbol::ascii(chord)]);

                for printed in printed {
                    assert_eq!(symbol::parse(&printed), Ok(chord), "{printed}");
                }
            }
        }
    }
}

#[test]
fn roots_with_double_accidentals_are_no_symbols() {
    for letter in ["C", "D", "E", "F", "G", "A", "B"] {
        for sign in ["bb", "##"] {
            let error = symbol::parse(&format!("{letter}{sign}7")).expect_err(letter);
            assert_eq!(error.span, 0..3, "{error}");
        }
    }
}

#[test]
fn qualities_have_names_in_words_where_the_trade_has_one() {
    let check = |text: &str, words: Option<&str>| {
        assert_eq!(symbol::words(quality(text)), words, "{text}");
    };

    check("maj7", Some("major seventh"));
    check("7", Some("dominant seventh"));
    check("m7b5", Some("half-diminished"));
    check("dim7", Some("diminished seventh"));
    check("7b9", None);
}
