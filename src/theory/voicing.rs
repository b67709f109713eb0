//! Voicings: the degrees of each hand from low to high, and how they are placed on the keyboard.

pub mod form;
mod table;

use std::ops::RangeInclusive;

use super::interval::low_limit;
use super::{Chord, Degree, Key};

/// The degrees of two hands, each from low to high; a hand may be empty.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Default)]
pub struct Hands {
    /// The left hand.
    pub left: Vec<Degree>,
    /// The right hand.
    pub right: Vec<Degree>,
}

impl Hands {
    /// Returns all degrees from low to high.
    pub fn degrees(&self) -> impl Iterator<Item = Degree> + '_ {
        self.left.iter().chain(&self.right).copied()
    }

    /// Returns the number of keys.
    pub fn count(&self) -> usize {
        self.left.len() + self.right.len()
    }

    /// Returns how many of the keys that were played are the left hand's, as far as pitch tells:
    /// as many as asked, and what is beyond those asked too; of fewer keys those below middle C.
    pub fn left_of(&self, keys: &[Key]) -> usize {
        if keys.len() >= self.count() {
            keys.len() - self.right.len()
        } else {
            keys.iter().filter(|key| **key < Key::MIDDLE_C).count()
        }
    }

    /// Returns the degrees of the hand that leads: the right, or the left where it is alone.
    pub fn leading(&self) -> &[Degree] {
        if self.right.is_empty() {
            &self.left
        } else {
            &self.right
        }
    }
}

/// Returns one way to play a chord where any voicing with third and seventh will do: root, third and
/// seventh, as far as it has them, near C2, G3 and C4.
pub fn shell(chord: Chord) -> Vec<Key> {
    let root = chord.root.class();
    let tones = [
        Some(Degree::Root),
        chord.quality.third(),
        chord.quality.seventh(),
    ];

    [36, 55, 60]
        .into_iter()
        .zip(tones)
        .filter_map(|(floor, degree): (i64, _)| {
            let class = i64::from(degree?.class_over(root));
            Key::new(floor + (class - floor).rem_euclid(12)).ok()
        })
        .collect()
}

/// Where a voicing may lie, in MIDI keys; each range is inclusive.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Register {
    /// The lowest key of the left hand.
    pub left_lowest: RangeInclusive<u8>,
    /// The lowest key of the right hand.
    pub right_lowest: RangeInclusive<u8>,
    /// The highest key of all.
    pub top: RangeInclusive<u8>,
}

impl Register {
    /// Two-hand guide tones: left hand from B♭1, lowest right-hand key E3 to D♯5.
    pub const GUIDE_TONES: Self = Self {
        left_lowest: 34..=127,
        right_lowest: 52..=75,
        top: 0..=127,
    };

    /// Anywhere on the keyboard.
    pub const ANYWHERE: Self = Self {
        left_lowest: 0..=127,
        right_lowest: 0..=127,
        top: 0..=127,
    };
}

/// What is asked of the hands for one chord.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Voicing {
    /// The degrees asked for.
    pub hands: Hands,
    /// Other hands that are just as right.
    pub equal: Vec<Hands>,
    /// Degrees that may be left out.
    pub optional: Vec<Degree>,
    /// Whether a key need not be the nearest one above its neighbour.
    pub open: bool,
    /// Whether the right hand must continue with the nearest key above the left.
    pub joined: bool,
    /// Whether octave doublings of the left hand are set aside.
    pub doubling: bool,
    /// The widest hand, in semitones.
    pub span: u8,
    /// Where it may lie.
    pub register: Register,
}

/// The widest hand asked for by default: an octave.
pub const SPAN: u8 = 12;

impl Voicing {
    /// Makes a voicing with the defaults of two-hand guide tones.
    pub fn new(hands: Hands) -> Self {
        Self {
            hands,
            equal: Vec::new(),
            optional: Vec::new(),
            open: false,
            joined: false,
            doubling: false,
            span: SPAN,
            register: Register::GUIDE_TONES,
        }
    }

    /// Returns every set of hands that matches: the asked one first, then the equal ones, then
    /// each without what is optional.
    pub fn alternatives(&self) -> Vec<Hands> {
        let mut all = vec![self.hands.clone()];
        all.extend(self.equal.iter().cloned());

        for degree in &self.optional {
            let shorter: Vec<_> = all
                .iter()
                .filter(|hands| hands.degrees().any(|other| other == *degree))
                .map(|hands| without(hands, *degree))
                .collect();
            all.extend(shorter);
        }

        let mut seen = Vec::with_capacity(all.len());
        for hands in all {
            if !seen.contains(&hands) {
                seen.push(hands);
            }
        }
        seen
    }

    /// Tells whether a set of keys, low to high, lies as the register and span ask, and each hand
    /// as close as asked; the pitch classes are the caller's business.
    pub fn lies_well(&self, keys: &[Key], left: usize, with_register: bool) -> bool {
        let numbers = |keys: &[Key]| keys.iter().map(|key| key.number()).collect::<Vec<_>>();
        let (low, high) = keys.split_at(left.min(keys.len()));
        let within = |below: Key, above: Key, most: u8| {
            above
                .number()
                .checked_sub(below.number())
                .is_some_and(|apart| apart <= most)
        };
        let close =
            |hand: &[Key]| self.open || hand.windows(2).all(|pair| within(pair[0], pair[1], 12));
        let narrow = |hand: &[Key]| match (hand.first(), hand.last()) {
            (Some(first), Some(last)) => within(*first, *last, self.span),
            _ => true,
        };
        let apart = match (low.last(), high.first()) {
            (Some(below), Some(above)) if self.joined => within(*below, *above, 12),
            (Some(below), Some(above)) => below < above,
            _ => true,
        };

        close(low)
            && close(high)
            && apart
            && narrow(low)
            && narrow(high)
            && (!with_register || self.in_register(&numbers(keys), left))
    }

    fn in_register(&self, keys: &[u8], left: usize) -> bool {
        let within = |range: &RangeInclusive<u8>, key: Option<&u8>| {
            key.is_none_or(|key| range.contains(key))
        };
        let (low, high) = keys.split_at(left.min(keys.len()));

        within(&self.register.left_lowest, low.first())
            && within(&self.register.right_lowest, high.first())
            && within(&self.register.top, keys.last())
    }

    /// Finds the keys, low to high, that show the voicing at its best: inside register and span,
    /// clear in the bass, hands near the middle of the keyboard.
    ///
    /// `None` where nothing fits.
    pub fn realise(&self, root: u8) -> Option<Vec<Key>> {
        self.placements(root).into_iter().min_by_key(|keys| {
            let (low, high) = keys.split_at(self.hands.left.len());
            let murky = low_interval_faults(keys, root).len() as i32;
            let left = low
                .first()
                .map_or(0, |key| (i32::from(key.number()) - 41).abs());
            let right = high
                .first()
                .map_or(0, |key| (i32::from(key.number()) - 60).abs());
            murky * 100 + left + right
        })
    }

    /// Finds the keys, low to high, that lie nearest to what was played: key by key, from below.
    ///
    /// As [`realise`](Self::realise) where nothing was played; empty where nothing fits.
    pub fn nearest(&self, root: u8, played: &[Key]) -> Vec<Key> {
        let far = |keys: &[Key]| {
            keys.iter()
                .zip(played)
                .map(|(one, other)| u32::from(one.number().abs_diff(other.number())))
                .sum::<u32>()
        };
        let keys = if played.is_empty() {
            self.realise(root)
        } else {
            let placements = self.placements(root).into_iter();
            placements.min_by_key(|keys| far(keys))
        };

        keys.unwrap_or_default()
    }

    /// Lists all placements inside register and span.
    pub fn placements(&self, root: u8) -> Vec<Vec<Key>> {
        let classes = |hand: &[Degree]| {
            hand.iter()
                .map(|degree| degree.class_over(root))
                .collect::<Vec<_>>()
        };
        let low = stacks(&classes(&self.hands.left));
        let high = stacks(&classes(&self.hands.right));
        let mut all = Vec::new();

        for left in &low {
            for right in &high {
                let keys: Vec<Key> = left.iter().chain(right).copied().collect();

                if self.lies_well(&keys, left.len(), true) {
                    all.push(keys);
                }
            }
        }

        all
    }

    /// Returns how wide the wider hand lies, in semitones; 0 where each has one key at most.
    pub fn widest(&self) -> u8 {
        [&self.hands.left, &self.hands.right]
            .into_iter()
            .filter_map(|hand| Stack::of(hand, 0))
            .map(|stack| stack.width)
            .max()
            .unwrap_or(0)
    }

    /// Tells whether there is any placement inside register and span.
    ///
    /// The answer is that of [`Self::placements`], without making them.
    pub fn has_place(&self, root: u8) -> bool {
        let (low, high) = (
            Stack::of(&self.hands.left, root),
            Stack::of(&self.hands.right, root),
        );
        let narrow = |stack: &Option<Stack>| stack.as_ref().is_none_or(|s| s.width <= self.span);
        if !narrow(&low) || !narrow(&high) {
            return false;
        }
        let register = &self.register;
        let left = || places_of(low.as_ref(), &register.left_lowest);

        places_of(high.as_ref(), &register.right_lowest).any(|right| {
            left().any(|left| {
                let apart = match (left, right) {
                    (Some((_, below)), Some((above, _))) if self.joined => {
                        above.checked_sub(below).is_some_and(|apart| apart <= 12)
                    }
                    (Some((_, below)), Some((above, _))) => below < above,
                    _ => true,
                };

                apart
                    && right
                        .or(left)
                        .is_none_or(|(_, top)| register.top.contains(&top))
            })
        })
    }

    /// Tells whether the root is asked for at the bottom, so that it must lie lowest; a slash bass
    /// or a tritone substitute's own root stands in its place.
    pub fn bass(&self, chord: Chord) -> Option<Degree> {
        let lowest = self.hands.degrees().next()?;
        let substitute = self.hands.left.first() == Some(&Degree::FlatFifth)
            && self
                .hands
                .left
                .get(1)
                .is_none_or(|next| *next == Degree::FlatNinth);

        let slash = chord
            .bass
            .is_some_and(|bass| bass.class() == lowest.class_over(chord.root.class()));

        (lowest == Degree::Root || substitute || slash).then_some(lowest)
    }
}

/// A hand stacked close: the class of its lowest key, and how far up the highest lies.
struct Stack {
    class: u8,
    width: u8,
}

impl Stack {
    /// `None` for an empty hand; a hand wider than the keyboard is as wide as can be told.
    fn of(hand: &[Degree], root: u8) -> Option<Self> {
        let class = hand.first()?.class_over(root);
        let width = hand.windows(2).fold(0u8, |width, pair| {
            let up = (pair[1].class() + 12 - pair[0].class()) % 12;
            width.saturating_add(if up == 0 { 12 } else { up })
        });

        Some(Self { class, width })
    }
}

/// Lists lowest and highest key of a stacked hand in each octave, its lowest key in a range; one
/// `None` for an empty hand.
fn places_of<'a>(
    stack: Option<&'a Stack>,
    lowest: &'a RangeInclusive<u8>,
) -> impl Iterator<Item = Option<(u8, u8)>> + 'a {
    let octaves = if stack.is_some() { 11 } else { 1 };

    (0..octaves).filter_map(move |octave| match stack {
        None => Some(None),
        Some(stack) => {
            let low = stack.class + 12 * octave;
            let high = low.checked_add(stack.width).filter(|key| *key < 128)?;
            lowest.contains(&low).then_some(Some((low, high)))
        }
    })
}

fn without(hands: &Hands, degree: Degree) -> Hands {
    let keep = |hand: &[Degree]| {
        hand.iter()
            .copied()
            .filter(|other| *other != degree)
            .collect()
    };

    Hands {
        left: keep(&hands.left),
        right: keep(&hands.right),
    }
}

/// Lists the ways to stack pitch classes, each key the nearest above the one before.
pub(super) fn stacks(classes: &[u8]) -> Vec<Vec<Key>> {
    let Some(first) = classes.first() else {
        return vec![Vec::new()];
    };

    (0..11)
        .filter_map(|octave| stack(classes, i64::from(*first) + 12 * octave))
        .collect()
}

/// Stacks pitch classes on a lowest key, each the nearest above the one before.
pub(super) fn stack(classes: &[u8], lowest: i64) -> Option<Vec<Key>> {
    let mut at = lowest;
    let mut keys = Vec::with_capacity(classes.len());

    for (i, class) in classes.iter().enumerate() {
        if i > 0 {
            let up = (i64::from(*class) - at).rem_euclid(12);
            at += if up == 0 { 12 } else { up };
        }
        keys.push(Key::new(at).ok()?);
    }

    Some(keys)
}

/// Lists the neighbouring keys that lie too low to sound clear, in words.
///
/// If the lowest note is not the root, the root is imagined just below and tested too, as the
/// arranging handbooks say.
pub fn low_interval_faults(keys: &[Key], root: u8) -> Vec<String> {
    let mut numbers: Vec<u8> = keys.iter().map(|key| key.number()).collect();
    numbers.sort_unstable();

    if let Some(lowest) = numbers.first().copied() {
        let down = (lowest + 12 - root % 12) % 12;
        if down != 0 && lowest >= down {
            numbers.insert(0, lowest - down);
        }
    }

    numbers
        .windows(2)
        .filter(|pair| pair[0] < low_limit(pair[1] - pair[0]))
        .filter_map(|pair| {
            let name = |number: u8| Some(Key::new(i64::from(number)).ok()?.flat_name());
            Some(format!(
                "{} and {} lie low together",
                name(pair[0])?,
                name(pair[1])?
            ))
        })
        .collect()
}

/// Spells keys as a chord would.
pub fn spelled(chord: Chord, keys: &[Key]) -> Vec<super::pitch::Pitch> {
    keys.iter()
        .filter_map(|key| super::pitch::Pitch::new(chord.name_class(key.class()), *key))
        .collect()
}
