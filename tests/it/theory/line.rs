//! Whole progressions played as smoothly as they go.

use viva_voicing::theory::leading::{leading_classes, least, line, movement};
use viva_voicing::theory::progression::{self, Placed, Progression};
use viva_voicing::theory::voicing::low_interval_faults;
use viva_voicing::theory::{Key, Voicing};

use super::{asked, numbers, quality};

/// Orders in turn from a starting one, as guide tones and rootless forms go through fourths.
fn in_turn(form: &str, orders: [&str; 2], chords: &[Placed], start: usize) -> Vec<(u8, Voicing)> {
    chords
        .iter()
        .enumerate()
        .map(|(i, placed)| {
            let order = orders[(start + i) % 2];
            (placed.chord.root.class(), asked(form, order, placed.chord))
        })
        .collect()
}

/// Orders by the shorter way from chord to chord, as a blues needs them.
fn by_the_shorter_way(form: &str, orders: [&str; 2], chords: &[Placed]) -> Vec<(u8, Voicing)> {
    let mut out: Vec<(u8, Voicing)> = Vec::new();

    for placed in chords {
        let root = placed.chord.root.class();
        let choices = orders.map(|order| asked(form, order, placed.chord));
        let nearest = match out.last() {
            None => choices[0].clone(),
            Some((before, voicing)) => {
                let from = leading_classes(&voicing.hands, *before);
                choices
                    .into_iter()
                    .min_by_key(|choice| least(&from, &leading_classes(&choice.hands, root)))
                    .expect("two orders")
            }
        };
        out.push((root, nearest));
    }

    out
}

/// Plays a line and checks that each chord is whole, low to high and on the keyboard.
fn check_whole(chords: &[(u8, Voicing)], what: &str) -> Vec<Vec<Key>> {
    let borrowed: Vec<(u8, &Voicing)> = chords
        .iter()
        .map(|(root, voicing)| (*root, voicing))
        .collect();
    let played = line(&borrowed).unwrap_or_else(|| panic!("no line for {what}"));
    assert_eq!(played.len(), chords.len(), "{what}");

    for (i, ((root, voicing), keys)) in chords.iter().zip(&played).enumerate() {
        let classes: Vec<u8> = keys.iter().map(|key| key.class()).collect();
        let expected: Vec<u8> = voicing
            .hands
            .degrees()
            .map(|degree| degree.class_over(*root))
            .collect();
        assert_eq!(classes, expected, "{what}, chord {i}");

        let numbers = numbers(keys);
        assert!(
            numbers.windows(2).all(|pair| pair[0] < pair[1]),
            "{what}, chord {i}: hands cross in {numbers:?}"
        );
        assert!(
            numbers.iter().all(|number| (34..=96).contains(number)),
            "{what}, chord {i}: {numbers:?}"
        );
        // The register binds the first chord only.
        assert!(voicing.lies_well(keys, voicing.hands.left.len(), i == 0));
    }

    played
}

/// Plays a line and checks that it moves as little as it can from every chord to the next.
fn check(chords: &[(u8, Voicing)], what: &str) -> Vec<Vec<Key>> {
    let played = check_whole(chords, what);
    let lead = |i: usize| {
        let hands = &chords[i].1.hands;
        let from = if hands.right.is_empty() {
            0
        } else {
            hands.left.len()
        };
        &played[i][from..]
    };

    for i in 1..chords.len() {
        let from = leading_classes(&chords[i - 1].1.hands, chords[i - 1].0);
        let to = leading_classes(&chords[i].1.hands, chords[i].0);
        assert_eq!(
            movement(lead(i - 1), lead(i)),
            least(&from, &to),
            "{what}, chord {i}"
        );
    }

    played
}

const GUIDE_TONES: [&str; 2] = ["third on top", "seventh on top"];
const ROOTLESS: [&str; 2] = ["third at the bottom", "seventh at the bottom"];

#[test]
fn the_cycle_is_played_from_every_start_and_order() {
    for text in ["7", "maj7", "m7", "m7b5", "6", "m6", "7sus4", "7b9"] {
        for class in 0..12 {
            for count in [12, 13] {
                let cycle = progression::cycle_of_fourths(quality(text), class, count);
                for start in 0..2 {
                    let what = format!("{count} of {text} from {class}, order {start}");
                    let chords = in_turn("guide-tones", GUIDE_TONES, &cycle, start);
                    let played = check(&chords, &what);

                    // An octave lower after twelve changes (common practice, no source).
                    if count == 13 && ["7", "maj7", "m7"].contains(&text) {
                        let down = played[0][2].number() - played[12][2].number();
                        assert_eq!(down, 12, "{what}");
                    }
                }
            }
        }
    }
}

#[test]
fn two_five_one_is_played_in_every_key() {
    for name in ["ii-V-I", "ii-V-i", "ii-bII-I", "iv-bVII-I"] {
        let progression = progression::named(name).expect("a progression");

        for class in 0..12 {
            let chords = progression.in_key(progression.tonic(class));
            let three = &chords[..3];
            for start in 0..2 {
                let what = format!("{name} on {class}, order {start}");
                let _ = check(&in_turn("guide-tones", GUIDE_TONES, three, start), &what);
                let _ = check(&in_turn("rootless", ROOTLESS, three, start), &what);
            }
        }
    }
}

fn chorus(name: &str, class: u8) -> (Progression, Vec<Placed>) {
    let progression = progression::named(name).expect("a progression");
    let chords = progression.in_key(progression.tonic(class));

    (progression, chords)
}

#[test]
fn blues_and_rhythm_changes_are_played_in_their_usual_keys() {
    for (name, class) in [("blues", 5), ("blues", 10), ("rhythm-changes", 10)] {
        let (_, chords) = chorus(name, class);
        let what = format!("{name} on {class}");

        let _ = check(
            &by_the_shorter_way("guide-tones", GUIDE_TONES, &chords),
            &what,
        );
        // Four voices that fall through every fourth, and orders in turn through repeated chords,
        // would leave the keyboard: such a line goes back by an octave once or twice.
        let _ = check_whole(&by_the_shorter_way("rootless", ROOTLESS, &chords), &what);
        for start in 0..2 {
            let _ = check_whole(&in_turn("guide-tones", GUIDE_TONES, &chords, start), &what);
            let _ = check_whole(&in_turn("rootless", ROOTLESS, &chords, start), &what);
        }
    }
}

#[test]
fn every_known_progression_is_played_in_every_key() {
    for name in progression::names() {
        for class in 0..12 {
            let (_, chords) = chorus(name, class);
            let what = format!("{name} on {class}");
            let _ = check(
                &by_the_shorter_way("guide-tones", GUIDE_TONES, &chords),
                &what,
            );
        }
    }
}

#[test]
fn joined_and_wide_forms_are_played_in_a_line_too() {
    let (progression, _) = chorus("ii-V-I", 0);

    for class in 0..12 {
        let chords = progression.in_key(progression.tonic(class));
        for (form, orders) in [
            ("drop-2", ["third on top", "seventh on top"]),
            ("drop-2", ["fifth on top", "root on top"]),
            ("close", ["third on top", "seventh on top"]),
            ("shell", ["seventh on top", "third on top"]),
            ("guide-tones-with-root", GUIDE_TONES),
            ("spread", ["seventh left", "fifth left"]),
        ] {
            let what = format!("{form} {orders:?} on {class}");
            let _ = check(&in_turn(form, orders, &chords[..3], 0), &what);
        }
    }
}

#[test]
fn a_line_longer_than_the_keyboard_goes_on_in_another_octave() {
    for text in ["7", "maj7", "m7"] {
        let cycle = progression::cycle_of_fourths(quality(text), 0, 120);
        let chords = in_turn("guide-tones", GUIDE_TONES, &cycle, 0);
        let _ = check_whole(&chords, text);
    }
}

#[test]
fn the_left_hand_is_clear_wherever_it_can_be() {
    for class in 0..12 {
        let cycle = progression::cycle_of_fourths(quality("7"), class, 13);
        for played in check(&in_turn("guide-tones", GUIDE_TONES, &cycle, 0), "7") {
            assert!(low_interval_faults(&played[..2], played[0].class()).is_empty());
        }

        // A tritone is clear from B2 up only.
        let cycle = progression::cycle_of_fourths(quality("m7b5"), class, 4);
        for played in check(&in_turn("guide-tones", GUIDE_TONES, &cycle, 0), "m7b5") {
            let low = played[0].number();
            let clear = (47..59).find(|number| number % 12 == low % 12);
            let room = clear.is_some_and(|clear| clear + 6 < played[2].number());
            assert_eq!(low >= 47, room, "{:?}", numbers(&played));
        }
    }
}

#[test]
fn nothing_is_played_for_no_chords() {
    assert_eq!(line(&[]), None);
}
