//! Which sitting a result is of, and which results belong together: its first lines and its seal.

use serde::Deserialize;

use super::Error;
use crate::results::seal;
use crate::sitting::journal::Head;

/// Which sitting a result is of.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Identity {
    /// The digest of the whole file.
    pub digest: Head,
    /// The head of the journal that it was made from.
    pub journal: Option<Head>,
    /// The name of the result that this one was made from, and its digest where it is told.
    pub remark_of: Option<(String, Option<String>)>,
    /// The exam's name.
    pub exam: String,
    /// The candidate's number.
    pub candidate: String,
    /// The form code.
    pub form: String,
    /// When the sitting began, RFC 3339.
    pub started: String,
}

#[derive(Deserialize)]
struct Raw {
    result: RawResult,
    sitting: RawSitting,
}

#[derive(Deserialize)]
struct RawResult {
    remark_of: Option<String>,
    remark_digest: Option<String>,
}

#[derive(Deserialize)]
struct RawSitting {
    exam: String,
    form: String,
    candidate: String,
    started: String,
}

/// Tells which sitting a result is of, once its seal is whole. A later program's will do.
///
/// # Errors
/// When it is not as it was sealed, or no result.
pub fn identify(text: &str) -> Result<Identity, Error> {
    let (verified, blocks) = seal::open(text)?;
    // The two tables stand first and are a small part of the text.
    let first = blocks.get(..2).unwrap_or(&blocks).concat();
    let Raw { result, sitting } = toml::from_str(&first)
        .or_else(|_| toml::from_str(&blocks.concat()))
        .map_err(|error: toml::de::Error| Error::NotAResult(error.message().to_owned()))?;

    Ok(Identity {
        digest: verified.head,
        journal: verified.journal,
        remark_of: result.remark_of.map(|of| (of, result.remark_digest)),
        exam: sitting.exam,
        candidate: sitting.candidate,
        form: sitting.form,
        started: sitting.started,
    })
}
