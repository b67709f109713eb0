//! How far voices move: against brute force, and against the known facts of the trade.

use proptest::prelude::*;
use viva_voicing::theory::leading::{leading_classes, least, movement, nearest};
use viva_voicing::theory::{Chord, Key, Name};

use super::{asked, chord, keys, numbers, quality_in_table, table};

/// Stacks classes on a key, each the nearest above the one before.
fn stacked(classes: &[u8], lowest: u8) -> Vec<Key> {
    let mut all = vec![lowest];
    for class in &classes[1..] {
        let above = all[all.len() - 1] + 1;
        all.push(above + (class + 120 - above) % 12);
    }

    keys(&all)
}

#[test]
fn hands_of_equal_size_move_as_far_as_to_the_nearest_keys() {
    for a in 0..12u8 {
        for b in 0..12 {
            for (c, d) in [(0, 3), (4, 10), (7, 1), (11, 11)] {
                let (from, to) = ([a, b], [c, d]);
                let (_, moved) = nearest(&stacked(&from, 60 + a), &to).expect("a hand");
                assert_eq!(least(&from, &to), moved, "{from:?} {to:?}");

                let (from, to) = ([a, b, c], [d, a, b]);
                let (_, moved) = nearest(&stacked(&from, 60 + a), &to).expect("a hand");
                assert_eq!(least(&from, &to), moved, "{from:?} {to:?}");
            }
        }
    }
}

/// The least movement over all pairings without crossing that leave no voice out.
fn brute_force(from: &[Key], to: &[Key]) -> u32 {
    fn pairings(small: usize, large: usize) -> Vec<Vec<usize>> {
        if large == 0 {
            return vec![Vec::new()];
        }
        (0..small.pow(u32::try_from(large).expect("few voices")))
            .map(|mut code| {
                (0..large)
                    .map(|_| {
                        let partner = code % small;
                        code /= small;
                        partner
                    })
                    .collect::<Vec<_>>()
            })
            .filter(|pairing| {
                pairing.windows(2).all(|pair| pair[0] <= pair[1])
                    && (0..small).all(|voice| pairing.contains(&voice))
            })
            .collect()
    }

    let (small, large) = if from.len() <= to.len() {
        (from, to)
    } else {
        (to, from)
    };

    pairings(small.len(), large.len())
        .iter()
        .map(|pairing| {
            pairing
                .iter()
                .zip(large)
                .map(|(partner, voice)| {
                    u32::from(small[*partner].number().abs_diff(voice.number()))
                })
                .sum()
        })
        .min()
        .unwrap_or(0)
}

fn any_hand() -> impl Strategy<Value = Vec<Key>> {
    prop::collection::btree_set(30u8..100, 1..5)
        .prop_map(|set| keys(&set.into_iter().collect::<Vec<_>>()))
}

proptest! {
    #[test]
    fn movement_is_the_same_both_ways(from in any_hand(), to in any_hand()) {
        prop_assert_eq!(movement(&from, &to), movement(&to, &from));
    }

    #[test]
    fn movement_to_the_same_keys_is_nothing(hand in any_hand()) {
        prop_assert_eq!(movement(&hand, &hand), 0);
    }

    #[test]
    fn movement_is_the_least_of_all_pairings_without_crossing(
        from in any_hand(),
        to in any_hand(),
    ) {
        prop_assert_eq!(movement(&from, &to), brute_force(&from, &to));
    }

    #[test]
    fn the_nearest_hand_is_nearer_than_any_other_octave(
        from in any_hand(),
        classes in prop::collection::vec(0u8..12, 1..5),
    ) {
        let (hand, moved) = nearest(&from, &classes).expect("a hand");
        let found: Vec<u8> = hand.iter().map(|key| key.class()).collect();
        prop_assert_eq!(&found, &classes);
        prop_assert_eq!(moved, movement(&from, &hand));

        for octaves in [-12, 12] {
            let shifted: Option<Vec<Key>> = hand
                .iter()
                .map(|key| Key::new(i64::from(key.number()) + octaves).ok())
                .collect();
            if let Some(shifted) = shifted {
                prop_assert!(moved <= movement(&from, &shifted));
            }
        }
    }

    #[test]
    fn the_least_movement_does_not_depend_on_the_octave(
        from in prop::collection::vec(0u8..12, 1..5),
        to in prop::collection::vec(0u8..12, 1..5),
        semitones in 0u8..12,
    ) {
        let up = |classes: &[u8]| {
            classes.iter().map(|class| (class + semitones) % 12).collect::<Vec<_>>()
        };
        prop_assert_eq!(least(&from, &to), least(&up(&from), &up(&to)));
    }
}

#[test]
fn an_empty_hand_goes_nowhere() {
    assert_eq!(movement(&[], &keys(&[60])), 0);
    assert_eq!(nearest(&keys(&[60]), &[]), None);
    assert_eq!(least(&[], &[0]), 0);
    assert_eq!(least(&[0], &[]), 0);
}

// Common practice, no source: dominants fall a semitone in both voices; major and minor sevenths
// hold one voice and drop the other a tone; after twelve changes the hand is an octave lower.
#[test]
fn guide_tones_go_round_the_cycle_as_in_the_reference_table() {
    let rows = table("shell_cycle_of_fourths", 78);
    let mut hand: Vec<Key> = Vec::new();
    let mut start: Vec<u8> = Vec::new();
    let mut lines = 0;

    for row in &rows {
        let step: u8 = row.number("step");
        let quality = quality_in_table(row.get("quality"));
        let root = Name::parse(row.get("root")).expect("a root");
        let chord = Chord::new(root, quality);
        let voicing = asked("guide-tones", &row.get("form").replace('_', " "), chord);
        let classes = leading_classes(&voicing.hands, root.class());
        let expected: Vec<u8> = vec![row.number("rh_low_midi"), row.number("rh_high_midi")];
        let text = format!("{} step {step}", row.get("sequence"));

        if step == 0 {
            hand = keys(&expected);
            start.clone_from(&expected);
            let found: Vec<u8> = hand.iter().map(|key| key.class()).collect();
            assert_eq!(found, classes, "{text}");
            continue;
        }

        let (next, moved) = nearest(&hand, &classes).expect("a hand");
        let moves: Vec<i16> = next
            .iter()
            .zip(&hand)
            .map(|(to, from)| i16::from(to.number()) - i16::from(from.number()))
            .collect();
        let expected_moves: Vec<i16> = vec![row.number("move_low"), row.number("move_high")];
        assert_eq!(numbers(&next), expected, "{text}");
        assert_eq!(moves, expected_moves, "{text}");
        assert_eq!(moved, 2, "{text}");

        let found: Vec<u8> = hand.iter().map(|key| key.class()).collect();
        assert_eq!(least(&found, &classes), 2, "{text}");

        let mut sorted = moves.clone();
        sorted.sort_unstable();
        let fact: [i16; 2] = match row.get("quality") {
            "7" => [-1, -1],
            _ => [-2, 0],
        };
        assert_eq!(sorted, fact, "{text}");

        if step == 12 {
            let lower: Vec<u8> = start.iter().map(|number| number - 12).collect();
            assert_eq!(numbers(&next), lower, "{text}");
            lines += 1;
        }
        hand = next;
    }

    assert_eq!(lines, 6);
}

fn moves(form: &str, orders: [&str; 3], symbols: [&str; 3]) -> [u32; 2] {
    let classes = [0, 1, 2].map(|i| {
        let chord = chord(symbols[i]);
        leading_classes(&asked(form, orders[i], chord).hands, chord.root.class())
    });

    [
        least(&classes[0], &classes[1]),
        least(&classes[1], &classes[2]),
    ]
}

// Common practice, no source; computed in the project's notes on the trade, 1.3.
#[test]
fn two_five_one_moves_as_little_as_it_can() {
    let keys = [
        ["Dm7", "G7", "Cmaj7"],
        ["Gm7", "C7", "Fmaj7"],
        ["Cm7", "F7", "Bbmaj7"],
        ["Fm7", "Bb7", "Ebmaj7"],
        ["Bbm7", "Eb7", "Abmaj7"],
        ["Ebm7", "Ab7", "Dbmaj7"],
        ["Abm7", "Db7", "Gbmaj7"],
        ["C#m7", "F#7", "Bmaj7"],
        ["F#m7", "B7", "Emaj7"],
        ["Bm7", "E7", "Amaj7"],
        ["Em7", "A7", "Dmaj7"],
        ["Am7", "D7", "Gmaj7"],
    ];

    for symbols in keys {
        let (third, seventh) = ("third on top", "seventh on top");
        for orders in [[third, seventh, third], [seventh, third, seventh]] {
            assert_eq!(moves("guide-tones", orders, symbols), [1, 1]);
        }

        let (a, b) = ("third at the bottom", "seventh at the bottom");
        for orders in [[a, b, a], [b, a, b]] {
            assert_eq!(moves("rootless", orders, symbols), [1, 5]);
        }
    }
}
