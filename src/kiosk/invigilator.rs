//! The invigilator: the PIN, what can be done with it, and what happens then.
//!
//! F12 asks for the PIN and touches nothing: a candidate must not be able to stop the clock, and so
//! to have an item replaced, by a key. With the right PIN the page opens and *the clock has stopped*;
//! an item that was open has shown its prompt, and is voided and replaced. The page of the PIN says
//! so before. So time that is added goes to the item that comes next, in the place of the voided
//! one; a run takes none. A PIN is chosen between sittings only, for the same reason.

mod jump;
mod page;
mod panel;
mod pin;
mod print;
mod resumed;
mod review;
mod rows;
#[cfg(test)]
pub(crate) mod tests;

use super::act::Do;
use super::desk::{Pin, Unfinished};
use super::model::{CLOSES, Kiosk, Screen};
use super::seat::Phase;
use crate::sitting::{Event, Incident};
use crate::time::Time;

pub use page::{Allowed, Page, Said};
pub use review::{Line, Looked, Review};
pub use rows::{Action, Row, first, rows};

/// From the choice to go on until the clock goes.
pub const COUNT: Time = Time::from_ms(3_000);
/// A step in time longer than this, or a clock that jumps further, and the computer was suspended.
pub const GAP: Time = Time::from_ms(5_000);
/// Why the clock stands still after that.
pub const SUSPENDED: &str = "suspended";
/// Why it stands still while the invigilator's page is open, and who says what is done there.
const BY: &str = "invigilator";
/// The time factors to choose from, in hundredths, where the exam allows them.
const FACTORS: [u32; 6] = [100, 125, 150, 200, 250, 300];
/// Hearings beyond those of the exam at most.
const HEARINGS: u8 = 3;

/// What a kiosk knows of its invigilator.
#[derive(Debug)]
pub struct Invigilator {
    /// The page that is open, over the kiosk's own.
    pub page: Option<Page>,
    /// When the next PIN is looked at.
    pub next_try: Time,
    wrong: u32,
    /// What the next candidate is allowed.
    pub allowed: Allowed,
    /// When each of the sitting's incidents was seen, as time of day.
    pub clocks: Vec<String>,
    /// The sittings that wait to be taken up.
    pub waiting: Vec<Unfinished>,
    /// The computer's own time at the last tick.
    wall: Option<Time>,
    /// The second look at an ended sitting.
    pub review: Review,
}

impl Default for Invigilator {
    fn default() -> Self {
        Self {
            page: None,
            next_try: Time::ZERO,
            wrong: 0,
            allowed: Allowed::NOTHING,
            clocks: Vec::new(),
            waiting: Vec::new(),
            wall: None,
            review: Review::default(),
        }
    }
}

impl Invigilator {
    /// Tells whether a page is open.
    pub const fn is_open(&self) -> bool {
        self.page.is_some()
    }
}

impl Kiosk {
    /// What a kiosk begins with: a new PIN where the settings file has none, and sittings to be
    /// taken up.
    pub(super) fn look_round(&mut self) {
        self.invigilator.waiting = self.desk.unfinished();
        if self.desk.pin() == Pin::Open {
            self.invigilator.page = Some(Page::new_pin());
        }
    }

    /// Does something on the invigilator's pages.
    pub(super) fn invigilate(&mut self, what: Do) {
        if what == Do::Open {
            return self.ask_pin();
        }
        let Some(page) = self.invigilator.page.take() else {
            return;
        };
        let before = std::mem::discriminant(&page);
        let was_item = matches!(page, Page::Item(_)) && !matches!(what, Do::Sign(_));
        self.invigilator.page = match (page, what) {
            (Page::Pin { typed, .. }, Do::Enter) => self.enter_pin(typed),
            (
                Page::NewPin {
                    typed, first, said, ..
                },
                Do::Enter,
            ) => self.enter_new_pin(typed, first, said),
            (Page::Words { kind, typed }, Do::Enter) => self.enter_words(kind, &typed),
            (Page::Panel { place, share, by }, Do::Enter) => self.enter_share(place, share, by),
            (Page::Told(said), Do::Enter | Do::Back) => match said {
                Said::NoPin | Said::Kept | Said::Fleeting => self.leave_pages(),
                Said::Reviewed { row, .. } => Some(Page::Item(row)),
                Said::Printed {
                    is_from_list: true, ..
                } => Some(Page::Items(0)),
                _ => Some(Page::Desk),
            },
            (Page::Results(first), Do::Enter) => self.open_result(first),
            (Page::Items(first), Do::Enter) => Some(Page::Item(first)),
            (Page::Item(row), Do::Enter) => Some(self.item_after(row)),
            (Page::Item(row), Do::Sign(sign)) => self.sign_item(row, sign),
            (Page::Item(row), Do::RubOut | Do::Back) => Some(Self::leaf_with(row)),
            (Page::Results(_) | Page::Items(_), Do::RubOut | Do::Back) => self.end_review(),
            (page, Do::Enter) if page.is_about_a_level() => self.enter_level(page),
            (page, Do::Back) if page.is_about_a_level() => Some(page.item_again()),
            (page, Do::Sign(sign)) => Some(page.typed(sign)),
            (page, Do::RubOut) => Some(page.rubbed()),
            (Page::Pin { .. } | Page::NewPin { .. }, Do::Back) => self.leave_pages(),
            (page @ (Page::Desk | Page::Counting(_)), Do::Back) => Some(page),
            (_, Do::Back) => Some(Page::Desk),
            (page, Do::Row(place)) => {
                self.invigilator.page = Some(page.clone());
                let row = rows(self).into_iter().nth(place);
                match row.filter(|row| row.is_open) {
                    Some(row) => {
                        self.invigilator.page = None;
                        self.take_row(page, row.action)
                    }
                    None => Some(page),
                }
            }
            (Page::Desk, Do::Enter) => self.take_row(Page::Desk, self.first_action()),
            (page, Do::Enter | Do::Open) => Some(page),
        };
        let page = self.invigilator.page.take();
        self.invigilator.page = self.kept_alone(page);
        if was_item {
            self.stop_hearing();
            self.forget_drawn();
        }
        // Rows of the same page stay where they are; a figure that was touched is not pressed again.
        let page = self.invigilator.page.as_ref();
        let is_same = page.is_some_and(|page| std::mem::discriminant(page) == before);
        if !is_same || rows(self).is_empty() {
            self.focus = None;
        }
        self.see_incidents();
    }

    /// What Enter does on the page of what can be done.
    fn first_action(&self) -> Action {
        if self.is_sitting() {
            Action::GoOn
        } else {
            Action::Close
        }
    }

    /// Returns the time of day of a date.
    pub(super) fn clock(&self, date: &str) -> String {
        self.desk.clock(date, Time::ZERO)
    }

    /// Tells whether a sitting goes on that can.
    pub(super) fn is_sitting(&self) -> bool {
        matches!(&self.screen, Screen::Seat(seat) if !matches!(seat.phase, Phase::NotKept(_)))
    }

    /// Notes an incident: of the sitting, or else in the log of the room.
    fn note(&mut self, kind: &str, text: &str, by: &str) {
        let now = self.now;

        match &mut self.screen {
            Screen::Seat(seat) => {
                let incident = Incident {
                    at: seat.time(now),
                    item: None,
                    kind: kind.to_owned(),
                    text: text.to_owned(),
                    by: by.to_owned(),
                };
                seat.take(Event::Noted(incident), now);
            }
            _ => {
                let text = [kind, text].join(if text.is_empty() { "" } else { ": " });
                self.desk.log(&text);
            }
        }
    }

    fn enter_words(&mut self, kind: &'static str, typed: &str) -> Option<Page> {
        let typed = typed.trim();

        if kind.is_empty() {
            return if typed.is_empty() {
                Some(Page::Stop)
            } else {
                self.stop_sitting(typed)
            };
        }
        self.note(kind, typed, BY);
        Some(Page::Desk)
    }

    fn stop_sitting(&mut self, reason: &str) -> Option<Page> {
        let now = self.now;

        if let Screen::Seat(seat) = &mut self.screen {
            seat.take(Event::Stopped(reason.to_owned()), now);
        }
        self.tick(now);
        Some(Page::Desk)
    }

    fn take_row(&mut self, page: Page, action: Action) -> Option<Page> {
        let now = self.now;

        match action {
            Action::GoOn => Some(Page::Counting(now + COUNT)),
            Action::Close => self.leave_pages(),
            Action::AddTime => Some(Page::AddTime),
            Action::Add(extra) => {
                if let Screen::Seat(seat) = &mut self.screen {
                    seat.extra += extra;
                }
                let text = format!("{:.0} s for the next item", extra.as_seconds());
                self.note("time granted", &text, BY);
                Some(Page::Desk)
            }
            Action::Void => {
                if let Screen::Seat(seat) = &mut self.screen {
                    let event = Event::Voided {
                        reason: BY.to_owned(),
                        by: BY.to_owned(),
                    };
                    seat.take(event, now);
                }
                Some(Page::Desk)
            }
            Action::Note => Some(Page::Note),
            Action::Kind(kind) => Some(Page::Words {
                kind,
                typed: String::new(),
            }),
            Action::Stop => Some(Page::Stop),
            Action::StopFor(reason) => self.stop_sitting(reason),
            Action::Park => {
                self.park();
                Some(Page::Desk)
            }
            Action::Leave => {
                self.desk.log("the program was left");
                self.left = true;
                Some(page)
            }
            Action::Allow => Some(Page::Allow),
            Action::NextFactor => {
                let factor = self.invigilator.allowed.factor;
                let factors = self.factors();
                let next = factors.iter().find(|next| **next > factor);
                self.invigilator.allowed.factor = next.or(factors.first()).copied().unwrap_or(100);
                Some(page)
            }
            Action::NextHearings => {
                let hearings = self.invigilator.allowed.hearings;
                self.invigilator.allowed.hearings = (hearings + 1) % (HEARINGS + 1);
                Some(page)
            }
            Action::AsUsual => {
                self.invigilator.allowed = Allowed::NOTHING;
                Some(page)
            }
            Action::Waiting => Some(Page::Waiting),
            Action::One(place) => Some(Page::TakeUp(place)),
            Action::TakeUp(place) => self.take_up(place, true),
            Action::HandIn(place) => self.take_up(place, false),
            Action::Panel => Some(Page::Panel {
                place: 0,
                share: String::new(),
                by: None,
            }),
            Action::Back => Some(page.item_again()),
            Action::Results(0) => self.open_results(),
            Action::Results(first) => Some(Page::Results(first)),
            Action::Result(place) => self.open_result(place),
            // The list is made anew where it is opened, not where it is turned.
            Action::Items(0) if page == Page::Desk => self.open_items(),
            Action::Items(first) => Some(Page::Items(first)),
            Action::Item(row) => Some(Page::Item(row)),
            Action::Print => Some(self.print_looked(page)),
            Action::Level(row, level) => Some(Page::Reason { row, level }),
            Action::Because(row, level, "") => Some(Page::Because {
                row,
                level,
                typed: String::new(),
            }),
            Action::Because(row, level, reason) => self.reason(row, level, reason),
            Action::Overrule => self.enter_level(page),
            Action::EndReview => self.end_review(),
        }
    }

    /// The time factors that the exam allows, usual time first.
    fn factors(&self) -> Vec<u32> {
        let (least, most) = self.shelved().exam.rules.time_factor;

        FACTORS
            .into_iter()
            .filter(|factor| *factor == 100 || (least..=most).contains(factor))
            .collect()
    }

    /// Closes the invigilator's pages.
    fn leave_pages(&mut self) -> Option<Page> {
        self.focus = None;
        if let Screen::End(ended) = &mut self.screen {
            ended.closes = self.now + CLOSES;
        }
        None
    }
}
