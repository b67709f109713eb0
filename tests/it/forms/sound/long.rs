//! What takes several sounds to tell: the answer key says what they are.

use viva_voicing::exam::draw;
use viva_voicing::exam::form::Item;

use super::super::{ear, exam, keys};
use super::{check_clear, classes};

/// Cadences and more.
const EARS: &str = include_str!("../../../fixtures/scripts/long-ears.toml");

/// The items of a section, in many forms.
fn items(section: &str) -> Vec<Item> {
    let exam = exam(EARS);
    let place = exam
        .sections
        .iter()
        .position(|of| of.id == section)
        .unwrap();

    (0..10)
        .flat_map(|seed| draw::draw_set(&exam, seed * 31_337).expect("a set"))
        .flat_map(|form| form.items.into_iter().chain(form.reserve))
        .filter(|item| item.section == place)
        .collect()
}

/// The trade's names by what sounds: the bass above the tonic and the classes above the bass.
/// Common practice, no source; written out by hand.
const CADENCES: [(&str, &[(u8, u16)]); 10] = [
    ("major ii–V–I", &[(2, M7), (7, DOM), (0, MAJ7)]),
    ("minor iiø–V–i", &[(2, HALF), (7, DOM_FLAT_NINE), (0, M6)]),
    (
        "tritone substitute ii–♭II–I",
        &[(2, M7), (1, DOM), (0, MAJ7)],
    ),
    ("back door iv–♭VII–I", &[(5, M7), (10, DOM), (0, MAJ7)]),
    ("authentic V–I", &[(7, DOM), (0, MAJ7)]),
    ("plagal IV–I", &[(5, MAJ7), (0, MAJ7)]),
    ("deceptive V–vi", &[(7, DOM), (9, M7)]),
    (
        "turnaround I–vi–ii–V",
        &[(0, MAJ7), (9, M7), (2, M7), (7, DOM)],
    ),
    (
        "turnaround I–VI–ii–V",
        &[(0, MAJ7), (9, DOM), (2, M7), (7, DOM)],
    ),
    (
        "turnaround iii–VI–ii–V",
        &[(4, M7), (9, DOM), (2, M7), (7, DOM)],
    ),
];
const MAJ7: u16 = 0b1000_1001_0001;
const DOM: u16 = 0b0100_1001_0001;
const DOM_FLAT_NINE: u16 = 0b0100_1001_0011;
const M7: u16 = 0b0100_1000_1001;
const M6: u16 = 0b0010_1000_1001;
const HALF: u16 = 0b0100_0100_1001;

#[test]
fn a_cadence_sounds_as_the_trade_calls_it() {
    let mut seen = std::collections::BTreeSet::new();

    for item in items("cadence") {
        let task = ear(&item);
        let sounded = keys(task);
        let name = task.options[0][task.right[0]].as_str();
        let what = format!("{name}: {sounded:?} on {}", task.root);
        let heard: Vec<(u8, u16)> = sounded[1..]
            .iter()
            .map(|keys| ((keys[0] + 12 - task.root) % 12, classes(keys, keys[0] % 12)))
            .collect();
        let (_, expected) = CADENCES.iter().find(|(known, _)| *known == name).unwrap();
        assert_eq!(heard, *expected, "{what}");
        assert_eq!(
            sounded[0][0] % 12,
            task.root,
            "{what}: its tonic comes first"
        );
        for keys in &sounded {
            check_clear(keys, &what);
        }
        let _ = seen.insert(name.to_owned());
    }

    assert_eq!(seen.len(), CADENCES.len());
}

/// A degree of a key by its numeral; common practice, no source.
const BASSES: [&str; 12] = [
    "I", "bII", "II", "bIII", "III", "IV", "#IV", "V", "bVI", "VI", "bVII", "VII",
];

#[test]
fn a_dictation_asks_bass_and_quality_of_each_chord_that_sounds() {
    let mut lengths = std::collections::BTreeSet::new();

    for item in items("dictation") {
        let task = ear(&item);
        let sounded = keys(task);
        let chords = &sounded[1..];
        let what = format!("{sounded:?} on {}", task.root);
        let right: Vec<&str> = task
            .right
            .iter()
            .zip(task.options.iter())
            .map(|(right, options)| options[*right].as_str())
            .collect();
        assert_eq!(right.len(), 2 * chords.len(), "{what}");
        for (keys, both) in chords.iter().zip(right.chunks(2)) {
            let bass = keys[0] % 12;
            assert_eq!(
                BASSES[usize::from((bass + 12 - task.root) % 12)],
                both[0],
                "{what}"
            );
            // What sounds over any root is what is named; the bass is one of its notes.
            let classes: Vec<u16> = (0..12).map(|root| classes(keys, root)).collect();
            let named = match both[1] {
                "maj7" => 0b1000_1001_0001,
                "7" => 0b0100_1001_0001,
                "m7" => 0b0100_1000_1001,
                "m7b5" => 0b0100_0100_1001,
                "dim7" => 0b0010_0100_1001,
                "major triad" => 0b0000_1001_0001,
                other => panic!("{other} is no quality of this exam"),
            };
            assert!(classes.contains(&named), "{what}: {both:?}");
            check_clear(keys, &what);
        }
        assert_eq!(
            sounded[0][0] % 12,
            task.root,
            "{what}: its tonic comes first"
        );
        let _ = lengths.insert(chords.len());
    }

    assert_eq!(lengths, [4, 6, 8].into());
}
