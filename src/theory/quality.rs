//! The quality of a chord: which degrees stand over its root.

use super::Degree;

/// A chord quality as the set of its degrees; any set that a symbol can name.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Quality(u32);

const ALTERED: u32 = 1 << 31;

/// The families that voicings tell apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Family {
    /// Major third with a major seventh, a sixth or no seventh.
    Major,
    /// Minor third with a perfect or raised fifth.
    Minor,
    /// Major third with a minor seventh.
    Dominant,
    /// Minor third, diminished fifth, minor seventh.
    HalfDiminished,
    /// Minor third, diminished fifth, diminished seventh or none.
    Diminished,
    /// Fourth or second in place of the third.
    Suspended,
}

impl Quality {
    /// Major triad.
    pub const MAJOR: Self = Self::of(&[Degree::Third, Degree::Fifth]);
    /// Minor triad.
    pub const MINOR: Self = Self::of(&[Degree::FlatThird, Degree::Fifth]);
    /// Augmented triad.
    pub const AUGMENTED: Self = Self::of(&[Degree::Third, Degree::SharpFifth]);
    /// Diminished triad.
    pub const DIMINISHED: Self = Self::of(&[Degree::FlatThird, Degree::FlatFifth]);
    /// Dominant seventh.
    pub const DOMINANT: Self = Self::of(&[Degree::Third, Degree::Fifth, Degree::FlatSeventh]);
    /// Major seventh.
    pub const MAJOR_SEVENTH: Self = Self::of(&[Degree::Third, Degree::Fifth, Degree::Seventh]);
    /// Minor seventh.
    pub const MINOR_SEVENTH: Self =
        Self::of(&[Degree::FlatThird, Degree::Fifth, Degree::FlatSeventh]);
    /// Half-diminished.
    pub const HALF_DIMINISHED: Self =
        Self::of(&[Degree::FlatThird, Degree::FlatFifth, Degree::FlatSeventh]);
    /// Diminished seventh.
    pub const DIMINISHED_SEVENTH: Self = Self::of(&[
        Degree::FlatThird,
        Degree::FlatFifth,
        Degree::DoubleFlatSeventh,
    ]);
    /// Altered dominant: both guide tones, fifth and ninth altered as the player likes.
    pub const ALTERED: Self = Self(ALTERED | Self::of(&[Degree::Third, Degree::FlatSeventh]).0);

    /// Makes a quality from degrees; the root is always in it.
    pub const fn of(degrees: &[Degree]) -> Self {
        let mut bits = 1;
        let mut i = 0;

        while i < degrees.len() {
            bits |= 1 << degrees[i] as u32;
            i += 1;
        }

        Self(bits)
    }

    /// Tells whether a degree is in the chord.
    pub const fn has(self, degree: Degree) -> bool {
        self.0 & (1 << degree as u32) != 0
    }

    /// Tells whether this is the altered dominant, which has no single set of notes.
    pub const fn is_altered(self) -> bool {
        self.0 & ALTERED != 0
    }

    /// Returns the degrees from the root up, as a chord is stacked.
    pub fn degrees(self) -> impl Iterator<Item = Degree> {
        Degree::ALL
            .into_iter()
            .filter(move |degree| self.has(*degree))
    }

    /// Returns the chord's own third, or what stands for it (4, then 2).
    pub fn third(self) -> Option<Degree> {
        [
            Degree::FlatThird,
            Degree::Third,
            Degree::Fourth,
            Degree::Second,
        ]
        .into_iter()
        .find(|degree| self.has(*degree))
    }

    /// Returns the chord's own fifth.
    pub fn fifth(self) -> Option<Degree> {
        [Degree::FlatFifth, Degree::Fifth, Degree::SharpFifth]
            .into_iter()
            .find(|degree| self.has(*degree))
    }

    /// Returns the chord's own seventh, or the sixth that stands for it.
    pub fn seventh(self) -> Option<Degree> {
        [
            Degree::DoubleFlatSeventh,
            Degree::FlatSeventh,
            Degree::Seventh,
            Degree::Sixth,
        ]
        .into_iter()
        .find(|degree| self.has(*degree))
    }

    /// Returns the family that voicings of this chord belong to.
    pub fn family(self) -> Family {
        let flat_fifth = self.has(Degree::FlatFifth);

        match (self.third(), self.seventh()) {
            (Some(Degree::Third), Some(Degree::FlatSeventh)) => Family::Dominant,
            (Some(Degree::FlatThird), Some(Degree::FlatSeventh)) if flat_fifth => {
                Family::HalfDiminished
            }
            (Some(Degree::FlatThird), None | Some(Degree::DoubleFlatSeventh)) if flat_fifth => {
                Family::Diminished
            }
            (Some(Degree::FlatThird), _) => Family::Minor,
            (Some(Degree::Third), _) => Family::Major,
            _ => Family::Suspended,
        }
    }

    /// Returns the degree that this chord has for a plain number, such as ♭3 for 3 in a minor
    /// chord, ♭9 for 9 in 7(♭9), 6 for 7 in a sixth chord.
    ///
    /// Ninths, elevenths and thirteenths that the symbol leaves open are natural. The thirteenth
    /// stands in the fifth's place, so a chord with ♯5 has ♭13 for 13, and a dominant with ♭5 has
    /// its fifth, unless the symbol gives a thirteenth as well.
    pub fn own(self, number: u8) -> Option<Degree> {
        let any = |degrees: &[Degree], otherwise: Degree| {
            degrees
                .iter()
                .copied()
                .find(|degree| self.has(*degree))
                .unwrap_or(otherwise)
        };

        match number {
            1 => Some(Degree::Root),
            3 => self.third(),
            5 => self.fifth(),
            6 => Some(Degree::Sixth),
            7 => self.seventh(),
            9 if self.is_altered() => Some(Degree::FlatNinth),
            9 => Some(any(&[Degree::FlatNinth, Degree::SharpNinth], Degree::Ninth)),
            11 => Some(any(&[Degree::SharpEleventh], Degree::Eleventh)),
            13 if self.is_altered() => Some(Degree::FlatThirteenth),
            13 if self.has(Degree::Thirteenth) => Some(Degree::Thirteenth),
            13 if self.has(Degree::SharpFifth) => Some(Degree::FlatThirteenth),
            13 if self.family() == Family::Dominant && !self.has(Degree::FlatThirteenth) => {
                Some(any(&[Degree::FlatFifth], Degree::Thirteenth))
            }
            13 => Some(any(&[Degree::FlatThirteenth], Degree::Thirteenth)),
            _ => None,
        }
    }

    /// Returns how bright the chord is: the semitones of third, fifth and seventh together.
    ///
    /// Sorted by it, qualities stand in the order of likeness, each beside what it is most easily
    /// mistaken for: maj7, 7, m7, m7♭5, °7 differ by one semitone each (computed).
    pub fn brightness(self) -> i32 {
        [self.third(), self.fifth(), self.seventh()]
            .into_iter()
            .flatten()
            .map(|degree| degree.semitones() % 12)
            .sum()
    }

    /// Returns the pitch classes over a root's pitch class, as a set of twelve bits.
    pub fn classes_over(self, root: u8) -> u16 {
        self.degrees()
            .fold(0, |set, degree| set | 1 << degree.class_over(root))
    }

    /// Returns the root as chord parts print it for this quality, by pitch class.
    ///
    /// Minor, half-diminished and diminished chords have sharp roots where flat ones would need
    /// double accidentals; flat roots stay with °7 and 7(♭9) where they are usual, and the double
    /// flats above them are printed respelled.
    pub fn printed_root(self, class: u8) -> super::Name {
        let sharp: &[u8] = match self.family() {
            Family::HalfDiminished => &[1, 3, 6, 8],
            Family::Diminished | Family::Minor => &[1, 6],
            _ => &[],
        };
        let plain = super::Name::plain(class);

        if sharp.contains(&(class % 12)) {
            super::Name::new(plain.letter().up(6), 1).unwrap_or(plain)
        } else {
            plain
        }
    }
}
