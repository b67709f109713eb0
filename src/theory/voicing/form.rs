//! Forms of voicing by name: how a chord's own degrees are dealt to the hands.

use thiserror::Error;

use super::{Hands, Register, SPAN, Voicing};
use crate::theory::degree;
use crate::theory::quality::Family;
use crate::theory::{Chord, Degree, Quality};

/// Why a form cannot be asked on a chord.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum Error {
    /// The chord lacks a degree that the form needs, in words or as its number.
    #[error("the chord has no {0}, which this form needs")]
    Lacks(&'static str),
    /// The form is not for chords of this family.
    #[error("this form has no shape for such a chord")]
    NotForFamily,
}

/// One place in a hand: the chord's own third, fifth, ..., or a certain degree.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tone {
    /// The chord's own degree of this number.
    Own(u8),
    /// This degree whatever the chord.
    Exact(Degree),
    /// This degree, on chords that do not have another of its number.
    Agreed(Degree),
}

impl Tone {
    /// Reads a tone: plain 1 3 5 7 9 11 13 are the chord's own, `=9` is a natural ninth on chords
    /// that have no other, anything else is exact.
    ///
    /// # Errors
    /// Refuses what is no degree.
    pub fn parse(text: &str) -> Result<Self, degree::Error> {
        Ok(match text {
            "1" | "3" | "5" | "7" | "9" | "11" | "13" => {
                Self::Own(text.parse().unwrap_or_default())
            }
            _ => match text.strip_prefix('=') {
                Some(agreed) => Self::Agreed(Degree::parse(agreed)?),
                None => Self::Exact(Degree::parse(text)?),
            },
        })
    }

    /// Reads several tones with blanks between.
    ///
    /// # Errors
    /// Refuses the first text that is no degree.
    pub fn parse_list(text: &str) -> Result<Vec<Self>, degree::Error> {
        text.split_whitespace().map(Self::parse).collect()
    }

    /// Returns the degrees that may stand in this place, the one that is asked first.
    ///
    /// An altered dominant takes either ♭9 or ♯9 for its ninth, and ♭13 or ♯11 for its thirteenth.
    fn choices(self, quality: Quality) -> Result<Vec<Degree>, Error> {
        let own = |number: u8| {
            quality.own(number).ok_or(Error::Lacks(match number {
                3 => "third",
                5 => "fifth",
                _ => "seventh",
            }))
        };

        Ok(match self {
            Self::Own(9) if quality.is_altered() => vec![Degree::FlatNinth, Degree::SharpNinth],
            Self::Own(13) if quality.is_altered() => {
                vec![Degree::FlatThirteenth, Degree::SharpEleventh]
            }
            Self::Own(number) => vec![own(number)?],
            Self::Exact(degree) => vec![degree],
            Self::Agreed(degree) if own(degree.number())? == degree => vec![degree],
            Self::Agreed(degree) => return Err(Error::Lacks(degree.ascii())),
        })
    }
}

/// Returns every hand that the tones of a shape allow on a chord.
fn choices(tones: &[Tone], quality: Quality) -> Result<Vec<Vec<Degree>>, Error> {
    let mut all = vec![Vec::with_capacity(tones.len())];

    for tone in tones {
        let degrees = tone.choices(quality)?;
        all = all
            .into_iter()
            .flat_map(|hand| {
                degrees.iter().map(move |degree| {
                    let mut longer = hand.clone();
                    longer.push(*degree);
                    longer
                })
            })
            .collect();
    }

    Ok(all)
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
    /// Says which degree the chord lacks, or that the form is not for such a chord.
    pub fn voicing(&self, chord: Chord, order: usize) -> Result<Voicing, Error> {
        let family = chord.quality.family();
        let order = self
            .orders
            .get(order)
            .or(self.orders.last())
            .ok_or(Error::NotForFamily)?;
        let mut all: Vec<Hands> = Vec::new();

        for shape in &order.shapes {
            if !shape.families.is_empty() && !shape.families.contains(&family) {
                continue;
            }
            let rights = choices(&shape.right, chord.quality)?;
            for left in choices(&shape.left, chord.quality)? {
                let both = rights.iter().map(|right| Hands {
                    left: left.clone(),
                    right: right.clone(),
                });
                all.extend(both);
            }
        }

        if let Some(bass) = chord.bass_degree() {
            all = all
                .into_iter()
                .map(|hands| self.over_bass(hands, bass))
                .collect::<Option<_>>()
                .ok_or(Error::NotForFamily)?;
        }
        if self.invertible {
            all = inversions(&all);
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

    /// A slash bass takes the place of the root, and of the fifth above it, in a left hand of its
    /// own. `None` where the left hand has a third or seventh above its root, or the hands are
    /// joined: there the form would lose what makes it one.
    fn over_bass(&self, hands: Hands, bass: Degree) -> Option<Hands> {
        let Some((Degree::Root, above)) = hands.left.split_first() else {
            return Some(hands);
        };
        let stands_free =
            !self.joined && !hands.right.is_empty() && above.iter().all(|degree| degree.is_fifth());

        stands_free.then(|| Hands {
            left: vec![bass],
            right: hands.right,
        })
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

/// Returns all forms that the program knows.
pub fn all() -> &'static [Form] {
    super::table::forms()
}

/// Returns a known form by its name.
pub fn named(name: &str) -> Option<&'static Form> {
    all().iter().find(|form| form.name == name)
}
