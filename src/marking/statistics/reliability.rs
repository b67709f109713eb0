//! Reliability of a section and quality of its items, from the credits of a whole cohort.

use num_traits::{One, Zero};

use crate::fraction::{self, Fraction};

/// Credits of a cohort: a row a candidate, a column an item.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Matrix {
    rows: Vec<Vec<Fraction>>,
    items: usize,
}

impl Matrix {
    /// Makes a matrix; `None` where the rows differ in length.
    pub fn new(rows: Vec<Vec<Fraction>>) -> Option<Self> {
        let items = rows.first().map_or(0, Vec::len);

        rows.iter()
            .all(|row| row.len() == items)
            .then_some(Self { rows, items })
    }

    /// Returns the number of candidates.
    pub fn candidates(&self) -> usize {
        self.rows.len()
    }

    /// Returns the number of items.
    pub fn items(&self) -> usize {
        self.items
    }

    /// Returns the matrix without one item, counted from 0; without any such item, a copy.
    #[must_use]
    pub fn without(&self, item: usize) -> Self {
        let rows = self.rows.iter().map(|row| {
            let others = row.iter().enumerate().filter(|(index, _)| *index != item);

            others.map(|(_, credit)| *credit).collect()
        });

        Self {
            rows: rows.collect(),
            items: self.items - usize::from(item < self.items),
        }
    }

    fn column(&self, item: usize) -> Vec<Fraction> {
        self.rows
            .iter()
            .filter_map(|row| row.get(item).copied())
            .collect()
    }

    /// Returns each candidate's sum.
    fn scores(&self) -> Vec<f64> {
        let sums = self
            .rows
            .iter()
            .map(|row| fraction::sum(row.iter().copied()));

        sums.map(fraction::to_f64).collect()
    }

    /// Whether there are two candidates and two items, and the sums differ.
    fn varies(&self) -> bool {
        let sums = self
            .rows
            .iter()
            .map(|row| fraction::sum(row.iter().copied()));
        let sums = sums.collect::<Vec<_>>();

        self.items >= 2 && sums.windows(2).any(|pair| pair[0] != pair[1])
    }
}

/// By what a sum of squares is divided for the variance of the candidates' sums.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Variance {
    /// By n: these candidates are all that matter.
    Population,
    /// By n − 1: they stand for others.
    Sample,
}

impl Variance {
    fn of(self, values: &[f64]) -> f64 {
        let n = values.len() as f64;
        let mean = values.iter().sum::<f64>() / n;
        let squares = values
            .iter()
            .map(|value| (value - mean).powi(2))
            .sum::<f64>();

        match self {
            Self::Population => squares / n,
            Self::Sample => squares / (n - 1.0),
        }
    }
}

/// Returns KR-20, `k/(k − 1) · (1 − Σ p q / σ²)` for k right/wrong items.
///
/// p is the share right, q = 1 − p, σ² the variance of the sums, by the divisor asked for: say
/// which beside the figure, for a small class they differ visibly. At most 1 (with the sample
/// variance of a handful of candidates a little more can come out); may be negative. `None` for
/// fewer than two items or candidates, equal sums, or a credit that is neither 0 nor 1. Source:
/// Kuder and Richardson 1937, formula 20 (from memory).
pub fn kr20(matrix: &Matrix, variance: Variance) -> Option<f64> {
    let mut credits = matrix.rows.iter().flatten();
    if !credits.all(|credit| credit.is_zero() || credit.is_one()) || !matrix.varies() {
        return None;
    }

    let item_variance = (0..matrix.items)
        .filter_map(|item| difficulty(matrix, item))
        .map(fraction::to_f64)
        .map(|p| p * (1.0 - p))
        .sum::<f64>();

    internal_consistency(matrix.items, item_variance, variance.of(&matrix.scores()))
}

/// Returns coefficient alpha, `k/(k − 1) · (1 − Σ σᵢ² / σ²)` for k items with credits 0 to 1.
///
/// Item and total variance have the same divisor, which therefore cancels; for right/wrong items
/// alpha is KR-20 with the population variance. At most 1; may be negative. `None` for fewer
/// than two items or candidates, or equal sums. Source: Cronbach 1951 (from memory).
pub fn alpha(matrix: &Matrix) -> Option<f64> {
    if !matrix.varies() {
        return None;
    }

    let item_variance = (0..matrix.items)
        .map(|item| Variance::Population.of(&floats(&matrix.column(item))))
        .sum::<f64>();

    internal_consistency(
        matrix.items,
        item_variance,
        Variance::Population.of(&matrix.scores()),
    )
}

/// Returns the standard error of measurement of a cohort, `σ √(1 − r)`, in the unit of σ.
///
/// `deviation` is the standard deviation of the sums, 0 or more; `reliability` is KR-20 or alpha.
/// A reliability below 0 counts as 0, above 1 as 1. `None` where an argument is not a number.
/// Textbook formula (from memory).
pub fn measurement_error(deviation: f64, reliability: f64) -> Option<f64> {
    (deviation.is_finite() && deviation >= 0.0 && reliability.is_finite())
        .then(|| deviation * (1.0 - reliability.clamp(0.0, 1.0)).sqrt())
}

/// Returns the difficulty of an item, its mean credit: 0 nobody, 1 everybody. Items count from 0.
///
/// .40 to .60 is ideal and .20 to .80 usable (a university's page on item analysis, Weber State).
pub fn difficulty(matrix: &Matrix, item: usize) -> Option<Fraction> {
    fraction::mean(&matrix.column(item))
}

/// Returns the discrimination of an item: the point-biserial correlation of its credit with the
/// sum of the other items (the rest-score), −1 to 1.
///
/// `None` where the item or the rest-score is the same for all. Items count from 0.
pub fn discrimination(matrix: &Matrix, item: usize) -> Option<f64> {
    let rest = matrix.without(item);

    correlation(&floats(&matrix.column(item)), &rest.scores())
}

/// Says what a discrimination means.
///
/// Classes of Weber State University's page on item analysis: .40 very good, .30 good, .20 fair;
/// a negative one hints at a wrong answer key.
pub fn discrimination_word(discrimination: f64) -> &'static str {
    match discrimination {
        r if r >= 0.40 => "very good",
        r if r >= 0.30 => "good",
        r if r >= 0.20 => "fair",
        r if r < 0.0 => "negative: check the key",
        _ => "revise",
    }
}

/// Returns the product-moment correlation of two lists of equal length, −1 to 1.
///
/// With a list of zeros and ones it is the point-biserial. `None` for different lengths, fewer
/// than two pairs, or a list whose values are all alike.
pub fn correlation(xs: &[f64], ys: &[f64]) -> Option<f64> {
    let alike = |values: &[f64]| values.windows(2).all(|pair| pair[0] == pair[1]);
    if xs.len() != ys.len() || alike(xs) || alike(ys) {
        return None;
    }

    let n = xs.len() as f64;
    let mean_x = xs.iter().sum::<f64>() / n;
    let mean_y = ys.iter().sum::<f64>() / n;
    let (mut xx, mut yy, mut xy) = (0.0, 0.0, 0.0);
    for (x, y) in xs.iter().zip(ys) {
        xx += (x - mean_x).powi(2);
        yy += (y - mean_y).powi(2);
        xy += (x - mean_x) * (y - mean_y);
    }

    Some(xy / (xx.sqrt() * yy.sqrt()))
        .filter(|r| r.is_finite())
        .map(|r| r.clamp(-1.0, 1.0))
}

/// What statistics of items may be printed for a cohort of some size (proposals of ours, no
/// source).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Basis {
    /// Under 20 candidates: counts only.
    Counts,
    /// 20 to 49: figures, marked "rough".
    Rough,
    /// 50 and more: figures.
    Firm,
}

impl Basis {
    /// Returns what so many candidates can carry.
    pub const fn of(candidates: usize) -> Self {
        match candidates {
            0..=19 => Self::Counts,
            20..=49 => Self::Rough,
            _ => Self::Firm,
        }
    }
}

pub(super) fn internal_consistency(items: usize, item_variance: f64, variance: f64) -> Option<f64> {
    let k = items as f64;

    Some(k / (k - 1.0) * (1.0 - item_variance / variance)).filter(|value| value.is_finite())
}

fn floats(credits: &[Fraction]) -> Vec<f64> {
    credits.iter().copied().map(fraction::to_f64).collect()
}
