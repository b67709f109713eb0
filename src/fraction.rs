//! Exact fractions for credits, marks and shares, and how they are summed and printed.
#![deny(clippy::disallowed_methods)]

use num_rational::Ratio;
use num_traits::{CheckedDiv, ToPrimitive};

/// A credit (0 to 1), a mark (points) or a share, exact.
///
/// Operators of the type itself can overflow; the functions of this module never do.
pub type Fraction = Ratio<i64>;

/// Room for intermediate results: products of two [`Fraction`]s always fit.
pub(crate) type Wide = Ratio<i128>;

/// The grid of last resort, in parts of one: where an exact result has no room, it is rounded to
/// the nearest billionth, which is far below the hundredths that anyone reads.
const GRID: i128 = 1_000_000_000;

/// Makes `numerator / denominator`; `None` where the denominator is 0.
pub fn of(numerator: i64, denominator: i64) -> Option<Fraction> {
    (denominator != 0).then(|| narrow(Wide::new(numerator.into(), denominator.into())))
}

/// Makes a fraction from hundredths: `6195` is 61.95.
pub fn from_hundredths(hundredths: i64) -> Fraction {
    narrow(Wide::new(hundredths.into(), 100))
}

/// Sums exactly.
///
/// Where the common denominator or the sum has no room in 128 bits, each term is rounded to the
/// nearest billionth first; where the result has no room in 64 bits, it alone is, and past ±9.2
/// thousand million to a whole number, at most `i64::MAX`. Real marks are nowhere near.
pub fn sum(terms: impl IntoIterator<Item = Fraction>) -> Fraction {
    let terms = terms.into_iter().collect::<Vec<_>>();

    narrow(wide_sum(&terms))
}

/// Returns the arithmetic mean, exact like [`sum`]; `None` for no terms.
pub fn mean(terms: &[Fraction]) -> Option<Fraction> {
    let count = Wide::from_integer(terms.len().to_i128()?);
    let total = wide_sum(terms);

    match total.checked_div(&count) {
        Some(mean) => Some(narrow(mean)),
        None => widen(narrow(total)).checked_div(&count).map(narrow),
    }
}

/// Multiplies, for instance points by a mean credit; exact where 64 bits hold the result.
pub fn product(left: Fraction, right: Fraction) -> Fraction {
    narrow(widen(left) * widen(right))
}

/// Prints hundredths, rounded half away from zero: `61.95`, `100.00`, `-0.25`.
///
/// This is the form of marks in files.
pub fn hundredths(value: Fraction) -> String {
    let rounded = nearest(widen(value), 100);
    let sign = if rounded < 0 { "-" } else { "" };
    let size = rounded.unsigned_abs();

    format!("{sign}{}.{:02}", size / 100, size % 100)
}

/// Rounds to a whole number, half away from zero: 61.5 is 62.
pub fn whole(value: Fraction) -> i64 {
    saturate(nearest(widen(value), 1))
}

/// Returns `part` as whole percents of `out_of`, rounded half away from zero; `None` where there
/// is nothing to have a share of.
///
/// This is the form of marks on sheets. A band is cut on the exact total, never on this number:
/// 74.6 of 100 prints as 75 and is below 75.
pub fn percent(part: Fraction, out_of: Fraction) -> Option<i64> {
    let share = widen(part).checked_div(&widen(out_of))?;

    // The share has up to 126 bits in each half, so the hundredfold is taken of the rest alone.
    Some(saturate(nearest(share, 100)))
}

/// Returns the nearest floating-point number, for roots and correlations.
pub fn to_f64(value: Fraction) -> f64 {
    *value.numer() as f64 / *value.denom() as f64
}

/// Widens to 128 bits.
pub(crate) fn widen(value: Fraction) -> Wide {
    Wide::new((*value.numer()).into(), (*value.denom()).into())
}

/// Narrows to 64 bits: exactly where they hold it, else to the nearest billionth, and past
/// ±9.2 thousand million to the nearest whole number there is.
pub(crate) fn narrow(value: Wide) -> Fraction {
    if let (Some(numerator), Some(denominator)) = (value.numer().to_i64(), value.denom().to_i64()) {
        return Fraction::new_raw(numerator, denominator);
    }

    match nearest(value, GRID).to_i64() {
        Some(parts) => Fraction::new(parts, GRID as i64),
        None => Fraction::from_integer(saturate(nearest(value, 1))),
    }
}

/// Sums in 128 bits; see [`sum`] for what happens where they do not suffice.
pub(crate) fn wide_sum(terms: &[Fraction]) -> Wide {
    exact_sum(terms).unwrap_or_else(|| {
        let parts = terms
            .iter()
            .map(|term| nearest(widen(*term), GRID))
            .fold(0_i128, i128::saturating_add);

        Wide::new(parts, GRID)
    })
}

/// Sums over the least common denominator, which does not depend on the order of the terms.
fn exact_sum(terms: &[Fraction]) -> Option<Wide> {
    let denominator = terms.iter().try_fold(1_i128, |common, term| {
        let own = i128::from(*term.denom());

        (common / gcd(common, own)).checked_mul(own)
    })?;
    let numerator = terms.iter().try_fold(0_i128, |total, term| {
        let scale = denominator / i128::from(*term.denom());

        total.checked_add(scale.checked_mul((*term.numer()).into())?)
    })?;

    Some(Wide::new(numerator, denominator))
}

/// Returns the number of `1 / parts` nearest to `value`, half away from zero, saturating.
fn nearest(value: Wide, parts: i128) -> i128 {
    let (numerator, denominator) = (*value.numer(), *value.denom());
    let whole = (numerator / denominator).saturating_mul(parts);
    let rest = numerator % denominator;
    // The halves are compared without doubling the denominator, which might have no room.
    let fraction = match rest.checked_mul(parts) {
        Some(scaled) => {
            let left = (scaled % denominator).abs();
            let up = i128::from(left >= denominator - left);

            scaled / denominator + up * scaled.signum()
        }
        // Past 128 bits the share of one is known to 15 digits, the grid needs nine.
        None => (rest as f64 / denominator as f64 * parts as f64).round() as i128,
    };

    whole.saturating_add(fraction)
}

fn gcd(a: i128, b: i128) -> i128 {
    if b == 0 { a } else { gcd(b, a % b) }
}

fn saturate(value: i128) -> i64 {
    value.clamp(i64::MIN.into(), i64::MAX.into()) as i64
}

#[cfg(test)]
mod tests;
