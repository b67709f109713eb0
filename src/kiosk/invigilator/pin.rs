//! The PIN: asked for, looked at after a while that grows, and chosen anew.

use super::page::FIGURES;
use super::{BY, Page, Said};
use crate::kiosk::desk::Pin;
use crate::kiosk::model::{Kiosk, Screen};
use crate::sitting::Event;
use crate::time::Time;

/// Before the next try after so many wrong ones: 1 s, twice as long each time, and at most a minute.
pub(super) const LONGEST_WAIT: Time = Time::from_ms(60_000);

impl Kiosk {
    pub(super) fn ask_pin(&mut self) {
        if self.invigilator.page.is_some() {
            return;
        }
        self.focus = None;
        let is_sitting = self.is_sitting();
        self.invigilator.page = Some(match self.desk.pin() {
            Pin::Chosen => Page::Pin {
                typed: String::new(),
                wrong: false,
            },
            _ if is_sitting => Page::Told(Said::NoPin),
            _ => Page::new_pin(),
        });
    }

    pub(super) fn enter_pin(&mut self, typed: String) -> Option<Page> {
        if typed.is_empty() || self.now < self.invigilator.next_try {
            return Some(Page::Pin {
                wrong: self.now < self.invigilator.next_try,
                typed,
            });
        }
        if self.desk.is_pin(&typed) {
            self.invigilator.wrong = 0;
            self.open_desk();
            return Some(Page::Desk);
        }

        let wait = Time::from_ms(1_000 << self.invigilator.wrong.min(6)).min(LONGEST_WAIT);
        self.invigilator.wrong = self.invigilator.wrong.saturating_add(1);
        self.invigilator.next_try = self.now + wait;
        self.note("wrong PIN", "", "");
        Some(Page::Pin {
            typed: String::new(),
            wrong: true,
        })
    }

    /// The PIN was right: the clock stops.
    pub(super) fn open_desk(&mut self) {
        let now = self.now;

        if let Screen::Seat(seat) = &mut self.screen {
            seat.take(Event::Paused(BY.to_owned()), now);
        } else {
            self.desk.log("invigilator's page opened");
        }
        if matches!(self.screen, Screen::Cover) {
            self.invigilator.waiting = self.desk.unfinished();
        }
    }

    pub(super) fn enter_new_pin(
        &mut self,
        typed: String,
        first: Option<String>,
        said: Option<Said>,
    ) -> Option<Page> {
        let again = |first, said| {
            Some(Page::NewPin {
                typed: String::new(),
                first,
                said,
            })
        };

        match first {
            _ if typed.is_empty() => again(first, said),
            None if !FIGURES.contains(&typed.len()) => again(None, Some(Said::TooShort)),
            None => again(Some(typed), None),
            Some(first) if first != typed => again(None, Some(Said::Differ)),
            Some(_) => {
                let kept = self.desk.set_pin(&typed);
                self.desk.log("a new PIN was chosen");
                Some(Page::Told(if kept { Said::Kept } else { Said::Fleeting }))
            }
        }
    }
}
