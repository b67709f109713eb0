//! How a chord is spread over the keyboard for the ear.

use super::{HIGHEST, LOWEST, USUAL, degrees, from};
use crate::exam::script::Spacing;
use crate::theory::interval::low_limit;
use crate::theory::quality::Quality;

/// Where the right hand begins at the lowest: middle C.
const RIGHT: u8 = 60;

/// Spreads a chord over one of its tones in the bass, another on top where that is asked.
///
/// - close: each tone the nearest above the one before;
/// - open: the second voice from the top of the close chord lies an octave lower, as in drop 2;
/// - two-hand: bass and fifth left (or seventh, where the fifth is on top), the rest right.
///
/// The bass lies from C3 to B3. Only in the widest spread, open with the third on top, it lies from
/// A2 to A♭3, whatever the quality, so that the top stays under C6. Chords of many tones that would
/// still not fit, or not be clear, are laid close, an octave above the bass where they must.
pub(super) fn chord(
    quality: Quality,
    root: u8,
    spacing: Spacing,
    top: Option<u8>,
    bass: u8,
) -> Vec<u8> {
    let class = quality
        .own(bass)
        .map_or(root, |degree| degree.class_over(root));
    let usual = match (spacing, top) {
        (Spacing::Open, Some(3)) => LOWEST,
        _ => USUAL,
    };
    let upper = Upper::new(quality, top, bass, 13);
    let close = || {
        let low = from(USUAL, class);
        [0, low + 12].map(|floor| upper.close(low, floor))
    };

    [usual, LOWEST]
        .into_iter()
        .map(|lowest| upper.over(from(lowest, class), spacing))
        .chain(close())
        .find(|keys| fits(keys))
        .unwrap_or_else(|| upper.close(from(USUAL, class), 0))
}

/// Lays two close chords of a quality on roots a motion apart, the bass going the way that the
/// motion is named: up as far as a tritone, down beyond. The lower root lies from C3 to B3.
pub(super) fn motion(quality: Quality, root: u8, up: u8) -> [Vec<u8>; 2] {
    let top = super::top(quality, 1, None, 0);
    let at = |lowest: u8| {
        if up > 6 {
            let second = from(lowest, (root + up) % 12);
            [second + 12 - up, second]
        } else {
            let first = from(lowest, root);
            [first, first + up]
        }
    };
    let laid = |(lowest, highest)| {
        let upper = Upper::new(quality, top, 1, highest);
        at(lowest).map(|key| upper.close(key, 0))
    };

    // Where all tensions do not fit the chords go without.
    [(USUAL, 13), (LOWEST, 13)]
        .into_iter()
        .map(laid)
        .find(|both| both.iter().all(|keys| fits(keys)))
        .unwrap_or_else(|| laid((USUAL, 7)))
}

fn fits(keys: &[u8]) -> bool {
    let clear = keys
        .windows(2)
        .all(|pair| pair[0] < pair[1] && pair[0] >= low_limit(pair[1] - pair[0]));

    clear && keys.last().is_none_or(|key| *key <= HIGHEST)
}

/// The tones above the bass, in semitones above it, the one that is to be on top last.
struct Upper {
    tones: Vec<u8>,
    /// The tone that the left hand takes beside the bass.
    companion: Option<u8>,
}

impl Upper {
    /// Takes the degrees up to a number: 13 for all, 7 to leave out tensions.
    fn new(quality: Quality, top: Option<u8>, bass: u8, highest: u8) -> Self {
        let low = quality.own(bass).map_or(0, |degree| degree.class());
        let above = |class: u8| (class + 12 - low) % 12;
        let own = |number: u8| quality.own(number).map(|degree| above(degree.class()));
        let mut tones: Vec<u8> = degrees(quality)
            .filter(|degree| degree.number() <= highest)
            .map(|degree| above(degree.class()))
            .filter(|tone| *tone != 0)
            .collect();
        tones.sort_unstable();
        tones.dedup();

        let last = top
            .and_then(own)
            .and_then(|top| tones.iter().position(|tone| *tone == top))
            .unwrap_or(tones.len().saturating_sub(1));
        let turn = (last + 1) % tones.len().max(1);
        tones.rotate_left(turn);

        let companion = [5, 7, 1]
            .into_iter()
            .filter_map(own)
            .find(|tone| tones.contains(tone) && tones.last() != Some(tone))
            .filter(|_| tones.len() > 2);

        Self { tones, companion }
    }

    fn close(&self, bass: u8, floor: u8) -> Vec<u8> {
        let mut keys = Vec::with_capacity(self.tones.len() + 1);
        keys.push(bass);
        pile(&mut keys, bass, &self.tones, floor);

        keys
    }

    fn over(&self, bass: u8, spacing: Spacing) -> Vec<u8> {
        let mut keys = Vec::with_capacity(self.tones.len() + 1);
        keys.push(bass);

        match spacing {
            Spacing::Close => return self.close(bass, 0),
            Spacing::Open => {
                let mut tones = self.tones.clone();
                let count = tones.len();
                if count > 2 {
                    tones[..count - 1].rotate_right(1);
                }
                // A triad opens by its third.
                let triad = count == 2 && tones[0] < tones[1];
                let floor = if triad { bass + 12 } else { 0 };
                pile(&mut keys, bass, &tones, floor);
            }
            Spacing::TwoHand => {
                let right: Vec<u8> = self
                    .tones
                    .iter()
                    .copied()
                    .filter(|tone| Some(*tone) != self.companion)
                    .collect();
                pile(&mut keys, bass, self.companion.as_slice(), 0);
                pile(&mut keys, bass, &right, RIGHT);
            }
        }

        keys
    }
}

/// Puts each tone on the nearest key above the one before, the first from a floor upwards. Next to
/// the bass nothing lies nearer than a third: seconds are murky down there.
fn pile(keys: &mut Vec<u8>, bass: u8, tones: &[u8], floor: u8) {
    let mut floor = floor;

    for tone in tones {
        let above = match keys.last() {
            Some(last) if *last != bass => last + 1,
            _ => bass + 3,
        };
        keys.push(from(above.max(floor), (bass + tone) % 12));
        floor = 0;
    }
}
