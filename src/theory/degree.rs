//! Chord tones named by number, as musicians count them from the root.

use std::fmt;

use thiserror::Error;

use super::Name;

/// What is wrong with a degree as it was written.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum Error {
    /// The text names no degree.
    #[error(
        "expected a degree (1 2 b3 3 4 #4 b5 5 #5 6 bb7 b7 7 b9 9 #9 11 #11 b13 13), found `{0}`"
    )]
    NotADegree(String),
}

macro_rules! degrees {
    ($($(#[$doc:meta])* $variant:ident $text:literal $number:literal $semitones:literal $words:literal;)*) => {
        /// A chord tone by its number above the root.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Degree { $($(#[$doc])* $variant,)* }

        impl Degree {
            /// All degrees, by number.
            pub const ALL: [Self; 20] = [$(Self::$variant,)*];

            /// Returns the ASCII text: `bb7`, `#11`.
            pub const fn ascii(self) -> &'static str {
                match self { $(Self::$variant => $text,)* }
            }

            /// Returns the number without its accidental, 1 to 13.
            pub const fn number(self) -> u8 {
                match self { $(Self::$variant => $number,)* }
            }

            /// Returns the semitones above the root: 14 for a ninth.
            pub const fn semitones(self) -> i32 {
                match self { $(Self::$variant => $semitones,)* }
            }

            /// Returns the name in words: `flat ninth`.
            pub const fn words(self) -> &'static str {
                match self { $(Self::$variant => $words,)* }
            }
        }
    };
}

degrees! {
    /// The root.
    Root "1" 1 0 "root";
    /// The second, as in a chord with suspended second.
    Second "2" 2 2 "second";
    /// The minor third.
    FlatThird "b3" 3 3 "third";
    /// The major third.
    Third "3" 3 4 "third";
    /// The fourth.
    Fourth "4" 4 5 "fourth";
    /// The raised fourth.
    SharpFourth "#4" 4 6 "sharp fourth";
    /// The diminished fifth.
    FlatFifth "b5" 5 6 "fifth";
    /// The perfect fifth.
    Fifth "5" 5 7 "fifth";
    /// The augmented fifth.
    SharpFifth "#5" 5 8 "fifth";
    /// The sixth.
    Sixth "6" 6 9 "sixth";
    /// The diminished seventh.
    DoubleFlatSeventh "bb7" 7 9 "seventh";
    /// The minor seventh.
    FlatSeventh "b7" 7 10 "seventh";
    /// The major seventh.
    Seventh "7" 7 11 "seventh";
    /// The minor ninth.
    FlatNinth "b9" 9 13 "flat ninth";
    /// The ninth.
    Ninth "9" 9 14 "ninth";
    /// The augmented ninth.
    SharpNinth "#9" 9 15 "sharp ninth";
    /// The eleventh.
    Eleventh "11" 11 17 "eleventh";
    /// The augmented eleventh.
    SharpEleventh "#11" 11 18 "sharp eleventh";
    /// The minor thirteenth.
    FlatThirteenth "b13" 13 20 "flat thirteenth";
    /// The thirteenth.
    Thirteenth "13" 13 21 "thirteenth";
}

impl Degree {
    /// Returns the semitones above the root within an octave, 0 to 11.
    pub const fn class(self) -> u8 {
        (self.semitones() % 12) as u8
    }

    /// Returns the pitch class of this degree over a root's pitch class.
    pub const fn class_over(self, root: u8) -> u8 {
        (root % 12 + self.class()) % 12
    }

    /// Spells this degree over a root, strictly: each chord member has its own letter.
    ///
    /// `None` only where four signs would be needed, on roots that nobody prints.
    pub fn over(self, root: Name) -> Option<Name> {
        root.up(self.number(), self.semitones())
    }

    /// Tells whether this is a third of either size.
    pub const fn is_third(self) -> bool {
        matches!(self, Self::FlatThird | Self::Third)
    }

    /// Tells whether this is a fifth of any size.
    pub const fn is_fifth(self) -> bool {
        matches!(self, Self::FlatFifth | Self::Fifth | Self::SharpFifth)
    }

    /// Tells whether this is a seventh of any size.
    pub const fn is_seventh(self) -> bool {
        matches!(
            self,
            Self::DoubleFlatSeventh | Self::FlatSeventh | Self::Seventh
        )
    }

    /// Reads a degree, ASCII or with real signs.
    ///
    /// # Errors
    /// Refuses what is not in the vocabulary.
    pub fn parse(text: &str) -> Result<Self, Error> {
        let ascii = text.replace('♭', "b").replace('♯', "#");

        Self::ALL
            .into_iter()
            .find(|degree| degree.ascii() == ascii)
            .ok_or_else(|| Error::NotADegree(text.to_owned()))
    }

    /// Reads several degrees with blanks between, low to high: `1 5`.
    ///
    /// # Errors
    /// Refuses the first text that is no degree.
    pub fn parse_list(text: &str) -> Result<Vec<Self>, Error> {
        text.split_whitespace().map(Self::parse).collect()
    }
}

/// Prints with real signs: `♭9`.
impl fmt::Display for Degree {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for sign in self.ascii().chars() {
            match sign {
                'b' => f.write_str("♭")?,
                '#' => f.write_str("♯")?,
                digit => write!(f, "{digit}")?,
            }
        }

        Ok(())
    }
}
