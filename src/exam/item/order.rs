//! The order of twelve roots that nobody can learn.

use crate::exam::chance::Chance;

/// Draws an order of all twelve roots from a first one on. No root lies a fourth above or below the
/// one before it, which the routine of the cycle would know, and none a minor third, where two ways
/// for the hand are equally near.
pub(super) fn draw(first: u8, chance: &mut Chance) -> Vec<u8> {
    let mut roots = vec![first % 12];
    let mut rest: Vec<u8> = (1..12).map(|up| (first + up) % 12).collect();

    chance.shuffle(&mut rest);
    // From any root there is a way through all others; vetting every one of them is quick.
    let _ = go_on(&mut roots, &rest);
    roots
}

/// Takes the rest in, the first that will do before the others.
fn go_on(roots: &mut Vec<u8>, rest: &[u8]) -> bool {
    let Some(last) = roots.last().copied() else {
        return false;
    };
    if rest.is_empty() {
        return true;
    }
    for (place, next) in rest.iter().enumerate() {
        if !may_follow(last, *next) {
            continue;
        }
        // What was passed over comes after what has not been looked at, so that the order stays
        // as drawn as it can.
        let others = [&rest[place + 1..], &rest[..place]].concat();
        roots.push(*next);
        if go_on(roots, &others) {
            return true;
        }
        let _ = roots.pop();
    }

    false
}

/// Tells whether a root may follow another in a line at random.
const fn may_follow(last: u8, next: u8) -> bool {
    !matches!((next + 12 - last) % 12, 0 | 3 | 5 | 7 | 9)
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;

    #[test]
    fn each_root_comes_once_and_no_step_is_a_fourth_or_a_minor_third() {
        let mut orders = BTreeSet::new();

        for seed in 0..2_000 {
            let first = (seed % 12) as u8;
            let roots = draw(first, &mut Chance::new("order", &[seed]));
            let all: BTreeSet<u8> = roots.iter().copied().collect();
            assert_eq!((roots[0], roots.len(), all.len()), (first, 12, 12));
            for pair in roots.windows(2) {
                let up = (pair[1] + 12 - pair[0]) % 12;
                assert!([1, 2, 4, 6, 8, 10, 11].contains(&up), "{roots:?}");
            }
            let _ = orders.insert(roots);
        }
        // Nobody meets one twice.
        assert!(orders.len() > 1_990, "{}", orders.len());
    }

    /// Each allowed step comes, none so often that it could be guessed.
    #[test]
    fn no_step_can_be_guessed() {
        let mut steps = [0; 12];

        for seed in 0..2_000 {
            let roots = draw(0, &mut Chance::new("step", &[seed]));
            for pair in roots.windows(2) {
                steps[usize::from((pair[1] + 12 - pair[0]) % 12)] += 1;
            }
        }
        for step in [1, 2, 4, 6, 8, 10, 11] {
            let percent = steps[step] * 100 / 22_000;
            assert!((8..25).contains(&percent), "{step}: {percent} %");
        }
    }

    #[test]
    fn the_same_chance_draws_the_same_order() {
        let order = |seed| draw(7, &mut Chance::new("same", &[seed]));
        assert_eq!(order(3), order(3));
        assert_ne!(order(3), order(4));
    }
}
