//! The standard error of a mark, from the credits of one candidate.

use crate::fraction::{self, Fraction};

/// How far a mark may be from the true one, in points.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum StandardError {
    /// Not known: one item, or none, shows no scatter.
    Unknown,

    /// The formula gives 0, which only says that the items were all too easy or all too hard.
    AtLeastHalfItem {
        /// Half an item in points: points / (2 n).
        points: f64,
    },

    /// Several sections of which one or more is not known or at least half an item: the part
    /// that is known, in points.
    AtLeast(f64),

    /// One standard error, in points, 0 or more.
    Known(f64),
}

impl StandardError {
    /// Returns the standard error or what it is at least, in points; `None` where not known.
    pub const fn points(self) -> Option<f64> {
        match self {
            Self::Unknown => None,
            Self::AtLeastHalfItem { points } | Self::AtLeast(points) | Self::Known(points) => {
                Some(points)
            }
        }
    }

    /// Returns what the formula gives, in points: 0 where all credits are equal, `None` where it
    /// cannot be worked out.
    pub const fn formula(self) -> Option<f64> {
        match self {
            Self::Unknown => None,
            Self::AtLeastHalfItem { .. } => Some(0.0),
            Self::AtLeast(points) | Self::Known(points) => Some(points),
        }
    }

    /// Whether the error may well be larger than [`points`](Self::points) says.
    pub const fn is_open(self) -> bool {
        !matches!(self, Self::Known(_))
    }
}

/// Returns the standard error of a section's mark.
///
/// `points × √(Σ(c − mean)² / (n (n − 1)))` for n credits c from 0 to 1. For right/wrong items
/// with x right and one point an item this is Lord's formula `√(x (n − x) / (n − 1))` (Lord 1957,
/// "Do tests of the same length have the same standard errors of measurement?", from memory).
///
/// Voided items are left out by the caller. A section without points has no error whatever its
/// items: `Known(0.0)`.
pub fn standard_error(points: Fraction, credits: &[Fraction]) -> StandardError {
    let points = fraction::to_f64(points).abs();
    let n = credits.len() as f64;

    if points == 0.0 {
        return StandardError::Known(0.0);
    }
    if credits.len() < 2 {
        return StandardError::Unknown;
    }

    let half_item = StandardError::AtLeastHalfItem {
        points: points / (2.0 * n),
    };
    // Equality is asked of the fractions, since a rounded mean leaves a rest of 1e-17.
    if credits.windows(2).all(|pair| pair[0] == pair[1]) {
        return half_item;
    }

    let credits = credits.iter().copied().map(fraction::to_f64);
    let mean = credits.clone().sum::<f64>() / n;
    let squares = credits.map(|credit| (credit - mean).powi(2)).sum::<f64>();
    let error = points * (squares / (n * (n - 1.0))).sqrt();

    if error > 0.0 {
        StandardError::Known(error)
    } else {
        half_item
    }
}

/// Returns the standard error to be expected of a section of so many items, for a candidate who
/// gets a share of them right.
///
/// Lord's formula (see [`standard_error`]) with the expected number of right answers: `points ×
/// √(p (1 − p) / (n − 1))` for the share p, 0 to 1. It takes every item to be right or wrong; credit
/// between the two scatters less for the same mean.
pub fn expected_error(points: Fraction, items: usize, share: Fraction) -> StandardError {
    let points = fraction::to_f64(points).abs();
    let share = fraction::to_f64(share).clamp(0.0, 1.0);
    let n = items as f64;

    if points == 0.0 {
        return StandardError::Known(0.0);
    }
    if items < 2 {
        return StandardError::Unknown;
    }

    let error = points * (share * (1.0 - share) / (n - 1.0)).sqrt();
    if error > 0.0 {
        StandardError::Known(error)
    } else {
        StandardError::AtLeastHalfItem {
            points: points / (2.0 * n),
        }
    }
}

/// Combines the standard errors of the sections of one total: the root of the sum of squares of
/// what the formula gives for each.
///
/// Where a section's error is open (not known, or 0 by the formula), the result is `AtLeast`;
/// where the formula gives 0 altogether, it is at least half an item of the sections together.
/// Nothing known at all stays `Unknown`.
pub fn combine(sections: &[StandardError]) -> StandardError {
    if let [only] = sections {
        return *only;
    }

    let known = sections.iter().filter_map(|section| section.formula());
    if known.clone().next().is_none() {
        return StandardError::Unknown;
    }

    // The hypotenuse of a growing pair neither overflows nor loses small errors.
    let error = known.fold(0.0, f64::hypot);
    let is_open = sections.iter().any(|section| section.is_open());
    if is_open && error == 0.0 {
        let points = sections
            .iter()
            .filter_map(|section| section.points())
            .fold(0.0, f64::hypot);
        // "At least nothing" would say no more than that it is not known.
        if points > 0.0 {
            StandardError::AtLeastHalfItem { points }
        } else {
            StandardError::Unknown
        }
    } else if is_open {
        StandardError::AtLeast(error)
    } else {
        StandardError::Known(error)
    }
}
