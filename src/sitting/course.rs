//! The course of a sitting: pages, prompts, gaps, rests and the end.

use super::watch::Watch;
use super::{Effect, End, Open, Prompt, Showing, Sitting, Stage};
use crate::exam::form::Task;
use crate::exam::script::{Kind, Pace};
use crate::marking;
use crate::marking::event::Action;
use crate::time::Time;

/// Bytes kept of an answer: no answer comes near it, and a performance file keeps as many.
const LONGEST: usize = 1_000;

impl Sitting {
    /// Does what is due at a moment.
    pub(super) fn happen(&mut self, due: Time, effects: &mut Vec<Effect>) {
        match &mut self.stage {
            Stage::Waiting { next, due } => {
                *due = None;
                effects.push(next.show());
            }
            Stage::Rest { section, .. } => {
                let section = *section;
                self.enter(section + 1, due, effects);
            }
            Stage::Open(open) => {
                let events = match open.what {
                    Prompt::Item(_) => self.showings.last().map_or(&[][..], |it| &it.events),
                    Prompt::WarmUp(_) | Prompt::Again(_) => &open.unkept,
                };
                if open.watch.happen(due - open.zero, events) {
                    self.close(due, effects);
                }
            }
            Stage::Before
            | Stage::Page(_)
            | Stage::Review(_)
            | Stage::Paused(..)
            | Stage::Ended => {}
        }
    }

    pub(super) fn go(&mut self, at: Time, effects: &mut Vec<Effect>) {
        let section = match self.stage {
            Stage::Before => return self.call(Prompt::WarmUp(0), effects),
            Stage::Page(section) => section,
            Stage::Review(_) => return self.reviewed(at, effects),
            // Whoever is rested goes on.
            Stage::Rest { section, .. } => return self.enter(section + 1, at, effects),
            _ => return,
        };

        match self.exam.sections.get(section).map(|section| &section.kind) {
            Some(Kind::Rest { length }) => {
                let until = at + *length;
                self.stage = Stage::Rest { section, until };
                effects.push(Effect::Rest(until));
            }
            Some(_) => match self.queue.front() {
                Some(item) if self.section_of(*item) == Some(section) => {
                    self.call(Prompt::Item(*item), effects);
                }
                _ => self.enter(section + 1, at, effects),
            },
            None => self.finish(at, effects),
        }
    }

    /// Asks for a prompt at once.
    pub(super) fn call(&mut self, next: Prompt, effects: &mut Vec<Effect>) {
        self.stage = Stage::Waiting { next, due: None };
        effects.push(next.show());
    }

    /// Comes to a section's first page, or to the end.
    pub(super) fn enter(&mut self, section: usize, at: Time, effects: &mut Vec<Effect>) {
        // A panel's marks are given afterwards: it has no page for the candidate.
        let next = (section..self.exam.sections.len())
            .find(|index| !matches!(self.exam.sections[*index].kind, Kind::Panel(_)));

        match next {
            Some(section) => {
                self.stage = Stage::Page(section);
                effects.push(Effect::Page(section));
            }
            None => self.finish(at, effects),
        }
    }

    pub(super) fn finish(&mut self, at: Time, effects: &mut Vec<Effect>) {
        let end = if self.queue.is_empty() {
            End::Complete
        } else {
            End::Early
        };

        self.take_away(at);
        self.leave(end, effects);
    }

    pub(super) fn stop(&mut self, reason: String, at: Time, effects: &mut Vec<Effect>) {
        const SPARED: [&str; 6] = ["pain", "distress", "unwell", "illness", "ill", "sick"];

        let spared = reason.split(|c: char| !c.is_alphabetic()).any(|word| {
            SPARED
                .iter()
                .any(|spared| word.eq_ignore_ascii_case(spared))
        });

        self.take_away(at);
        self.note("stopped", &reason, "", at);
        self.leave(
            if spared {
                End::Void(reason)
            } else {
                End::Stopped(reason)
            },
            effects,
        );
    }

    fn leave(&mut self, end: End, effects: &mut Vec<Effect>) {
        self.end = Some(end);
        self.stage = Stage::Ended;
        effects.push(Effect::Ended);
    }

    /// Ends an open item at a moment, as when the next prompt appears or the sitting stops.
    pub(super) fn take_away(&mut self, at: Time) {
        if self.open_item().is_some()
            && let Some(showing) = self.showings.last_mut()
        {
            showing.ended = Some(at - showing.zero);
        }
    }

    pub(super) fn show(&mut self, what: Prompt, at: Time, effects: &mut Vec<Effect>) {
        // While the clock stands still nothing is shown; what was due is asked for again after it.
        let Some(item) = self.item(what).cloned() else {
            return;
        };
        if matches!(self.stage, Stage::Paused(..)) || matches!(item.task, Task::Panel(_)) {
            return;
        }
        if matches!(what, Prompt::Again(number) if !self.is_looked_at(number)) {
            return;
        }

        let carried = self.struck_now(at);
        self.take_away(at);
        if let Stage::Open(open) = &self.stage {
            effects.push(Effect::Closed(open.what.number()));
        }

        let zero = match &item.task {
            Task::Ear(task) => at + task.sound.length,
            _ => at,
        };
        if let Prompt::Item(number) = what {
            // Items before it in the queue were passed over; they are not reached.
            if let Some(place) = self.queue.iter().position(|other| *other == number) {
                drop(self.queue.drain(..=place));
            }
            self.spare.retain(|spare| *spare != number);
            self.showings.push(Showing::new(number, at, zero));
        }
        let found = self.pedal_found(item.section);
        let sounds = matches!(item.task, Task::Ear(_));
        self.stage = Stage::Open(Box::new(Open {
            what,
            zero,
            sounds,
            watch: Watch::new(&self.exam, &item, self.allowance),
            unkept: Vec::new(),
        }));
        if sounds {
            effects.push(Effect::Sound(what.number()));
        }
        if let Some(found) = found {
            self.did(found, at, effects);
        }
        for action in carried {
            self.did(action, at, effects);
        }
    }

    /// The pedal as a prompt finds it, for an item whose section lets it prolong keys: where it is
    /// down, or where the evidence so far would have it down.
    fn pedal_found(&self, section: usize) -> Option<Action> {
        let prolongs = match &self.exam.sections[section].kind {
            Kind::Voicing(of) => of.pedal,
            Kind::Run(of) => of.pedal,
            _ => false,
        };
        let matters = self.pedal.max(self.pedal_recorded) >= 64;

        (prolongs && matters).then_some(Action::Pedal(self.pedal))
    }

    /// Takes the keys struck at this very moment from the open item: as in a performance file,
    /// where events of one time have no order, they belong to the item that begins with it.
    fn struck_now(&mut self, at: Time) -> Vec<Action> {
        let Some(showing) = self
            .open_item()
            .and_then(|_| self.showings.last_mut())
            .filter(|showing| showing.shown < at)
        else {
            return Vec::new();
        };
        let now = at - showing.zero;
        let mut carried = Vec::new();

        showing.events.retain(|event| {
            let key = matches!(
                event.action,
                Action::Down(..) | Action::Up(_) | Action::Pedal(_)
            );
            let carry = key && event.at == now;
            if carry {
                carried.push(event.action.clone());
            }
            !carry
        });

        carried
    }

    /// The compulsory hearing has ended: the item's time begins. Of what hands play, the bass under
    /// it has begun, which is told and changes nothing.
    pub(super) fn sounded(&mut self, at: Time) {
        let Stage::Open(open) = &mut self.stage else {
            return;
        };
        let (what, zero) = (open.what, open.zero);
        if self.item(what).is_some_and(|item| item.task.has_bass()) {
            if let (Prompt::Item(_), Some(showing)) = (what, self.showings.last_mut()) {
                let _ = showing.bass.get_or_insert(at - zero);
            }
            return;
        }
        let Stage::Open(open) = &mut self.stage else {
            return;
        };
        if !std::mem::take(&mut open.sounds) {
            return;
        }

        let late = at - open.zero;
        open.zero = at;
        let what = open.what;
        let Some(item) = self.item(what) else {
            return;
        };
        let mut watch = Watch::new(&self.exam, item, self.allowance);
        if let (Prompt::Item(_), Some(showing)) = (what, self.showings.last_mut()) {
            // What was done before keeps its moment, and counts from the new zero.
            showing.zero = at;
            for event in &mut showing.events {
                event.at = event.at - late;
                let _ = watch.did(event.at, &event.action);
            }
            let _ = watch.extend(showing.added);
        }
        if let Stage::Open(open) = &mut self.stage {
            for event in &mut open.unkept {
                event.at = event.at - late;
                let _ = watch.did(event.at, &event.action);
            }
            open.watch = watch;
        }
    }

    pub(super) fn did(&mut self, action: Action, at: Time, effects: &mut Vec<Effect>) {
        if let Action::Pedal(value) = action {
            self.pedal = value;
        }
        let Stage::Open(open) = &mut self.stage else {
            self.trail(action, at);
            return;
        };
        let action = match action {
            Action::Answer(text) => Action::Answer(tidy(&text)),
            other => other,
        };
        let item_time = at - open.zero;
        let what = open.what;
        let brought = open.watch.did(item_time, &action);

        if let (Prompt::Item(_), Some(showing)) = (what, self.showings.last_mut()) {
            if let Action::Pedal(value) = action {
                self.pedal_recorded = value;
            }
            // What is said of the pedal at the very prompt takes the place of what was found there.
            if let ([found], Action::Pedal(_)) = (showing.events.as_slice(), &action)
                && found.at == item_time
                && matches!(found.action, Action::Pedal(_))
            {
                showing.events.clear();
            }
            showing.events.push(marking::Event::new(item_time, action));
        } else if let Stage::Open(open) = &mut self.stage {
            open.unkept.push(marking::Event::new(item_time, action));
        }
        if brought.hearing {
            effects.push(Effect::Sound(what.number()));
        }
        if brought.over {
            self.close(at, effects);
        }
    }

    /// A free run that closed because nothing was played goes on counting until the next prompt:
    /// the candidate may have been thinking, and the closing must not tell what was right.
    fn trail(&mut self, action: Action, at: Time) {
        let waits = matches!(
            self.stage,
            Stage::Waiting { .. } | Stage::Page(_) | Stage::Review(_)
        );
        let Some(showing) = self.showings.last_mut().filter(|_| waits) else {
            return;
        };
        let end = match self.form.item(showing.number).map(|item| &item.task) {
            Some(Task::Run(task)) if matches!(task.pace, Pace::Free { .. }) => {
                task.timing(self.allowance.factor).end
            }
            _ => return,
        };
        let item_time = at - showing.zero;
        let handed_in = matches!(
            showing.events.last().map(|event| &event.action),
            Some(Action::HandIn)
        );
        let counts = matches!(action, Action::Down(..) | Action::Up(_) | Action::Pedal(_));

        if counts && !handed_in && item_time < end && showing.voided.is_none() {
            self.pedal_recorded = self.pedal;
            showing.events.push(marking::Event::new(item_time, action));
        }
    }

    /// The open item has closed: on to the gap, the next section's page or the end.
    fn close(&mut self, at: Time, effects: &mut Vec<Effect>) {
        let Stage::Open(open) = &self.stage else {
            return;
        };
        let what = open.what;
        let Some(section) = self.item(what).map(|item| item.section) else {
            return;
        };
        if self.is_practice() && !matches!(what, Prompt::WarmUp(_)) {
            return self.look_at(effects);
        }
        let next = match what {
            Prompt::WarmUp(place) => Some(place + 1)
                .filter(|place| *place < self.form.warm_ups.len())
                .map(Prompt::WarmUp),
            Prompt::Item(_) => self
                .queue
                .front()
                .filter(|number| self.section_of(**number) == Some(section))
                .map(|number| Prompt::Item(*number)),
            Prompt::Again(_) => None,
        };

        effects.push(Effect::Closed(what.number()));
        match (next, what) {
            (Some(next), _) => {
                let due = Some(at + self.exam.sections[section].gap);
                self.stage = Stage::Waiting { next, due };
            }
            (None, Prompt::WarmUp(_)) => self.enter(0, at, effects),
            (None, _) => self.enter(section + 1, at, effects),
        }
    }
}

/// An answer on one line and of a length that every file keeps.
fn tidy(text: &str) -> String {
    let text: String = text
        .chars()
        .map(|sign| if sign.is_control() { ' ' } else { sign })
        .collect();
    let text = text.trim();

    text[..text.floor_char_boundary(LONGEST)]
        .trim_end()
        .to_owned()
}
