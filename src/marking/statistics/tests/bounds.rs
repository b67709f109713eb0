//! Bounds that hold for any input.

use proptest::prelude::*;

use super::*;

fn any_credits(least: usize) -> impl Strategy<Value = Vec<Fraction>> {
    prop::collection::vec(
        (0_i64..=4).prop_map(|quarters| fraction(quarters, 4)),
        least..40,
    )
}

fn any_fraction() -> impl Strategy<Value = Fraction> {
    (any::<i64>(), 1..=i64::MAX)
        .prop_map(|(numerator, denominator)| fraction(numerator, denominator))
}

proptest! {
    #[test]
    fn an_error_is_never_more_than_that_of_half_right_half_wrong(
        whole in 1_i64..200, credits in any_credits(2),
    ) {
        let n = credits.len() as f64;
        let error = standard_error(points(whole), &credits).points().unwrap();

        prop_assert!(error > 0.0);
        prop_assert!(error <= whole as f64 / (2.0 * (n - 1.0).sqrt()) + 1e-9);
    }

    #[test]
    fn a_corrected_share_keeps_its_bounds(
        right in 0_i64..=40, options in prop::collection::vec(0_u32..12, 40),
    ) {
        let k = options[0];
        if let Some(share) = corrected_share(fraction(right, 40), k) {
            prop_assert!(share <= points(1));
            prop_assert!(share >= fraction(-1, i64::from(k) - 1));
            prop_assert_eq!(corrected_share_mixed(points(right), &[k; 40]), Some(share));
        }
        if let Some(share) = corrected_share_mixed(points(right), &options) {
            prop_assert!(share <= points(1));
        }
    }

    #[test]
    fn the_guesser_score_agrees_with_counting_answer_sheets(items in 1_u32..14, options in 1_u32..8) {
        // Of k^n answer sheets, C(n, s) (k − 1)^(n − s) have s right.
        let sheets = |right: u32| {
            let choose = (0..right).fold(1_u128, |c, i| c * u128::from(items - i) / u128::from(i + 1));
            choose * u128::from(options - 1).pow(items - right)
        };
        let all = u128::from(options).pow(items);

        for (chance, one_in) in [(ONE_PERCENT, 100), (ONE_PER_MILLE, 1000)] {
            let expected = (0..=items)
                .find(|score| (*score..=items).map(sheets).sum::<u128>() * one_in < all);

            prop_assert_eq!(
                guesser_score(items as usize, options, chance),
                expected.map(|score| score as usize)
            );
        }
    }

    #[test]
    fn a_stricter_chance_asks_for_no_fewer(options in prop::collection::vec(0_u32..10, 0..60)) {
        let loose = guesser_score_mixed(&options, ONE_PERCENT);
        let strict = guesser_score_mixed(&options, ONE_PER_MILLE);

        prop_assert!(strict.is_none_or(|strict| loose.is_some_and(|loose| loose <= strict)));
        prop_assert!(loose.is_none_or(|loose| loose >= 1 && loose <= options.len()));
    }

    #[test]
    fn sensitivity_is_finite_and_turns_its_sign(
        hits in 0_usize..30, alarms in 0_usize..30, signals in 1_usize..30, others in 1_usize..30,
    ) {
        if let Some(d) = sensitivity(hits, signals, alarms, others) {
            let turned = sensitivity(alarms, others, hits, signals).unwrap();

            prop_assert!(d.is_finite());
            prop_assert!((d + turned).abs() < 1e-12);
        } else {
            prop_assert!(hits > signals || alarms > others);
        }
    }

    #[test]
    fn every_answer_is_counted_once(
        answers in prop::collection::vec((0_u8..5, prop::option::of(0_u8..6)), 0..80),
    ) {
        let mut matrix = Confusion::new(0..4);
        for (sounded, answered) in &answers {
            matrix.record(*sounded, *answered);
        }

        let silent = matrix.rows().map(|row| row.unanswered).sum::<usize>();
        let alarms = matrix.labels().iter().map(|label| matrix.false_alarms(label)).sum::<usize>();
        let confused = matrix.commonest(usize::MAX).iter().map(|pair| pair.count).sum::<usize>();
        prop_assert_eq!(matrix.total(), answers.len());
        prop_assert_eq!(matrix.right() + alarms + silent, answers.len());
        prop_assert_eq!(alarms, confused);

        for row in matrix.rows().filter(|row| row.total() > 0) {
            prop_assert_eq!(fraction::sum(row.shares().unwrap()), points(1));
        }
    }

    #[test]
    fn percentiles_grow_and_stay_inside(tenths in prop::collection::vec(any::<i64>(), 1..40)) {
        let mut times = times(&tenths);
        let mut before = None;
        for percent in 0..=101 {
            let here = percentile(&mut times, percent);

            prop_assert!(here.is_some() && here >= before);
            before = here;
        }

        prop_assert_eq!(percentile(&mut times, 0), times.first().copied());
        prop_assert_eq!(before, times.last().copied());
    }

    #[test]
    fn any_two_lists_of_times_have_a_finite_gap(
        cold in prop::collection::vec(any::<i64>(), 0..9),
        run in prop::collection::vec(any::<i64>(), 0..9),
    ) {
        let gap = gap_seconds(&times(&cold), &times(&run));

        prop_assert_eq!(gap.is_none(), cold.is_empty() || run.is_empty());
        prop_assert!(gap.is_none_or(f64::is_finite));
    }

    #[test]
    fn reliability_is_finite_and_at_most_one(
        rows in (0_usize..8).prop_flat_map(|items| {
            prop::collection::vec(prop::collection::vec(0_i64..=4, items), 0..12)
        }),
    ) {
        let rows = rows.iter().map(Vec::as_slice).collect::<Vec<_>>();
        let matrix = matrix(&rows);

        if let Some(alpha) = alpha(&matrix) {
            prop_assert!(alpha.is_finite() && alpha <= 1.0 + 1e-9);
        }
        for item in 0..=matrix.items() {
            if let Some(r) = discrimination(&matrix, item) {
                prop_assert!((-1.0..=1.0).contains(&r));
            }
        }
    }

    #[test]
    fn the_told_interval_lies_in_the_scale_and_holds_the_mark(
        hundredths in 0_i64..=10_000, error in 0.0_f64..200.0,
    ) {
        let mark = fraction::from_hundredths(hundredths);
        let text = true_mark_sentence(mark, StandardError::Known(error), points(100));
        let bounds = text
            .split(' ')
            .filter_map(|word| word.parse::<i64>().ok())
            .map(points)
            .collect::<Vec<_>>();

        prop_assert!(bounds.iter().all(|bound| *bound >= points(0) && *bound <= points(100)));
        prop_assert!(bounds.first() <= Some(&mark) && bounds.last() >= Some(&mark), "{text}");
    }

    #[test]
    fn no_fraction_stops_the_arithmetic(
        (left, right, k) in (any_fraction(), any_fraction(), any::<u32>()),
    ) {
        let _ = (corrected_share(left, k), corrected_share_mixed(left, &[k, 3, 7]));
        let _ = gap_share(1, 3, &[left, right]);

        let error = standard_error(left, &[left, right]);
        let _ = (near_pass(left, error, right), true_mark_sentence(left, error, right));

        prop_assert!(error.points().is_none_or(f64::is_finite));
    }
}
