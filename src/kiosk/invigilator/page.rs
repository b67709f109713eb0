//! The invigilator's pages, and what is typed on them.

use crate::time::Time;

/// Figures of a PIN.
pub(super) const FIGURES: std::ops::RangeInclusive<usize> = 4..=12;
/// Signs of a note at most.
const LONGEST_NOTE: usize = 120;

/// A page of the invigilator's.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Page {
    /// It asks for the PIN.
    Pin {
        /// What is typed.
        typed: String,
        /// Whether it was wrong.
        wrong: bool,
    },
    /// It asks for a new PIN, twice.
    NewPin {
        /// What is typed.
        typed: String,
        /// What was typed the first time.
        first: Option<String>,
        /// What is to be said about the last attempt.
        said: Option<Said>,
    },
    /// It says something; Enter goes on.
    Told(Said),
    /// What can be done.
    Desk,
    /// How much time to add.
    AddTime,
    /// What kind of incident.
    Note,
    /// What happened, in words, and what kind it is; an empty kind is a reason to stop.
    Words {
        /// The kind.
        kind: &'static str,
        /// What is typed.
        typed: String,
    },
    /// Why to stop the sitting.
    Stop,
    /// What the next candidate is allowed.
    Allow,
    /// The sittings that wait to be taken up.
    Waiting,
    /// What to do with one of them.
    TakeUp(usize),
    /// The panel's marks.
    Panel {
        /// Which of the panel's items, from 0.
        place: usize,
        /// The share of its points, 0 to 100.
        share: String,
        /// By whom; asked for after the share.
        by: Option<String>,
    },
    /// The clock goes on at a moment.
    Counting(Time),
    /// The earlier results, from a place on.
    Results(usize),
    /// The items of an ended sitting, from a row on.
    Items(usize),
    /// One of them, by its row.
    Item(usize),
    /// Which level it is to have.
    Level(usize),
    /// Why.
    Reason {
        /// The item's row.
        row: usize,
        /// Its level from now on.
        level: u8,
    },
    /// Why, in own words.
    Because {
        /// The item's row.
        row: usize,
        /// Its level from now on.
        level: u8,
        /// What is typed.
        typed: String,
    },
    /// Who says so.
    By {
        /// The item's row.
        row: usize,
        /// Its level from now on.
        level: u8,
        /// Why.
        reason: String,
        /// What is typed.
        typed: String,
    },
    /// Before the level is set.
    Sure {
        /// The item's row.
        row: usize,
        /// Its level from now on.
        level: u8,
        /// Why.
        reason: String,
        /// Who says so.
        by: String,
    },
}

/// Something to be said.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Said {
    /// A PIN is too short.
    TooShort,
    /// The two were not the same.
    Differ,
    /// The PIN is in the settings file.
    Kept,
    /// The PIN holds until the program ends.
    Fleeting,
    /// No PIN has been chosen, and a sitting goes on.
    NoPin,
    /// Something could not be done, in words.
    Trouble(String),
    /// Where a new result is.
    Stored(String),
    /// What becomes of a mark sheet on its way to the printer: the name of its result, and whether
    /// it was sent from the list of the items.
    Printed {
        /// The name.
        name: String,
        /// Whether the list is what it goes back to.
        is_from_list: bool,
    },
    /// No result lies in the folder.
    NoResults,
    /// Where the result with a level set anew is, and the item's row.
    Reviewed {
        /// The row.
        row: usize,
        /// The name.
        name: String,
    },
}

/// What the next candidate is allowed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Allowed {
    /// The time factor, in hundredths.
    pub factor: u32,
    /// Hearings beyond those of the exam.
    pub hearings: u8,
}

impl Allowed {
    /// What everybody is allowed.
    pub const NOTHING: Self = Self {
        factor: 100,
        hearings: 0,
    };
}

impl Page {
    /// A new PIN, from the beginning.
    pub(super) const fn new_pin() -> Self {
        Self::NewPin {
            typed: String::new(),
            first: None,
            said: None,
        }
    }

    /// Writes a sign where a page takes it.
    pub(super) fn typed(mut self, sign: char) -> Self {
        match &mut self {
            Page::Pin { typed, .. } | Page::NewPin { typed, .. }
                if sign.is_ascii_digit() && typed.len() < *FIGURES.end() =>
            {
                typed.push(sign);
            }
            Page::Words { typed, .. }
            | Page::Because { typed, .. }
            | Page::By { typed, .. }
            | Page::Panel {
                by: Some(typed), ..
            } if !sign.is_control() && typed.chars().count() < LONGEST_NOTE => typed.push(sign),
            Page::Panel {
                share, by: None, ..
            } if sign.is_ascii_digit() => {
                let longer = format!("{share}{sign}");
                if longer.parse::<u8>().is_ok_and(|share| share <= 100) {
                    *share = longer;
                }
            }
            _ => {}
        }

        self
    }

    /// Takes the last sign back.
    pub(super) fn rubbed(mut self) -> Self {
        match &mut self {
            Page::Pin { typed, .. }
            | Page::NewPin { typed, .. }
            | Page::Words { typed, .. }
            | Page::Because { typed, .. }
            | Page::By { typed, .. }
            | Page::Panel {
                by: Some(typed), ..
            } => drop(typed.pop()),
            Page::Panel {
                share, by: None, ..
            } => drop(share.pop()),
            _ => {}
        }

        self
    }
}
