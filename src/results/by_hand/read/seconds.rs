//! Seconds as an examiner writes them, and as messages print them.

use super::super::number::decimal;
use crate::fraction::{self, Fraction};
use crate::time::Time;

/// The longest time that a chord can have: an hour.
const MOST: Time = Time::from_ms(3_600_000);

/// Reads seconds, to a tenth of a millisecond.
pub(super) fn seconds(text: &str) -> Option<Time> {
    let number = decimal(text.trim_end_matches('s').trim_end())?;
    let tenths = fraction::product(number, Fraction::from_integer(10_000));

    Some(Time::from_tenths(tenths.to_integer())).filter(|time| *time <= MOST)
}

/// Prints seconds without needless decimals.
pub(super) fn words(time: Time) -> String {
    let text = format!("{:.3}", time.as_seconds());

    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}
