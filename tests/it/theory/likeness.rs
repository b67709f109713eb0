//! Chords that sound the same, against the tables of all that do.

use std::collections::BTreeSet;

use viva_voicing::theory::likeness::{guide_tones_sound_as, sounds_as};
use viva_voicing::theory::{Quality, symbol};

use super::{chord, quality_in_table, table};

// Source: computed from the pitch classes of mir_eval 0.8.2 (Harte et al. 2005 syntax).
#[test]
fn exactly_the_chords_of_the_reference_table_sound_the_same() {
    let mut names: Vec<String> = table("chord_qualities", 28)
        .iter()
        .map(|row| row.get("quality").to_owned())
        .collect();
    names.extend(["sus4(b7,9)".to_owned(), "7b5".to_owned()]);
    let mut listed = BTreeSet::new();

    for row in table("pcset_collisions", 10) {
        let (a, b) = (row.get("quality_a"), row.get("quality_b"));
        let difference: u8 = row.number("root_b_minus_root_a_semitones");

        // Chords that divide the octave evenly are listed from each of their roots.
        let _ = listed.insert((a.to_owned(), b.to_owned(), difference));
        // The other way round, the roots lie as far apart downwards.
        let _ = listed.insert((b.to_owned(), a.to_owned(), 12 - difference));
    }

    for a in &names {
        for b in &names {
            let expected: Vec<u8> = (0..12)
                .filter(|difference| {
                    let itself = a == b && a != "7alt" && *difference == 0;
                    itself || listed.contains(&(a.clone(), b.clone(), *difference))
                })
                .collect();
            let found = sounds_as(quality_in_table(a), quality_in_table(b));

            assert_eq!(found, expected, "{a} and {b}");
        }
    }
}

// Source: computed from the pitch classes of mir_eval 0.8.2 (Harte et al. 2005 syntax).
#[test]
fn exactly_the_guide_tones_of_the_reference_table_sound_the_same() {
    let names = ["maj7", "7", "m7", "m7b5", "dim7", "6", "m6", "7sus4"];
    let mut listed = BTreeSet::new();

    for row in table("guide_tone_pair_collisions", 35) {
        let (a, b) = (chord(row.get("guide_tones_of")), chord(row.get("same_as")));
        let set = row
            .numbers::<u8>("pcs")
            .iter()
            .fold(0u16, |set, class| set | 1 << class);

        for chord in [a, b] {
            let guide = [chord.quality.third(), chord.quality.seventh()]
                .into_iter()
                .flatten()
                .fold(0u16, |set, degree| {
                    set | 1 << degree.class_over(chord.root.class())
                });
            assert_eq!(guide, set, "{}", symbol::ascii(chord));
        }

        let difference = (b.root.class() + 12 - a.root.class()) % 12;
        assert!(listed.insert((a.quality, b.quality, difference)));
    }

    for a in names.map(quality_in_table) {
        for b in names.map(quality_in_table) {
            let expected: Vec<u8> = (0..12)
                .filter(|difference| {
                    a == b && *difference == 0 || listed.contains(&(a, b, *difference))
                })
                .collect();
            assert_eq!(guide_tones_sound_as(a, b), expected, "{a:?} and {b:?}");

            let back: BTreeSet<u8> = guide_tones_sound_as(b, a)
                .iter()
                .map(|difference| (12 - difference) % 12)
                .collect();
            assert_eq!(back, expected.into_iter().collect(), "{a:?} and {b:?}");
        }
    }
}

#[test]
fn chords_without_guide_tones_or_without_one_set_of_notes_are_like_none() {
    assert!(guide_tones_sound_as(Quality::MAJOR, Quality::MAJOR).is_empty());
    assert!(sounds_as(Quality::ALTERED, Quality::ALTERED).is_empty());
    assert!(sounds_as(Quality::DOMINANT, Quality::ALTERED).is_empty());
    // Both guide tones of the altered dominant are those of every dominant.
    assert_eq!(
        guide_tones_sound_as(Quality::ALTERED, Quality::DOMINANT),
        [0, 6]
    );
}

// Computed in the project's notes on the trade, 3.1: a semitone apart over the same root.
#[test]
fn qualities_sorted_by_brightness_stand_beside_what_they_are_mistaken_for() {
    let brightness = |name: &str| quality_in_table(name).brightness();

    for pair in ["maj7", "7", "m7", "m7b5", "dim7"].windows(2) {
        assert_eq!(brightness(pair[0]) - brightness(pair[1]), 1, "{pair:?}");
    }
    for name in ["7sus4", "6", "7#5", "7b5"] {
        assert_eq!((brightness(name) - brightness("7")).abs(), 1, "{name}");
    }
}
