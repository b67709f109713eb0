//! What is asked of the hands, made ready for quick comparison.

use super::event::KeySet;
use crate::theory::voicing::{Hands, Voicing};
use crate::theory::{Chord, Degree};

/// One way to answer: pitch classes from low to high, and how many belong to the left hand.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Shape {
    /// The pitch classes, low to high.
    pub classes: Vec<u8>,
    /// How many are the left hand's.
    pub left: usize,
    /// The pitch classes as a set.
    pub set: u16,
}

impl Shape {
    fn new(hands: &Hands, root: u8) -> Self {
        let classes: Vec<u8> = hands
            .degrees()
            .map(|degree| degree.class_over(root))
            .collect();

        Self {
            left: hands.left.len(),
            set: classes.iter().fold(0, |set, class| set | 1 << class),
            classes,
        }
    }
}

/// What is asked on one chord.
#[derive(Debug, Clone, PartialEq)]
pub struct Asked {
    /// The chord.
    pub chord: Chord,
    /// The voicing as drawn.
    pub voicing: Voicing,
    /// Every way to answer; the first is the one asked.
    pub shapes: Vec<Shape>,
    /// The number of keys of the smallest.
    pub fewest: usize,
    /// The pitch classes of any right answer together.
    pub within: u16,
    /// The pitch class that must lie lowest, where the voicing has a root or a slash bass.
    pub bass: Option<u8>,
    essentials: Essentials,
    neighbours: Vec<(Chord, Shape)>,
    /// What matches in place of the right keys, where that may not be known.
    blind: Option<Blind>,
}

/// What a capture takes for a match that does not know which keys are asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Blind {
    /// No set of keys.
    Nothing,
    /// Any set of as many keys as are asked.
    Anything,
}

/// The thirds and sevenths of a symbol, as sets of pitch classes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Essentials {
    own: u16,
    foreign: u16,
}

impl Essentials {
    /// The symbol's own third and seventh, or what stands for them, and the other ones.
    fn new(chord: Chord, voicing: Option<&Voicing>) -> Self {
        let root = chord.root.class();
        let quality = chord.quality;
        let bit = |semitones: u8| 1u16 << ((root + semitones) % 12);
        let own = [quality.third(), quality.seventh()]
            .into_iter()
            .flatten()
            .fold(0, |set, degree| set | bit(degree.class()));
        let named = |degree: Degree| {
            voicing.is_some_and(|voicing| {
                voicing
                    .alternatives()
                    .iter()
                    .any(|hands| hands.degrees().any(|other| other == degree))
            })
        };
        let mut foreign = bit(3) | bit(4) | bit(10) | bit(11);

        // Over a major third the minor one is a sharp ninth, and a sharp ninth is no third.
        if quality.has(Degree::Third) || named(Degree::SharpNinth) {
            foreign &= !bit(3);
        }

        Self {
            own,
            foreign: foreign & !own,
        }
    }

    const fn hold(self, classes: u16) -> bool {
        classes & self.own == self.own && classes & self.foreign == 0
    }
}

impl Asked {
    /// Makes a chord and its voicing ready, with the same form on neighbours in the cycle.
    pub fn new(chord: Chord, voicing: &Voicing, neighbours: &[(Chord, Hands)]) -> Self {
        let root = chord.root.class();
        let shapes: Vec<Shape> = voicing
            .alternatives()
            .iter()
            .map(|hands| Shape::new(hands, root))
            .collect();

        Self {
            chord,
            voicing: voicing.clone(),
            fewest: shapes
                .iter()
                .map(|shape| shape.classes.len())
                .min()
                .unwrap_or(0),
            within: shapes.iter().fold(0, |set, shape| set | shape.set),
            bass: voicing.bass(chord).map(|degree| degree.class_over(root)),
            essentials: Essentials::new(chord, Some(voicing)),
            neighbours: neighbours
                .iter()
                .map(|(chord, hands)| (*chord, Shape::new(hands, chord.root.class())))
                .collect(),
            shapes,
            blind: None,
        }
    }

    /// Forgets which keys are right, and how many there are remains: every soft and short key is
    /// foreign then.
    #[must_use]
    pub fn blind(&self, matching: Blind) -> Self {
        Self {
            within: 0,
            blind: Some(matching),
            ..self.clone()
        }
    }

    /// Returns the number of the shape that a set of keys matches.
    pub fn matches(&self, keys: KeySet, with_register: bool) -> Option<usize> {
        match self.blind {
            Some(Blind::Nothing) => None,
            Some(Blind::Anything) => self.is_whole(keys).then_some(0),
            None => self
                .shapes
                .iter()
                .position(|shape| self.fits(shape, keys, with_register)),
        }
    }

    /// Tells whether the pitch classes are exactly those of a right answer.
    pub fn has_right_classes(&self, keys: KeySet) -> bool {
        let classes = keys.classes();

        self.shapes.iter().any(|shape| shape.set == classes)
    }

    /// Tells whether a set has as many keys as a right answer.
    pub fn is_whole(&self, keys: KeySet) -> bool {
        let count = keys.len();

        self.shapes.iter().any(|shape| shape.classes.len() == count)
    }

    /// Tells whether the lowest key is the one asked for; true where none is.
    pub fn has_right_bass(&self, keys: KeySet) -> bool {
        self.bass
            .is_none_or(|bass| keys.lowest().is_some_and(|lowest| lowest % 12 == bass))
    }

    /// Tells whether root, third and seventh are right, and a fifth or a colour tone is wrong,
    /// missing or added. A root added to a rootless form, or missing in another, is neither.
    pub fn has_essentials(&self, keys: KeySet) -> bool {
        let classes = keys.classes();
        let root = 1u16 << self.chord.root.class();

        self.has_right_bass(keys)
            && self.essentials.hold(classes)
            && self.shapes.iter().any(|shape| {
                let amiss = shape.set ^ classes;
                shape.set & root & amiss == 0 && amiss & !root & !self.essentials.own != 0
            })
    }

    /// Returns the neighbour in the cycle of fourths that a set of keys is the same form on.
    pub fn neighbour(&self, keys: KeySet) -> Option<Chord> {
        self.neighbours
            .iter()
            .find(|(_, shape)| self.fits(shape, keys, false))
            .map(|(chord, _)| *chord)
    }

    fn fits(&self, shape: &Shape, keys: KeySet, with_register: bool) -> bool {
        let count = shape.classes.len();

        if count == 0 || keys.len() < count {
            return false;
        }
        if keys.len() > count {
            return self.voicing.doubling && self.fits_doubled(shape, keys, with_register);
        }

        let mut numbers = [0u8; 16];
        if count > numbers.len() {
            return false;
        }
        for (slot, number) in numbers.iter_mut().zip(keys.numbers()) {
            *slot = number;
        }
        let numbers = &numbers[..count];

        numbers
            .iter()
            .zip(&shape.classes)
            .all(|(number, class)| number % 12 == *class)
            && self.lies_well(numbers, shape.left, with_register)
    }

    /// Sets the left hand's octave doublings aside and compares the rest.
    fn fits_doubled(&self, shape: &Shape, keys: KeySet, with_register: bool) -> bool {
        let right = shape.classes.len() - shape.left;
        let numbers: Vec<u8> = keys.numbers().collect();
        let (low, high) = numbers.split_at(numbers.len() - right);
        let mut seen = 0u16;
        let mut kept: Vec<u8> = low
            .iter()
            .copied()
            .filter(|number| {
                let bit = 1 << (number % 12);
                let new = seen & bit == 0;
                seen |= bit;
                new
            })
            .collect();
        let narrow = low
            .first()
            .zip(low.last())
            .is_none_or(|(first, last)| last - first <= self.voicing.span);

        if kept.len() != shape.left || !narrow {
            return false;
        }
        kept.extend(high);

        kept.iter()
            .zip(&shape.classes)
            .all(|(number, class)| number % 12 == *class)
            && self.lies_well(&kept, shape.left, with_register)
    }

    fn lies_well(&self, numbers: &[u8], left: usize, with_register: bool) -> bool {
        let voicing = &self.voicing;
        let (low, high) = numbers.split_at(left);
        let close =
            |hand: &[u8]| voicing.open || hand.windows(2).all(|pair| pair[1] - pair[0] <= 12);
        let narrow = |hand: &[u8]| {
            hand.first()
                .zip(hand.last())
                .is_none_or(|(first, last)| last - first <= voicing.span)
        };
        let joined = !voicing.joined
            || low
                .last()
                .zip(high.first())
                .is_none_or(|(below, above)| above - below <= 12);
        let register = &voicing.register;
        let within = |range: &std::ops::RangeInclusive<u8>, number: Option<&u8>| {
            number.is_none_or(|number| range.contains(number))
        };

        close(low)
            && close(high)
            && narrow(low)
            && narrow(high)
            && joined
            && (!with_register
                || within(&register.left_lowest, low.first())
                    && within(&register.right_lowest, high.first())
                    && within(&register.top, numbers.last()))
    }
}

/// Returns the pitch classes that are another third or seventh than a chord's own.
pub fn foreign_guide_tones(chord: Chord) -> u16 {
    Essentials::new(chord, None).foreign
}

/// Tells whether a set of keys has a chord's third and seventh and no other, any voicing allowed.
pub fn has_guide_tones(chord: Chord, keys: KeySet) -> bool {
    !keys.is_empty() && Essentials::new(chord, None).hold(keys.classes())
}
