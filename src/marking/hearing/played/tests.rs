//! What is played back: octaves, wrong and missing notes, tries, hearings in between.

use std::sync::Arc;

use super::*;
use crate::exam::script::Ask;
use crate::exam::sound::{Sound, Strike};
use crate::marking::hearing;

const APART: Time = Time::from_ms(200);

/// An item that sounds steps for two seconds, with ten seconds to play and two hearings.
fn task(steps: &[&[u8]]) -> EarTask {
    EarTask {
        asks: Arc::new(vec![Ask::PlayBack]),
        options: Arc::default(),
        right: Arc::default(),
        answers: Arc::default(),
        root: 0,
        names: Arc::default(),
        sound: Sound {
            strikes: steps
                .iter()
                .map(|keys| Strike {
                    at: Time::ZERO,
                    held: Time::from_ms(500),
                    keys: keys.iter().map(|key| (*key, 80)).collect(),
                })
                .collect(),
            length: Time::from_ms(2000),
            rove: 0,
        },
        hearings: 2,
        limit: Time::from_ms(10_000),
    }
}

fn motive() -> EarTask {
    task(&[&[60], &[62], &[63], &[67]])
}

/// What is done at a moment: a key down for 150 ms, or a word.
fn events(done: &[(i64, &str)]) -> Vec<Event> {
    let mut events = Vec::new();
    for (ms, what) in done {
        let at = Time::from_ms(*ms);
        match *what {
            "hear" => events.push(Event::new(at, Action::Hear)),
            "back" => events.push(Event::new(at, Action::Answer(String::new()))),
            "in" => events.push(Event::new(at, Action::HandIn)),
            keys => {
                for key in keys.split(' ') {
                    let key = Key::new(key.parse().unwrap()).unwrap();
                    events.push(Event::new(at, Action::Down(key, 70)));
                    events.push(Event::new(at + Time::from_ms(150), Action::Up(key)));
                }
            }
        }
    }
    events.sort_by_key(|event| event.at);
    events
}

#[track_caller]
fn check(task: &EarTask, done: &[(i64, &str)], credit: (i64, i64)) {
    let marked = hearing::mark(task, task.limit, task.hearings, APART, &events(done));
    assert_eq!(
        marked.credit,
        Fraction::new(credit.0, credit.1),
        "{done:?}: {:?}",
        marked.played
    );
}

#[test]
fn it_is_right_as_played_at_any_whole_octave() {
    let play = |by: i64| [60, 62, 63, 67].map(|key: i64| (key + by).to_string());
    for (by, credit) in [
        (0, (1, 1)),
        (12, (1, 1)),
        (-24, (1, 1)),
        (1, (1, 4)),
        (7, (1, 4)),
    ] {
        let keys = play(by);
        let done: Vec<(i64, &str)> = keys
            .iter()
            .enumerate()
            .map(|(place, key)| (500 + 300 * place as i64, key.as_str()))
            .collect();
        check(&motive(), &done, credit);
    }
}

#[test]
fn a_wrong_or_missing_note_costs_its_share() {
    let of = motive();
    check(&of, &[], (0, 1));
    check(
        &of,
        &[(500, "60"), (800, "62"), (1100, "64"), (1400, "67")],
        (3, 4),
    );
    check(&of, &[(500, "60"), (800, "63"), (1100, "67")], (3, 4));
    check(
        &of,
        &[(500, "67"), (800, "63"), (1100, "62"), (1400, "60")],
        (1, 4),
    );
    // Each note is of the same octave as the others.
    check(
        &of,
        &[(500, "60"), (800, "62"), (1100, "75"), (1400, "67")],
        (3, 4),
    );
    // However quick: single notes are no chord.
    check(
        &of,
        &[(500, "60"), (560, "62"), (620, "63"), (680, "67")],
        (1, 1),
    );
}

#[test]
fn the_last_whole_try_counts() {
    let of = motive();
    let right = [(500, "60"), (800, "62"), (1100, "63"), (1400, "67")];
    let wrong = [(2000, "60"), (2300, "61"), (2600, "62"), (2900, "64")];
    let both: Vec<_> = right.into_iter().chain(wrong).collect();
    check(&of, &both, (1, 2));
    check(&of, &[&right[..], &wrong[..3]].concat(), (1, 1));
    // A second without a key begins again; exactly a second is enough.
    check(
        &of,
        &[
            &[(100, "60"), (300, "62")],
            &[(1450, "60"), (1700, "62"), (2000, "63"), (2300, "67")][..],
        ]
        .concat(),
        (1, 1),
    );
    check(
        &of,
        &[
            &[(100, "60"), (300, "62")],
            &[(1449, "63"), (1700, "67"), (2000, "63"), (2300, "67")][..],
        ]
        .concat(),
        (1, 1),
    );
    // What was withdrawn is gone.
    check(&of, &[&right[..], &[(1800, "back")]].concat(), (0, 1));
    check(
        &of,
        &[&right[..], &[(1800, "back"), (2000, "60")]].concat(),
        (1, 4),
    );
    // Nothing counts after handing in or after the time.
    check(
        &of,
        &[&right[..3], &[(1300, "in")], &right[3..]].concat(),
        (3, 4),
    );
    check(&of, &[&right[..3], &[(10_001, "67")]].concat(), (3, 4));
}

#[test]
fn keys_struck_while_it_sounds_belong_to_nothing() {
    let of = motive();
    check(
        &of,
        &[(-500, "60"), (-200, "62"), (300, "63"), (600, "67")],
        (1, 2),
    );
    check(
        &of,
        &[(0, "60"), (300, "62"), (600, "63"), (900, "67")],
        (1, 1),
    );
    let around = [
        (500, "60"),
        (700, "62"),
        (800, "hear"),
        (1500, "63"),
        (2799, "67"),
    ];
    check(&of, &around, (1, 2));
    check(
        &of,
        &[
            (500, "hear"),
            (2500, "60"),
            (2700, "62"),
            (2900, "63"),
            (3100, "67"),
        ],
        (1, 1),
    );
    // The clock stood still for two seconds.
    check(
        &of,
        &[
            (500, "hear"),
            (11_400, "60"),
            (11_600, "62"),
            (11_800, "63"),
            (12_000, "67"),
        ],
        (1, 1),
    );
}

#[test]
fn chords_are_clusters_of_keys() {
    let of = task(&[&[50, 60, 65], &[55, 59, 65]]);
    check(
        &of,
        &[(500, "50"), (600, "60"), (790, "65"), (1500, "55 59 65")],
        (1, 1),
    );
    check(&of, &[(500, "50 60 65"), (1500, "55 59 64")], (1, 2));
    check(&of, &[(500, "50 60"), (1500, "55 59 65")], (1, 2));
    check(&of, &[(500, "62 72 77"), (1500, "67 71 77")], (1, 1));
    // Exactly 200 ms after the last key is still the same chord; later there are three steps, and
    // the third begins another try.
    check(
        &of,
        &[(500, "50 60"), (700, "65"), (1500, "55 59 65")],
        (1, 1),
    );
    check(
        &of,
        &[(500, "50 60"), (701, "65"), (1500, "55 59 65")],
        (0, 1),
    );
    check(&task(&[&[48, 55, 64]]), &[(500, "60 67 76")], (1, 1));
}

#[test]
fn the_words_say_what_was_played_and_what_was_asked() {
    let of = motive();
    let done = events(&[(500, "60"), (800, "62"), (1100, "64"), (1400, "67")]);
    let marked = hearing::mark(&of, of.limit, of.hearings, APART, &done);
    assert_eq!(
        marked.reasons,
        [
            "3 of 4 right, in their order",
            "Played C4 D4 E4 G4 for C4 D4 E♭4 G4"
        ]
    );
    assert_eq!(marked.at, Some(Time::from_ms(1400)));
}

#[test]
fn keys_are_named_as_they_are_asked_and_others_with_flats() {
    let name = |text: &str| crate::theory::Name::parse(text).unwrap();
    let task = EarTask {
        names: Arc::new(vec![
            vec![name("E"), name("G#")],
            vec![name("A"), name("C#")],
        ]),
        ..task(&[&[64, 68], &[57, 61]])
    };

    assert_eq!(words(&task, &task.steps()), "E4 G♯4, A3 C♯4");
    assert_eq!(words(&task, &[vec![80], vec![66]]), "G♯5 G♭4");
    assert_eq!(words(&task, &[vec![61, 70]]), "C♯4 B♭4");
}
