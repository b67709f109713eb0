//! The figures beside a mark against published tables and general-purpose statistics libraries.
//!
//! Sources of the tables: `tests/fixtures/reference/README.md`.

use std::path::Path;

use serde::de::DeserializeOwned;
use viva_voicing::fraction::{self, Fraction};
use viva_voicing::marking::statistics::{
    Matrix, ONE_PER_MILLE, ONE_PERCENT, StandardError, Variance, alpha, corrected_share,
    correlation, difficulty, discrimination, guesser_score, guesser_score_mixed, kr20,
    measurement_error, percentile, sensitivity, standard_error, z,
};
use viva_voicing::time::Time;

/// Reads all rows of a reference table.
fn table<R: DeserializeOwned>(name: &str) -> Vec<R> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/fixtures/reference")
        .join(name);
    let rows = csv::Reader::from_path(path)
        .expect("the reference tables come with the source")
        .into_deserialize()
        .collect::<Result<Vec<R>, _>>()
        .expect("each row has the columns of the type");

    assert!(!rows.is_empty(), "expected rows in {name}, found none");
    rows
}

fn assert_close(found: f64, expected: f64, tolerance: f64, what: &str) {
    assert!(
        (found - expected).abs() <= tolerance,
        "{what}: expected {expected}, found {found}"
    );
}

fn list<T: std::str::FromStr>(text: &str) -> Vec<T> {
    text.split(' ')
        .filter_map(|word| word.parse().ok())
        .collect()
}

fn credits(digits: impl Iterator<Item = i64>) -> Vec<Fraction> {
    digits.map(Fraction::from_integer).collect()
}

/// The ten students and ten items of a public KR-20 example.
fn university_example() -> Matrix {
    let rows = table::<Vec<String>>("stats_ecu_matrix.csv");
    let rows = rows.iter().map(|row| {
        credits(
            row[1..]
                .iter()
                .map(|cell| cell.parse().expect("a cell is 0 or 1")),
        )
    });

    Matrix::new(rows.collect()).expect("all rows have the same items")
}

/// Section 6 of the Law School Admission Test: 1000 candidates, five items.
fn law_school_section() -> Matrix {
    let rows = table::<(String, usize)>("stats_lsat6_patterns.csv");
    let rows = rows.iter().flat_map(|(pattern, count)| {
        let row = credits(pattern.bytes().map(|digit| (digit - b'0').into()));

        std::iter::repeat_n(row, *count)
    });

    Matrix::new(rows.collect()).expect("all rows have the same items")
}

fn data_set(name: &str) -> Matrix {
    match name {
        "ECU_KR20_10x10" => university_example(),
        "LSAT6" => law_school_section(),
        other => panic!("expected a known data set, found {other}"),
    }
}

#[test]
fn reliability_agrees_with_the_published_examples() {
    type Line = (String, String, usize, usize, String, f64, String);
    let lines = table::<Line>("stats_reliability.csv");
    let value = |set: &str, statistic: &str| {
        let line = lines
            .iter()
            .find(|line| line.0 == set && line.4 == statistic);

        line.unwrap_or_else(|| panic!("expected {statistic} of {set}"))
            .5
    };

    for set in ["ECU_KR20_10x10", "LSAT6"] {
        let matrix = data_set(set);
        let close = |found: Option<f64>, statistic| {
            assert_close(found.unwrap(), value(set, statistic), 1e-9, statistic);
        };

        close(kr20(&matrix, Variance::Population), "kr20_popvar");
        close(kr20(&matrix, Variance::Sample), "kr20_samplevar");
        close(alpha(&matrix), "cronbach_alpha");
        close(alpha(&matrix), "pingouin_alpha");

        for (variance, statistic) in [("var_pop", "sem_popSD"), ("var_sample", "sem_sampleSD")] {
            let deviation = value(set, variance).sqrt();

            close(
                measurement_error(deviation, alpha(&matrix).unwrap()),
                statistic,
            );
        }
    }

    // To the four digits in print: the university's example, and alpha of LSAT 6.
    let example = university_example();
    assert_close(
        kr20(&example, Variance::Population).unwrap(),
        0.6963,
        5e-5,
        "print",
    );
    assert_close(
        kr20(&example, Variance::Sample).unwrap(),
        0.7378,
        5e-5,
        "print",
    );
    assert_close(alpha(&law_school_section()).unwrap(), 0.2950, 5e-5, "print");
}

#[test]
fn items_agree_with_scipy() {
    type Line = (String, usize, f64, f64, f64, f64, f64);

    for (set, item, p, _, _, rest_score, alpha_without) in table::<Line>("stats_items.csv") {
        let matrix = data_set(&set);
        let what = format!("{set}, item {item}");
        let item = item - 1;

        let found = fraction::to_f64(difficulty(&matrix, item).unwrap());
        assert_close(found, p, 1e-12, &what);
        assert_close(
            discrimination(&matrix, item).unwrap(),
            rest_score,
            1e-9,
            &what,
        );
        assert_close(
            alpha(&matrix.without(item)).unwrap(),
            alpha_without,
            1e-9,
            &what,
        );
    }
}

#[test]
fn the_point_biserial_of_scipys_manual_comes_out() {
    // The example of scipy.stats.pointbiserialr, from memory.
    let xs = [0.0, 0.0, 0.0, 1.0, 1.0, 1.0, 1.0];
    let ys = [0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0];

    assert_close(
        correlation(&xs, &ys).unwrap(),
        0.866_025_403_784_438_6,
        1e-12,
        "r",
    );
}

#[test]
fn lords_error_at_three_quarters_right_comes_out() {
    // Lord's formula at 75 %, in items, one decimal (from memory).
    for (items, expected) in [(12, "1.6"), (24, "2.2"), (40, "2.8")] {
        let right = items * 3 / 4;
        let credits = credits((0..items).map(|item| (item < right).into()));
        let StandardError::Known(error) = standard_error(items.into(), &credits) else {
            panic!("expected a known error for {items} items");
        };

        assert_eq!(format!("{error:.1}"), expected);
    }
}

#[test]
fn the_correction_for_guessing_gives_the_table_of_shares() {
    // Computed from the formula: options, then .60 and .80 corrected, in hundredths.
    let rows = [
        (2, "0.20", "0.60"),
        (3, "0.40", "0.70"),
        (4, "0.47", "0.73"),
        (5, "0.50", "0.75"),
        (6, "0.52", "0.76"),
        (8, "0.54", "0.77"),
        (9, "0.55", "0.78"),
    ];

    for (options, sixty, eighty) in rows {
        let corrected = |hundredths| {
            corrected_share(fraction::from_hundredths(hundredths), options)
                .map(fraction::hundredths)
        };

        assert_eq!(corrected(60).as_deref(), Some(sixty));
        assert_eq!(corrected(80).as_deref(), Some(eighty));
    }
}

#[test]
fn guesser_scores_agree_with_the_binomial_distribution_of_scipy() {
    type Line = (usize, u32, Option<usize>, Option<usize>);

    for (items, options, one_percent, one_per_mille) in table::<Line>("stats_guesser_scores.csv") {
        let what = format!("{items} items, {options} options");

        assert_eq!(
            guesser_score(items, options, ONE_PERCENT),
            one_percent,
            "{what}"
        );
        assert_eq!(
            guesser_score(items, options, ONE_PER_MILLE),
            one_per_mille,
            "{what}"
        );
    }
}

#[test]
fn unequal_guesser_scores_agree_with_the_poisson_binomial_of_scipy() {
    type Line = (String, Option<usize>, Option<usize>);

    for (options, one_percent, one_per_mille) in table::<Line>("stats_guesser_scores_mixed.csv") {
        let list = list(&options);

        assert_eq!(
            guesser_score_mixed(&list, ONE_PERCENT),
            one_percent,
            "{options}"
        );
        assert_eq!(
            guesser_score_mixed(&list, ONE_PER_MILLE),
            one_per_mille,
            "{options}"
        );
    }
}

#[test]
fn the_printed_guesser_scores_come_out() {
    // Items, options, score under 1 % and under 0.1 %, exact binomial tails.
    let rows = [
        (12, 5, 7, 8),
        (20, 5, 9, 11),
        (24, 5, 11, 12),
        (40, 5, 15, 17),
        (12, 6, 6, 8),
        (20, 4, 11, 12),
    ];

    for (items, options, one_percent, one_per_mille) in rows {
        assert_eq!(
            guesser_score(items, options, ONE_PERCENT),
            Some(one_percent)
        );
        assert_eq!(
            guesser_score(items, options, ONE_PER_MILLE),
            Some(one_per_mille)
        );
    }
}

#[test]
fn normal_quantiles_agree_with_scipy() {
    let rows = table::<(f64, f64)>("stats_normal_quantiles.csv");

    assert_eq!(rows.len(), 50);
    for (share, expected) in rows {
        assert_close(z(share).unwrap(), expected, 1e-12, &format!("z({share})"));
    }
}

#[test]
fn sensitivities_agree_with_scipy() {
    type Line = (usize, usize, usize, usize, f64);

    for (hits, signals, false_alarms, others, expected) in table::<Line>("stats_sensitivity.csv") {
        let found = sensitivity(hits, signals, false_alarms, others).unwrap();

        assert_close(found, expected, 1e-12, &format!("{hits} of {signals}"));
    }
}

#[test]
fn percentiles_are_those_of_numpy_rounded_down() {
    for (tenths, percent, value) in table::<(String, u8, f64)>("stats_percentiles.csv") {
        let mut times = list(&tenths)
            .into_iter()
            .map(Time::from_tenths)
            .collect::<Vec<_>>();
        let found = percentile(&mut times, percent).unwrap().tenths();

        // The interpolation of numpy is floating, so that a whole result may miss by a hair.
        assert_eq!(
            found,
            (value + 1e-6).floor() as i64,
            "{percent} % of {tenths}"
        );
    }
}
