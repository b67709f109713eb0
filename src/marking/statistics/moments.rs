//! Exact sums of whole numbers, from which means, variances and correlations follow.
//!
//! They take one value after the other and never keep it. Being exact, they come to the same in any
//! order, so that ten thousand results can be read by several threads.

use std::collections::BTreeMap;

use super::reliability::{Variance, internal_consistency};

/// Count, sum and sum of squares of whole numbers, such as credits in hundredths.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Moments {
    count: u64,
    sum: i128,
    squares: i128,
}

impl Moments {
    /// Takes a value in.
    pub fn add(&mut self, value: i64) {
        let value = i128::from(value);
        self.count += 1;
        self.sum += value;
        self.squares += value * value;
    }

    /// Takes another's values in.
    pub fn merge(&mut self, other: &Self) {
        self.count += other.count;
        self.sum += other.sum;
        self.squares += other.squares;
    }

    /// Returns how many values there were.
    pub const fn count(&self) -> u64 {
        self.count
    }

    /// Returns their mean; `None` for no values.
    pub fn mean(&self) -> Option<f64> {
        (self.count > 0).then(|| self.sum as f64 / self.count as f64)
    }

    /// Returns their variance, in the unit squared; `None` where the divisor would be 0.
    pub fn variance(&self, variance: Variance) -> Option<f64> {
        let divisor = match variance {
            Variance::Population => self.count,
            Variance::Sample => self.count.saturating_sub(1),
        };

        (divisor > 0).then(|| self.spread() as f64 / self.count as f64 / divisor as f64)
    }

    /// n Σx² − (Σx)², which is exact and never below 0.
    const fn spread(&self) -> i128 {
        self.count as i128 * self.squares - self.sum * self.sum
    }
}

/// Moments of pairs of whole numbers.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Comoments {
    xs: Moments,
    ys: Moments,
    products: i128,
}

impl Comoments {
    /// Takes a pair in.
    pub fn add(&mut self, x: i64, y: i64) {
        self.xs.add(x);
        self.ys.add(y);
        self.products += i128::from(x) * i128::from(y);
    }

    /// Takes another's pairs in.
    pub fn merge(&mut self, other: &Self) {
        self.xs.merge(&other.xs);
        self.ys.merge(&other.ys);
        self.products += other.products;
    }

    /// Returns the first values.
    pub const fn xs(&self) -> &Moments {
        &self.xs
    }

    /// Returns the product-moment correlation as [`correlation`](super::correlation) does; `None`
    /// where one side is the same throughout.
    pub fn correlation(&self) -> Option<f64> {
        let (xx, yy) = (self.xs.spread(), self.ys.spread());
        let xy = i128::from(self.xs.count) * self.products - self.xs.sum * self.ys.sum;

        (xx > 0 && yy > 0)
            .then(|| (xy as f64 / ((xx as f64).sqrt() * (yy as f64).sqrt())).clamp(-1.0, 1.0))
    }
}

/// Returns coefficient [`alpha`](super::alpha()) from the items' moments and those of the sums, all
/// of the same candidates. Of right/wrong items it is KR-20 with the population variance.
///
/// `None` for fewer than two items or candidates, or equal sums.
pub fn alpha_of(items: &[Moments], sums: &Moments) -> Option<f64> {
    if items.len() < 2 || sums.spread() <= 0 {
        return None;
    }
    let variance = |of: &Moments| of.variance(Variance::Population);

    internal_consistency(
        items.len(),
        items.iter().filter_map(variance).sum(),
        variance(sums)?,
    )
}

/// The one-way analysis of variance of credits nested in candidates: each has items of their own.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Nested {
    /// By the number of items: the candidates' sums.
    sums: BTreeMap<u64, Moments>,
    /// All credits.
    credits: Moments,
}

impl Nested {
    /// Takes the credits of one candidate in; of none, nothing.
    pub fn add(&mut self, credits: &[i64]) {
        if credits.is_empty() {
            return;
        }
        self.sums
            .entry(credits.len() as u64)
            .or_default()
            .add(credits.iter().sum());
        for credit in credits {
            self.credits.add(*credit);
        }
    }

    /// Returns the number of candidates.
    pub fn candidates(&self) -> u64 {
        self.sums.values().map(Moments::count).sum()
    }

    /// Returns the number of items of a candidate, on average where it differs.
    pub fn items(&self) -> Option<f64> {
        (self.candidates() > 0).then(|| self.credits.count as f64 / self.candidates() as f64)
    }

    /// Returns the mean square between candidates; `None` for fewer than two.
    pub fn between(&self) -> Option<f64> {
        let free = self.candidates().checked_sub(1).filter(|free| *free > 0)?;
        let all = self.credits.sum as f64;

        Some((self.squared() - all * all / self.credits.count as f64).max(0.0) / free as f64)
    }

    /// Returns the mean square within candidates; `None` where nobody has two items.
    pub fn within(&self) -> Option<f64> {
        let free = self.credits.count - self.candidates();

        (free > 0).then(|| (self.credits.squares as f64 - self.squared()).max(0.0) / free as f64)
    }

    /// Returns the reliability of a candidate's mean credit, `1 − MSw / MSp`.
    ///
    /// It is the intraclass correlation of a mean, one-way (Shrout and Fleiss 1979, ICC(1,k), from
    /// memory), which asks for no item that two candidates share. Where they have different
    /// numbers of items it is near enough. At most 1; may be negative; `None` without spread.
    pub fn reliability(&self) -> Option<f64> {
        let between = self.between().filter(|between| *between > 0.0)?;

        Some(1.0 - self.within()? / between)
    }

    /// Returns the variance of the error of a candidate's mean, in the credits' unit squared.
    pub fn error_variance(&self) -> Option<f64> {
        Some(self.within()? / self.items()?)
    }

    /// Σ (sum of a candidate)² / (items of that candidate).
    fn squared(&self) -> f64 {
        self.sums
            .iter()
            .map(|(items, sums)| sums.squares as f64 / *items as f64)
            .sum()
    }
}
