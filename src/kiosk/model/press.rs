//! What keys of the computer and the pointer do on a page.

use super::{Kiosk, Screen};
use crate::engraving::Point;
use crate::exam::form::Task;
use crate::kiosk::act::{Act, Do, Key as Meaning, Press};
use crate::kiosk::check::Step;
use crate::kiosk::invigilator;
use crate::kiosk::pages;
use crate::kiosk::paper::Paper;
use crate::kiosk::seat::Phase;

impl Kiosk {
    /// Takes a key of the computer in.
    pub fn press(&mut self, press: &Press, paper: Paper) {
        // Under an open page of the invigilator's no key is the instrument's; what is held comes up.
        let is_covered = self.invigilator.is_open();
        let is_played = !(is_covered && press.down) && self.plays(press);
        if is_played || !press.down {
            return;
        }
        if press.again
            && !matches!(
                press.key,
                Meaning::Backspace | Meaning::Arrow(_) | Meaning::Side(_)
            )
        {
            return;
        }

        match press.key {
            Meaning::Tab => self.move_focus(if press.shift { -1 } else { 1 }, paper),
            Meaning::Enter => self.enter(paper),
            Meaning::Function(12) => self.act(Act::Invigilator(Do::Open)),
            Meaning::Backspace if is_covered => self.act(Act::Invigilator(Do::RubOut)),
            Meaning::Sign(sign) if is_covered => self.sign_covered(sign),
            Meaning::Arrow(step) | Meaning::Side(step) if is_covered => {
                self.move_focus(i32::from(step), paper);
            }
            Meaning::Function(10) => self.act(Act::AskToStop),
            Meaning::Function(9) => self.act(Act::MoreTime),
            Meaning::Backspace => self.act(Act::RubOut),
            Meaning::Arrow(step) => self.arrow(step, false, paper),
            Meaning::Side(step) => self.arrow(step, true, paper),
            Meaning::Sign(sign) => self.sign(sign),
            Meaning::Function(_) | Meaning::Other => {}
        }
    }

    /// Takes a key as one of the instrument's, where the computer's keys are played on and the
    /// page is one for hands.
    fn plays(&mut self, press: &Press) -> bool {
        if !self.on_computer || press.code.is_empty() {
            return false;
        }
        let for_hands = match &self.screen {
            Screen::Check(check) => check.step != Step::Keyboard,
            Screen::Seat(seat) => seat.item().is_some_and(|item| item.task.for_hands()),
            _ => false,
        };
        let mut keys = self.computer.keys();

        if press.down {
            for_hands && keys.press(&press.code, self.now)
        } else {
            // What went down on one page may come up on the next.
            keys.release(&press.code, self.now)
        }
    }

    /// Lets go of the computer's keys, as when the window loses them.
    pub fn let_go(&mut self) {
        self.fingers.clear();
        self.computer.keys().let_go(self.now);
    }

    /// Takes a press of the pointer. On a piano key it holds the key until it is pressed again, so
    /// that a chord can be played with one finger.
    pub fn point(&mut self, at: Point, paper: Paper) {
        let sheet = self.sheet(paper);

        if let Some(key) = sheet.key_at(at) {
            self.computer.keys().pointer_pin(key, self.now);
        } else if let Some(target) = sheet.hit(at) {
            let act = sheet.targets[target].act;
            self.focus = Some(target);
            self.act(act);
            // In a dictation the same place is another answer then, and Enter is to hand in.
            if matches!(act, Act::Answer(..) | Act::Part(_)) && self.takes_dictation() {
                self.focus = None;
            }
        }
    }

    fn takes_dictation(&self) -> bool {
        let task = match &self.screen {
            Screen::Seat(seat) => seat.item().map(|item| &item.task),
            _ => None,
        };

        matches!(task, Some(Task::Ear(task)) if pages::ear::dictation::is_one(task))
    }

    /// Takes a finger that is laid down; it holds a piano key until it is lifted.
    pub fn touch(&mut self, finger: u64, at: Point, paper: Paper) {
        if let Some(key) = self.sheet(paper).key_at(at) {
            self.computer.keys().pointer_pin(key, self.now);
            let _ = self.fingers.insert(finger, key);
        } else {
            self.point(at, paper);
        }
    }

    /// Takes a finger that is lifted.
    pub fn lift(&mut self, finger: u64) {
        if let Some(key) = self.fingers.remove(&finger) {
            self.computer.keys().pointer_unpin(key, self.now);
        }
    }

    fn enter(&mut self, paper: Paper) {
        let sheet = self.sheet(paper);
        let focused = self.focus.and_then(|focus| sheet.targets.get(focus));
        let act = focused
            .map(|target| target.act)
            .or_else(|| pages::first(self, &sheet));

        if let Some(act) = act {
            self.act(act);
        }
    }

    fn move_focus(&mut self, step: i32, paper: Paper) {
        let count = self.sheet(paper).targets.len() as i32;

        if count > 0 {
            let from = self
                .focus
                .map_or(if step > 0 { -1 } else { 0 }, |focus| focus as i32);
            self.focus = Some((from + step).rem_euclid(count) as usize);
        }
    }

    fn arrow(&mut self, step: i8, across: bool, paper: Paper) {
        match &self.screen {
            Screen::Check(check) if check.step == Step::Level => {
                self.act(if step < 0 { Act::Softer } else { Act::Louder });
            }
            Screen::Seat(seat) => {
                let Some(Task::Ear(task)) = seat.item().map(|item| &item.task) else {
                    return self.move_focus(i32::from(step), paper);
                };
                if task.is_played() {
                    return self.move_focus(i32::from(step), paper);
                }
                let part = pages::ear::part(seat);
                if pages::ear::dictation::is_one(task) {
                    let to = pages::ear::dictation::moved(task, part, step, across);
                    return self.act(Act::Part(to));
                }
                // Arrows go through the options of the part that is being answered.
                let count = task.options.get(part).map_or(0, Vec::len);
                let now = seat.answer.options.get(part).copied().flatten();
                let next = match (now, step) {
                    (None, _) => 0,
                    (Some(now), step) => {
                        (now as i64 + i64::from(step)).rem_euclid(count.max(1) as i64) as usize
                    }
                };
                self.act(Act::Answer(part, next));
            }
            _ => self.move_focus(i32::from(step), paper),
        }
    }

    /// A sign on the invigilator's pages: a row's figure, or text.
    fn sign_covered(&mut self, sign: char) {
        let has_rows = !invigilator::rows(self).is_empty();
        let what = match sign.to_digit(10) {
            Some(figure) if has_rows => {
                match (figure as usize).checked_sub(invigilator::first(self)) {
                    Some(row) => Do::Row(row),
                    None => return,
                }
            }
            _ => Do::Sign(sign),
        };

        self.act(Act::Invigilator(what));
    }

    fn sign(&mut self, sign: char) {
        match &self.screen {
            // The exams to choose from are numbered.
            Screen::Cover => {
                let place = sign.to_digit(10).and_then(|digit| digit.checked_sub(1));
                if let Some(place) = place.map(|place| place as usize)
                    && !self.is_set()
                    && place < self.setup.shelf.len()
                {
                    self.act(Act::Choose(place));
                }
            }
            Screen::SignIn { .. } => self.act(Act::Digit(sign)),
            Screen::End(_) if sign.eq_ignore_ascii_case(&'p') => self.act(Act::Print),
            Screen::End(_) if sign.eq_ignore_ascii_case(&'u') => self.act(Act::Practise),
            Screen::Seat(seat) => {
                let act = match seat.item().map(|item| &item.task) {
                    Some(Task::Ear(_)) => pages::ear::sign(seat, sign),
                    Some(Task::Spell(_)) => pages::spell::sign(sign),
                    None if seat.phase == Phase::Review => pages::feedback::sign(sign),
                    _ => None,
                };
                if let Some(act) = act {
                    self.act(act);
                }
            }
            _ => {}
        }
    }
}
