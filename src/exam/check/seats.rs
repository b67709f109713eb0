//! How many forms a set has, where the script does not say.

use std::cell::RefCell;
use std::ops::Range;

use crate::exam::diagnostic::Diagnostics;

/// How many forms a set has: as the script says, or as many as the usual number and the pools allow.
pub(in crate::exam) struct Seats {
    /// How many there are to be.
    pub(in crate::exam) count: u8,
    /// Whether the script says so; it is at fault then where a pool is too small.
    pub(in crate::exam) written: bool,
    /// The least number that a pool allows, and what is to be said of it.
    least: RefCell<Option<Least>>,
}

struct Least {
    seats: u8,
    place: Range<usize>,
    message: String,
}

impl Seats {
    pub(in crate::exam) fn new(count: u8, written: bool) -> Self {
        Self {
            count,
            written,
            least: RefCell::default(),
        }
    }

    /// Notes that a pool allows fewer forms; false where that is a fault.
    pub(in crate::exam) fn lower(
        &self,
        seats: u8,
        place: Range<usize>,
        reason: &str,
        out: &Diagnostics,
    ) -> bool {
        if self.written {
            out.fault(
                place,
                format!(
                    "the pool is too small for {} forms in a set: {reason}",
                    self.count
                ),
                Some(format!(
                    "draw from more, or write `seats = {seats}` in [rules]"
                )),
            );
            return false;
        }

        let mut least = self.least.borrow_mut();
        if least.as_ref().is_none_or(|least| seats < least.seats) {
            let forms = match seats {
                1 => "one form".to_owned(),
                seats => format!("{seats} forms"),
            };
            *least = Some(Least {
                seats,
                place,
                message: format!("the pool allows {forms} in a set: {reason}"),
            });
        }

        true
    }

    /// Returns how many forms a set has.
    pub(in crate::exam) fn allowed(&self) -> u8 {
        let least = self.least.borrow();

        least
            .as_ref()
            .map_or(self.count, |least| least.seats.min(self.count))
    }

    /// Warns where a set has fewer forms than usual.
    pub(in crate::exam) fn tell(self, out: &Diagnostics) {
        if let Some(least) = self.least.into_inner() {
            out.warning(
                least.place,
                least.message,
                Some(format!(
                    "draw from more, or say so: `seats = {}` in [rules]",
                    least.seats
                )),
            );
        }
    }
}
