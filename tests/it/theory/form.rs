//! What each form of voicing asks of each kind of chord.

use viva_voicing::theory::voicing::form::{self, Error, Tone};
use viva_voicing::theory::{Degree, degree};

use super::{ascii, asked, chord, degrees};

fn check(form: &str, order: &str, symbol: &str, expected: &str) {
    let voicing = asked(form, order, chord(symbol));
    let found = format!(
        "{} | {}",
        ascii(&voicing.hands.left),
        ascii(&voicing.hands.right)
    );

    assert_eq!(found.trim(), expected, "{form}, {order}, {symbol}");
}

fn check_equal(form: &str, order: &str, symbol: &str, expected: &[&str]) {
    let voicing = asked(form, order, chord(symbol));
    let mut found: Vec<String> = voicing
        .equal
        .iter()
        .map(|hands| {
            format!("{} | {}", ascii(&hands.left), ascii(&hands.right))
                .trim()
                .to_owned()
        })
        .collect();
    found.sort_unstable();
    let mut expected: Vec<String> = expected.iter().map(|text| (*text).to_owned()).collect();
    expected.sort_unstable();

    assert_eq!(found, expected, "{form}, {order}, {symbol}");
}

fn check_refused(form: &str, order: &str, symbol: &str, expected: &Error) {
    let form = form::named(form).expect("a form");
    let order = form.order(order).expect("an order");

    assert_eq!(
        form.voicing(chord(symbol), order).as_ref(),
        Err(expected),
        "{symbol}"
    );
}

// Source: the chapter "Three positions of the left hand" as digested in the project's notes on
// the trade, 1.2.
#[test]
fn shells_are_root_and_seventh_or_root_and_third() {
    check("shell", "seventh on top", "Cmaj7", "1 7 |");
    check("shell", "seventh on top", "C6", "1 6 |");
    check("shell", "third on top", "C7", "1 3 |");
    check("shell", "third on top", "Cm7", "1 b3 |");
    check("shell", "third on top", "C7sus4", "1 4 |");
    check("three-note-shell", "seventh on top", "Cm7b5", "1 b3 b7 |");
    check("three-note-shell", "third on top", "Cdim7", "1 bb7 | b3");
    check("guide-tones-with-root", "third on top", "C7", "1 | b7 3");
    check("guide-tones-with-root", "seventh on top", "C7", "1 | 3 b7");
}

// Source: graduate jazz theory review guide and a published rootless chart, as digested in the
// project's notes on the trade, 1.2.
#[test]
fn rootless_forms_begin_with_a_guide_tone() {
    let third = "third at the bottom";
    let seventh = "seventh at the bottom";

    check("rootless", third, "Cmaj7", "3 5 7 9 |");
    check("rootless", seventh, "Cmaj7", "7 9 3 5 |");
    check_equal("rootless", seventh, "Cmaj7", &["7 1 3 5 |"]);
    check("rootless", third, "Cm7", "b3 5 b7 9 |");
    check("rootless", seventh, "Cm7", "b7 9 b3 5 |");
    check("rootless", third, "C7", "3 13 b7 9 |");
    check("rootless", seventh, "C7", "b7 9 3 13 |");
    check("rootless", third, "C13", "3 13 b7 9 |");
    check("rootless", third, "C9", "3 13 b7 9 |");
    check("rootless", third, "C6", "3 5 6 9 |");
    check("rootless", third, "Cm6", "b3 5 6 9 |");
    check("rootless", third, "Cm(maj7)", "b3 5 7 9 |");
    check("rootless", third, "C7sus4", "4 13 b7 9 |");
    check("rootless", third, "Cmaj7#5", "3 #5 7 9 |");

    // The root stays in the half-diminished chord, and the ninth in its place is as good.
    check("rootless", third, "Cm7b5", "b3 b5 b7 1 |");
    check_equal("rootless", third, "Cm7b5", &["b3 b5 b7 9 |"]);
    check("rootless", seventh, "Cm7b5", "b7 1 b3 b5 |");
    check_equal("rootless", seventh, "Cm7b5", &["b7 9 b3 b5 |"]);
    check("rootless", third, "Cdim7", "b3 b5 bb7 1 |");
}

// Source: graduate jazz theory review guide, as above: altered as the symbol says.
#[test]
fn alterations_are_played_as_the_symbol_says() {
    let third = "third at the bottom";

    check("rootless", third, "C7b9", "3 13 b7 b9 |");
    check("rootless", third, "C7b9b13", "3 b13 b7 b9 |");
    check("rootless", third, "C7#9", "3 13 b7 #9 |");
    check("rootless", third, "C7#5", "3 b13 b7 9 |");
    check("rootless", third, "C7#5#9", "3 b13 b7 #9 |");
    check("rootless", third, "C7b5", "3 b5 b7 9 |");
    check("rootless", third, "C13b5", "3 13 b7 9 |");
    check("rootless", third, "C7#11", "3 13 b7 9 |");
    check("guide-tones", "third on top", "C7#5", "1 #5 | b7 3");
    check("spread", "fifth left", "Cm7b5b9", "1 b5 | b3 b7 b9");
}

// Source: the project's notes on the trade, 5.1: any one of ♭9 ♯9, ♭13 ♯11 is accepted.
#[test]
fn an_altered_dominant_leaves_its_alterations_to_the_player() {
    let third = "third at the bottom";

    check("rootless", third, "C7alt", "3 b13 b7 b9 |");
    check_equal(
        "rootless",
        third,
        "C7alt",
        &["3 b13 b7 #9 |", "3 #11 b7 b9 |", "3 #11 b7 #9 |"],
    );
    check("shell", "third on top", "C7alt", "1 3 |");
    check_equal("shell", "third on top", "C7alt", &[]);
    check_refused(
        "guide-tones",
        "third on top",
        "C7alt",
        &Error::Lacks("fifth"),
    );

    // The triads of upper structures are exact: none of their notes may be exchanged.
    let voicing = asked("upper-structure", "flat six", chord("C7alt"));
    for hands in voicing.alternatives() {
        let mut right = hands.right;
        right.sort_unstable();
        assert_eq!(right, degrees("1 #9 b13"));
    }
}

// Common practice, no source.
#[test]
fn close_and_drop_two_are_inversions_of_the_same_chord() {
    check("close", "seventh on top", "Cmaj7", "| 1 3 5 7");
    check("close", "root on top", "Cm7", "| b3 5 b7 1");
    check("close", "third on top", "C7", "| 5 b7 1 3");
    check("close", "fifth on top", "Cm7b5", "| b7 1 b3 b5");

    // The second voice from the top of a close chord goes down an octave.
    for (order, close) in [
        ("seventh on top", "1 3 5 7"),
        ("root on top", "3 5 7 1"),
        ("third on top", "5 7 1 3"),
        ("fifth on top", "7 1 3 5"),
    ] {
        let close = degrees(close);
        let dropped = [close[2], close[0], close[1], close[3]];
        let voicing = asked("drop-2", order, chord("Cmaj7"));
        let found: Vec<Degree> = voicing.hands.degrees().collect();
        assert_eq!(found, dropped, "{order}");
        assert!(voicing.joined);
    }
}

// Common practice, no source.
#[test]
fn fourths_from_the_root_have_exact_intervals() {
    check("quartal", "third and fifth on top", "Dm7", "1 4 | b7 b3 5");

    for class in 0..12 {
        let voicing = asked("quartal", "third and fifth on top", chord("Dm7"));
        for placed in voicing.placements(class) {
            let steps: Vec<u8> = placed
                .windows(2)
                .map(|pair| pair[1].number() - pair[0].number())
                .collect();
            assert_eq!(steps, [5, 5, 5, 4]);
        }
    }

    let order = "third and fifth on top";
    check("quartal", order, "Dm9", "1 4 | b7 b3 5");
    check_refused("quartal", order, "D7", &Error::NotForFamily);
    check_refused("quartal", order, "Dm7b5", &Error::NotForFamily);
    check_refused("quartal", order, "Dm6", &Error::Lacks("b7"));
    check_refused("quartal", order, "Dm(maj7)", &Error::Lacks("b7"));
}

// From memory; degrees computed from the triads.
#[test]
fn upper_structures_are_triads_over_the_tritone() {
    let check_triad = |order: &str, root: &str, minor: bool| {
        let voicing = asked("upper-structure", order, chord("C7"));
        assert_eq!(ascii(&voicing.hands.left), "3 b7");
        let triad = chord(&format!("{root}{}", if minor { "m" } else { "" }));
        let expected: Vec<u8> = triad.tones().iter().map(|(_, name)| name.class()).collect();

        // Any inversion is as good, of the tritone too.
        let all = voicing.alternatives();
        assert_eq!(all.len(), 6, "{order}");
        for hands in all {
            let classes = |hand: &[Degree]| {
                let mut classes: Vec<u8> = hand.iter().map(|degree| degree.class()).collect();
                classes.sort_unstable();
                classes
            };
            let mut sorted = expected.clone();
            sorted.sort_unstable();
            assert_eq!(classes(&hands.right), sorted, "{order}");
            assert_eq!(classes(&hands.left), [4, 10], "{order}");
        }
    };

    check_triad("two", "D", false);
    check_triad("flat three", "Eb", false);
    check_triad("flat five", "Gb", false);
    check_triad("flat six", "Ab", false);
    check_triad("six", "A", false);
    check_triad("sharp four minor", "F#", true);

    check("upper-structure", "two", "C7", "3 b7 | 9 #11 13");
    check("upper-structure", "flat three", "C7", "3 b7 | #9 5 b7");
    check("upper-structure", "flat five", "C7", "3 b7 | #11 b7 b9");
    check("upper-structure", "flat six", "C7", "3 b7 | b13 1 #9");
    check("upper-structure", "six", "C7", "3 b7 | 13 b9 3");
    check(
        "upper-structure",
        "sharp four minor",
        "C7",
        "3 b7 | #11 13 b9",
    );
}

#[test]
fn an_upper_structure_is_not_asked_against_the_symbol() {
    let check = |order: &str, symbol: &str, lacks: &'static str| {
        check_refused("upper-structure", order, symbol, &Error::Lacks(lacks));
    };

    check("two", "C7b9", "9");
    check("two", "C7b13", "13");
    check("flat three", "C7#5", "5");
    check("six", "C7b9b13", "13");
    check("sharp four minor", "C7alt", "13");
    check_refused("upper-structure", "two", "Cmaj7", &Error::NotForFamily);
    check_refused("upper-structure", "two", "C7sus4", &Error::NotForFamily);
}

#[test]
fn a_tritone_substitute_stands_on_the_flat_fifth() {
    check("tritone-substitute", "third on top", "C7", "b5 b9 | b7 3");
    check("tritone-substitute", "seventh on top", "C7", "b5 b9 | 3 b7");
    check_refused(
        "tritone-substitute",
        "third on top",
        "Cm7",
        &Error::NotForFamily,
    );
}

#[test]
fn spread_voicings_keep_root_and_a_fifth_or_seventh_low() {
    check("spread", "seventh left", "Cmaj7", "1 7 | 3 5 9");
    check("spread", "fifth left", "Cm7", "1 5 | b3 b7 9");
}

#[test]
fn a_slash_bass_takes_the_place_of_root_and_fifth() {
    check("guide-tones", "third on top", "C7/E", "3 | b7 3");
    check(
        "guide-tones-with-root",
        "seventh on top",
        "Cm7/Bb",
        "b7 | b3 b7",
    );
    check("spread", "fifth left", "Cmaj7/G", "5 | 3 7 9");
    check("rootless", "third at the bottom", "C7/E", "3 13 b7 9 |");

    // A shell or drop two without its root would be another form.
    for (form, order) in [
        ("shell", "seventh on top"),
        ("three-note-shell", "third on top"),
        ("spread", "seventh left"),
        ("drop-2", "third on top"),
        ("quartal", "third and fifth on top"),
    ] {
        check_refused(form, order, "Cm7/Bb", &Error::NotForFamily);
    }
}

#[test]
fn a_triad_has_no_seventh_for_a_form_that_needs_one() {
    let lacks = Error::Lacks("seventh");

    check_refused("guide-tones", "third on top", "C", &lacks);
    check_refused("rootless", "third at the bottom", "Csus4", &lacks);
    check_refused("shell", "third on top", "C5", &Error::Lacks("third"));
    assert_eq!(
        lacks.to_string(),
        "the chord has no seventh, which this form needs"
    );
}

#[test]
fn tones_are_read_as_own_agreed_or_exact() {
    let check = |text: &str, expected: Result<Tone, degree::Error>| {
        assert_eq!(Tone::parse(text), expected, "{text}");
    };

    check("3", Ok(Tone::Own(3)));
    check("13", Ok(Tone::Own(13)));
    check("b3", Ok(Tone::Exact(Degree::FlatThird)));
    check("♯11", Ok(Tone::Exact(Degree::SharpEleventh)));
    check("6", Ok(Tone::Exact(Degree::Sixth)));
    check("=9", Ok(Tone::Agreed(Degree::Ninth)));
    check("=x", Err(degree::Error::NotADegree("x".to_owned())));
    check("12", Err(degree::Error::NotADegree("12".to_owned())));
}

#[test]
fn a_form_without_orders_asks_nothing() {
    let mut empty = form::named("shell").expect("a form").clone();
    empty.orders.clear();

    assert_eq!(empty.voicing(chord("C7"), 0), Err(Error::NotForFamily));
}
