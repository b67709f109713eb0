//! Time on the invigilator's pages: the count of three, and a computer that was suspended.

use super::{COUNT, GAP, Page, SUSPENDED};
use crate::kiosk::model::{Kiosk, Screen};
use crate::kiosk::seat::Phase;
use crate::sitting::{Event, Incident};
use crate::time::Time;

impl Kiosk {
    /// Lets time pass on the invigilator's pages.
    pub(in crate::kiosk) fn count(&mut self) {
        let now = self.now;

        if let Some(Page::Counting(until)) = self.invigilator.page
            && until <= now
        {
            self.invigilator.page = None;
            self.focus = None;
            if let Screen::Seat(seat) = &mut self.screen {
                seat.asks_to_stop = false;
                seat.take(Event::Resumed, now);
            }
        }
        self.see_incidents();
    }

    /// Remembers the time of day at which incidents came.
    pub(super) fn see_incidents(&mut self) {
        let Screen::Seat(seat) = &self.screen else {
            return;
        };
        let count = seat.sitting().incidents().len();

        if self.invigilator.clocks.len() < count {
            let clock = self.desk.clock(&self.desk.date(), Time::ZERO);
            self.invigilator.clocks.resize(count, clock);
        }
    }

    /// Notices that the computer was suspended or its clock jumped: time has not passed for the
    /// sitting, and the clock stops. To be called before anything else hears of the new time.
    pub(in crate::kiosk) fn mind_jumps(&mut self, now: Time) {
        let wall = self.desk.wall();
        let before = std::mem::replace(&mut self.invigilator.wall, wall);
        let step = now - self.now;
        let jumped = wall
            .zip(before)
            .is_some_and(|(wall, before)| apart(wall - before, step) > GAP);

        if step <= GAP && !jumped {
            return;
        }
        let last = self.now;
        let Screen::Seat(seat) = &mut self.screen else {
            return;
        };
        if step > GAP {
            seat.skip(now - last);
        }
        match seat.phase {
            Phase::Ended | Phase::NotKept(_) => {}
            // Nothing runs there that could be replaced.
            Phase::Stopped { .. } | Phase::Page(_) => {
                let incident = Incident {
                    at: seat.time(now),
                    item: None,
                    kind: SUSPENDED.to_owned(),
                    text: "the computer stood still, or its clock jumped".to_owned(),
                    by: String::new(),
                };
                seat.take(Event::Noted(incident), now);
            }
            _ => seat.take(Event::Paused(SUSPENDED.to_owned()), now),
        }
        // A count that was going on begins anew.
        if let Some(Page::Counting(until)) = &mut self.invigilator.page {
            *until = now + COUNT;
        }
    }

    /// The candidate lets the clock go on after the computer was suspended.
    pub(in crate::kiosk) fn go_on_after_suspension(&mut self) {
        let is_suspended = matches!(
            &self.screen,
            Screen::Seat(seat)
                if matches!(&seat.phase, Phase::Stopped { reason, .. } if reason == SUSPENDED)
        );

        if is_suspended {
            self.invigilator.page = Some(Page::Counting(self.now + COUNT));
        }
    }
}

fn apart(one: Time, other: Time) -> Time {
    if one > other {
        one - other
    } else {
        other - one
    }
}
