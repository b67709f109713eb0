//! What a result states, for tables over many: marks and answers without their evidence.
//!
//! Nothing is marked again and no form is drawn, so that ten thousand results are read in seconds.
//! The seal vouches that what is stated is what was written.

mod evidence;
mod identity;
mod raw;

pub use evidence::{Whole, read_with_evidence};
pub use identity::{Identity, identify};

use thiserror::Error;

use super::document::VERSION;
use super::seal::{self, Fault};
use crate::sitting::journal::Head;

/// What is wrong with a result.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum Error {
    /// It is not as it was sealed.
    #[error(transparent)]
    Seal(#[from] Fault),
    /// It is sealed, and no result.
    #[error("expected a result of Viva Voicing: {0}")]
    NotAResult(String),
    /// Written by a later program.
    #[error(
        "this result has version {0}, and this program reads up to {VERSION}: use a newer program"
    )]
    TooNew(u32),
    /// A line of evidence cannot be read.
    #[error("item {item}: expected a line of evidence such as `1234.5 down 60 80`, found `{line}`")]
    Evidence {
        /// The item's number.
        item: u32,
        /// The line.
        line: String,
    },
}

/// A number of marks or of credits in hundredths, as files print them.
pub type Hundredths = i64;

/// What a result states.
#[derive(Debug, Clone, PartialEq)]
pub struct Summary {
    /// The digest of the whole file.
    pub digest: Head,
    /// The program's version.
    pub program: String,
    /// The version of the marking rules.
    pub rubric: u32,
    /// The name of the result that this one was made from, and its digest where it is told.
    pub remark_of: Option<(String, Option<String>)>,
    /// The exam's name.
    pub exam: String,
    /// Its title.
    pub title: String,
    /// Its edition.
    pub edition: String,
    /// The digest of its script, 64 hexadecimal digits.
    pub exam_digest: String,
    /// The form code.
    pub form: String,
    /// The candidate's number.
    pub candidate: String,
    /// When the sitting began, RFC 3339.
    pub started: String,
    /// How long it lasted, in milliseconds; `None` where nobody timed it.
    pub length_ms: Option<f64>,
    /// Who entered its marks by hand; empty where the program marked it.
    pub by_hand: Vec<String>,
    /// How it ended: complete, early, stopped, void or interrupted.
    pub ended: String,
    /// The time factor, in hundredths.
    pub factor: u32,
    /// The total.
    pub mark: Hundredths,
    /// The points of the exam.
    pub out_of: Hundredths,
    /// The band; empty where there is none, `void` for a void sitting.
    pub band: String,
    /// Whether it is passed, where the exam has a pass mark.
    pub passed: Option<bool>,
    /// The standard error of the total in points as the file has it; `None` where not known.
    pub error: Option<f64>,
    /// Whether a person's marks are awaited.
    pub provisional: bool,
    /// The sections.
    pub sections: Vec<Section>,
    /// The items in the order shown, then those not reached.
    pub items: Vec<Item>,
    /// How many chords were found by way of a neighbour.
    pub walked: u32,
    /// The voicing items, by key and quality.
    pub chords: Vec<Chord>,
    /// The routine gaps.
    pub gaps: Vec<Gap>,
    /// The figures of the ear sections.
    pub ears: Vec<Ear>,
    /// How many items a person overruled.
    pub overrules: usize,
    /// How many incidents there were.
    pub incidents: usize,
}

/// A section's mark.
#[derive(Debug, Clone, PartialEq)]
pub struct Section {
    /// Its letter or short name.
    pub id: String,
    /// Its title.
    pub title: String,
    /// Its kind.
    pub kind: String,
    /// Its mark.
    pub mark: Hundredths,
    /// Its points.
    pub out_of: Hundredths,
    /// How many items count.
    pub items: u32,
    /// The standard error in points; `None` where not known or given by a person.
    pub error: Option<f64>,
    /// The hurdle and whether it is passed.
    pub hurdle: Option<(Hundredths, bool)>,
    /// The standard for each answer in words, and whether it is reached.
    pub each: Option<(String, bool)>,
}

/// An item.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Item {
    /// Its number in the form.
    pub number: u32,
    /// The short name of its section.
    pub section: String,
    /// Its kind.
    pub kind: String,
    /// Its cell of the section, from 1; 0 where an older program did not tell.
    pub cell: u32,
    /// Its prompt.
    pub prompt: String,
    /// The chord asked, in ASCII; empty where there is none or it is not told.
    pub chord: String,
    /// Whether it counts: it was not voided.
    pub counts: bool,
    /// Whether it was shown.
    pub reached: bool,
    /// Its level.
    pub level: u8,
    /// Its credit; `None` where a person's mark is awaited.
    pub credit: Option<Hundredths>,
    /// Its mark.
    pub mark: Hundredths,
    /// What it could bring.
    pub out_of: Hundredths,
    /// Whether a person overruled it.
    pub overruled: bool,
    /// The first reason.
    pub reason: String,
    /// What was right, a part each; of spelling the tones. Empty for other items.
    pub right: Vec<String>,
    /// What was answered, a part each; an empty one is no answer.
    pub answered: Vec<String>,
    /// The answer as given.
    pub answer: String,
    /// Who entered its mark by hand; empty where the program listened.
    pub by_hand: String,
    /// From the prompt to the whole chord, or to the answer, in milliseconds.
    pub time_ms: Option<f64>,
    /// Whether it was found by way of a neighbour.
    pub walked: bool,
    /// Chords offered.
    pub attempts: u32,
    /// Hearings used.
    pub hearings: u32,
    /// The keys of the best attempt.
    pub keys: Vec<u8>,
}

/// A chord of the table of keys and qualities.
#[derive(Debug, Clone, PartialEq)]
pub struct Chord {
    /// The root as printed, in ASCII.
    pub root: String,
    /// The quality in ASCII: `7`, `maj7`, `m7b5`.
    pub quality: String,
    /// The level.
    pub level: u8,
    /// The time to complete in milliseconds.
    pub complete_ms: Option<f64>,
    /// Whether it came cold.
    pub cold: bool,
}

/// A routine gap.
#[derive(Debug, Clone, PartialEq)]
pub struct Gap {
    /// The quality in ASCII.
    pub quality: String,
    /// The form of voicing.
    pub form: String,
    /// Against a free run: median times in milliseconds, cold and inside the run.
    pub medians_ms: Option<(f64, f64)>,
    /// Against a run in tempo: share right in the run, mean credit cold.
    pub shares: Option<(f64, f64)>,
}

/// The figures of an ear section.
#[derive(Debug, Clone, PartialEq)]
pub struct Ear {
    /// The short name of its section.
    pub section: String,
    /// The part of the question, from 1.
    pub part: u32,
    /// How many were right.
    pub right: u32,
    /// How many there were.
    pub items: u32,
    /// The labels, in the order shown.
    pub labels: Vec<String>,
    /// Rows sounded, columns answered, and a last column "no answer".
    pub confusion: Vec<Vec<u32>>,
}

/// Reads what a result states, once its seal is whole.
///
/// # Errors
/// When it is not as it was sealed, or no result, or a later program's.
pub fn read(text: &str) -> Result<Summary, Error> {
    let (verified, blocks) = seal::open(text)?;

    raw::read_simple(&blocks, verified.head).unwrap_or_else(|| general(&blocks, verified.head))
}

/// As [`read`], by the general reader of TOML alone: what the fast one is held against.
///
/// # Errors
/// As [`read`].
pub fn read_as_toml(text: &str) -> Result<Summary, Error> {
    let (verified, blocks) = seal::open(text)?;

    general(&blocks, verified.head)
}

fn general(blocks: &[&str], digest: Head) -> Result<Summary, Error> {
    let mut stated = String::new();
    for block in blocks {
        // The script stands by itself at the end and is most of a short result.
        if !block.starts_with("[exam]\n") {
            stated.push_str(without_evidence(block));
        }
    }

    raw::read(&stated, digest)
        // A text with a line that looks like evidence was cut in its middle: the whole is read.
        .or_else(|_| raw::read(&blocks.concat(), digest))
}

/// An item's block without the lines that say what was played; they are its last.
fn without_evidence(block: &str) -> &str {
    block
        .find("\nevidence = ")
        .map_or(block, |at| &block[..=at])
}

#[cfg(test)]
mod tests;
