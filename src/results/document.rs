//! A result as a file: one TOML document that a person can read, with its evidence inside.
//!
//! Marks are printed in hundredths (rounded half up from the exact fraction), times in
//! milliseconds with one decimal.

mod read;
mod write;

pub use read::{Error, Stated, Stored, event, read};
pub use write::{Given, Remark, write};

/// The version of this format.
pub const VERSION: u32 = 1;

/// The version of the marking rules that this program follows.
pub const RUBRIC: u32 = 1;
