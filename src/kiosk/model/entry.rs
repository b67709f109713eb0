//! Signing in, and the form that a candidate is given.

use super::{Kiosk, Screen};
use crate::exam::allot::Class;
use crate::exam::code::Code;
use crate::exam::draw;
use crate::exam::form::{Form, Task};
use crate::exam::script::Pace;
use crate::kiosk::check::{Check, Needs};
use crate::kiosk::desk::Before;
use crate::kiosk::shelf;

impl Kiosk {
    pub(super) fn sign_in(&mut self) {
        let screen = match self.desk.ready() {
            Ok(()) => Screen::SignIn {
                typed: String::new(),
                refused: None,
            },
            Err(why) => Screen::Trouble(why),
        };
        self.turn(screen);
    }

    pub(super) fn signed_in(&mut self) {
        let Screen::SignIn { typed, refused } = &mut self.screen else {
            return;
        };
        let place = self
            .setup
            .roster
            .iter()
            .position(|number| number.eq_ignore_ascii_case(typed));
        if typed.is_empty() {
            return;
        }
        if place.is_none() && !self.setup.roster.is_empty() {
            *refused = Some(std::mem::take(typed));
            return;
        }

        if let Some(place) = place
            && self.handed_in.contains(&self.setup.roster[place])
        {
            *refused = Some(std::mem::take(typed));
            return;
        }
        let number = place.map_or_else(|| typed.clone(), |place| self.setup.roster[place].clone());
        self.focus = None;
        let name = self.shelved().exam.name.clone();
        let before = self.desk.before(&name, &number);
        if let Some(before) = before {
            let again = Some((number.clone(), before));
            // Said once; who signs in all the same goes on, unless they sit elsewhere.
            if self.told != again || before == Before::Sitting {
                self.told = again;
                return;
            }
        }
        self.told = None;
        self.candidate = number;
        let sat = self.desk.sat(&name, &self.candidate);
        let exam = &self.shelved().exam;
        let class = Class {
            first: self.setup.code,
            size: self.setup.roster.len(),
            seats: exam.rules.seats,
        };
        // A form that was allotted beforehand stands on the slip, unless it has been sat since.
        let code = place
            .and_then(|place| *self.setup.forms.get(place)?)
            .filter(|code| !sat.contains(code))
            .unwrap_or_else(|| class.form(place.unwrap_or(0), &sat));
        self.check(code);
    }

    /// Goes on to the check of what a form of the exam needs.
    pub(super) fn check(&mut self, code: Code) {
        match draw::draw(&self.shelved().exam, code) {
            Ok(form) => {
                let needs = needs(&form);
                let check = Check::new(needs, self.setup.level, &self.piano);
                self.form = Some(form);
                self.turn(Screen::Check(Box::new(check)));
            }
            Err(why) => self.turn(Screen::Trouble(why.to_string())),
        }
    }
}

/// What a form needs of the check.
fn needs(form: &Form) -> Needs {
    let any = |is: &dyn Fn(&Task) -> bool| form.items.iter().any(|item| is(&item.task));
    let beats =
        any(&|task| matches!(task, Task::Run(task) if matches!(task.pace, Pace::Tempo { .. })));

    Needs {
        keys: shelf::keys(form),
        sound: beats || any(&|task| matches!(task, Task::Ear(_)) || task.has_bass()),
        beats,
    }
}
