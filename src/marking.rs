//! From what was played and answered to credits, marks and grades, each with its reasons.
#![deny(clippy::disallowed_methods)]

pub mod fraction;
pub mod statistics;
