//! Forms of voicing by name: how a chord's own degrees are dealt to the hands.

use thiserror::Error;

use super::{Hands, Register, SPAN, Voicing};
use crate::theory::degree;
use crate::theory::quality::Family;
use crate::theory::{Chord, Degree, Quality};

/// Why a form cannot be asked on a chord.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum Error {
    /// The chord lacks a degree that the form needs.
    #[error("the chord has no {0}, which this form needs")]
    Lacks(&'static str),
    /// The form is not for chords of this family.
    #[error("this form has no shape for such a chord")]
    NotForFamily,
}

/// One place in a hand: the chord's own third, fifth, ..., or an exact degree.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tone {
    /// The chord's own degree of this number.
    Own(u8),
    /// This degree whatever the chord.
    Exact(Degree),
}

impl Tone {
    /// Reads a tone: plain 1 3 5 7 9 11 13 are the chord's own, anything else is exact.
    ///
    /// # Errors
    /// Refuses what is no degree.
    pub fn parse(text: &str) -> Result<Self, degree::Error> {
        Ok(match text {
            "1" | "3" | "5" | "7" | "9" | "11" | "13" => {
                Self::Own(text.parse().unwrap_or_default())
            }
            _ => Self::Exact(Degree::parse(text)?),
        })
    }

    /// Reads several tones with blanks between.
    ///
    /// # Errors
    /// Refuses the first text that is no degree.
    pub fn parse_list(text: &str) -> Result<Vec<Self>, degree::Error> {
        text.split_whitespace().map(Self::parse).collect()
    }

    fn of(self, quality: Quality) -> Result<Degree, Error> {
        match self {
            Self::Exact(degree) => Ok(degree),
            Self::Own(number) => quality.own(number).ok_or(Error::Lacks(match number {
                3 => "third",
                5 => "fifth",
                _ => "seventh",
            })),
        }
    }
}

/// The hands of one order for chords of some families.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Shape {
    /// The families it is for; empty for all.
    pub families: Vec<Family>,
    /// The left hand.
    pub left: Vec<Tone>,
    /// The right hand.
    pub right: Vec<Tone>,
}

/// One order of a form: which degree comes out on top, or lies at the bottom.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Order {
    /// Its name, such as `third on top`.
    pub name: String,
    /// What is asked, in a sentence without full stop.
    pub words: String,
    /// The shapes; the first that fits a chord is asked, further ones are equal to it.
    pub shapes: Vec<Shape>,
}

/// A form of voicing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Form {
    /// Its name, such as `guide-tones`.
    pub name: String,
    /// Its orders, at least one.
    pub orders: Vec<Order>,
    /// Whether neighbours may be more than an octave apart.
    pub open: bool,
    /// Whether the right hand continues with the nearest key above the left.
    pub joined: bool,
    /// Whether left-hand octave doublings are set aside.
    pub doubling: bool,
    /// Whether any inversion of each hand is as good.
    pub invertible: bool,
    /// Degrees that may be left out.
    pub optional: Vec<Degree>,
    /// Where it lies.
    pub register: Register,
}

impl Form {
    /// Returns the number of an order by its name.
    pub fn order(&self, name: &str) -> Option<usize> {
        self.orders.iter().position(|order| order.name == name)
    }

    /// Builds the voicing that an order of this form asks on a chord.
    ///
    /// # Errors
    /// Says which degree the chord lacks.
    pub fn voicing(&self, chord: Chord, order: usize) -> Result<Voicing, Error> {
        let quality = chord.quality;
        let order = &self.orders[order.min(self.orders.len() - 1)];
        let mut all: Vec<Hands> = Vec::new();

        for shape in &order.shapes {
            if !shape.families.is_empty() && !shape.families.contains(&quality.family()) {
                continue;
            }
            let hand = |tones: &[Tone]| {
                tones
                    .iter()
                    .map(|tone| tone.of(quality))
                    .collect::<Result<Vec<_>, _>>()
            };
            let hands = Hands {
                left: hand(&shape.left)?,
                right: hand(&shape.right)?,
            };
            all.push(slashed(hands, chord));
        }

        if self.invertible {
            all = inversions(&all);
        }
        if quality.is_altered() {
            all = altered(&all);
        }

        let mut all = all.into_iter();
        let hands = all.next().ok_or(Error::NotForFamily)?;

        Ok(Voicing {
            equal: all.filter(|other| *other != hands).collect(),
            hands,
            optional: self.optional.clone(),
            open: self.open,
            joined: self.joined,
            doubling: self.doubling,
            span: SPAN,
            register: self.register.clone(),
        })
    }
}

/// A slash bass takes the place of everything in a left hand that begins with the root.
fn slashed(hands: Hands, chord: Chord) -> Hands {
    match chord.bass_degree() {
        Some(bass) if hands.left.first() == Some(&Degree::Root) => Hands {
            left: vec![bass],
            right: hands.right,
        },
        _ => hands,
    }
}

fn inversions(all: &[Hands]) -> Vec<Hands> {
    let rotations = |hand: &[Degree]| {
        (0..hand.len().max(1))
            .map(|turn| {
                let mut turned = hand.to_vec();
                if !turned.is_empty() {
                    turned.rotate_left(turn);
                }
                turned
            })
            .collect::<Vec<_>>()
    };

    all.iter()
        .flat_map(|hands| {
            rotations(&hands.left).into_iter().flat_map(move |left| {
                rotations(&hands.right).into_iter().map(move |right| Hands {
                    left: left.clone(),
                    right,
                })
            })
        })
        .collect()
}

/// An altered dominant takes any one of ♭9 ♯9 for its ninth, and of ♭13 ♯11 for its fifth or
/// thirteenth.
fn altered(all: &[Hands]) -> Vec<Hands> {
    let mut out = Vec::new();

    for hands in all {
        for ninth in [Degree::FlatNinth, Degree::SharpNinth] {
            for fifth in [Degree::FlatThirteenth, Degree::SharpEleventh] {
                let swap = |hand: &[Degree]| {
                    hand.iter()
                        .map(|degree| match degree {
                            Degree::FlatNinth => ninth,
                            Degree::FlatThirteenth => fifth,
                            other => *other,
                        })
                        .collect()
                };
                let turned = Hands {
                    left: swap(&hands.left),
                    right: swap(&hands.right),
                };
                if !out.contains(&turned) {
                    out.push(turned);
                }
            }
        }
    }

    out
}

/// Returns all forms that the program knows.
pub fn all() -> &'static [Form] {
    super::table::forms()
}

/// Returns a known form by its name.
pub fn named(name: &str) -> Option<&'static Form> {
    all().iter().find(|form| form.name == name)
}
