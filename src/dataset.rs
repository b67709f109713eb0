//! Results as three Parquet tables, for those who outgrow one machine.
//!
//! A data set is a folder partitioned by exam and date as other engines expect it:
//!
//! ```text
//! DIR/sittings/exam=guide-tones/date=2026-03-12/part-3f0c9a7e51d2b846.parquet
//! DIR/items/exam=guide-tones/date=2026-03-12/part-3f0c9a7e51d2b846.parquet
//! DIR/events/exam=guide-tones/date=2026-03-12/part-3f0c9a7e51d2b846.parquet
//! ```
//!
//! `exam` is the exam's name and `date` the day on which the sitting began, in UTC; both stand in
//! the path alone. The columns are documented in [`tables`]. Marks and credits are whole
//! hundredths and times whole microseconds, so that sums are exact in every engine; all numbers
//! are signed. Tables are joined by `result`, the digest of the result's file (64 hexadecimal
//! digits), and items to events by `result` and `place`. There is no name in it: candidates have
//! the numbers that their results have.
//!
//! A part is named by the digests of the results in it, and its bytes hang on them alone: results
//! stand in the order of their digests. So the same results make the same part, and who adds to a
//! data set asks [`results_in`] what is there and adds what is missing.
//!
//! Everything is written as it comes, a row group at a time; nothing here knows a path.
#![deny(clippy::disallowed_methods)]

mod part;
mod place;
pub mod tables;
#[cfg(test)]
mod tests;

use parquet::errors::ParquetError;
use thiserror::Error;

pub use part::{Counts, Part, results_in};
pub use place::{Partition, part_name};

/// The version of the tables, under `viva_voicing.dataset` in each file's own notes.
pub const VERSION: u32 = 1;

/// Why a data set can't be written or read.
#[derive(Debug, Error)]
#[non_exhaustive]
pub enum Error {
    /// The day of a sitting is not known.
    #[error("expected a time such as `2026-03-12T10:21:00Z` as the sitting's start, found `{0}`")]
    Started(String),
    /// The file can't be written, or is none.
    #[error("{0}")]
    Parquet(#[from] ParquetError),
}
