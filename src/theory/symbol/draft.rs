//! A chord symbol as far as it has been read.

use crate::theory::{Degree, Quality};

/// What the third of the chord is to be, before suspension.
#[derive(Default, Clone, Copy, PartialEq, Eq)]
pub(super) enum Base {
    #[default]
    Major,
    Minor,
    Diminished,
    HalfDiminished,
}

/// A chord as far as it has been read.
#[derive(Default)]
pub(super) struct Draft {
    pub(super) base: Base,
    pub(super) major_seventh: bool,
    pub(super) triangle: bool,
    pub(super) number: Option<u8>,
    pub(super) suspended: Option<Degree>,
    pub(super) fifth: Option<Degree>,
    pub(super) tensions: Vec<Degree>,
    pub(super) power: bool,
    pub(super) altered: bool,
}

impl Draft {
    /// Tells whether a number or sign has named a seventh.
    pub(super) fn has_seventh(&self) -> bool {
        self.number.is_some_and(|number| number >= 7)
            || self.triangle
            || self.base == Base::HalfDiminished
    }

    /// Tells whether nothing stands in the way of a degree: neither itself nor, for a natural one,
    /// an altered one of its number, and the other way round.
    pub(super) fn has_room_for(&self, degree: Degree) -> bool {
        let natural = |degree: Degree| degree.ascii().starts_with(|c: char| c.is_ascii_digit());

        self.number != Some(degree.number())
            && !self.tensions.iter().any(|other| {
                other.number() == degree.number()
                    && (*other == degree || natural(*other) || natural(degree))
            })
    }

    /// Returns the quality that the parts make together.
    pub(super) fn build(self) -> Quality {
        if self.altered {
            return Quality::ALTERED;
        }
        if self.power {
            return Quality::of(&[Degree::Fifth]);
        }

        let number = self.number.unwrap_or(0);
        let third = self.suspended.unwrap_or(match self.base {
            Base::Major => Degree::Third,
            _ => Degree::FlatThird,
        });
        let fifth = self.fifth.unwrap_or(match self.base {
            Base::Major | Base::Minor => Degree::Fifth,
            Base::Diminished | Base::HalfDiminished => Degree::FlatFifth,
        });
        let mut degrees = vec![third, fifth];

        if number == 6 {
            degrees.push(Degree::Sixth);
        }
        if self.has_seventh() {
            degrees.push(match self.base {
                _ if self.major_seventh => Degree::Seventh,
                Base::Diminished => Degree::DoubleFlatSeventh,
                _ => Degree::FlatSeventh,
            });
        }

        // A number names the tensions below it too, but an altered ninth takes the natural one's
        // place, and an eleventh under a thirteenth is left out because it rubs against the third.
        if number >= 9 && !self.tensions.iter().any(|tension| tension.number() == 9) {
            degrees.push(Degree::Ninth);
        }
        match number {
            11 => degrees.push(Degree::Eleventh),
            13 => degrees.push(Degree::Thirteenth),
            _ => {}
        }

        degrees.extend(self.tensions);
        Quality::of(&degrees)
    }
}
