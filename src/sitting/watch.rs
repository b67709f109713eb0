//! What tells when an open item closes.
//!
//! In a graded exam a candidate may not learn from it what was right. A single voicing is offered
//! 80 ms after it matches, a wrong one once it has settled or is lifted, so the closing 1.5 s later
//! would tell. The item therefore closes when it would have closed whether nothing had matched or
//! every whole chord: two more captures hear the same keys and know how many are asked, but not
//! which. It never closes before the capture that gives the marks. (A key softer and shorter than a graze, struck after an offer,
//! holds the closing up only where it belongs to the chord; nobody can make use of that.)
//!
//! A free run ends when its candidate hands it in, when as many whole chords as it asks have been
//! struck and then nothing for one chord's seconds, or with its last second: none of these depends
//! on which keys were struck. In practice an item closes as soon as it matches.

use std::sync::Arc;

use crate::exam::form::{EarTask, Item, Task};
use crate::exam::script::Exam;
use crate::marking::Event;
use crate::marking::asked::{Asked, Blind};
use crate::marking::capture::Capture;
use crate::marking::event::{Action, KeySet};
use crate::marking::hearing::Clock;
use crate::marking::item::{self, Allowance};
use crate::marking::run;
use crate::time::Time;

const TICK: Time = Time::from_tenths(1);

/// What tells when an open item closes; all times are the item's.
#[derive(Debug)]
pub(super) enum Watch {
    /// A voicing: the capture that marks it, and those that do not know what is asked.
    Voicing(Box<Capture<Arc<Asked>>>, Vec<Capture<Arc<Asked>>>),
    /// A run.
    Run(Run),
    /// Something heard.
    Ear(Clock),
    /// Something written.
    Until(Time),
}

/// What an action brought about.
#[derive(Debug, Default, Clone, Copy, PartialEq, Eq)]
pub(super) struct Brought {
    /// The item is over.
    pub(super) over: bool,
    /// A hearing was granted.
    pub(super) hearing: bool,
}

/// What tells when a run is over.
#[derive(Debug)]
pub(super) struct Run {
    end: Time,
    /// Of a free run: what closes it before its end.
    free: Option<Free>,
}

#[derive(Debug)]
struct Free {
    /// The limit of a chord.
    limit: Time,
    /// How many chords there are, and how many keys the smallest has.
    chords: usize,
    fewest: usize,
    /// A gap after which a strike begins another chord.
    apart: Time,
    held: KeySet,
    last: Option<Time>,
    /// Whole chords struck, and whether the last cluster is among them.
    whole: usize,
    counted: bool,
    /// In practice the run itself, and whether the last strike has been looked at.
    practice: Option<(Box<run::Ready>, bool)>,
}

/// Returns the hearings of an ear item, the candidate's own allowance included.
pub(super) fn hearings(task: &EarTask, allowance: Allowance) -> u8 {
    task.hearings.saturating_add(allowance.hearings)
}

impl Watch {
    /// Begins to watch an item.
    pub(super) fn new(exam: &Exam, item: &Item, allowance: Allowance) -> Self {
        let section = &exam.sections[item.section];
        let scaled = |time: Time| time.scaled(i64::from(allowance.factor), 100);
        let never = Self::Until(Time::ZERO);

        match &item.task {
            Task::Voicing(_) => {
                let rules = item::rules(exam, section, item, allowance);
                match item::asked(item).zip(rules) {
                    Some((asked, rules)) => {
                        let blind = [Blind::Nothing, Blind::Anything]
                            .into_iter()
                            .filter(|_| !rules.practice)
                            .map(|matching| Capture::new(Arc::new(asked.blind(matching)), rules))
                            .collect();
                        Self::Voicing(Box::new(Capture::new(Arc::new(asked), rules)), blind)
                    }
                    None => never,
                }
            }
            Task::Run(_) => item::ready(exam, item, allowance).map_or(never, |ready| {
                Self::Run(Run::new(ready, exam.rules.feedback))
            }),
            Task::Ear(task) => Self::Ear(Clock::new(
                scaled(task.limit),
                task.sound.length,
                hearings(task, allowance),
            )),
            Task::Spell(task) => Self::Until(scaled(task.limit)),
            Task::Panel(_) => never,
        }
    }

    /// Returns the next moment at which something happens by itself.
    pub(super) fn due(&self) -> Option<Time> {
        match self {
            Self::Voicing(capture, blind) => {
                let blind = blind.iter().filter_map(Capture::deadline);
                blind.chain(capture.deadline()).min()
            }
            Self::Run(run) => Some(run.due()),
            Self::Ear(clock) => Some(clock.closes()),
            Self::Until(at) => Some(*at),
        }
    }

    /// Does what is due at a moment, and tells whether the item is over.
    pub(super) fn happen(&mut self, due: Time, events: &[Event]) -> bool {
        match self {
            Self::Voicing(..) => {
                self.advance(due + TICK);
                self.is_closed()
            }
            Self::Run(run) => run.happen(due, events),
            Self::Ear(_) | Self::Until(_) => true,
        }
    }

    /// Takes in what was done.
    pub(super) fn did(&mut self, at: Time, action: &Action) -> Brought {
        let hands_in = matches!(action, Action::HandIn);
        let over = |over| Brought {
            over,
            hearing: false,
        };

        match self {
            Self::Voicing(capture, blind) => {
                capture.event(at, action);
                for blind in blind {
                    blind.event(at, action);
                }
                over(self.is_closed())
            }
            Self::Run(run) => over(run.did(at, action)),
            Self::Ear(clock) => {
                let counts = clock.event(at, action);
                Brought {
                    over: hands_in,
                    hearing: counts && matches!(action, Action::Hear),
                }
            }
            Self::Until(_) => over(hands_in),
        }
    }

    /// Gives more time, and tells whether this item can have any.
    pub(super) fn extend(&mut self, extra: Time) -> bool {
        match self {
            Self::Voicing(capture, blind) => {
                capture.extend(extra);
                for blind in blind {
                    blind.extend(extra);
                }
            }
            Self::Ear(clock) => clock.extend(extra),
            Self::Until(until) => *until += extra,
            // The beats go on, and each chord has its seconds: a run is voided and starts again.
            Self::Run(_) => return false,
        }

        true
    }

    fn advance(&mut self, now: Time) {
        if let Self::Voicing(capture, blind) = self {
            capture.advance(now);
            for blind in blind {
                blind.advance(now);
            }
        }
    }

    fn is_closed(&self) -> bool {
        match self {
            Self::Voicing(capture, blind) => {
                capture.closed().is_some() && blind.iter().all(|blind| blind.closed().is_some())
            }
            _ => false,
        }
    }
}

impl Run {
    fn new(ready: run::Ready, practice: bool) -> Self {
        let fewest = ready.lines.iter().flatten().map(|asked| asked.fewest).min();
        let free = (!ready.in_tempo).then(|| Free {
            limit: ready.timing.beat,
            chords: ready.chords.len(),
            fewest: fewest.unwrap_or(2).max(1),
            apart: ready.rubric.apart,
            held: KeySet::EMPTY,
            last: None,
            whole: 0,
            counted: false,
            practice: None,
        });
        let end = ready.timing.end;
        let free = free.map(|free| Free {
            practice: practice.then(|| (Box::new(ready), true)),
            ..free
        });

        Self { end, free }
    }

    fn due(&self) -> Time {
        let early = self.free.as_ref().and_then(|free| {
            let last = free.last?;
            match &free.practice {
                Some((_, seen)) => (!seen).then(|| last + free.apart + TICK),
                None => (free.whole >= free.chords).then(|| last + free.limit),
            }
        });

        early.map_or(self.end, |early| early.min(self.end))
    }

    fn happen(&mut self, due: Time, events: &[Event]) -> bool {
        let Some((ready, seen)) = self.free.as_mut().and_then(|free| free.practice.as_mut()) else {
            return true;
        };
        *seen = true;

        due >= self.end || {
            let marked = run::mark(ready, events, None);
            marked
                .chords
                .last()
                .is_some_and(|last| last.complete.is_some())
        }
    }

    fn did(&mut self, at: Time, action: &Action) -> bool {
        let Some(free) = &mut self.free else {
            return false;
        };

        match action {
            Action::HandIn => return true,
            Action::Down(key, velocity) if *velocity > 0 => {
                if free.last.is_none_or(|last| at - last > free.apart) {
                    free.counted = false;
                }
                free.held = free.held.with(*key);
                free.last = Some(at);
                if !free.counted && free.held.len() >= free.fewest {
                    free.counted = true;
                    free.whole += 1;
                }
                if let Some((_, seen)) = &mut free.practice {
                    *seen = false;
                }
            }
            Action::Down(key, _) | Action::Up(key) => free.held = free.held.without(*key),
            Action::Pedal(_) | Action::Answer(_) | Action::Hear => {}
        }

        false
    }
}
