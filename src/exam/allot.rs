//! Who of a class gets which form.
//!
//! The forms of one set are equal in difficulty, so a class has the seats of one set, and of the
//! next sets where it is larger. Who sits again never gets a form that they have sat.

use super::code::Code;

/// The forms of a class.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Class {
    /// The form of the first candidate.
    pub first: Code,
    /// How many candidates there are; at least 1 is taken.
    pub size: usize,
    /// The seats of a set, 1 to 31.
    pub seats: u8,
}

impl Class {
    /// Returns the form of the candidate at a place, from 0, who has sat these forms before.
    ///
    /// The seat is that of the place. Where its form has been sat, the set is exchanged for one that
    /// nobody else of the class has.
    pub fn form(&self, place: usize, sat: &[Code]) -> Code {
        let seats = usize::from(self.seats.max(1));
        let before = usize::from(self.first.seat().saturating_sub(1));
        let sets = (before + self.size.max(place + 1)).div_ceil(seats);
        let (set, seat) = ((before + place) / seats, (before + place) % seats + 1);
        let seed = |set: usize| {
            let set = u32::try_from(set).unwrap_or(u32::MAX);
            self.first.seed().wrapping_add(set)
        };

        // As many forms as have been sat, and one more, cannot all have been sat.
        (0..=sat.len())
            .map(|again| Code::new(seed(set + again * sets), seat as u8))
            .find(|code| !sat.contains(code))
            .unwrap_or(self.first)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn class(size: usize, seats: u8, seat: u8) -> Class {
        Class {
            first: Code::new(100, seat),
            size,
            seats,
        }
    }

    #[test]
    fn seat_after_seat_and_then_the_next_set() {
        let check = |place, expected: (u32, u8)| {
            let code = class(30, 12, 1).form(place, &[]);
            assert_eq!((code.seed(), code.seat()), expected, "{place}");
        };

        check(0, (100, 1));
        check(11, (100, 12));
        check(12, (101, 1));
        check(29, (102, 6));
    }

    #[test]
    fn a_resit_gets_a_form_that_neither_they_nor_the_class_have() {
        for size in [1, 5, 12, 13, 30] {
            for start in [1, 12] {
                let class = class(size, 12, start);
                let usual: Vec<Code> = (0..size).map(|place| class.form(place, &[])).collect();
                for place in 0..size {
                    let mut sat = vec![usual[place]];
                    for _ in 0..5 {
                        let again = class.form(place, &sat);
                        assert!(!sat.contains(&again) && !usual.contains(&again));
                        assert_eq!(again.seat(), usual[place].seat());
                        sat.push(again);
                    }
                }
                // Two who sit again do not get the same form either.
                let mut again: Vec<Code> =
                    (0..size).map(|place| class.form(place, &usual)).collect();
                again.sort_unstable();
                again.dedup();
                assert_eq!(again.len(), size);
            }
        }
    }
}
