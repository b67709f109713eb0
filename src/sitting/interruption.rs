//! What interrupts a sitting: pauses, voided items and what takes their place, added time.

use super::{Effect, Prompt, Sitting, Stage};
use crate::exam::form::{Item, Task};
use crate::time::Time;

impl Sitting {
    /// Stops the clock. An open item has shown its prompt: it is voided and replaced.
    pub(super) fn pause(&mut self, reason: &str, at: Time, effects: &mut Vec<Effect>) {
        if matches!(self.stage, Stage::Ended) {
            return;
        }

        self.note("clock stopped", reason, "", at);
        match &self.stage {
            Stage::Paused(..) => return,
            Stage::Open(open) => match open.what {
                Prompt::Item(_) => self.void(reason, None, at, effects),
                Prompt::WarmUp(_) => {
                    let next = open.what;
                    effects.push(Effect::Closed(next.number()));
                    self.stage = Stage::Waiting {
                        next,
                        due: Some(at),
                    };
                }
                // It counts for nothing: back to what was done.
                Prompt::Again(_) => self.look_at(effects),
            },
            _ => {}
        }
        let stage = std::mem::replace(&mut self.stage, Stage::Ended);
        self.stage = Stage::Paused(Box::new(stage), at);
        effects.push(Effect::ClockStopped);
    }

    /// Lets the clock go on: what was due is due as much later as it stood still.
    pub(super) fn resume(&mut self, at: Time, effects: &mut Vec<Effect>) {
        if !matches!(self.stage, Stage::Paused(..)) {
            return;
        }
        let Stage::Paused(stage, since) = std::mem::replace(&mut self.stage, Stage::Ended) else {
            return;
        };

        let stood = at - since;
        self.stage = match *stage {
            Stage::Waiting { next, due } => Stage::Waiting {
                next,
                due: Some(due.map_or(at, |due| due + stood)),
            },
            Stage::Rest { section, until } => {
                effects.push(Effect::Rest(until + stood));
                Stage::Rest {
                    section,
                    until: until + stood,
                }
            }
            other => other,
        };
        self.note("clock started", "", "", at);
    }

    /// Gives the open item more time.
    pub(super) fn add_time(&mut self, extra: Time, at: Time) {
        let Stage::Open(open) = &mut self.stage else {
            return;
        };
        if extra <= Time::ZERO {
            return;
        }

        let what = open.what;
        let given = open.watch.extend(extra);
        if let (Prompt::Item(_), Some(showing)) = (what, self.showings.last_mut()) {
            if given {
                showing.added += extra;
                let text = format!("{:.1} s", extra.as_seconds());
                self.note("time added", &text, "", at);
            } else {
                let text = "the beats of a run go on; void it, and it starts again";
                self.note("time not added", text, "", at);
            }
        }
    }

    /// Voids the item that is open or was shown last, and puts another in its place; `by` is who
    /// says so, `None` where the clock was stopped and that has been noted.
    pub(super) fn void(
        &mut self,
        reason: &str,
        by: Option<&str>,
        at: Time,
        effects: &mut Vec<Effect>,
    ) {
        let Some(showing) = self
            .showings
            .last_mut()
            .filter(|showing| showing.voided.is_none())
        else {
            return;
        };
        showing.voided = Some(reason.to_owned());
        let number = showing.number;
        let Some(item) = self.form.item(number).cloned() else {
            return;
        };

        self.take_away(at);
        if let Some(by) = by {
            self.note("voided", reason, by, at);
        }
        if let Some(open) = self.open() {
            effects.push(Effect::Closed(open.number()));
        }

        let again = match self.replacement(&item) {
            Some(spare) => spare,
            None => {
                if !matches!(item.task, Task::Run(_)) {
                    self.note("no spare item left", "the item starts again", "", at);
                }
                number
            }
        };
        self.spare.retain(|spare| *spare != again);
        self.queue.push_front(again);
        let gap = self.exam.sections[item.section].gap;
        let waiting = |from: Time| Stage::Waiting {
            next: Prompt::Item(again),
            due: Some(from + gap),
        };
        self.stage = match &self.stage {
            // The clock goes on standing still.
            Stage::Paused(_, since) => Stage::Paused(Box::new(waiting(*since)), *since),
            _ => waiting(at),
        };
    }

    /// A spare item of the same cell that obeys the cold rule between its neighbours: the voided
    /// item, whose prompt was seen, and the one that comes next. A run has none: it starts again.
    fn replacement(&self, item: &Item) -> Option<u32> {
        if matches!(item.task, Task::Run(_)) {
            return None;
        }

        let next = self
            .queue
            .front()
            .and_then(|number| self.form.item(*number))
            .filter(|next| next.section == item.section)
            .and_then(|next| next.task.root());
        let leads = |from: Option<u8>, to: Option<u8>| match (from, to) {
            (Some(from), Some(to)) => from == to || (from + 5) % 12 == to,
            _ => false,
        };

        self.form
            .reserve
            .iter()
            .filter(|spare| self.spare.contains(&spare.number))
            .filter(|spare| spare.section == item.section && spare.cell == item.cell)
            .find(|spare| {
                let root = spare.task.root();
                !leads(item.task.root(), root) && !leads(root, next)
            })
            .map(|spare| spare.number)
    }
}
