//! Sitting time: a signed count of tenths of a millisecond, so that sums and marks are exact.
#![deny(clippy::disallowed_methods)]

use std::fmt;
use std::ops::{Add, AddAssign, Sub};

/// A point in time or a span, in tenths of a millisecond.
///
/// Range: ±29,000 years, beyond which sums stay at the end; never read from a clock here.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Time(i64);

impl Time {
    /// The start.
    pub const ZERO: Self = Self(0);

    /// Makes a time from whole milliseconds.
    pub const fn from_ms(ms: i64) -> Self {
        Self(ms.saturating_mul(10))
    }

    /// Makes a time from tenths of a millisecond.
    pub const fn from_tenths(tenths: i64) -> Self {
        Self(tenths)
    }

    /// Makes a time from seconds, rounded to the nearest tenth of a millisecond.
    pub fn from_seconds(seconds: f64) -> Self {
        Self((seconds * 10_000.0).round() as i64)
    }

    /// Returns the tenths of a millisecond.
    pub const fn tenths(self) -> i64 {
        self.0
    }

    /// Returns milliseconds, for printing and statistics.
    pub fn as_ms(self) -> f64 {
        self.0 as f64 / 10.0
    }

    /// Returns seconds, for printing and statistics.
    pub fn as_seconds(self) -> f64 {
        self.0 as f64 / 10_000.0
    }

    /// Multiplies by a ratio, rounding towards zero; the denominator is not 0.
    pub const fn scaled(self, numerator: i64, denominator: i64) -> Self {
        let scaled = self.0 as i128 * numerator as i128 / denominator as i128;

        if scaled > i64::MAX as i128 {
            Self(i64::MAX)
        } else if scaled < i64::MIN as i128 {
            Self(i64::MIN)
        } else {
            Self(scaled as i64)
        }
    }

    /// Returns the span without its sign.
    pub const fn abs(self) -> Self {
        Self(self.0.saturating_abs())
    }
}

impl Add for Time {
    type Output = Self;

    fn add(self, other: Self) -> Self {
        Self(self.0.saturating_add(other.0))
    }
}

impl AddAssign for Time {
    fn add_assign(&mut self, other: Self) {
        *self = *self + other;
    }
}

impl Sub for Time {
    type Output = Self;

    fn sub(self, other: Self) -> Self {
        Self(self.0.saturating_sub(other.0))
    }
}

/// Prints milliseconds with one decimal: `1234.5`.
impl fmt::Display for Time {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let sign = if self.0 < 0 { "-" } else { "" };
        let tenths = self.0.unsigned_abs();

        write!(f, "{sign}{}.{}", tenths / 10, tenths % 10)
    }
}
