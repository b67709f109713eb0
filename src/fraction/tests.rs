//! Exactness, rounding and room of fractions.

use proptest::prelude::*;

use super::*;

fn fraction(numerator: i64, denominator: i64) -> Fraction {
    of(numerator, denominator).unwrap()
}

#[test]
fn hundredths_round_half_away_from_zero() {
    let check = |numerator, denominator, expected: &str| {
        assert_eq!(hundredths(fraction(numerator, denominator)), expected);
    };

    check(1239, 20, "61.95");
    check(0, 1, "0.00");
    check(100, 1, "100.00");
    check(1, 3, "0.33");
    check(2, 3, "0.67");
    check(1, 8, "0.13");
    check(-1, 8, "-0.13");
    check(1, 200, "0.01");
    check(1, 201, "0.00");
    check(-1, 201, "0.00");
    check(-1, 4, "-0.25");
    check(99_995, 1000, "100.00");
    check(i64::MAX, 1, "9223372036854775807.00");
    check(i64::MIN, 1, "-9223372036854775808.00");
    check(1, i64::MAX, "0.00");
}

#[test]
fn percents_are_whole_and_round_half_up() {
    let check = |part: Fraction, out_of: Fraction, expected| {
        assert_eq!(percent(part, out_of), expected);
    };

    check(fraction(149, 2), fraction(100, 1), Some(75));
    check(fraction(7449, 100), fraction(100, 1), Some(74));
    check(fraction(2, 3), fraction(1, 1), Some(67));
    check(fraction(30, 1), fraction(40, 1), Some(75));
    check(fraction(1, 1), fraction(0, 1), None);
    check(fraction(i64::MAX, 1), fraction(1, i64::MAX), Some(i64::MAX));
    check(
        fraction(i64::MAX - 1, i64::MAX),
        fraction(i64::MAX, i64::MAX - 2),
        Some(100),
    );
}

#[test]
fn a_denominator_of_nothing_makes_no_fraction() {
    assert_eq!(of(1, 0), None);
    assert_eq!(of(i64::MIN, -1).map(whole), Some(i64::MAX));
    assert_eq!(of(6, -8), Some(fraction(-3, 4)));
    assert_eq!(from_hundredths(6195), fraction(1239, 20));
}

#[test]
fn thirds_and_sevenths_add_up_to_a_whole_mark() {
    let terms = [(1, 3), (2, 3), (3, 7), (4, 7)].map(|(n, d)| fraction(n, d));

    assert_eq!(sum(terms), fraction(2, 1));
    assert_eq!(mean(&terms), Some(fraction(1, 2)));
    assert_eq!(sum([]), fraction(0, 1));
    assert_eq!(mean(&[]), None);
    assert_eq!(product(fraction(40, 1), fraction(61, 80)), fraction(61, 2));
}

#[test]
fn a_sum_without_room_is_rounded_to_a_billionth() {
    // The product of these primes has more than 128 bits.
    let primes = [
        9_223_372_036_854_775_783,
        9_223_372_036_854_775_643,
        9_223_372_036_854_775_549,
    ];
    let tiny = primes.map(|prime| fraction(1, prime));
    let terms = [fraction(1, 4), tiny[0], tiny[1], tiny[2]];

    assert_eq!(sum(terms), fraction(1, 4));
    assert_eq!(sum([fraction(1, 4), tiny[0]]), fraction(1, 4));
    assert_eq!(sum([fraction(i64::MAX, 1); 4]), fraction(i64::MAX, 1));
    assert_eq!(
        mean(&[fraction(i64::MAX, 1); 4]),
        Some(fraction(i64::MAX, 1))
    );
}

fn any_fraction() -> impl Strategy<Value = Fraction> {
    (any::<i64>(), any::<i64>().prop_filter("not 0", |d| *d != 0))
        .prop_map(|(numerator, denominator)| fraction(numerator, denominator))
}

fn any_credit() -> impl Strategy<Value = Fraction> {
    (0_i64..=64, 1_i64..=64).prop_map(|(part, of)| fraction(part.min(of), of))
}

proptest! {
    #[test]
    fn no_input_stops_the_arithmetic(terms in prop::collection::vec(any_fraction(), 0..6)) {
        let total = sum(terms.iter().copied());
        let _ = (hundredths(total), whole(total), mean(&terms));

        for pair in terms.windows(2) {
            let _ = (product(pair[0], pair[1]), percent(pair[0], pair[1]));
        }
    }

    #[test]
    fn the_order_of_terms_does_not_matter(terms in prop::collection::vec(any_credit(), 0..60)) {
        let mut turned = terms.clone();
        turned.reverse();

        prop_assert_eq!(sum(terms), sum(turned));
    }

    #[test]
    fn a_mean_of_credits_is_a_credit(credits in prop::collection::vec(any_credit(), 1..60)) {
        let mean = mean(&credits).unwrap();

        prop_assert!(mean >= fraction(0, 1) && mean <= fraction(1, 1));
    }

    #[test]
    fn printed_hundredths_are_within_half_a_hundredth(part in -9999_i64..9999, of in 1_i64..999) {
        let value = fraction(part, of);
        let printed = hundredths(value).replace('.', "").parse().unwrap();
        let error = from_hundredths(printed) - value;

        prop_assert!(error.numer().abs() * 200 <= *error.denom());
    }
}
