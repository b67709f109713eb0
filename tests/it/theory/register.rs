//! Where voicings lie on the keyboard, and where they lie too low to be clear.

use viva_voicing::theory::interval::low_limit;
use viva_voicing::theory::voicing::{form, low_interval_faults};
use viva_voicing::theory::{Chord, Degree, Key};

use super::{asked, keys, numbers, quality};

/// By how many semitones the neighbours of a chord lie too low, the root imagined below or not.
fn shortfall(played: &[Key], root: Option<u8>) -> u8 {
    let mut numbers = numbers(played);

    if let Some(root) = root {
        let down = (numbers[0] + 12 - root) % 12;
        if down > 0 {
            numbers.insert(0, numbers[0] - down);
        }
    }

    numbers
        .windows(2)
        .map(|pair| low_limit(pair[1] - pair[0]).saturating_sub(pair[0]))
        .max()
        .unwrap_or(0)
}

// Sources: the top note between C4 and C5 after a published chart of rootless left-hand voicings;
// low limits after arranging handbooks, both as digested in the project's notes on the trade, 1.2
// and 2.5; the result computed there.
#[test]
fn rootless_forms_fit_their_register_and_are_clear() {
    let orders = ["third at the bottom", "seventh at the bottom"];
    let mut short = Vec::new();

    for text in ["maj9", "m9", "13"] {
        for order in orders {
            for class in 0..12 {
                let quality = quality(text);
                let chord = Chord::new(quality.printed_root(class), quality);
                let placements = asked("rootless", order, chord).placements(class);
                assert!(!placements.is_empty(), "{chord:?}");

                for placed in &placements {
                    let top = placed.last().expect("four keys").number();
                    assert!((60..=72).contains(&top), "{chord:?} {placed:?}");
                    assert_eq!(shortfall(placed, None), 0, "{chord:?} {placed:?}");
                    assert!(low_interval_faults(placed, placed[0].class()).is_empty());

                    let faults = low_interval_faults(placed, class);
                    let by = shortfall(placed, Some(class));
                    assert_eq!(faults.is_empty(), by == 0, "{faults:?}");
                    if by > 0 {
                        let root = chord.root.ascii();
                        let order = order.split(' ').next().unwrap_or_default();
                        let lower = placed == &placements[0];
                        short.push((format!("{root}{text} {order}"), by, lower));
                    }
                }
            }
        }
    }

    assert_eq!(
        short,
        [
            ("Bbm9 third".to_owned(), 2, true),
            ("Bm9 third".to_owned(), 1, true),
            ("Eb13 seventh".to_owned(), 2, true),
            ("E13 seventh".to_owned(), 1, true),
        ]
    );
}

// Source: low interval limits of arranging handbooks, as digested in the project's notes on the
// trade, 2.5; the ninths and tenths from memory.
#[test]
fn intervals_below_their_low_limit_are_warned_of() {
    for (semitones, lowest) in [
        (1, 52),
        (2, 51),
        (3, 48),
        (4, 46),
        (5, 46),
        (6, 47),
        (7, 34),
        (8, 41),
        (9, 41),
        (10, 41),
        (11, 41),
        (13, 40),
        (14, 39),
        (15, 36),
        (16, 34),
    ] {
        let at = keys(&[lowest, lowest + semitones]);
        let below = keys(&[lowest - 1, lowest - 1 + semitones]);

        assert_eq!(low_limit(semitones), lowest);
        assert!(low_interval_faults(&at, at[0].class()).is_empty());
        assert_eq!(low_interval_faults(&below, below[0].class()).len(), 1);
    }

    assert!(low_interval_faults(&keys(&[0, 12]), 0).is_empty());
    assert!(low_interval_faults(&[], 0).is_empty());
    assert_eq!(
        low_interval_faults(&keys(&[33, 40]), 9),
        ["A1 and E2 lie low together"]
    );
}

#[test]
fn the_root_is_imagined_below_another_lowest_note() {
    // E and B♭ are clear alone; over an imagined C, the third from C2 is not.
    assert!(low_interval_faults(&keys(&[52, 58]), 4).is_empty());
    assert_eq!(
        low_interval_faults(&keys(&[40, 58]), 0),
        ["C2 and E2 lie low together"]
    );
    assert!(low_interval_faults(&keys(&[2, 20]), 5).is_empty());
}

const QUALITIES: &[&str] = &[
    "", "m", "6", "m6", "maj7", "7", "m7", "m7b5", "dim7", "m(maj7)", "maj7#5", "maj7#11", "7sus4",
    "9", "maj9", "m9", "13", "9sus4", "7b5", "7#5", "7b9", "7#9", "7#11", "7b13", "7b9b13",
    "7#5#9", "7alt", "6/9", "m11", "maj13",
];

#[test]
fn every_form_has_a_place_on_the_keyboard_on_every_root() {
    for form in form::all() {
        for (i, order) in form.orders.iter().enumerate() {
            let mut count = 0;

            for text in QUALITIES {
                for class in 0..12 {
                    let quality = quality(text);
                    let chord = Chord::new(quality.printed_root(class), quality);
                    let Ok(voicing) = form.voicing(chord, i) else {
                        continue;
                    };
                    let played = voicing.realise(class).unwrap_or_else(|| {
                        panic!("{}, {}: no place for {chord:?}", form.name, order.name)
                    });
                    let (left, right) = played.split_at(voicing.hands.left.len());
                    count += 1;

                    for hand in [numbers(left), numbers(right)] {
                        if let (Some(low), Some(high)) = (hand.first(), hand.last()) {
                            assert!(high - low <= 12, "{} {hand:?}", form.name);
                        }
                    }
                    assert!(played.len() == voicing.hands.count());
                }
            }

            assert!(count >= 12, "{}, {}", form.name, order.name);
        }
    }
}

// Common practice, no source: a left hand of root and fifth from B♭1 up, the lower guide tone
// from E3 to D♯5.
#[test]
fn guide_tones_are_shown_clearly_in_their_register() {
    for order in ["third on top", "seventh on top"] {
        for text in ["maj7", "7", "m7", "m7b5", "dim7", "6", "m6", "7sus4"] {
            for class in 0..12 {
                let quality = quality(text);
                let chord = Chord::new(quality.printed_root(class), quality);
                let played = asked("guide-tones", order, chord)
                    .realise(class)
                    .expect("a place");
                let numbers = numbers(&played);

                assert!(numbers[0] >= 34 && (52..=75).contains(&numbers[2]));
                // A tritone in the left hand is clear from B2 only, which would push the hands
                // together; it is warned of, not refused.
                let murky = low_interval_faults(&played, class);
                assert!(
                    murky.is_empty() || quality.fifth() == Some(Degree::FlatFifth),
                    "{murky:?}"
                );
            }
        }
    }
}
