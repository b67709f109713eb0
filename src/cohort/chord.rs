//! Keys and qualities over the class.

use std::collections::BTreeMap;

use super::record::{Names, Record};
use crate::marking::statistics::median;
use crate::time::Time;

/// A root and a quality over all sittings.
#[derive(Debug, Clone, PartialEq)]
pub struct Chord {
    /// The root in ASCII.
    pub root: String,
    /// The quality in ASCII.
    pub quality: String,
    /// How often it was asked.
    pub count: u64,
    /// The mean level, 0 to 4.
    pub level: f64,
    /// How many came whole, level 2 or more, so that they have a time.
    pub timed: usize,
    /// The median time to complete of these.
    pub median: Option<Time>,
    /// How often it came cold: not after its neighbour in the cycle.
    pub cold: u64,
}

#[derive(Default)]
struct Sums {
    count: u64,
    levels: u64,
    cold: u64,
    times: Vec<Time>,
}

pub(super) fn chords(played: &[&Record], names: &Names) -> Vec<Chord> {
    let mut sums: BTreeMap<u32, Sums> = BTreeMap::new();
    for chord in played.iter().flat_map(|record| &record.chords) {
        let sum = sums.entry(chord.name).or_default();
        sum.count += 1;
        sum.levels += u64::from(chord.level);
        sum.cold += u64::from(chord.cold);
        sum.times.extend(chord.tenths().map(Time::from_tenths));
    }

    let mut chords: Vec<Chord> = sums
        .into_iter()
        .map(|(name, mut sum)| {
            let mut parts = names.chords.parts(name).map(str::to_owned);
            Chord {
                root: parts.next().unwrap_or_default(),
                quality: parts.next().unwrap_or_default(),
                count: sum.count,
                level: sum.levels as f64 / sum.count as f64,
                timed: sum.times.len(),
                median: median(&mut sum.times),
                cold: sum.cold,
            }
        })
        .collect();
    chords.sort_by(|one, other| {
        let key = |of: &Chord| (of.quality.clone(), fourths(&of.root), of.root.clone());
        key(one).cmp(&key(other))
    });

    chords
}

/// The place of a root in the cycle of fourths from C on; an unknown one comes last.
fn fourths(root: &str) -> usize {
    let mut signs = root.chars();
    let natural = match signs.next() {
        Some('C') => 0,
        Some('F') => 1,
        Some('B') => 7,
        Some('E') => 8,
        Some('A') => 9,
        Some('D') => 10,
        Some('G') => 11,
        _ => return 12,
    };
    // A flat lies seven steps on (B to B flat: from the eighth place to the third), a sharp five.
    signs.fold(natural, |place, sign| match sign {
        'b' => (place + 7) % 12,
        '#' => (place + 5) % 12,
        _ => place,
    })
}
