//! Bounds of a number, with the unit that messages name.

use std::fmt::Display;
use std::ops::{RangeFrom, RangeFull, RangeInclusive, RangeToInclusive};

/// Inclusive bounds of a number, either of which may be open.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Within<T> {
    low: Option<T>,
    high: Option<T>,
    unit: &'static str,
}

impl<T: PartialOrd + Display + Copy> Within<T> {
    /// Names the unit for messages, in the plural: `"seconds"`.
    pub fn of(self, unit: &'static str) -> Self {
        Self { unit, ..self }
    }

    /// Tells whether a value lies within the bounds.
    pub(super) fn holds(&self, value: T) -> bool {
        self.low.is_none_or(|low| low <= value) && self.high.is_none_or(|high| value <= high)
    }

    /// Returns the words for a number of this unit.
    pub(super) fn noun(&self, noun: &str) -> String {
        match self.unit {
            "" => noun.to_owned(),
            unit => format!("{noun} of {unit}"),
        }
    }

    /// Returns the words for the bounds; `noun` if there are none.
    pub(super) fn describe(&self, noun: &str) -> String {
        let bounds = match (self.low, self.high) {
            (Some(low), Some(high)) if low == high => format!("{low}"),
            (Some(low), Some(high)) => format!("{low} to {high}"),
            (Some(low), None) => format!("{low} or more"),
            (None, Some(high)) => format!("{high} or less"),
            (None, None) => return self.noun(noun),
        };
        match self.unit {
            "" => bounds,
            unit => format!("{bounds} {unit}"),
        }
    }

    /// Says which way a value misses the bounds; nothing if it is no number that has a way.
    pub(super) fn mend(&self, value: Option<T>) -> Option<String> {
        let value = value?;

        match (self.low, self.high) {
            (Some(low), _) if value < low => Some(format!("write {low} or more")),
            (_, Some(high)) if value > high => Some(format!("write {high} or less")),
            _ => None,
        }
    }

    /// Returns a number that would do, for help texts.
    pub(super) fn sample(&self) -> String {
        match self.low.or(self.high) {
            Some(bound) => bound.to_string(),
            None => "1".to_owned(),
        }
    }
}

impl<T> From<RangeInclusive<T>> for Within<T> {
    fn from(range: RangeInclusive<T>) -> Self {
        let (low, high) = range.into_inner();
        Self {
            low: Some(low),
            high: Some(high),
            unit: "",
        }
    }
}

impl<T> From<RangeFrom<T>> for Within<T> {
    fn from(range: RangeFrom<T>) -> Self {
        Self {
            low: Some(range.start),
            high: None,
            unit: "",
        }
    }
}

impl<T> From<RangeToInclusive<T>> for Within<T> {
    fn from(range: RangeToInclusive<T>) -> Self {
        Self {
            low: None,
            high: Some(range.end),
            unit: "",
        }
    }
}

impl<T> From<RangeFull> for Within<T> {
    fn from(_: RangeFull) -> Self {
        Self {
            low: None,
            high: None,
            unit: "",
        }
    }
}
