//! The invigilator: the PIN, what can be done with it, and what happens then.
//!
//! F12 asks for the PIN and touches nothing: a candidate must not be able to stop the clock, and so
//! to have an item replaced, by a key. With the right PIN the page opens and *the clock has stopped*;
//! an item that was open has shown its prompt, and is voided and replaced. The page of the PIN says
//! so before. So time that is added goes to the item that comes next, in the place of the voided
//! one; a run takes none. A PIN is chosen between sittings only, for the same reason.

mod rows;
#[cfg(test)]
pub(crate) mod tests;

use super::act::Do;
use super::desk::{Pin, TakenUp, Unfinished};
use super::model::{CLOSES, Ended, Kiosk, Screen};
use super::seat::{Phase, Seat};
use crate::fraction::Fraction;
use crate::room::Room;
use crate::sitting::{Event, Incident, resume};
use crate::time::Time;

pub use rows::{Action, Row, rows};

/// From the choice to go on until the clock goes.
pub const COUNT: Time = Time::from_ms(3_000);
/// A step in time longer than this, or a clock that jumps further, and the computer was suspended.
pub const GAP: Time = Time::from_ms(5_000);
/// Why the clock stands still after that.
pub const SUSPENDED: &str = "suspended";
/// Why it stands still while the invigilator's page is open, and who says what is done there.
const BY: &str = "invigilator";
/// Figures of a PIN.
const FIGURES: std::ops::RangeInclusive<usize> = 4..=12;
/// Before the next try after so many wrong ones: 1 s, twice as long each time, and at most a minute.
const LONGEST_WAIT: Time = Time::from_ms(60_000);
/// Signs of a note at most.
const LONGEST_NOTE: usize = 120;
/// The time factors to choose from, in hundredths, where the exam allows them.
const FACTORS: [u32; 6] = [100, 125, 150, 200, 250, 300];
/// Hearings beyond those of the exam at most.
const HEARINGS: u8 = 3;

/// A page of the invigilator's.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Page {
    /// It asks for the PIN.
    Pin {
        /// What is typed.
        typed: String,
        /// Whether it was wrong.
        wrong: bool,
    },
    /// It asks for a new PIN, twice.
    NewPin {
        /// What is typed.
        typed: String,
        /// What was typed the first time.
        first: Option<String>,
        /// What is to be said about the last attempt.
        said: Option<Said>,
    },
    /// It says something; Enter goes on.
    Told(Said),
    /// What can be done.
    Desk,
    /// How much time to add.
    AddTime,
    /// What kind of incident.
    Note,
    /// What happened, in words, and what kind it is; an empty kind is a reason to stop.
    Words {
        /// The kind.
        kind: &'static str,
        /// What is typed.
        typed: String,
    },
    /// Why to stop the sitting.
    Stop,
    /// What the next candidate is allowed.
    Allow,
    /// The sittings that wait to be taken up.
    Waiting,
    /// What to do with one of them.
    TakeUp(usize),
    /// The panel's marks.
    Panel {
        /// Which of the panel's items, from 0.
        place: usize,
        /// The share of its points, 0 to 100.
        share: String,
        /// By whom; asked for after the share.
        by: Option<String>,
    },
    /// The clock goes on at a moment.
    Counting(Time),
}

/// Something to be said.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Said {
    /// A PIN is too short.
    TooShort,
    /// The two were not the same.
    Differ,
    /// The PIN is in the settings file.
    Kept,
    /// The PIN holds until the program ends.
    Fleeting,
    /// No PIN has been chosen, and a sitting goes on.
    NoPin,
    /// Something could not be done, in words.
    Trouble(String),
    /// Where a new result is.
    Stored(String),
}

/// What the next candidate is allowed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Allowed {
    /// The time factor, in hundredths.
    pub factor: u32,
    /// Hearings beyond those of the exam.
    pub hearings: u8,
}

impl Allowed {
    /// What everybody is allowed.
    pub const NOTHING: Self = Self {
        factor: 100,
        hearings: 0,
    };
}

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
            self.invigilator.page = Some(new_pin());
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
                _ => Some(Page::Desk),
            },
            (page, Do::Sign(sign)) => Some(typed(page, sign)),
            (page, Do::RubOut) => Some(rubbed(page)),
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

    fn ask_pin(&mut self) {
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
            _ => new_pin(),
        });
    }

    fn enter_pin(&mut self, typed: String) -> Option<Page> {
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
    fn open_desk(&mut self) {
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

    fn enter_new_pin(
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

    fn enter_share(&mut self, place: usize, share: String, by: Option<String>) -> Option<Page> {
        let Ok(hundredths) = share.parse::<u8>() else {
            return Some(Page::Panel {
                place,
                share: String::new(),
                by: None,
            });
        };
        let Some(by) = by.filter(|by| !by.trim().is_empty()) else {
            let by = Some(String::new());
            return Some(Page::Panel { place, share, by });
        };
        let Some(item) = self.panel_items().get(place).copied() else {
            return Some(Page::Desk);
        };
        let Screen::End(ended) = &mut self.screen else {
            return Some(Page::Desk);
        };

        let event = Event::Panel {
            item,
            credit: Fraction::new(i64::from(hundredths.min(100)), 100),
            by: by.trim().to_owned(),
        };
        let at = ended.sitting.now();
        if let Err(why) = ended.journal.keep(at, &event) {
            return Some(Page::Told(Said::Trouble(why)));
        }
        drop(ended.sitting.update(event, at));
        if self.panel_items().len() > place + 1 {
            return Some(Page::Panel {
                place: place + 1,
                share: String::new(),
                by: None,
            });
        }
        self.store_anew()
    }

    /// The panel has marked: a new result beside the one that is there.
    fn store_anew(&mut self) -> Option<Page> {
        let Screen::End(ended) = &mut self.screen else {
            return Some(Page::Desk);
        };

        ended.given.journal = ended.journal.head();
        let stored = self.desk.store(&ended.sitting, &ended.given);
        let said = match &stored {
            Ok(stored) => Said::Stored(stored.name.clone()),
            Err(why) => Said::Trouble(why.clone()),
        };
        if stored.is_ok() {
            ended.kept = stored;
        }
        Some(Page::Told(said))
    }

    /// The numbers of the items that a panel marks, of an ended sitting.
    pub(crate) fn panel_items(&self) -> Vec<u32> {
        match &self.screen {
            Screen::End(ended) => ended
                .sitting
                .form()
                .items
                .iter()
                .filter(|item| matches!(item.task, crate::exam::form::Task::Panel(_)))
                .map(|item| item.number)
                .collect(),
            _ => Vec::new(),
        }
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
            Action::Back => Some(Page::Desk),
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

    /// Leaves a sitting that nothing can be kept of any more: it waits to be taken up.
    fn park(&mut self) {
        if let Screen::Seat(seat) = std::mem::replace(&mut self.screen, Screen::Cover) {
            let (_, keyboard, speaker, _) = seat.leave();
            self.take_back(keyboard, speaker);
        }
        self.close();
    }

    /// Takes a sitting up where it was, or hands it in as it is.
    fn take_up(&mut self, place: usize, goes_on: bool) -> Option<Page> {
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

    fn seat_again(&mut self, taken: TakenUp) {
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

    fn hand_in(&mut self, taken: TakenUp) {
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

    /// Lets time pass on the invigilator's pages.
    pub(super) fn count(&mut self) {
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
    fn see_incidents(&mut self) {
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
    pub(super) fn mind_jumps(&mut self, now: Time) {
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
    pub(super) fn go_on_after_suspension(&mut self) {
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

const fn new_pin() -> Page {
    Page::NewPin {
        typed: String::new(),
        first: None,
        said: None,
    }
}

/// Writes a sign where a page takes it.
fn typed(mut page: Page, sign: char) -> Page {
    match &mut page {
        Page::Pin { typed, .. } | Page::NewPin { typed, .. }
            if sign.is_ascii_digit() && typed.len() < *FIGURES.end() =>
        {
            typed.push(sign);
        }
        Page::Words { typed, .. }
        | Page::Panel {
            by: Some(typed), ..
        } if !sign.is_control() && typed.chars().count() < LONGEST_NOTE => typed.push(sign),
        Page::Panel {
            share, by: None, ..
        } if sign.is_ascii_digit() => {
            let longer = format!("{share}{sign}");
            if longer.parse::<u8>().is_ok_and(|share| share <= 100) {
                *share = longer;
            }
        }
        _ => {}
    }

    page
}

fn rubbed(mut page: Page) -> Page {
    match &mut page {
        Page::Pin { typed, .. }
        | Page::NewPin { typed, .. }
        | Page::Words { typed, .. }
        | Page::Panel {
            by: Some(typed), ..
        } => drop(typed.pop()),
        Page::Panel {
            share, by: None, ..
        } => drop(share.pop()),
        _ => {}
    }

    page
}
