//! Sensitivity: how well one quality is told from the rest, free of a liking for its name.

use statrs::distribution::{ContinuousCDF, Normal};

/// Returns d′ of one label against the rest, `z(H) − z(F)`.
///
/// `hits` of `signals` soundings of the label were named so, and `false_alarms` of `others`
/// soundings of anything else. Both shares are drawn in by [`rate`], so that full and empty rows
/// stay finite. In standard deviations: 0 is no better than chance, negative is worse; the greatest
/// value grows with the number of soundings, 3.19 for 8 of 8 and no false alarm in 8. `None` where
/// there was no signal or nothing else, or where there are more answers than soundings. Source:
/// signal detection theory, yes/no design, with the log-linear correction (Hautus 1995, from
/// memory).
pub fn sensitivity(hits: usize, signals: usize, false_alarms: usize, others: usize) -> Option<f64> {
    Some(z(rate(hits, signals)?)? - z(rate(false_alarms, others)?)?)
}

/// Returns `(x + 0.5) / (n + 1)`, which lies strictly between 0 and 1; `None` for n = 0 or x > n.
pub fn rate(x: usize, n: usize) -> Option<f64> {
    (n > 0 && x <= n).then(|| (x as f64 + 0.5) / (n as f64 + 1.0))
}

/// Returns the quantile of the standard normal distribution: `z(0.975)` is 1.959964.
///
/// `None` unless `share` lies strictly between 0 and 1.
pub fn z(share: f64) -> Option<f64> {
    (share > 0.0 && share < 1.0)
        .then(|| Normal::standard().inverse_cdf(share))
        .filter(|quantile| quantile.is_finite())
}
