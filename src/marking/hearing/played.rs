//! What was played back: tries of steps, and how much of the asked steps is in the one that counts.

use super::Clock;
use crate::exam::form::EarTask;
use crate::fraction::Fraction;
use crate::marking::Event;
use crate::marking::event::Action;
use crate::theory::Key;
use crate::theory::pitch::Pitch;
use crate::time::Time;

/// So long with no key down, and the next key begins another try.
const SILENCE: Time = Time::from_ms(1000);
/// An octave, and how many of them a try may be away.
const OCTAVE: i16 = 12;
const OCTAVES: std::ops::RangeInclusive<i16> = -10..=10;

/// The keys of one step, from low to high.
pub type Step = Vec<u8>;

/// A try: its steps, and when the last key of it was struck.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Try {
    /// The steps.
    pub steps: Vec<Step>,
    /// When the last key was struck, hearings on request set aside.
    pub at: Time,
}

/// Takes keys in while an item is open.
#[derive(Debug, Clone)]
pub struct Take {
    /// How many steps are asked.
    asked: usize,
    /// Whether each key is a step of its own.
    single: bool,
    /// A gap after which a key begins another step.
    apart: Time,
    tries: Vec<Try>,
    down: u128,
    /// When the last key came up, with no other down.
    silent: Option<Time>,
    last: Option<Time>,
    /// Whether the next key begins another try.
    is_new: bool,
}

impl Take {
    /// Begins a take of what an item asks.
    pub fn new(task: &EarTask, apart: Time) -> Self {
        let steps = &task.sound.strikes;

        Self {
            asked: steps.len(),
            single: steps.iter().all(|strike| strike.keys.len() < 2),
            apart,
            tries: Vec::new(),
            down: 0,
            silent: None,
            last: None,
            is_new: true,
        }
    }

    /// Takes in what was done at a moment, `running` on the candidate's clock, while nothing
    /// sounds.
    fn event(&mut self, at: Time, running: Time, action: &Action) {
        match action {
            Action::Down(key, velocity) if *velocity > 0 => self.strike(at, running, *key),
            Action::Down(key, _) | Action::Up(key) => self.release(at, *key),
            Action::Answer(text) if text.trim().is_empty() => {
                self.tries.clear();
                self.is_new = true;
            }
            Action::Answer(_) | Action::Pedal(_) | Action::Hear | Action::HandIn => {}
        }
    }

    fn strike(&mut self, at: Time, running: Time, key: Key) {
        let is_apart = self.single || self.last.is_none_or(|last| at - last > self.apart);
        let was_silent = self.down == 0 && self.silent.is_some_and(|since| at - since >= SILENCE);
        let is_whole = |of: &Try| of.steps.len() >= self.asked;

        if self.is_new || was_silent || is_apart && self.tries.last().is_none_or(is_whole) {
            self.tries.push(Try {
                steps: vec![Step::new()],
                at: running,
            });
        } else if is_apart && let Some(now) = self.tries.last_mut() {
            now.steps.push(Step::new());
        }
        self.is_new = false;
        if let Some(now) = self.tries.last_mut() {
            now.at = running;
            if let Some(step) = now.steps.last_mut()
                && let Err(place) = step.binary_search(&key.number())
            {
                step.insert(place, key.number());
            }
        }
        self.last = Some(at);
        self.down |= 1 << key.number();
        self.silent = None;
    }

    fn release(&mut self, at: Time, key: Key) {
        let was_down = self.down != 0;

        self.down &= !(1 << key.number());
        if was_down && self.down == 0 {
            self.silent = Some(at);
        }
    }

    /// Returns how many steps the try has that is being played.
    pub fn taken(&self) -> usize {
        self.tries.last().map_or(0, |now| now.steps.len())
    }

    /// Returns the try that counts: the last whole one, or else the last.
    fn counts(&self) -> Option<&Try> {
        self.tries
            .iter()
            .rfind(|of| of.steps.len() >= self.asked)
            .or(self.tries.last())
    }
}

/// Takes in all that was done in an item, and returns the clock with it.
pub fn take(
    task: &EarTask,
    apart: Time,
    limit: Time,
    hearings: u8,
    events: &[Event],
) -> (Take, Clock) {
    let mut clock = Clock::new(limit, task.sound.length, hearings);
    let mut take = Take::new(task, apart);

    for event in events {
        let late = event.at > clock.closes();
        let sounds = clock.sounds_at(event.at);
        let running = clock.running(event.at);
        let _ = clock.event(event.at, &event.action);
        // A key that is let go of is let go of while it sounds, too.
        let is_strike = matches!(event.action, Action::Down(_, velocity) if velocity > 0);
        if !(late || sounds && is_strike) {
            take.event(event.at, running, &event.action);
        }
    }

    (take, clock)
}

/// Returns the try that counts with its credit: what of the asked steps is in it in their order,
/// at the octave that suits it best, as a share of the longer of the two.
pub fn counted(task: &EarTask, take: &Take) -> (Option<Try>, Fraction) {
    let Some(of) = take.counts() else {
        return (None, Fraction::new(0, 1));
    };
    let asked = task.steps();
    let common = OCTAVES
        .map(|octave| common(&moved(&asked, octave * OCTAVE), &of.steps))
        .max()
        .unwrap_or(0);
    let longer = asked.len().max(of.steps.len()).max(1);

    (
        Some(of.clone()),
        Fraction::new(common as i64, longer as i64),
    )
}

fn moved(steps: &[Step], by: i16) -> Vec<Vec<i16>> {
    steps
        .iter()
        .map(|step| step.iter().map(|key| i16::from(*key) + by).collect())
        .collect()
}

/// The length of the longest common subsequence.
fn common(asked: &[Vec<i16>], played: &[Step]) -> usize {
    let mut row = vec![0; played.len() + 1];

    for step in asked {
        let mut before = 0;
        for (place, other) in played.iter().enumerate() {
            let above = row[place + 1];
            let same = step.len() == other.len()
                && step
                    .iter()
                    .zip(other)
                    .all(|(key, other)| *key == i16::from(*other));
            row[place + 1] = if same {
                before + 1
            } else {
                above.max(row[place])
            };
            before = above;
        }
    }

    row.last().copied().unwrap_or(0)
}

/// Names steps: keys of a chord with blanks between, steps with commas where there are chords. What
/// was asked is spelled as asked, wherever it is played.
pub fn words(task: &EarTask, steps: &[Step]) -> String {
    let single = steps.iter().all(|step| step.len() < 2);
    let steps: Vec<String> = steps
        .iter()
        .enumerate()
        .map(|(place, step)| {
            let names: Vec<String> = step
                .iter()
                .filter_map(|key| Key::new(i64::from(*key)).ok())
                .map(|key| name(task, place, key))
                .collect();
            names.join(" ")
        })
        .collect();

    steps.join(if single { " " } else { ", " })
}

/// Names a key as it is asked in this step, or else in any.
fn name(task: &EarTask, place: usize, key: Key) -> String {
    let own = task.names.get(place).into_iter();
    let asked = own.chain(task.names.iter()).flatten().copied();

    asked
        .filter_map(|name| Pitch::new(name, key))
        .map(|pitch| pitch.to_string())
        .next()
        .unwrap_or_else(|| key.flat_name())
}

#[cfg(test)]
mod tests;
