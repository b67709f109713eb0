//! What a result states, with what was done in each item.

use super::{Error, Summary, raw};
use crate::marking::Event;
use crate::results::{document, seal};

/// A result with its evidence.
#[derive(Debug, Clone, PartialEq)]
pub struct Whole {
    /// What it states.
    pub summary: Summary,
    /// What was done in each item, in the items' order and the items' time.
    pub evidence: Vec<Vec<Event>>,
}

/// Reads what a result states and its evidence, once its seal is whole.
///
/// # Errors
/// As [`read`](super::read()), and where a line of evidence is none.
pub fn read_with_evidence(text: &str) -> Result<Whole, Error> {
    let (verified, blocks) = seal::open(text)?;
    let (summary, lines) = raw::read_all(&blocks.concat(), verified.head)?;
    let read = |(item, lines): (&super::Item, Vec<String>)| -> Result<Vec<Event>, Error> {
        let event = |line: String| {
            document::event(&line).ok_or(Error::Evidence {
                item: item.number,
                line,
            })
        };
        lines.into_iter().map(event).collect()
    };
    let evidence = summary
        .items
        .iter()
        .zip(lines)
        .map(read)
        .collect::<Result<_, _>>()?;

    Ok(Whole { summary, evidence })
}
