//! Voice leading: how far voices move from chord to chord, and the nearest way to go on.

use super::Key;
use super::voicing::{Hands, Voicing, stack};

/// Returns the semitones that the voices move together, from one chord to the next.
///
/// Voices are paired from low to high. Where the chords differ in size, each voice of the larger
/// is paired with one of the smaller so that they move as little as they can without crossing.
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
/// The classes are stacked close, in the order given; `None` for an empty hand.
pub fn nearest(from: &[Key], classes: &[u8]) -> Option<(Vec<Key>, u32)> {
    let first = i64::from(*classes.first()?);

    (0..11)
        .filter_map(|octave| stack(classes, first + 12 * octave))
        .map(|keys| {
            let moved = movement(from, &keys);
            (keys, moved)
        })
        .min_by_key(|(_, moved)| *moved)
}

/// Returns the least semitones between two hands' pitch classes, wherever they lie.
pub fn least(from: &[u8], to: &[u8]) -> u32 {
    let Some(first) = from.first() else {
        return 0;
    };

    stack(from, 60 + i64::from(*first))
        .and_then(|keys| nearest(&keys, to))
        .map_or(0, |(_, moved)| moved)
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
/// The first chord lies inside its register; of its placements the one is taken from which the
/// whole line moves least and stays on the keyboard with the hands apart. `None` where none does.
pub fn line(chords: &[(u8, &Voicing)]) -> Option<Vec<Vec<Key>>> {
    let (root, first) = chords.first()?;

    first
        .placements(*root)
        .into_iter()
        .filter_map(|start| follow(start, chords))
        .min_by_key(|(_, cost)| *cost)
        .map(|(line, _)| line)
}

fn follow(start: Vec<Key>, chords: &[(u8, &Voicing)]) -> Option<(Vec<Vec<Key>>, u32)> {
    // The line is to stay inside what a 61-key instrument has, its right hand near the middle.
    const HIGHEST: u8 = 96;
    const LOWEST: u8 = 34;

    let mut cost = 0;
    let mut line = vec![start];

    for (root, voicing) in &chords[1..] {
        let split = voicing.hands.left.len();
        let before = line.last()?;
        let previous = &chords[line.len() - 1].1.hands;
        let (low_before, high_before) = before.split_at(previous.left.len());
        let classes = leading_classes(&voicing.hands, *root);
        let leads_left = voicing.hands.right.is_empty();
        let lead_before = if leads_left { low_before } else { high_before };
        let (lead, moved) = nearest(lead_before, &classes)?;
        let left = if leads_left {
            Vec::new()
        } else {
            left_below(voicing, *root, lead.first().copied())?
        };
        let keys: Vec<Key> = left.into_iter().chain(lead).collect();

        if !voicing.lies_well(&keys, split, false) {
            return None;
        }

        cost += moved * 4;
        line.push(keys);
    }

    let centre = line
        .iter()
        .flatten()
        .fold(0u32, |sum, key| sum + u32::from(key.number().abs_diff(58)));
    let fits = line
        .iter()
        .flatten()
        .all(|key| (LOWEST..=HIGHEST).contains(&key.number()));

    fits.then_some((line, cost + centre / 4))
}

/// Places the left hand low and clear, below the right.
fn left_below(voicing: &Voicing, root: u8, above: Option<Key>) -> Option<Vec<Key>> {
    let classes: Vec<u8> = voicing
        .hands
        .left
        .iter()
        .map(|degree| degree.class_over(root))
        .collect();
    let Some(first) = classes.first() else {
        return Some(Vec::new());
    };
    let lowest = i64::from(*voicing.register.left_lowest.start()).max(34);
    let ceiling = above.map_or(128, |key| i64::from(key.number()));
    let placed = (0..11).filter_map(|octave| {
        let keys = stack(&classes, i64::from(*first) + 12 * octave)?;
        let (low, high) = (keys.first()?.number(), keys.last()?.number());
        (i64::from(low) >= lowest && i64::from(high) < ceiling).then_some(keys)
    });

    if voicing.joined {
        placed.last()
    } else {
        placed.into_iter().next()
    }
}
