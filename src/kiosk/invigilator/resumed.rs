//! Sittings that were interrupted: taken up where they were, handed in as they are, or put aside.

use super::{Page, Said};
use crate::kiosk::desk::TakenUp;
use crate::kiosk::model::{CLOSES, Ended, Kiosk, Screen};
use crate::kiosk::seat::Seat;
use crate::room::Room;
use crate::sitting::{Event, resume};

impl Kiosk {
    /// Leaves a sitting that nothing can be kept of any more: it waits to be taken up.
    pub(super) fn park(&mut self) {
        if let Screen::Seat(seat) = std::mem::replace(&mut self.screen, Screen::Cover) {
            let (_, keyboard, speaker, _) = seat.leave();
            self.take_back(keyboard, speaker);
        }
        self.close();
    }

    /// Takes a sitting up where it was, or hands it in as it is.
    pub(super) fn take_up(&mut self, place: usize, goes_on: bool) -> Option<Page> {
        let Some(waiting) = self.invigilator.waiting.get(place).cloned() else {
            return Some(Page::Desk);
        };
        let taken = match self.desk.take_up(&waiting.name) {
            Ok(taken) => taken,
            Err(why) => return Some(Page::Told(Said::Trouble(why))),
        };
        if self.keyboard.is_none() || self.speaker.is_none() {
            return Some(Page::Desk);
        }

        self.candidate.clone_from(&taken.given.candidate);
        self.resumed = Some(taken.shelved.clone());
        if goes_on && taken.sitting.end().is_none() {
            self.seat_again(taken);
        } else {
            self.hand_in(taken);
        }
        self.invigilator.waiting = self.desk.unfinished();
        Some(Page::Desk)
    }

    pub(super) fn seat_again(&mut self, taken: TakenUp) {
        let TakenUp {
            sitting,
            given,
            journal,
            torn,
            ..
        } = taken;
        self.on_computer = self.setup.computer
            && self
                .keyboard
                .as_ref()
                .is_none_or(|keyboard| !keyboard.is_there());
        let Some((hands, speaker)) = self.take_instruments() else {
            return;
        };
        self.form = Some(sitting.form().clone());
        let interruption = resume::interruption(&sitting, torn);
        self.invigilator.clocks = sitting
            .incidents()
            .iter()
            .map(|incident| self.desk.clock(&given.started, incident.at))
            .collect();
        let mut room = Room::new(
            sitting,
            hands,
            speaker,
            self.piano.clone(),
            self.setup.level,
            journal,
        )
        .begun_at(self.now);
        room.set_monitoring(self.setup.monitoring);
        let mut seat = Seat::new(room, given);
        // The clock goes on when the invigilator says so.
        for (_, event) in interruption {
            if matches!(event, Event::Paused(_)) {
                seat.take(event, self.now);
            }
        }
        self.screen = Screen::Seat(Box::new(seat));
        self.see_incidents();
    }

    pub(super) fn hand_in(&mut self, taken: TakenUp) {
        let TakenUp {
            mut sitting,
            mut given,
            mut journal,
            ..
        } = taken;
        let at = sitting.now();
        let event = match sitting.end() {
            Some(_) => Event::Finished,
            None => Event::Stopped("the program ended; handed in as it is".to_owned()),
        };

        let kept = journal.keep(at, &event).and_then(|()| {
            drop(sitting.update(event, at));
            given.journal = journal.head();
            self.desk.store(&sitting, &given)
        });
        self.form = Some(sitting.form().clone());
        self.screen = Screen::End(Box::new(Ended {
            sitting,
            kept,
            closes: self.now + CLOSES,
            given,
            journal,
        }));
    }
}
