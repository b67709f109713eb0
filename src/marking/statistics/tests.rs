//! Edge cases and identities of the figures beside a mark.

use super::*;
use crate::fraction::{self, Fraction};
use crate::time::Time;

mod bounds;
mod confusion;

fn fraction(numerator: i64, denominator: i64) -> Fraction {
    fraction::of(numerator, denominator).unwrap()
}

fn points(whole: i64) -> Fraction {
    Fraction::from_integer(whole)
}

fn credits(right: usize, of: usize) -> Vec<Fraction> {
    (0..of).map(|item| points((item < right).into())).collect()
}

/// Lord's formula in items: √(x (n − x) / (n − 1)).
fn lord(right: usize, of: usize) -> f64 {
    ((right * (of - right)) as f64 / (of as f64 - 1.0)).sqrt()
}

#[test]
fn the_error_of_right_or_wrong_items_is_lords() {
    for of in 2..60 {
        for right in 1..of {
            let error = standard_error(points(of as i64), &credits(right, of));
            let StandardError::Known(error) = error else {
                panic!("expected a known error for {right} of {of}, found {error:?}");
            };

            assert!((error - lord(right, of)).abs() < 1e-12);
        }
    }
}

#[test]
fn the_expected_error_is_lords_at_the_expected_score() {
    for of in 2..60 {
        for right in 1..of {
            let error = expected_error(points(of as i64), of, fraction(right as i64, of as i64));

            assert!((error.formula().unwrap() - lord(right, of)).abs() < 1e-12);
        }
    }

    // The project's notes on the trade, section 4: at 75 %, 12, 24 and 40 items are known to
    // within 1.6, 2.2 and 2.8 items, which is 13, 9 and 7 points of 100.
    let check = |items: i64, in_items: &str, in_points: &str| {
        let error = |of| {
            expected_error(points(of), items as usize, fraction(3, 4))
                .points()
                .unwrap()
        };
        assert_eq!(format!("{:.1}", error(items)), in_items);
        assert_eq!(format!("{:.0}", error(100)), in_points);
    };
    check(12, "1.6", "13");
    check(24, "2.2", "9");
    check(40, "2.8", "7");

    let check = |marks, items, share, expected| {
        assert_eq!(expected_error(points(marks), items, share), expected);
    };
    check(0, 12, fraction(3, 4), StandardError::Known(0.0));
    check(40, 1, fraction(3, 4), StandardError::Unknown);
    check(40, 0, fraction(3, 4), StandardError::Unknown);
    check(
        40,
        10,
        points(1),
        StandardError::AtLeastHalfItem { points: 2.0 },
    );
}

#[test]
fn partial_credits_scatter_less_than_right_and_wrong() {
    // By hand: mean 1/2, squares 2 × 1/16, so √(1/8 / 12) = 0.102062, times 40 points.
    let credits = [(3, 4), (1, 2), (1, 2), (1, 4)].map(|(n, d)| fraction(n, d));
    let error = standard_error(points(40), &credits).points().unwrap();

    assert!((error - 4.082_483).abs() < 1e-6);
}

#[test]
fn an_error_without_scatter_is_named_and_not_computed() {
    let check = |points, credits: &[Fraction], expected| {
        assert_eq!(standard_error(points, credits), expected);
    };
    let third = fraction(1, 3);

    check(points(40), &[], StandardError::Unknown);
    check(points(40), &[points(1)], StandardError::Unknown);
    check(
        points(40),
        &credits(10, 10),
        StandardError::AtLeastHalfItem { points: 2.0 },
    );
    check(
        points(40),
        &credits(0, 20),
        StandardError::AtLeastHalfItem { points: 1.0 },
    );
    check(
        points(30),
        &[third; 5],
        StandardError::AtLeastHalfItem { points: 3.0 },
    );
    check(points(0), &credits(1, 3), StandardError::Known(0.0));
}

#[test]
fn errors_of_sections_combine_as_the_root_of_the_sum_of_squares() {
    use StandardError::{AtLeast, AtLeastHalfItem, Known, Unknown};
    let check = |sections: &[StandardError], expected| {
        assert_eq!(combine(sections), expected);
    };
    let half = AtLeastHalfItem { points: 4.0 };

    check(&[Known(3.0), Known(4.0)], Known(5.0));
    check(&[Known(3.0)], Known(3.0));
    check(&[half], half);
    check(&[Known(3.0), half], AtLeast(3.0));
    check(
        &[AtLeastHalfItem { points: 3.0 }, half],
        AtLeastHalfItem { points: 5.0 },
    );
    check(&[Known(3.0), Unknown], AtLeast(3.0));
    check(&[AtLeast(3.0), Known(4.0)], AtLeast(5.0));
    check(&[Known(0.0), Known(2.5)], Known(2.5));
    check(&[Known(0.0), Unknown], Unknown);
    check(&[Unknown, Unknown], Unknown);
    check(&[Unknown], Unknown);
    check(&[], Unknown);
}

#[test]
fn the_share_corrected_for_guessing_is_exact() {
    let check = |share, options, expected| {
        assert_eq!(corrected_share(share, options), expected);
    };

    // By hand from the formula.
    check(fraction(3, 5), 2, Some(fraction(1, 5)));
    check(fraction(3, 5), 3, Some(fraction(2, 5)));
    check(fraction(4, 5), 2, Some(fraction(3, 5)));
    check(fraction(4, 5), 5, Some(fraction(3, 4)));
    check(points(1), 7, Some(points(1)));
    check(fraction(1, 5), 5, Some(points(0)));
    check(points(0), 5, Some(fraction(-1, 4)));
    check(fraction(4, 5), 1, None);
    check(fraction(4, 5), 0, None);
}

#[test]
fn unequal_numbers_of_options_correct_by_their_own_chance() {
    let check = |right, options: &[u32], expected| {
        assert_eq!(corrected_share_mixed(points(right), options), expected);
    };

    // Chance is 1/2 + 1/4 = 3/4 of 2 items.
    check(2, &[2, 4], Some(points(1)));
    check(1, &[2, 4], Some(fraction(1, 5)));
    check(16, &[5; 20], Some(fraction(3, 4)));
    check(1, &[1, 3], Some(fraction(-1, 2)));
    check(1, &[1], None);
    check(0, &[], None);
}

#[test]
fn too_few_items_distinguish_nobody_from_a_guesser() {
    // 3 of 3 with five options comes by chance in 0.8 % of cases, 2 of 2 in 4 %.
    assert_eq!(guesser_score(2, 5, ONE_PERCENT), None);
    assert_eq!(guesser_score(3, 5, ONE_PERCENT), Some(3));
    assert_eq!(guesser_score(0, 5, ONE_PERCENT), None);
    assert_eq!(guesser_score(40, 1, ONE_PERCENT), None);
    assert_eq!(guesser_score(40, 0, ONE_PERCENT), None);
    assert_eq!(guesser_score(40, 5, 0.0), None);
    assert_eq!(guesser_score(40, 5, f64::NAN), None);
    assert_eq!(guesser_score(3, 5, 2.0), Some(1));

    assert!(!distinguishable(0, &[]));
    assert!(!distinguishable(14, &[5; 40]));
    assert!(distinguishable(15, &[5; 40]));
}

#[test]
fn a_tail_equal_to_the_chance_is_not_under_it() {
    // 1/100 of one item and 1/10 × 1/10 of two; rounding puts neither below.
    assert_eq!(guesser_score(1, 100, ONE_PERCENT), None);
    assert_eq!(guesser_score(2, 10, ONE_PERCENT), None);
    assert_eq!(guesser_score(3, 10, ONE_PER_MILLE), None);
    assert_eq!(guesser_score(2, 11, ONE_PERCENT), Some(2));

    // Two or more of five with twenty options: 72,296 of 3,200,000 sheets, summed a hair less.
    assert_eq!(guesser_score(5, 20, 0.022_592_5), Some(3));
    assert_eq!(guesser_score(5, 20, 0.022_592_6), Some(2));
}

#[test]
fn quantiles_of_the_normal_distribution_are_the_published_ones() {
    // Any statistics handbook, from memory.
    let check = |share, expected: f64| {
        assert!((z(share).unwrap() - expected).abs() < 5e-7, "{share}");
    };

    check(0.5, 0.0);
    check(0.9, 1.281_552);
    check(0.95, 1.644_854);
    check(0.975, 1.959_964);
    check(0.99, 2.326_348);
    check(0.995, 2.575_829);
    check(0.999, 3.090_232);
    check(0.025, -1.959_964);

    for outside in [0.0, 1.0, -0.1, 1.1, f64::NAN, f64::INFINITY] {
        assert_eq!(z(outside), None);
    }
}

#[test]
fn sensitivity_needs_signals_and_others() {
    assert_eq!(sensitivity(0, 0, 0, 8), None);
    assert_eq!(sensitivity(8, 8, 0, 0), None);
    assert_eq!(sensitivity(9, 8, 0, 8), None);
    assert_eq!(rate(0, 0), None);
    assert_eq!(rate(2, 4), Some(0.5));
}

fn times(tenths: &[i64]) -> Vec<Time> {
    tenths.iter().copied().map(Time::from_tenths).collect()
}

#[test]
fn a_median_of_an_even_count_is_rounded_down() {
    let check = |tenths: &[i64], expected: Option<i64>| {
        assert_eq!(median(&mut times(tenths)), expected.map(Time::from_tenths));
    };

    check(&[], None);
    check(&[7], Some(7));
    check(&[30, 10, 20], Some(20));
    check(&[21, 10], Some(15));
    check(&[-21, -10], Some(-16));
    check(&[9, 1, 4, 2], Some(3));
    check(&[i64::MIN, i64::MAX], Some(-1));
}

#[test]
fn the_routine_gap_is_cold_minus_run() {
    let cold = times(&[41_000, 39_000, 60_000]);
    let run = times(&[12_000, 14_000]);

    assert_eq!(gap_seconds(&cold, &run), Some(2.8));
    assert_eq!(gap_seconds(&run, &cold), Some(-2.8));
    assert_eq!(gap_seconds(&[], &run), None);
    assert_eq!(gap_seconds(&cold, &[]), None);

    let cold = [points(1), fraction(1, 4), fraction(1, 4)];
    assert_eq!(gap_share(11, 12, &cold), Some(fraction(5, 12)));
    assert_eq!(gap_share(0, 12, &[points(1)]), Some(points(-1)));
    assert_eq!(gap_share(0, 0, &cold), None);
    assert_eq!(gap_share(13, 12, &cold), None);
    assert_eq!(gap_share(11, 12, &[]), None);
}

fn matrix(rows: &[&[i64]]) -> Matrix {
    let rows = rows
        .iter()
        .map(|row| row.iter().map(|quarters| fraction(*quarters, 4)).collect());

    Matrix::new(rows.collect()).unwrap()
}

#[test]
fn a_cohort_without_spread_has_no_reliability() {
    let check = |matrix: &Matrix| {
        assert_eq!(kr20(matrix, Variance::Population), None);
        assert_eq!(kr20(matrix, Variance::Sample), None);
        assert_eq!(alpha(matrix), None);
        assert_eq!(discrimination(matrix, 0), None);
    };

    check(&matrix(&[]));
    check(&matrix(&[&[], &[]]));
    check(&matrix(&[&[4, 0, 4]]));
    check(&matrix(&[&[4], &[0]]));
    check(&matrix(&[&[4, 4], &[4, 4]]));
    assert_eq!(Matrix::new(vec![vec![points(1)], vec![]]), None);
}

#[test]
fn part_credits_have_alpha_and_no_kr20() {
    let matrix = matrix(&[&[4, 3, 4], &[2, 2, 1], &[0, 1, 0], &[4, 2, 3]]);

    assert_eq!(kr20(&matrix, Variance::Population), None);
    assert!(alpha(&matrix).unwrap() > 0.9);
    assert_eq!(difficulty(&matrix, 0), Some(fraction(5, 8)));
    assert_eq!(difficulty(&matrix, 3), None);
    assert_eq!(discrimination(&matrix, 3), None);
}

#[test]
fn identical_items_are_wholly_consistent() {
    let matrix = matrix(&[&[4, 4, 4], &[0, 0, 0], &[4, 4, 4]]);

    assert!((alpha(&matrix).unwrap() - 1.0).abs() < 1e-12);
    assert!((discrimination(&matrix, 1).unwrap() - 1.0).abs() < 1e-12);
}

#[test]
fn discrimination_has_the_classes_of_item_analysis() {
    let check = |discrimination, expected| {
        assert_eq!(discrimination_word(discrimination), expected);
    };

    check(0.55, "very good");
    check(0.40, "very good");
    check(0.30, "good");
    check(0.20, "fair");
    check(0.19, "revise");
    check(0.0, "revise");
    check(-0.01, "negative: check the key");
    assert_eq!(
        [0, 19, 20, 49, 50].map(Basis::of),
        [
            Basis::Counts,
            Basis::Counts,
            Basis::Rough,
            Basis::Rough,
            Basis::Firm
        ]
    );
}

#[test]
fn a_measurement_error_needs_numbers() {
    assert_eq!(measurement_error(5.0, 0.75), Some(2.5));
    assert_eq!(measurement_error(5.0, 1.2), Some(0.0));
    assert_eq!(measurement_error(5.0, -0.3), Some(5.0));
    assert_eq!(measurement_error(-1.0, 0.5), None);
    assert_eq!(measurement_error(5.0, f64::NAN), None);
}

#[test]
fn the_true_mark_is_told_in_whole_marks() {
    let check = |mark, error, expected: &str| {
        assert_eq!(true_mark_sentence(mark, error, points(100)), expected);
    };
    let known = StandardError::Known;

    check(
        points(86),
        known(3.0),
        "the true mark lies between 83 and 89 in about two cases of three",
    );
    check(
        fraction(1239, 20),
        known(5.6),
        "the true mark lies between 56 and 68 in about two cases of three",
    );
    check(
        points(98),
        known(4.2),
        "the true mark lies between 93 and 100 in about two cases of three",
    );
    check(
        points(1),
        known(4.2),
        "the true mark lies between 0 and 6 in about two cases of three",
    );
    check(
        points(86),
        known(0.2),
        "the true mark lies between 85 and 87 in about two cases of three",
    );
    check(
        points(86),
        StandardError::AtLeast(2.5),
        "the true mark lies between 83 and 89 in at most two cases of three",
    );
    check(
        points(86),
        known(0.0),
        "the true mark lies at 86 in about two cases of three",
    );
    check(
        points(100),
        StandardError::AtLeastHalfItem { points: 2.0 },
        "the standard error is at least half an item",
    );
    for error in [
        StandardError::Unknown,
        known(f64::NAN),
        known(f64::INFINITY),
    ] {
        check(points(86), error, "the standard error is not known");
    }
}

#[test]
fn within_one_standard_error_of_the_pass_mark_the_examiner_decides() {
    let check = |mark, error, expected| {
        assert_eq!(near_pass(mark, error, points(75)).is_some(), expected);
    };
    let known = StandardError::Known;

    check(points(72), known(6.0), true);
    check(points(78), known(3.0), true);
    check(points(72), known(2.9), false);
    check(points(75), known(0.0), true);
    check(fraction(733, 10), known(1.7), true);
    check(
        points(74),
        StandardError::AtLeastHalfItem { points: 2.0 },
        true,
    );
    check(points(74), StandardError::AtLeast(0.5), false);
    check(points(75), StandardError::Unknown, false);
    assert_eq!(
        near_pass(points(72), known(6.0), points(75)),
        Some("within one standard error of the pass mark: the examiner decides")
    );
}

#[test]
fn notes_are_given_only_where_they_are_due() {
    assert_eq!(
        feedback_note(19),
        Some("this is feedback, not a certificate")
    );
    assert_eq!(feedback_note(20), None);
    assert_eq!(
        guessing_note(6, &[5; 12]),
        Some("not distinguishable from guessing")
    );
    assert_eq!(guessing_note(7, &[5; 12]), None);
    assert_eq!(guessing_note(0, &[]), None);
}
