//! What a sitting was sat with, as far as its result must tell.

use crate::time::Time;

/// What was played on and heard from. None of it changes a mark but through
/// [`Allowance::lag`](crate::marking::item::Allowance::lag), which was measured with it.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Equipment {
    /// The kind of instrument, in words.
    pub instrument: String,
    /// The instrument's own name; empty where it has none.
    pub name: String,
    /// Whether it does not tell how its keys were touched, as the computer's own do not: onsets
    /// within a chord and velocities are then not the hand's, and neither the spread of a chord
    /// nor the balance of its hands is reported.
    pub without_touch: bool,
    /// The sound output's name; empty where nothing sounded.
    pub output: String,
    /// How late the output sounds, as it states; beats are counted from when they were heard.
    pub delay: Option<Time>,
    /// The middle distance of the taps from the lag, where the candidate tapped along.
    pub lag_spread: Option<Time>,
}
