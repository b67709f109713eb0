//! How late a sound is heard and a player plays: medians that a few stray readings do not move.

use crate::time::Time;

/// A lag as measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Lag {
    /// The middle reading; above zero is late.
    pub median: Time,
    /// The middle distance of the readings from the median, never negative: half of them lie
    /// within it.
    pub spread: Time,
}

impl Lag {
    /// Sums readings up, or `None` without any.
    pub fn of(readings: &[Time]) -> Option<Self> {
        let median = median(readings.to_vec())?;
        let spread = median_of_distances(readings, median)?;

        Some(Self { median, spread })
    }
}

/// Measures an output: when clicks were played and when a monitor or microphone heard them, both
/// in rising order and in the same clock.
///
/// A click is heard after it was played and before the next one is, so clicks want more space
/// than the longest delay one expects; the last one has the space of the one before it. The first
/// thing heard in a click's space counts. `None` unless more than half of the clicks, and three
/// at least, were heard.
pub fn delay(played: &[Time], heard: &[Time]) -> Option<Lag> {
    let &[.., before, last] = played else {
        return None;
    };
    let ends = played
        .iter()
        .skip(1)
        .copied()
        .chain([last + (last - before)]);
    let readings: Vec<Time> = played
        .iter()
        .zip(ends)
        .filter_map(|(&click, end)| {
            let first = heard.iter().copied().find(|&time| time >= click)?;

            (first < end).then(|| first - click)
        })
        .collect();

    if readings.len() < 3 || readings.len() * 2 <= played.len() {
        return None;
    }
    Lag::of(&readings)
}

/// Measures a player: taps along with beats, in the same clock, the output's delay already taken
/// from the taps.
///
/// Each tap goes to its nearest beat, and of several at one beat the nearest stays. A tap further
/// than half a beat from every beat is dropped. `None` unless five of every eight beats were
/// tapped, or with fewer than two beats.
pub fn tap_along(taps: &[Time], beats: &[Time]) -> Option<Lag> {
    let space = beats
        .windows(2)
        .map(|pair| (pair[1] - pair[0]).abs())
        .min()?;
    let mut nearest: Vec<Option<Time>> = vec![None; beats.len()];

    for &tap in taps {
        let Some((index, lag)) = beats
            .iter()
            .map(|&beat| tap - beat)
            .enumerate()
            .min_by_key(|(_, lag)| lag.abs())
        else {
            continue;
        };
        let within = lag.abs().scaled(2, 1) <= space;
        let nearer = nearest[index].is_none_or(|known| lag.abs() < known.abs());

        if within && nearer {
            nearest[index] = Some(lag);
        }
    }

    let lags: Vec<Time> = nearest.into_iter().flatten().collect();

    if lags.len() * 8 < beats.len() * 5 {
        return None;
    }
    Lag::of(&lags)
}

fn median_of_distances(readings: &[Time], centre: Time) -> Option<Time> {
    median(
        readings
            .iter()
            .map(|&reading| (reading - centre).abs())
            .collect(),
    )
}

/// The middle value, or the mean of the two in the middle.
fn median(mut values: Vec<Time>) -> Option<Time> {
    values.sort_unstable();
    let upper = *values.get(values.len() / 2)?;

    if values.len() % 2 == 1 {
        return Some(upper);
    }
    let lower = values[values.len() / 2 - 1];

    Some(lower + (upper - lower).scaled(1, 2))
}
