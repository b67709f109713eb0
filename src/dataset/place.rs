//! Where a result's rows lie: the partition's folders and the part's name.

use std::fmt::Write as _;

use chrono::{DateTime, NaiveDate, Utc};
use sha2::{Digest, Sha256};

use super::Error;

/// The exam and the day that a result's rows are filed under.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Partition {
    exam: String,
    date: NaiveDate,
}

impl Partition {
    /// Files a result by its exam and its start (RFC 3339).
    ///
    /// # Errors
    /// When the start is no time.
    pub fn new(exam: &str, started: &str) -> Result<Self, Error> {
        Ok(Self {
            exam: exam.to_owned(),
            date: moment(started)?.date_naive(),
        })
    }

    /// The folders below a table's, such as `exam=guide-tones/date=2026-03-12`.
    ///
    /// Signs of the exam's name that mean something in such a path stand as `%` and two
    /// hexadecimal digits, which is how other engines write and read them.
    pub fn path(&self) -> String {
        let mut path = "exam=".to_owned();
        for sign in self.exam.chars() {
            if sign.is_ascii_control() || "\"#%'*/:=?\\{[]^<>|".contains(sign) {
                let _ = write!(path, "%{:02X}", u32::from(sign));
            } else {
                path.push(sign);
            }
        }
        let _ = write!(path, "/date={}", self.date.format("%Y-%m-%d"));

        path
    }
}

/// The moment of a sitting's start, in UTC.
pub(super) fn moment(started: &str) -> Result<DateTime<Utc>, Error> {
    DateTime::parse_from_rfc3339(started)
        .map(|moment| moment.to_utc())
        .map_err(|_| Error::Started(started.to_owned()))
}

/// The name of the part that holds some results, by their digests in ascending order: the first
/// 16 digits of the SHA-256 over the digests, a line each.
pub fn part_name<'a>(digests: impl IntoIterator<Item = &'a str>) -> String {
    let mut hash = Sha256::new();
    for digest in digests {
        hash.update(digest);
        hash.update("\n");
    }
    let mut name = "part-".to_owned();
    for byte in &hash.finalize()[..8] {
        let _ = write!(name, "{byte:02x}");
    }

    name + ".parquet"
}
