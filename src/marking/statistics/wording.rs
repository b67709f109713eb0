//! The figures in words, for people who read a mark sheet and no formulas.

use super::guessing::distinguishable;
use super::uncertainty::StandardError;
use crate::fraction::{self, Fraction};

/// Said of a mark near the pass mark.
pub const NEAR_PASS: &str = "within one standard error of the pass mark: the examiner decides";

/// Said of a score below what a guesser reaches.
pub const GUESSING: &str = "not distinguishable from guessing";

/// Said of an exam with few items.
pub const FEEDBACK: &str = "this is feedback, not a certificate";

/// The fewest items that can carry a pass or a fail alone.
pub const FEWEST_ITEMS: usize = 20;

/// What computing with roots may lose; far below anything that is printed.
const NOISE: f64 = 1e-9;

/// Says between which whole marks the true mark lies.
///
/// `mark` and `out_of` are in points. The bounds, one standard error to either side, are rounded
/// outwards, so that the interval is never narrower than computed, and kept within 0 and
/// `out_of`. Two cases of three is what one standard error covers of a normal distribution (68 %).
pub fn true_mark_sentence(mark: Fraction, error: StandardError, out_of: Fraction) -> String {
    let (reach, share) = match error {
        StandardError::AtLeastHalfItem { .. } => {
            return "the standard error is at least half an item".to_owned();
        }
        StandardError::AtLeast(reach) if reach.is_finite() => (reach, "at most two cases of three"),
        StandardError::Known(reach) if reach.is_finite() => (reach, "about two cases of three"),
        _ => return "the standard error is not known".to_owned(),
    };

    let mark = fraction::to_f64(mark);
    let top = fraction::to_f64(out_of).max(0.0).floor();
    let low = (mark - reach + NOISE).floor().clamp(0.0, top);
    let high = (mark + reach - NOISE).ceil().clamp(0.0, top);

    if low < high {
        format!("the true mark lies between {low:.0} and {high:.0} in {share}")
    } else {
        format!("the true mark lies at {low:.0} in {share}")
    }
}

/// Returns [`NEAR_PASS`] where the pass mark lies no more than one standard error away from the
/// total, on either side.
///
/// All three in points, the mark and the pass mark exact. An error of which only a lower bound is
/// known counts with that bound; one that is not known gives `None`.
pub fn near_pass(
    mark: Fraction,
    error: StandardError,
    pass_mark: Fraction,
) -> Option<&'static str> {
    let distance = (fraction::to_f64(mark) - fraction::to_f64(pass_mark)).abs();

    error
        .points()
        .is_some_and(|reach| distance <= reach + NOISE)
        .then_some(NEAR_PASS)
}

/// Returns [`FEEDBACK`] for fewer than [`FEWEST_ITEMS`] items.
pub fn feedback_note(items: usize) -> Option<&'static str> {
    (items < FEWEST_ITEMS).then_some(FEEDBACK)
}

/// Returns [`GUESSING`] where the score is not [`distinguishable`];
/// without items there is nothing to say.
pub fn guessing_note(right: usize, options: &[u32]) -> Option<&'static str> {
    (!options.is_empty() && !distinguishable(right, options)).then_some(GUESSING)
}
