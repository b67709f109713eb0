//! Runs: what counts as sounding, late, given up, and which line was begun.

use super::*;
use crate::exam::script::Rubric;
use crate::marking::event::Action;
use crate::theory::voicing::{Hands, Voicing};
use crate::theory::{Degree, symbol};

/// C7, F7, B♭7, E♭7 in guide tones, third and seventh on top in turn.
const LINE: [[i64; 4]; 4] = [
    [36, 43, 70, 76],
    [41, 48, 69, 75],
    [46, 53, 68, 74],
    [39, 46, 67, 73],
];
/// The same from the other order on.
const TURNED: [[i64; 4]; 4] = [
    [36, 43, 64, 70],
    [41, 48, 63, 69],
    [46, 53, 62, 68],
    [39, 46, 61, 67],
];
/// Another chord than C7.
const WRONG: [i64; 4] = [36, 43, 71, 76];

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

fn softly(at: f64, key: i64, held: f64) -> Play {
    vec![(at, key, 19), (at + held, key, 0)]
}

/// The four chords on beats three seconds apart.
fn on_beats(line: [[i64; 4]; 4]) -> Vec<Play> {
    (0..4)
        .map(|k| chord(3000.0 * (k + 1) as f64, &line[k], 2400.0))
        .collect()
}

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

fn hands(left: &str, right: &str) -> Hands {
    let degrees = |text| Degree::parse_list(text).expect("degrees");

    Hands {
        left: degrees(left),
        right: degrees(right),
    }
}

fn asked(symbol: &str, left: &str, right: &str) -> Asked {
    let chord = symbol::parse(symbol).expect("a symbol");

    Asked::new(chord, &Voicing::new(hands(left, right)), &[])
}

/// The line from each of the orders, in tempo or with six seconds a chord.
fn ready(starts: &[bool], in_tempo: bool) -> Ready {
    let symbols = ["C7", "F7", "Bb7", "Eb7"];
    let line = |seventh_first: bool| {
        symbols
            .iter()
            .enumerate()
            .map(|(k, symbol)| {
                let seventh_on_top = (k % 2 == 0) == seventh_first;
                asked(symbol, "1 5", if seventh_on_top { "3 b7" } else { "b7 3" })
            })
            .collect::<Vec<_>>()
    };

    Ready {
        rubric: Rubric::DEFAULT,
        timing: Timing {
            look: Time::ZERO,
            beat: Time::from_ms(if in_tempo { 750 } else { 6000 }),
            beats: match in_tempo {
                true => (1..=4).map(|k| Time::from_ms(3000 * k)).collect(),
                false => Vec::new(),
            },
            end: Time::from_ms(if in_tempo { 15_000 } else { 24_000 }),
        },
        chords: symbols
            .map(|text| symbol::parse(text).expect("a symbol"))
            .into(),
        lines: starts.iter().map(|start| line(*start)).collect(),
        in_tempo,
        weights: Weights::DEFAULT,
        pedal: false,
    }
}

/// Harmony and voicing of each chord: `r`ight, `l`ate or `w`rong.
fn steps(ready: &Ready, plays: &[Play]) -> (String, String) {
    let marked = mark(ready, &events(plays), None);
    let word = |step: Step| match step {
        Step::Right => 'r',
        Step::Late => 'l',
        Step::Wrong => 'w',
    };

    (
        marked
            .chords
            .iter()
            .map(|chord| word(chord.harmony))
            .collect(),
        marked
            .chords
            .iter()
            .map(|chord| word(chord.voicing))
            .collect(),
    )
}

#[track_caller]
fn check(ready: &Ready, plays: &[Play], harmony: &str, voicing: &str) {
    assert_eq!(
        steps(ready, plays),
        (harmony.to_owned(), voicing.to_owned())
    );
}

/// The line with its second chord played otherwise.
fn with_second(second: Play) -> Vec<Play> {
    let mut plays = on_beats(LINE);
    plays[1] = second;
    plays
}

#[test]
fn a_perfect_run_has_full_marks() {
    let marked = mark(&ready(&[false], true), &events(&on_beats(LINE)), None);
    assert_eq!(marked.credit, Fraction::new(1, 1));
}

#[test]
fn a_graze_never_counts() {
    let tempo = ready(&[false], true);
    let touched = |touch: Play| [on_beats(LINE), vec![touch]].concat();

    check(&tempo, &touched(softly(6100.0, 78, 79.9)), "rrrr", "rrrr");
    check(&tempo, &touched(softly(6100.0, 78, 80.0)), "rlrr", "rlrr");
    // Not even as the first sounding of a slot.
    check(&tempo, &touched(softly(5700.0, 78, 50.0)), "rrrr", "rrrr");
    // A key of the chord is no graze, however soft.
    let soft_root = [
        softly(6000.0, 41, 50.0),
        chord(6000.0, &LINE[1][1..], 2400.0),
    ]
    .concat();
    check(&tempo, &with_second(soft_root), "rrrr", "rrrr");

    let free = ready(&[false], false);
    check(&free, &touched(softly(5000.0, 78, 50.0)), "rrrr", "rrrr");
    check(&free, &touched(softly(6100.0, 78, 50.0)), "rrrr", "rrrr");
}

#[test]
fn a_soft_key_still_undecided_when_the_run_is_taken_away_is_a_graze() {
    let tempo = ready(&[false], true);
    let plays = [
        vec![chord(3000.0, &LINE[0], 900.0)],
        vec![vec![(3050.0, 78, 19)]],
    ]
    .concat();
    let first = |ended: i64| {
        let marked = mark(&tempo, &events(&plays), Some(Time::from_ms(ended)));
        marked.chords[0].harmony
    };

    assert_eq!(first(3129), Step::Right);
    assert_eq!(first(3130), Step::Wrong);
}

#[test]
fn a_graze_leaves_what_is_held_as_it_is() {
    let tempo = ready(&[false], true);
    let more = [&LINE[1][..], &[77]].concat();
    // Nearly steady for 150 ms, touched in the middle.
    let touched = [
        press(6000.0, &[&LINE[1][..], &[78]].concat()),
        lift(6500.0, &[78]),
        softly(6550.0, 80, 50.0),
        lift(6650.0, &LINE[1]),
    ]
    .concat();
    check(&tempo, &with_second(touched), "rlrr", "rlrr");
    // An octave of the root is no foreign key, and one key too many for the form.
    check(
        &tempo,
        &with_second(chord(6000.0, &more, 2400.0)),
        "rrrr",
        "rwrr",
    );
}

#[test]
fn a_chord_that_becomes_right_by_lifting_is_late() {
    let tempo = ready(&[false], true);
    let lifted = |at: f64, until: f64| {
        let more = [&LINE[1][..], &[76]].concat();
        with_second([press(6000.0, &more), lift(at, &[76]), lift(until, &LINE[1])].concat())
    };

    check(&tempo, &lifted(6500.0, 6650.0), "rlrr", "rlrr");
    check(&tempo, &lifted(6500.0, 6649.9), "rwrr", "rwrr");
    check(&tempo, &lifted(8624.9, 8900.0), "rlrr", "rlrr");
    check(&tempo, &lifted(8625.0, 8900.0), "rwrr", "rwrr");
}

#[test]
fn in_a_free_run_a_chord_is_complete_when_it_becomes_right_by_lifting() {
    let more = [&LINE[1][..], &[76]].concat();
    let plays = with_second(
        [
            press(6000.0, &more),
            lift(6800.0, &[76]),
            lift(8400.0, &LINE[1]),
        ]
        .concat(),
    );
    let marked = mark(&ready(&[false], false), &events(&plays), None);

    assert_eq!(marked.chords[1].harmony, Step::Late);
    assert_eq!(marked.chords[1].complete, Some(Time::from_ms(3800)));
    assert_eq!(marked.chords[2].complete, Some(Time::from_ms(2200)));
}

#[test]
fn a_note_after_a_chords_seconds_belongs_to_the_next_chord() {
    let free = ready(&[false], false);
    let rolled = [
        press(8990.0, &LINE[1][..2]),
        press(9010.0, &LINE[1][2..]),
        lift(9500.0, &LINE[1]),
    ];
    let plays = [
        chord(3000.0, &LINE[0], 700.0),
        rolled.concat(),
        chord(10_000.0, &LINE[2], 700.0),
        chord(11_000.0, &LINE[3], 700.0),
    ];

    check(&free, &plays, "rwlr", "rwlr");
}

#[test]
fn where_the_start_is_open_the_first_chord_says_which_line_it_is() {
    let both = ready(&[false, true], true);
    let mut mixed = on_beats(TURNED);
    mixed[0] = on_beats(LINE)[0].clone();

    check(&both, &on_beats(LINE), "rrrr", "rrrr");
    check(&both, &on_beats(TURNED), "rrrr", "rrrr");
    check(&both, &mixed, "rrrr", "rwww");
    // What is played while it is counted in is not the first chord.
    let tried = [vec![chord(1000.0, &LINE[0], 300.0)], on_beats(TURNED)].concat();
    check(&both, &tried, "rrrr", "rrrr");
}

#[test]
fn where_the_first_chord_says_nothing_the_better_line_counts() {
    let both = ready(&[false, true], true);
    let mut plays = on_beats(LINE);
    plays[0] = chord(3000.0, &WRONG, 2400.0);
    plays[1] = on_beats(TURNED)[1].clone();

    check(&both, &plays, "wrrr", "wwrr");
}

#[test]
fn the_hand_that_leads_is_told_by_what_was_left_out() {
    let mut tempo = ready(&[false], true);
    let voicing = Voicing {
        optional: vec![Degree::Fifth],
        ..Voicing::new(hands("1", "3 5 b7"))
    };
    for (asked, chord) in tempo.lines[0].iter_mut().zip(&tempo.chords) {
        *asked = Asked::new(*chord, &voicing, &[]);
    }
    // Without their fifths; the root moves far and is none of the right hand's business.
    let plays = [
        chord(3000.0, &[36, 64, 70], 2400.0),
        chord(6000.0, &[53, 57, 63], 2400.0),
    ];
    let marked = mark(&tempo, &events(&plays), None);

    assert_eq!(marked.chords[1].voicing, Step::Right);
    let (_, _, leading) = marked.criteria[2];
    assert_eq!(leading, Fraction::new(1, 2));
}

#[test]
fn where_the_hand_may_be_open_the_least_way_may_be_open_too() {
    let keys = |numbers: &[i64]| {
        numbers
            .iter()
            .map(|number| Key::new(*number).expect("a key"))
            .collect::<Vec<_>>()
    };
    // F and B to E and A♯: down a semitone each, open or not.
    assert_eq!(leading::least_open(&keys(&[65, 71]), &[4, 10], 12), 2);
    // E and D a seventh apart stay close to F and E an octave below; an open hand need not jump.
    let spread = keys(&[52, 64, 74]);
    assert_eq!(leading::least_open(&spread, &[4, 4, 2], 24), 0);
    assert_eq!(
        leading::nearest(&spread, &[4, 4, 2]).map(|(_, moved)| moved),
        Some(0)
    );
    let wide = keys(&[53, 69, 76]);
    assert_eq!(leading::least_open(&wide, &[5, 9, 4], 24), 0);
    assert!(leading::nearest(&wide, &[5, 9, 4]).is_some_and(|(_, moved)| moved > 0));
}
