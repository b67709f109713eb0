//! Guess correction, sensitivity, confusion, standard error and reliability.
//!
//! These figures stand beside a mark and never change it. Each function is pure; where a figure
//! does not exist (nobody sat, nothing was heard, all credits are alike) it is `None` or a variant
//! that says so, never a not-a-number. Credits are [`Fraction`](crate::fraction::Fraction)s from
//! 0 to 1 and stay exact as long as no root or tail probability is taken.
//!
//! Sources of the formulas are named where they stand; those marked "from memory" are textbook
//! knowledge whose page was not at hand.

mod confusion;
mod guessing;
mod moments;
mod pace;
mod reliability;
mod sensitivity;
mod uncertainty;
mod wording;

pub use confusion::{Confusion, FEWEST_SOUNDINGS, Pair, Row};
pub use guessing::{
    ONE_PER_MILLE, ONE_PERCENT, corrected_share, corrected_share_mixed, distinguishable,
    guesser_score, guesser_score_mixed,
};
pub use moments::{Comoments, Moments, Nested, alpha_of};
pub use pace::{gap_seconds, gap_share, median, percentile};
pub use reliability::{
    Basis, Matrix, Variance, alpha, correlation, difficulty, discrimination, discrimination_word,
    kr20, measurement_error,
};
pub use sensitivity::{rate, sensitivity, z};
pub use uncertainty::{StandardError, combine, expected_error, standard_error};
pub use wording::{
    FEEDBACK, FEWEST_ITEMS, GUESSING, NEAR_PASS, feedback_note, guessing_note, near_pass,
    true_mark_sentence,
};

#[cfg(test)]
mod tests;
