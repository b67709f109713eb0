//! Voice leading: how far voices move from chord to chord, and the nearest way to go on.

use super::Key;
use super::voicing::{Hands, Voicing, low_interval_faults, stack, stacks};

/// Returns the semitones that the voices move together, from one chord to the next.
///
/// Voices are paired from low to high. Where the chords differ in size, each voice of the larger
/// is paired with one of the smaller so that they move as little as they can without crossing and
/// no voice is left out.
pub fn movement(from: &[Key], to: &[Key]) -> u32 {
    let apart = |a: Key, b: Key| u32::from(a.number().abs_diff(b.number()));

    if from.len() == to.len() {
        return from.iter().zip(to).map(|(a, b)| apart(*a, *b)).sum();
    }

    let (small, large) = if from.len() < to.len() {
        (from, to)
    } else {
        (to, from)
    };

    if small.is_empty() {
        return 0;
    }

    // cost[j]: the voices of `large` up to here, the last of them paired with small[j].
    let mut cost: Vec<Option<u32>> = vec![None; small.len()];
    cost[0] = Some(0);

    for (i, voice) in large.iter().enumerate() {
        let mut next = vec![None; small.len()];
        for j in 0..small.len() {
            let from_same = cost[j];
            let from_below = if j > 0 && i > 0 { cost[j - 1] } else { None };
            let best = if i == 0 {
                (j == 0).then_some(0)
            } else {
                from_same.into_iter().chain(from_below).min()
            };
            next[j] = best.map(|best| best + apart(*voice, small[j]));
        }
        cost = next;
    }

    cost[small.len() - 1].unwrap_or(0)
}

/// Returns the keys of the next chord's hand that lie nearest to a hand, and the semitones moved.
///
/// The classes are stacked close, in the order given; of two octaves equally near the lower is
/// taken. `None` for an empty hand.
pub fn nearest(from: &[Key], classes: &[u8]) -> Option<(Vec<Key>, u32)> {
    if classes.is_empty() {
        return None;
    }

    stacks(classes)
        .into_iter()
        .map(|keys| {
            let moved = movement(from, &keys);
            (keys, moved)
        })
        .min_by_key(|(_, moved)| *moved)
}

/// Returns the least semitones between two hands' pitch classes, wherever they lie.
pub fn least(from: &[u8], to: &[u8]) -> u32 {
    let (Some(first), Some(next)) = (from.first(), to.first()) else {
        return 0;
    };
    let middle = 60 + i64::from(*first);

    if from.len() != to.len() {
        return stack(from, middle)
            .and_then(|keys| nearest(&keys, to))
            .map_or(0, |(_, moved)| moved);
    }

    // Hands of equal size move voice by voice, which needs no lists of keys.
    (0..11)
        .filter_map(|octave| {
            let lowest = i64::from(*next) + 12 * octave;
            let mut pairs = climb(from, middle).zip(climb(to, lowest));

            pairs.try_fold(0, |moved, (a, b)| {
                (a < KEYS && b < KEYS).then(|| moved + a.abs_diff(b) as u32)
            })
        })
        .min()
        .unwrap_or(0)
}

/// MIDI keys are numbered below this.
const KEYS: i64 = 128;

/// Goes up from a lowest key, to each class the nearest above the one before.
fn climb(classes: &[u8], lowest: i64) -> impl Iterator<Item = i64> {
    let mut at = lowest;

    classes.iter().enumerate().map(move |(i, class)| {
        if i > 0 {
            at += 1 + (i64::from(*class) - at - 1).rem_euclid(12);
        }
        at
    })
}

/// Returns the pitch classes of the hand that leads, over a root.
pub fn leading_classes(hands: &Hands, root: u8) -> Vec<u8> {
    hands
        .leading()
        .iter()
        .map(|degree| degree.class_over(root))
        .collect()
}

/// Plays a line of voicings as smoothly as it goes: the keys of each chord, low to high.
///
/// The first chord lies inside its register. Of all ways to go on that stay on the keyboard with
/// the hands apart, the one is taken in which the leading hand moves least in all; of equals, the
/// one nearest to the middle. `None` where there is no way.
pub fn line(chords: &[(u8, &Voicing)]) -> Option<Vec<Vec<Key>>> {
    // For each place of each chord, the best way that leads there.
    let mut ways: Vec<Vec<Place>> = Vec::with_capacity(chords.len());

    for (root, voicing) in chords {
        let here = places(voicing, *root, ways.is_empty());
        let reached = match ways.last() {
            None => here.collect(),
            Some(before) => here.filter_map(|place| place.after(before)).collect(),
        };
        ways.push(reached);
    }

    let mut at = ways
        .last()?
        .iter()
        .enumerate()
        .min_by_key(|(_, place)| place.cost)
        .map(|(i, _)| i)?;
    let mut line = Vec::with_capacity(ways.len());

    for places in ways.iter().rev() {
        let place = &places[at];
        line.push(place.keys.clone());
        at = place.before;
    }

    line.reverse();
    Some(line)
}

/// Tells whether a chord of a line has a place on the keyboard, so that [`line()`] can go
/// through it; the first one lies inside its register.
///
/// A line in which every chord has a place has a way through it.
pub fn has_place(voicing: &Voicing, root: u8, first: bool) -> bool {
    places(voicing, root, first).next().is_some()
}

/// One place of a chord on the keyboard, and how well a line gets there.
struct Place {
    keys: Vec<Key>,
    /// Where the leading hand begins among the keys.
    lead: usize,
    /// The semitones moved by the leading hand so far, then the distance from the middle so far.
    cost: (u32, u32),
    /// The place of the chord before.
    before: usize,
}

impl Place {
    fn lead(&self) -> &[Key] {
        &self.keys[self.lead..]
    }

    /// Goes on from the best of the places before; `None` where there are none.
    fn after(self, places: &[Self]) -> Option<Self> {
        let (cost, before) = places
            .iter()
            .enumerate()
            .map(|(i, place)| {
                let moved = place.cost.0 + movement(place.lead(), self.lead());
                ((moved, place.cost.1 + self.cost.1), i)
            })
            .min()?;

        Some(Self {
            cost,
            before,
            ..self
        })
    }
}

/// Lists the places of a voicing, with or without its register: the leading hand in each octave,
/// the left below it.
fn places(voicing: &Voicing, root: u8, with_register: bool) -> impl Iterator<Item = Place> + '_ {
    // A line is to stay inside what a 61-key instrument has, its hands near the middle.
    const LOWEST: u8 = 34;
    const HIGHEST: u8 = 96;
    const MIDDLE: u8 = 58;

    let leads_left = voicing.hands.right.is_empty();
    let split = voicing.hands.left.len();

    stacks(&leading_classes(&voicing.hands, root))
        .into_iter()
        .filter_map(move |lead| {
            let left = if leads_left {
                Vec::new()
            } else {
                left_below(voicing, root, lead.first().copied())?
            };
            let middle = left
                .iter()
                .chain(&lead)
                .map(|key| u32::from(key.number().abs_diff(MIDDLE)))
                .sum();
            let place = Place {
                lead: left.len(),
                keys: left.into_iter().chain(lead).collect(),
                cost: (0, middle),
                before: 0,
            };
            let fits = place
                .keys
                .iter()
                .all(|key| (LOWEST..=HIGHEST).contains(&key.number()));

            (fits && voicing.lies_well(&place.keys, split, with_register)).then_some(place)
        })
}

/// Places the left hand below the right: as low as it is clear, or as low as it goes where it is
/// clear nowhere; right below where the hands are joined.
fn left_below(voicing: &Voicing, root: u8, above: Option<Key>) -> Option<Vec<Key>> {
    let classes: Vec<u8> = voicing
        .hands
        .left
        .iter()
        .map(|degree| degree.class_over(root))
        .collect();
    let lowest = (*voicing.register.left_lowest.start()).max(34);
    let mut placed: Vec<Vec<Key>> = stacks(&classes)
        .into_iter()
        .filter(|keys| match (keys.first(), keys.last()) {
            (Some(low), Some(high)) => {
                low.number() >= lowest && above.is_none_or(|above| *high < above)
            }
            _ => true,
        })
        .collect();

    if voicing.joined {
        return placed.pop();
    }

    let is_clear = |keys: &Vec<Key>| {
        let root = keys.first().map_or(0, |key| key.class());
        low_interval_faults(keys, root).is_empty()
    };
    let clear = placed.iter().position(is_clear).unwrap_or(0);

    placed.into_iter().nth(clear)
}

/// Returns the least semitones from a hand to the pitch classes of the next, low to high, where
/// those may lie as far apart as the hand spans.
pub fn least_open(from: &[Key], classes: &[u8], span: u8) -> u32 {
    let Some(first) = classes.first() else {
        return 0;
    };
    let mut hands: Vec<Vec<Key>> = stacks(&[*first]);

    for class in &classes[1..] {
        hands = hands
            .into_iter()
            .flat_map(|hand| {
                let (low, high) = (hand[0].number(), hand[hand.len() - 1].number());
                (high + 1..=low.saturating_add(span).min(127))
                    .filter(|key| key % 12 == *class)
                    .filter_map(|key| Key::new(i64::from(key)).ok())
                    .map(|key| [&hand[..], &[key]].concat())
                    .collect::<Vec<_>>()
            })
            .collect();
    }

    hands
        .iter()
        .map(|hand| movement(from, hand))
        .min()
        .unwrap_or(0)
}
