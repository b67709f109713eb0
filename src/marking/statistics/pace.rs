//! Medians and percentiles of times, and the routine gap between cold chords and a run.

use crate::fraction::{self, Fraction};
use crate::time::Time;

/// Returns the median; for an even count the mean of the middle two, rounded down to 0.1 ms.
///
/// Sorts the times. `None` for no times.
pub fn median(times: &mut [Time]) -> Option<Time> {
    percentile(times, 50)
}

/// Returns a percentile, `percent` from 0 (the least) to 100 (the greatest; more counts as 100).
///
/// Between two times it is interpolated linearly, rounded down to 0.1 ms: with h = (n − 1) p / 100
/// counted from the least time. This is definition 7 of Hyndman and Fan 1996, "Sample quantiles
/// in statistical packages" (from memory), and its 50th is the [`median`]. Sorts the times. `None`
/// for no times.
pub fn percentile(times: &mut [Time], percent: u8) -> Option<Time> {
    times.sort_unstable();

    let last = times.len().checked_sub(1)?;
    let place = last as u128 * u128::from(percent.min(100));
    let index = usize::try_from(place / 100).ok()?;
    let rest = i128::try_from(place % 100).ok()?;

    let low = i128::from(times.get(index)?.tenths());
    let high = i128::from(times[(index + 1).min(last)].tenths());
    // Sorted times differ upwards, hence the division rounds down.
    let between = low + (high - low) * rest / 100;

    i64::try_from(between).ok().map(Time::from_tenths)
}

/// Returns the routine gap against a free run of the same form: the median time to complete a cold
/// chord minus the median time to complete one inside the run, in seconds.
///
/// Positive: slower without the routine. `None` where either side has no times.
pub fn gap_seconds(cold: &[Time], run: &[Time]) -> Option<f64> {
    let middle =
        |times: &[Time]| median(&mut times.to_vec()).map(|middle| i128::from(middle.tenths()));

    // The difference is taken of the tenths, where it is exact.
    Some((middle(cold)? - middle(run)?) as f64 / 10_000.0)
}

/// Returns the routine gap against an in-tempo run: the share of chords right in the run minus the
/// mean credit of the cold items, −1 to 1.
///
/// Positive: better inside the routine. `None` for an empty run, more right than there were, or
/// no cold items.
pub fn gap_share(right_in_run: usize, chords_in_run: usize, cold: &[Fraction]) -> Option<Fraction> {
    if right_in_run > chords_in_run {
        return None;
    }

    let inside = fraction::of(
        i64::try_from(right_in_run).ok()?,
        i64::try_from(chords_in_run).ok()?,
    )?;
    let difference = fraction::widen(inside) - fraction::widen(fraction::mean(cold)?);

    Some(fraction::narrow(difference))
}
