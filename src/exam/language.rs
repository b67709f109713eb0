//! The language of exam scripts as data: every key with its default, unit, range and an example.
//!
//! The guide for teachers and the schema for editors are written from it. The readers know the
//! keys by themselves; tests hold the two against each other from outside, key by key.

mod figures;
mod guide;
mod hands;
mod names;
mod own;
mod room;
mod schema;
mod sections;
mod sounds;

pub use self::guide::{MISTAKES, Mistake, SMALL, guide};
pub use self::schema::schema;
pub use self::sounds::TOGETHER;

/// What can stand after a key.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Kind {
    /// A text on one line that says something.
    Line,
    /// A text on one line that may be empty.
    Label,
    /// A text of any length.
    Text,
    /// `true` or `false`.
    Flag,
    /// A whole number between two bounds, both of which are taken.
    Whole(i64, i64),
    /// A number, whole or not, between two bounds, both of which are taken.
    Number(f64, f64),
    /// One of some words; the second list has other writings of them.
    Word(&'static [&'static str], &'static [&'static str]),
    /// The number of a chord tone: 1, 3, 5 or 7.
    Member,
    /// One question to the ear, or two of those that go together.
    Ask,
    /// A chord quality as it stands after the root.
    Quality,
    /// A root: a letter and one accidental at most.
    Root,
    /// Degrees from low to high, with blanks between.
    Degrees,
    /// The name of something; the words say of what.
    Name(&'static str),
    /// A list of answers, or a list of them for each of two questions.
    Options,
    /// A list whose items are all of one kind: least and greatest number of items.
    List(&'static Kind, usize, usize),
    /// A table whose keys the script's writer chooses: key groups.
    Groups,
    /// A table; the word is the [`Part`]'s.
    Table(&'static str),
    /// A list of tables; the word is the [`Part`]'s, or that of parts chosen by another key.
    Tables(&'static str),
}

/// What holds where a key is left out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Default {
    /// It may not be left out.
    Required,
    /// This value, as TOML.
    Is(&'static str),
    /// Something that is no value of the key, in words.
    Else(&'static str),
}

/// One key of a table.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Key {
    /// The key as it is written.
    pub name: &'static str,
    /// What can stand after it.
    pub kind: Kind,
    /// The unit of its number, in the plural; empty where it has none.
    pub unit: &'static str,
    /// What holds where it is left out.
    pub default: Default,
    /// A value as TOML; empty where the part's sample is the example.
    pub example: &'static str,
    /// The keys of the same table that the example needs beside it, as lines of TOML; `-key` for
    /// one of the sample's that has to go.
    pub with: &'static str,
    /// What it does, in a sentence or two.
    pub says: &'static str,
}

impl Key {
    const fn new(
        name: &'static str,
        kind: Kind,
        default: Default,
        example: &'static str,
        says: &'static str,
    ) -> Self {
        Self {
            name,
            kind,
            unit: "",
            default,
            example,
            with: "",
            says,
        }
    }

    /// Names the unit, in the plural.
    const fn of(mut self, unit: &'static str) -> Self {
        self.unit = unit;
        self
    }

    /// Says what the example needs beside it.
    const fn with(mut self, with: &'static str) -> Self {
        self.with = with;
        self
    }
}

/// One table of the language.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Part {
    /// A word for it, unique.
    pub id: &'static str,
    /// The dotted path of the table from the top level, where it is empty.
    pub path: &'static str,
    /// Its heading in the guide.
    pub title: &'static str,
    /// What it is for, in a few sentences.
    pub says: &'static str,
    /// Keys that it shares with other parts.
    pub shared: &'static [&'static [Key]],
    /// Its own keys.
    pub keys: &'static [Key],
    /// Keys that are always refused here with a word of why, and that word.
    pub refused: &'static [(&'static str, &'static str)],
    /// The part as a script might have it.
    pub sample: &'static str,
}

impl Part {
    /// All keys that it takes.
    pub fn all_keys(&self) -> impl Iterator<Item = &'static Key> {
        let shared: &'static [&'static [Key]] = self.shared;
        let own: &'static [Key] = self.keys;

        shared.iter().copied().flatten().chain(own)
    }
}

/// A kind of section: its word, its part, and the parts of its cells, if it has any.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Section {
    /// The word after `kind`.
    pub word: &'static str,
    /// The questions after `ask` that make it, for sections that are heard.
    pub asks: &'static [&'static str],
    /// The table of the section.
    pub part: &'static Part,
    /// The table of its cells.
    pub cell: Option<&'static Part>,
}

/// The tables that are no section and no part of one.
pub const COVER: [&Part; 6] = [
    &room::COVER,
    &room::RULES,
    &figures::RUBRIC,
    &room::BAND,
    &own::FORM,
    &own::PROGRESSION,
];

/// The kinds of section, those that are heard once for each sort of cell.
pub const SECTIONS: &[Section] = &[
    Section {
        word: "voicing",
        asks: &[],
        part: &hands::VOICING,
        cell: Some(&hands::VOICING_CELL),
    },
    Section {
        word: "run",
        asks: &[],
        part: &hands::RUN,
        cell: Some(&hands::RUN_CELL),
    },
    Section {
        word: "ear",
        asks: &["quality", "top", "inversion"],
        part: &sounds::EAR,
        cell: Some(&sounds::CHORD),
    },
    Section {
        word: "ear",
        asks: &["interval"],
        part: &sounds::EAR,
        cell: Some(&sounds::INTERVAL),
    },
    Section {
        word: "ear",
        asks: &["tension"],
        part: &sounds::EAR,
        cell: Some(&sounds::TENSION),
    },
    Section {
        word: "ear",
        asks: &["progression"],
        part: &sounds::EAR,
        cell: Some(&sounds::PROGRESSION),
    },
    Section {
        word: "ear",
        asks: &["cadence"],
        part: &sounds::EAR,
        cell: Some(&sounds::CADENCE),
    },
    Section {
        word: "ear",
        asks: &["dictation"],
        part: &sounds::EAR,
        cell: Some(&sounds::DICTATION),
    },
    Section {
        word: "ear",
        asks: &["play-back"],
        part: &sounds::EAR,
        cell: Some(&sounds::PLAY_BACK),
    },
    Section {
        word: "ear",
        asks: &["root-motion"],
        part: &sounds::EAR,
        cell: Some(&sounds::ROOT_MOTION),
    },
    Section {
        word: "ear",
        asks: &["wrong-voice"],
        part: &sounds::EAR,
        cell: Some(&sounds::WRONG_VOICE),
    },
    Section {
        word: "spell",
        asks: &[],
        part: &sections::SPELL,
        cell: Some(&sections::SPELL_CELL),
    },
    Section {
        word: "panel",
        asks: &[],
        part: &sections::PANEL,
        cell: None,
    },
    Section {
        word: "rest",
        asks: &[],
        part: &sections::REST,
        cell: None,
    },
];

/// Every part once, in the order of the guide.
pub fn parts() -> Vec<&'static Part> {
    let mut parts: Vec<&'static Part> = COVER.to_vec();

    for section in SECTIONS {
        for part in [Some(section.part), section.cell].into_iter().flatten() {
            if parts.iter().all(|other| other.id != part.id) {
                parts.push(part);
            }
        }
        if section.word == "run" {
            parts.push(&hands::WEIGHTS);
        }
    }

    parts
}
