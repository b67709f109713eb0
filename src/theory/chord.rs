//! A chord: a spelled root, a quality, and a slash bass where there is one.

use super::{Degree, Name, Quality};

/// A chord as a symbol names it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Chord {
    /// The root, spelled.
    pub root: Name,
    /// The quality.
    pub quality: Quality,
    /// The lowest note where it is not the root.
    pub bass: Option<Name>,
}

impl Chord {
    /// Makes a chord in root position.
    pub const fn new(root: Name, quality: Quality) -> Self {
        Self {
            root,
            quality,
            bass: None,
        }
    }

    /// Returns the pitch class that is to sound lowest: the slash bass, or the root.
    pub fn lowest_class(self) -> u8 {
        self.bass.unwrap_or(self.root).class()
    }

    /// Returns the chord tones from the root up in strict spelling.
    pub fn tones(self) -> Vec<(Degree, Name)> {
        self.quality
            .degrees()
            .filter_map(|degree| Some((degree, degree.over(self.root)?)))
            .collect()
    }

    /// Returns the name that this chord gives to a degree, strictly.
    pub fn name(self, degree: Degree) -> Option<Name> {
        degree.over(self.root)
    }

    /// Names a pitch class as this chord would: its own tones strictly spelled, then the usual
    /// tensions, then plain names.
    pub fn name_class(self, class: u8) -> Name {
        let relative = (class % 12 + 12 - self.root.class()) % 12;
        let tensions = [
            Degree::Root,
            Degree::FlatNinth,
            Degree::Ninth,
            Degree::FlatThird,
            Degree::Third,
            Degree::Eleventh,
            Degree::FlatFifth,
            Degree::Fifth,
            Degree::FlatThirteenth,
            Degree::Sixth,
            Degree::FlatSeventh,
            Degree::Seventh,
        ];

        self.quality
            .degrees()
            .find(|degree| degree.class() == relative)
            .or_else(|| {
                tensions
                    .into_iter()
                    .find(|degree| degree.class() == relative)
            })
            .and_then(|degree| degree.over(self.root))
            .unwrap_or_else(|| Name::plain(class))
    }

    /// Returns the degree that a slash bass is over the root, where it is one.
    pub fn bass_degree(self) -> Option<Degree> {
        let bass = self.bass?;
        let relative = (bass.class() + 12 - self.root.class()) % 12;

        self.quality
            .degrees()
            .chain(Degree::ALL)
            .find(|degree| degree.class() == relative)
    }

    /// Returns the chord's neighbour one step further round the cycle of fourths.
    pub fn next_in_cycle(self) -> Self {
        Self::new(
            self.quality.printed_root((self.root.class() + 5) % 12),
            self.quality,
        )
    }
}

/// The roots of the cycle of fourths by pitch class, from C: C F B♭ E♭ A♭ D♭ G♭ B E A D G.
pub const CYCLE_OF_FOURTHS: [u8; 12] = [0, 5, 10, 3, 8, 1, 6, 11, 4, 9, 2, 7];
