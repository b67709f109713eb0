//! Single voicings: what is offered, what was walked, and which level it reaches.

use super::*;
use crate::exam::script::Rubric;
use crate::marking::event::Action;
use crate::theory::voicing::{Hands, Register, Voicing};
use crate::theory::{Degree, Key};

/// A♭7: root and fifth left, third under seventh right.
const RIGHT: [i64; 4] = [44, 51, 60, 66];
/// The same with G for G♭.
const WRONG: [i64; 4] = [44, 51, 60, 67];

type Play = Vec<(f64, i64, u8)>;

fn press(at: f64, keys: &[i64]) -> Play {
    keys.iter().map(|key| (at, *key, 64)).collect()
}

fn lift(at: f64, keys: &[i64]) -> Play {
    keys.iter().map(|key| (at, *key, 0)).collect()
}

fn chord(at: f64, keys: &[i64], held: f64) -> Play {
    [press(at, keys), lift(at + held, keys)].concat()
}

fn hands(left: &str, right: &str) -> Hands {
    let degrees = |text| Degree::parse_list(text).expect("degrees");

    Hands {
        left: degrees(left),
        right: degrees(right),
    }
}

fn voicing(left: &str, right: &str) -> Voicing {
    Voicing::new(hands(left, right))
}

/// A chord with its neighbours in the cycle, in the same order.
fn asked(text: &str, voicing: &Voicing) -> Asked {
    let chord = symbol::parse(text).expect("a symbol");
    let neighbours: Vec<(Chord, Hands)> = [5, 7]
        .into_iter()
        .map(|step| {
            let root = chord.quality.printed_root((chord.root.class() + step) % 12);
            (Chord::new(root, chord.quality), voicing.hands.clone())
        })
        .collect();

    Asked::new(chord, voicing, &neighbours)
}

const RULES: Rules = Rules {
    rubric: Rubric::DEFAULT,
    tries: 2,
    settle: Time::from_ms(600),
    practice: false,
    pedal: false,
    limit: Time::from_ms(6000),
    closes: Time::from_ms(12_000),
};

fn events(plays: &[Play]) -> Vec<Event> {
    let mut rows = plays.concat();
    rows.sort_by(|a, b| a.0.total_cmp(&b.0));

    rows.into_iter()
        .map(|(at, key, velocity)| {
            let key = Key::new(key).expect("a key");
            let action = match velocity {
                0 => Action::Up(key),
                _ => Action::Down(key, velocity),
            };
            Event::new(Time::from_seconds(at / 1000.0), action)
        })
        .collect()
}

fn marked(asked: &Asked, plays: &[Play]) -> Marked {
    mark(asked, RULES, &events(plays), None)
}

#[track_caller]
fn check_level(asked: &Asked, keys: &[i64], expected: u8) {
    assert_eq!(
        marked(asked, &[chord(1000.0, keys, 700.0)]).level,
        expected,
        "{keys:?}"
    );
}

#[test]
fn a_set_unchanged_for_all_of_600_ms_is_offered() {
    let asked = asked("Ab7", &voicing("1 5", "3 b7"));
    let more = [&RIGHT[..], &[71]].concat();
    let plays = |held: f64| {
        vec![
            press(1000.0, &more),
            lift(1300.0, &[71]),
            lift(1300.0 + held, &RIGHT),
        ]
    };

    assert_eq!(marked(&asked, &plays(600.0)).level, 3);
    assert_eq!(marked(&asked, &plays(599.9)).level, 1);
}

#[test]
fn of_two_sizes_the_set_that_was_struck_is_the_attempt() {
    let voicing = Voicing {
        optional: vec![Degree::Fifth],
        ..voicing("1 5", "3 b7")
    };
    let asked = asked("Ab7", &voicing);
    // Four keys, wrong; one is let go, and three are as many as the chord without its fifth.
    let plays = [
        press(1000.0, &WRONG),
        lift(1100.0, &[51]),
        press(1400.0, &[66]),
    ];
    let mut capture = Capture::new(&asked, RULES);
    for event in events(&plays) {
        capture.event(event.at, &event.action);
    }

    let struck: Vec<usize> = capture
        .attempts()
        .iter()
        .map(|attempt| attempt.keys.len())
        .collect();
    assert_eq!(struck, [4]);
}

#[test]
fn a_soft_key_struck_again_within_80_ms_was_a_graze() {
    let asked = asked("Ab7", &voicing("1 5", "3 b7"));
    let touched = |again: f64| {
        vec![
            vec![(800.0, 61, 19), (again, 61, 19), (again + 40.0, 61, 0)],
            chord(1200.0, &RIGHT, 500.0),
        ]
    };

    assert_eq!(marked(&asked, &touched(879.9)).level, 4);
    assert_eq!(marked(&asked, &touched(880.0)).level, 3);
}

#[test]
fn a_chord_is_not_found_by_way_of_itself() {
    let asked = asked("Ab7", &voicing("1 5", "3 b7"));
    let neighbour: Vec<i64> = RIGHT.iter().map(|key| key + 5).collect();
    let alone = marked(&asked, &[chord(1000.0, &neighbour, 700.0)]);
    assert_eq!((alone.level, alone.facts.walked), (0, false));

    let walked = marked(
        &asked,
        &[
            chord(1000.0, &neighbour, 400.0),
            chord(2000.0, &RIGHT, 500.0),
        ],
    );
    assert_eq!((walked.level, walked.facts.walked), (2, true));
}

#[test]
fn level_1_allows_for_fifths_and_colour_tones_only() {
    let anywhere = |left: &str, right: &str| Voicing {
        register: Register::ANYWHERE,
        ..voicing(left, right)
    };
    // In an inversion the root may lie anywhere, and must be there.
    let inversion = asked("C7", &anywhere("", "3 5 b7 1"));
    check_level(&inversion, &[52, 55, 58, 60], 4);
    check_level(&inversion, &[52, 54, 58, 60], 1);
    check_level(&inversion, &[52, 55, 58, 62], 0);

    // Added to a rootless form the root is neither fifth nor colour.
    let rootless = asked("C13", &anywhere("3 13 b7 9", ""));
    check_level(&rootless, &[52, 57, 58, 62], 4);
    check_level(&rootless, &[48, 52, 57, 58, 62], 0);
    check_level(&rootless, &[52, 55, 58, 62], 1);

    // An equal answer with a colour tone more.
    let equal = asked(
        "Cmaj7",
        &Voicing {
            equal: vec![hands("7 1 3 5", "")],
            ..anywhere("7 9 3 5", "")
        },
    );
    check_level(&equal, &[47, 48, 52, 55], 4);
    check_level(&equal, &[47, 48, 50, 52, 55], 1);
}

#[test]
fn a_lone_left_hand_note_is_a_bass_only_where_it_is_root_or_slash_bass() {
    // A rootless form dealt to two hands, its fifth missing, with the seventh lowest.
    let dealt = asked("C7", &voicing("3", "b7 5"));
    check_level(&dealt, &[46, 52, 62], 1);
    let slash = asked("C7/E", &voicing("3", "b7 5"));
    check_level(&slash, &[46, 52, 62], 0);
}
