//! From a driver's clock to the room's.
//!
//! A driver counts microseconds from a moment of its own. The first event tells how the two clocks
//! lie to each other; from then on the driver's clock says when things happened, so that a busy
//! program does not make a hand look late. Two corrections remain. An event cannot have happened
//! after it arrived: one that comes quicker than the first shows that the first was slow, and the
//! distance shrinks. And an event cannot lie about for long before it arrives: a clock that lags
//! by more than [`SLIPPED`] has been stopped or set, and is taken up afresh.

use crate::time::Time;

/// A lag that no driver has, in microseconds: its clock has slipped.
const SLIPPED: i128 = 500_000;

/// The distance between the two clocks, and the time last given.
#[derive(Debug, Clone)]
pub(super) struct Rebase {
    /// The room's clock less the driver's, in microseconds.
    distance: Option<i128>,
    last: Option<Time>,
}

impl Rebase {
    /// Knows nothing yet.
    pub(super) const fn new() -> Self {
        Self {
            distance: None,
            last: None,
        }
    }

    /// Returns when something happened in the room's time: never after it arrived, and never
    /// before what came earlier.
    pub(super) fn at(&mut self, driver_us: u64, arrived: Time) -> Time {
        let found = i128::from(arrived.tenths()) * 100 - i128::from(driver_us);
        let distance = match self.distance {
            Some(known) if found >= known && found - known <= SLIPPED => known,
            _ => found,
        };
        self.distance = Some(distance);

        let tenths = (i128::from(driver_us) + distance).div_euclid(100);
        let at = i64::try_from(tenths).map_or(arrived, Time::from_tenths);
        let at = self.last.map_or(at, |last| at.max(last));
        self.last = Some(at);

        at
    }
}
