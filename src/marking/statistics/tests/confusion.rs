//! What the confusion matrix counts and says.

use super::*;

fn seventh_chords() -> Confusion<&'static str> {
    let mut matrix = Confusion::new(["maj7", "7", "m7", "ø7", "°7"]);
    let mut add = |count, sounded, answered| {
        for _ in 0..count {
            matrix.record(sounded, answered);
        }
    };

    add(8, "maj7", Some("maj7"));
    add(6, "7", Some("7"));
    add(2, "7", Some("m7"));
    add(6, "m7", Some("m7"));
    add(2, "m7", Some("7"));
    add(3, "ø7", Some("ø7"));
    add(5, "ø7", Some("m7"));
    add(5, "°7", Some("°7"));
    add(1, "°7", Some("ø7"));
    add(2, "°7", None);

    matrix
}

#[test]
fn the_commonest_confusions_come_in_words_and_ties_in_order() {
    let matrix = seventh_chords();
    let words = |limit| {
        let pairs = matrix.commonest(limit);

        pairs.iter().map(ToString::to_string).collect::<Vec<_>>()
    };

    assert_eq!(
        words(3),
        ["m7 for ø7, 5 of 8", "m7 for 7, 2 of 8", "7 for m7, 2 of 8"]
    );
    assert_eq!(words(9).len(), 4);
    assert_eq!(words(0).len(), 0);
}

#[test]
fn the_matrix_counts_hits_false_alarms_and_silence() {
    let matrix = seventh_chords();

    assert_eq!(matrix.total(), 40);
    assert_eq!(matrix.right(), 28);
    assert_eq!(matrix.hits(&"m7"), 6);
    assert_eq!(matrix.false_alarms(&"m7"), 7);
    assert_eq!(matrix.false_alarms(&"maj7"), 0);
    assert_eq!(matrix.count(&"ø7", &"m7"), 5);
    assert_eq!(matrix.sensitivity(&"m7"), sensitivity(6, 8, 7, 32));

    let last = matrix.row(&"°7").unwrap();
    assert_eq!(last.counts, [0, 0, 0, 1, 5]);
    assert_eq!(last.unanswered, 2);
    assert_eq!(
        last.shares().unwrap(),
        [(0, 8), (0, 8), (0, 8), (1, 8), (5, 8), (2, 8)].map(|(n, d)| fraction(n, d))
    );
}

#[test]
fn a_label_outside_the_order_is_put_behind_it() {
    let mut matrix = Confusion::new(["7", "m7", "7"]);
    matrix.record("7", Some("m6"));
    matrix.record("°7", None);

    assert_eq!(matrix.labels(), ["7", "m7", "m6", "°7"]);
    assert_eq!(matrix.count(&"7", &"m6"), 1);
    assert_eq!(matrix.total(), 2);
    assert_eq!(matrix.row(&"m7").unwrap().shares(), None);
    assert_eq!(matrix.sensitivity(&"m7"), None);
    assert!(!matrix.says_enough(&"7"));
    assert_eq!(matrix.count(&"+7", &"7"), 0);
    assert_eq!(matrix.false_alarms(&"+7"), 0);
    assert_eq!(matrix.row(&"+7"), None);
}

#[test]
fn an_empty_matrix_says_nothing() {
    let matrix = Confusion::<char>::new([]);

    assert_eq!(matrix.total(), 0);
    assert_eq!(matrix.right(), 0);
    assert_eq!(matrix.rows().count(), 0);
    assert_eq!(matrix.sensitivity(&'a'), None);
    assert!(matrix.commonest(3).is_empty());
}
