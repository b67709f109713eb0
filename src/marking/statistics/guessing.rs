//! What a candidate reaches who hears nothing and guesses.

use crate::fraction::{self, Fraction, Wide};

/// The chance below which a score counts as not guessed.
pub const ONE_PERCENT: f64 = 0.01;

/// The stricter chance.
pub const ONE_PER_MILLE: f64 = 0.001;

/// Returns the share of right answers corrected for guessing, `(p − 1/k) / (1 − 1/k)`.
///
/// `share` is p, 0 to 1; `options` is k, the same for every item. The result runs from
/// −1/(k − 1) to 1: below 0 the candidate did worse than chance. It stands beside the raw share,
/// never instead of it. `None` for fewer than two options. The formula is common practice (from
/// memory).
pub fn corrected_share(share: Fraction, options: u32) -> Option<Fraction> {
    let k = Wide::from_integer(options.into());
    let one = Wide::from_integer(1);

    (options >= 2).then(|| fraction::narrow((fraction::widen(share) * k - one) / (k - one)))
}

/// Returns the corrected share where items have different numbers of options.
///
/// `(x − Σ 1/k) / (n − Σ 1/k)` for x right answers out of n items with k options each, which for
/// equal k is [`corrected_share`]. `None` without items, or where no item has two options or more.
pub fn corrected_share_mixed(right: Fraction, options: &[u32]) -> Option<Fraction> {
    let by_chance = options
        .iter()
        .map(|k| Fraction::new(1, i64::from((*k).max(1))));
    let by_chance = fraction::widen(fraction::sum(by_chance));
    let count = Wide::from_integer(i128::try_from(options.len()).ok()?);

    // Narrowed before the division, which multiplies across, so that 128 bits suffice.
    let above = fraction::narrow(fraction::widen(right) - by_chance);
    let room = fraction::narrow(count - by_chance);

    (room > Fraction::from_integer(0))
        .then(|| fraction::narrow(fraction::widen(above) / fraction::widen(room)))
}

/// Returns the smallest number of right answers that a guesser reaches with a probability under
/// `chance`, for `items` items of `options` options each.
///
/// The tail is that of the binomial distribution with p = 1/k. `chance` lies between 0 and 1
/// ([`ONE_PERCENT`], [`ONE_PER_MILLE`]). `None` where even a full score is not rare enough.
pub fn guesser_score(items: usize, options: u32, chance: f64) -> Option<usize> {
    guesser_score_mixed(&vec![options; items], chance)
}

/// Returns what [`guesser_score`] does, for items with different numbers of options.
///
/// An item with one option or none counts as given away. The distribution is built item by item
/// (a convolution); all terms are positive, so that nothing cancels and each is good to about
/// `n` × 10⁻¹⁶ of itself.
pub fn guesser_score_mixed(options: &[u32], chance: f64) -> Option<usize> {
    // A tail equal to the chance is not under it, though rounding may put it there.
    let limit = chance * (1.0 - 1e-9);

    let mut tail = 0.0;
    let mut score = None;
    for (right, probability) in guesser_distribution(options).iter().enumerate().rev() {
        tail += probability;

        // A score of 0 is reached by everybody, which rounding must not deny.
        if right > 0 && tail < limit {
            score = Some(right);
        } else {
            break;
        }
    }

    score
}

/// Whether so many right answers are more than a guesser reaches with a chance under 1 %.
///
/// `options` holds the number of options of each item. Where it is false the sheet says "not
/// distinguishable from guessing".
pub fn distinguishable(right: usize, options: &[u32]) -> bool {
    guesser_score_mixed(options, ONE_PERCENT).is_some_and(|score| right >= score)
}

/// Returns the probability of 0, 1, … n right answers by pure guessing.
fn guesser_distribution(options: &[u32]) -> Vec<f64> {
    options.iter().fold(vec![1.0], |before, k| {
        let hit = 1.0 / f64::from((*k).max(1));
        let mut after = vec![0.0; before.len() + 1];

        for (right, probability) in before.iter().enumerate() {
            after[right] += probability * (1.0 - hit);
            after[right + 1] += probability * hit;
        }

        after
    })
}
