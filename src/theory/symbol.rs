//! Chord symbols: every usual way of writing read, three houses of style printed.

mod draft;
mod print;
mod read;

use std::ops::Range;

use thiserror::Error;

use super::{Degree, Quality};

pub use print::{ascii, ascii_quality, print, print_quality};
pub use read::{parse, parse_quality};

/// What is wrong with a chord symbol, and where in its text.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{message}")]
pub struct Error {
    /// The bytes of the symbol that are at fault.
    pub span: Range<usize>,
    /// The fault in words.
    pub message: String,
}

/// A house of style: how one exam prints its symbols throughout.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum House {
    /// `Cmaj7`, `Cm7`.
    Lower,
    /// `CMA7`, `CMI7`, alterations in brackets.
    Capital,
    /// `C△7`, `C−7`.
    Signs,
}

/// How symbols are printed: the house, and the sign for the half-diminished chord.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Style {
    /// The house of style.
    pub house: House,
    /// Whether the half-diminished chord is `ø7` rather than a minor seventh with ♭5.
    pub slashed: bool,
}

impl Style {
    /// The default: `Cmaj7`, `Cm7`, `Cm7♭5`.
    pub const DEFAULT: Self = Self {
        house: House::Lower,
        slashed: false,
    };
}

/// Names a quality in words, such as `half-diminished`, where the trade has a name for it.
pub fn words(quality: Quality) -> Option<&'static str> {
    const NAMES: [(&[Degree], &str); 12] = [
        (&[Degree::Third, Degree::Fifth], "major triad"),
        (&[Degree::FlatThird, Degree::Fifth], "minor triad"),
        (&[Degree::Third, Degree::SharpFifth], "augmented triad"),
        (&[Degree::FlatThird, Degree::FlatFifth], "diminished triad"),
        (
            &[Degree::Third, Degree::Fifth, Degree::Seventh],
            "major seventh",
        ),
        (
            &[Degree::Third, Degree::Fifth, Degree::FlatSeventh],
            "dominant seventh",
        ),
        (
            &[Degree::FlatThird, Degree::Fifth, Degree::FlatSeventh],
            "minor seventh",
        ),
        (
            &[Degree::FlatThird, Degree::FlatFifth, Degree::FlatSeventh],
            "half-diminished",
        ),
        (
            &[
                Degree::FlatThird,
                Degree::FlatFifth,
                Degree::DoubleFlatSeventh,
            ],
            "diminished seventh",
        ),
        (
            &[Degree::FlatThird, Degree::Fifth, Degree::Seventh],
            "minor with major seventh",
        ),
        (
            &[Degree::Third, Degree::Fifth, Degree::Sixth],
            "major sixth",
        ),
        (
            &[Degree::FlatThird, Degree::Fifth, Degree::Sixth],
            "minor sixth",
        ),
    ];

    NAMES
        .iter()
        .find(|(degrees, _)| Quality::of(degrees) == quality)
        .map(|(_, words)| *words)
}
