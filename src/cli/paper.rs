//! The paper that pages are printed on, as it is written on the command line.

use clap::ValueEnum;

use crate::printing::page::Size;

/// A size of paper.
#[derive(Debug, Clone, Copy, Default, ValueEnum)]
pub(super) enum Paper {
    /// 210 × 297 mm
    #[default]
    A4,
    /// 8½ × 11 inches
    Letter,
}

impl From<Paper> for Size {
    fn from(paper: Paper) -> Self {
        match paper {
            Paper::A4 => Self::A4,
            Paper::Letter => Self::Letter,
        }
    }
}
