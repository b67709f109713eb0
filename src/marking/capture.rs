//! Capture of a single voicing: from keys struck and released to chords offered as attempts.
//!
//! One state machine serves the live sitting, a replay and a re-mark. Its deadlines lie strictly
//! before the event that passes them, so an event at the very moment of a deadline still counts,
//! and live and replayed runs agree to the last tenth of a millisecond. Only a set that has been
//! held for all of the settling time is offered before what then happens to it.

use std::collections::VecDeque;
use std::ops::Deref;

use super::asked::Asked;
use super::event::{Action, KeySet};
use crate::exam::script::Rubric;
use crate::theory::{Chord, Key};
use crate::time::Time;

/// The rules of one item.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Rules {
    /// How many attempts there are.
    pub tries: u8,
    /// A set unchanged for so long is an attempt.
    pub settle: Time,
    /// Whether the item closes as soon as it matches.
    pub practice: bool,
    /// Whether the sustain pedal prolongs keys.
    pub pedal: bool,
    /// The time limit T, time factor included.
    pub limit: Time,
    /// When the item closes at the latest.
    pub closes: Time,
    /// The figures of the marking rules.
    pub rubric: Rubric,
}

impl Rules {
    /// Returns the rules of an item that was given more time.
    pub fn extended(self, extra: Time) -> Self {
        Self {
            limit: self.limit + extra,
            closes: self.closes + extra,
            ..self
        }
    }
}

/// One chord offered.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Attempt {
    /// The keys.
    pub keys: KeySet,
    /// When the last of them was struck.
    pub onset: Time,
    /// When the first of them was struck.
    pub first: Time,
    /// When the chord was offered.
    pub offered: Time,
    /// Whether it matches what is asked.
    pub matches: bool,
    /// Foreign keys struck since the prompt, grazes set aside.
    pub foreign: u32,
    /// The neighbour in the cycle that was played before, if any.
    pub walked: Option<Chord>,
}

/// The capture of one item.
#[derive(Debug, Clone)]
pub struct Capture<A> {
    asked: A,
    rules: Rules,
    /// Keys that count as held: H(t).
    held: KeySet,
    /// Keys that the pedal alone prolongs.
    sustained: KeySet,
    pedal_down: bool,
    onsets: [Time; 128],
    velocities: [u8; 128],
    last_struck: Option<Time>,
    last_changed: Time,
    /// The set since the last strike that had as many keys as a whole chord, and whether
    /// something was released since.
    whole: Option<KeySet>,
    released: bool,
    /// A match waiting for its gather time to pass.
    pending: Option<(Time, Found)>,
    /// The largest set since the last offer.
    largest: Option<Found>,
    /// Whether a key was struck since the last offer.
    fresh: bool,
    attempts: Vec<Attempt>,
    closing: Option<Time>,
    closed: Option<Time>,
    foreign: u32,
    grazes: u32,
    /// Events that wait until a soft foreign key before them is known to be a graze or not.
    waiting: VecDeque<Waiting>,
    /// How many events have left `waiting`, so that places in it can be named for good.
    taken: usize,
    /// The place of the soft foreign strike that each key is down with.
    soft: [Option<usize>; 128],
    restrikes: u32,
    struck: KeySet,
    /// The first neighbour in the cycle that was found on the way, and its keys.
    walked: Option<(Chord, KeySet)>,
    first_note: Option<Time>,
    releases: [Option<Time>; 128],
}

/// An event on its way in.
#[derive(Debug, Clone, Copy)]
struct Waiting {
    at: Time,
    action: Touch,
    weight: Weight,
}

/// A key or the pedal moved.
#[derive(Debug, Clone, Copy)]
enum Touch {
    Strike(Key, u8),
    Release(Key),
    Pedal(bool),
}

/// Whether an event counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Weight {
    Counts,
    /// A soft foreign strike that may be a graze.
    Open,
    /// A graze, or the end of one.
    Graze,
}

/// A set of keys with the times of its first and last onset.
#[derive(Debug, Clone, Copy)]
struct Found {
    keys: KeySet,
    first: Time,
    last: Time,
}

impl<A: Deref<Target = Asked>> Capture<A> {
    /// Begins an item at its prompt. Keys down at the prompt do not count until struck again.
    pub fn new(asked: A, rules: Rules) -> Self {
        Self {
            asked,
            rules,
            held: KeySet::EMPTY,
            sustained: KeySet::EMPTY,
            pedal_down: false,
            onsets: [Time::ZERO; 128],
            velocities: [0; 128],
            last_struck: None,
            last_changed: Time::ZERO,
            whole: None,
            released: false,
            pending: None,
            largest: None,
            fresh: false,
            attempts: Vec::new(),
            closing: None,
            closed: None,
            foreign: 0,
            grazes: 0,
            waiting: VecDeque::new(),
            taken: 0,
            soft: [None; 128],
            restrikes: 0,
            struck: KeySet::EMPTY,
            walked: None,
            first_note: None,
            releases: [None; 128],
        }
    }

    /// Tells when the item closed.
    pub const fn closed(&self) -> Option<Time> {
        self.closed
    }

    /// Returns the chords offered so far.
    pub fn attempts(&self) -> &[Attempt] {
        &self.attempts
    }

    /// Returns the keys held now.
    pub const fn held(&self) -> KeySet {
        self.held
    }

    /// Returns how many grazes were set aside.
    pub const fn grazes(&self) -> u32 {
        self.grazes
    }

    /// Returns how many asked keys were struck again.
    pub const fn restrikes(&self) -> u32 {
        self.restrikes
    }

    /// Returns how many foreign keys were struck, grazes set aside.
    pub const fn foreign(&self) -> u32 {
        self.foreign
    }

    /// Returns when the first key was struck.
    pub const fn first_note(&self) -> Option<Time> {
        self.first_note
    }

    /// Returns when a key was last struck.
    pub fn onset(&self, key: u8) -> Time {
        self.onsets[usize::from(key & 127)]
    }

    /// Returns the velocity with which a key was last struck.
    pub fn velocity(&self, key: u8) -> u8 {
        self.velocities[usize::from(key & 127)]
    }

    /// Returns when a key was last released.
    pub fn release(&self, key: u8) -> Option<Time> {
        self.releases[usize::from(key & 127)]
    }

    /// Gives more time: the limit and the latest closing come so much later.
    pub fn extend(&mut self, extra: Time) {
        self.rules = self.rules.extended(extra);
    }

    /// Returns the next moment at which something happens by itself.
    pub fn deadline(&self) -> Option<Time> {
        match self.waiting.front() {
            // A soft key is decided at the latest when it has been held too long for a graze.
            Some(head) if self.closed.is_none() => {
                let decided = head.at + self.rules.rubric.graze_held;
                self.due()
                    .map(|due| if due < head.at { due } else { decided })
            }
            _ => self.due(),
        }
    }

    fn due(&self) -> Option<Time> {
        if self.closed.is_some() {
            return None;
        }

        [
            self.pending.map(|(at, _)| at + self.rules.rubric.gather),
            self.settles(),
            self.closing,
            Some(self.rules.closes),
        ]
        .into_iter()
        .flatten()
        .min()
    }

    fn settles(&self) -> Option<Time> {
        (self.fresh && self.held.len() >= self.asked.fewest && !self.held.is_empty())
            .then(|| self.last_changed + self.rules.settle)
    }

    /// Lets time pass up to a moment: everything due strictly before it happens, and what has
    /// settled by then.
    pub fn advance(&mut self, now: Time) {
        self.take_in(now);
        // What an undecided key comes after may not happen before it is decided.
        let until = self.waiting.front().map_or(now, |head| head.at.min(now));
        self.run_to(until);
    }

    fn run_to(&mut self, now: Time) {
        while self.closed.is_none()
            && let Some(due) = self.due()
            && (due < now || due == now && self.settles() == Some(due))
        {
            self.happen(due);
        }
    }

    /// Does what is due at a moment; an offer comes before a closing.
    fn happen(&mut self, due: Time) {
        if let Some((at, found)) = self.pending
            && at + self.rules.rubric.gather == due
        {
            self.pending = None;
            self.offer(found, due);
        } else if self.settles() == Some(due) {
            let found = self.found(self.held);
            self.offer(found, due);
        } else {
            self.close(due);
        }
    }

    /// Takes an event in. Events must come in the order of their times.
    pub fn event(&mut self, at: Time, action: &Action) {
        self.advance(at);

        if self.closed.is_some() {
            return;
        }

        let action = match action {
            Action::Down(key, velocity) if *velocity > 0 => Touch::Strike(*key, *velocity),
            Action::Down(key, _) | Action::Up(key) => Touch::Release(*key),
            Action::Pedal(value) => Touch::Pedal(*value >= 64),
            Action::Answer(_) | Action::Hear | Action::HandIn => return,
        };
        let weight = self.weigh(at, action);

        if self.waiting.is_empty() && weight == Weight::Counts {
            self.touch(at, action);
        } else {
            self.waiting.push_back(Waiting { at, action, weight });
        }
    }

    /// Tells whether a soft foreign key has come, or one that was down is now known as a graze.
    fn weigh(&mut self, at: Time, action: Touch) -> Weight {
        match action {
            Touch::Strike(key, velocity) => {
                let slot = usize::from(key.number());
                // A key struck again has been lifted unseen.
                let _ = self.settle_soft(slot, at);
                let foreign = self.asked.within & 1 << key.class() == 0;
                if foreign && velocity < self.rules.rubric.graze_velocity {
                    self.soft[slot] = Some(self.taken + self.waiting.len());
                    Weight::Open
                } else {
                    Weight::Counts
                }
            }
            Touch::Release(key) => self.settle_soft(usize::from(key.number()), at),
            Touch::Pedal(_) => Weight::Counts,
        }
    }

    /// Tells what became of a key that was down with a soft strike: a graze or not.
    fn settle_soft(&mut self, slot: usize, lifted: Time) -> Weight {
        let place = self.soft[slot]
            .take()
            .and_then(|place| place.checked_sub(self.taken));
        let Some(strike) = place.and_then(|place| self.waiting.get_mut(place)) else {
            return Weight::Counts;
        };

        strike.weight = if lifted - strike.at < self.rules.rubric.graze_held {
            Weight::Graze
        } else {
            Weight::Counts
        };
        strike.weight
    }

    /// Takes in what waits, up to the first soft key that may still be a graze.
    fn take_in(&mut self, now: Time) {
        while self.closed.is_none()
            && let Some(head) = self.waiting.front().copied()
        {
            let long_held = now - head.at >= self.rules.rubric.graze_held;
            if head.weight == Weight::Open && !long_held {
                return;
            }
            let _ = self.waiting.pop_front();
            self.taken += 1;
            let action = match (head.weight, head.action) {
                (Weight::Graze, Touch::Strike(key, _)) => {
                    self.grazes += 1;
                    // A key that was down already has been lifted unseen.
                    self.held.has(key).then_some(Touch::Release(key))
                }
                (Weight::Graze, _) => None,
                (_, action) => Some(action),
            };
            let Some(action) = action else {
                continue;
            };
            self.run_to(head.at);
            if self.closed.is_none() {
                self.touch(head.at, action);
            }
        }
    }

    fn touch(&mut self, at: Time, action: Touch) {
        match action {
            Touch::Strike(key, velocity) => self.strike(at, key, velocity),
            Touch::Release(key) => self.release_key(at, key),
            Touch::Pedal(down) => self.pedal(at, down),
        }
    }

    fn strike(&mut self, at: Time, key: Key, velocity: u8) {
        // Something was released and a new chord begins: the one before was an attempt.
        if self.released
            && self.fresh
            && let Some(keys) = self.whole
            && self
                .last_struck
                .is_some_and(|last| at - last > self.rules.rubric.apart)
        {
            let found = self.found(keys);
            self.note_found(at);
            self.offer(found, at);
            if self.closed.is_some() {
                return;
            }
        }

        // A held key struck again has been lifted unseen: the set is new from here.
        self.note_found(at);
        self.last_changed = at;
        if self.asked.within & 1 << key.class() == 0 {
            self.foreign += 1;
        } else if self.struck.has(key) {
            self.restrikes += 1;
        }

        let slot = usize::from(key.number());
        self.onsets[slot] = at;
        self.velocities[slot] = velocity;
        self.releases[slot] = None;
        self.held = self.held.with(key);
        self.sustained = self.sustained.without(key);
        self.struck = self.struck.with(key);
        self.whole = self.asked.is_whole(self.held).then_some(self.held);
        self.released = false;
        self.last_struck = Some(at);
        let _ = self.first_note.get_or_insert(at);
        self.fresh = true;
        self.closing = None;

        let found = self.found(self.held);
        if self
            .largest
            .is_none_or(|largest| largest.keys.len() <= found.keys.len())
        {
            self.largest = Some(found);
        }
        self.pending = self.asked.matches(self.held, true).map(|_| (at, found));
    }

    fn release_key(&mut self, at: Time, key: Key) {
        if !self.held.has(key) || self.sustained.has(key) {
            return;
        }

        self.releases[usize::from(key.number())] = Some(at);
        if self.rules.pedal && self.pedal_down {
            self.sustained = self.sustained.with(key);
            return;
        }
        self.lift(at, KeySet::EMPTY.with(key));
    }

    fn pedal(&mut self, at: Time, down: bool) {
        let lifted = self.pedal_down && !down;
        self.pedal_down = down;

        if self.rules.pedal && lifted && !self.sustained.is_empty() {
            let keys = self.sustained;
            self.sustained = KeySet::EMPTY;
            self.lift(at, keys);
        }
    }

    fn lift(&mut self, at: Time, keys: KeySet) {
        self.note_found(at);
        self.held = self.held.minus(keys);
        self.last_changed = at;
        self.released = true;

        // A match reached by lifting keys counts only once it has settled.
        if self.whole.is_none()
            && self.asked.is_whole(self.held)
            && self.asked.matches(self.held, true).is_none()
        {
            self.whole = Some(self.held);
        }

        let enough = self.asked.fewest.saturating_sub(1).max(2);
        if self.held.len() <= 1
            && self.fresh
            && let Some(largest) = self.largest
            && largest.keys.len() >= enough
        {
            self.offer(largest, at);
        }
    }

    /// Before H changes: notes whether it was held long enough to count as found on the way.
    fn note_found(&mut self, now: Time) {
        if now - self.last_changed >= self.rules.rubric.found && !self.held.is_empty() {
            self.note_neighbour(self.held);
        }
    }

    fn note_neighbour(&mut self, keys: KeySet) {
        if self.walked.is_none() {
            self.walked = self.asked.neighbour(keys).map(|chord| (chord, keys));
        }
    }

    fn found(&self, keys: KeySet) -> Found {
        let onsets = keys
            .numbers()
            .map(|number| self.onsets[usize::from(number)]);

        Found {
            keys,
            first: onsets.clone().min().unwrap_or_default(),
            last: onsets.max().unwrap_or_default(),
        }
    }

    fn offer(&mut self, found: Found, at: Time) {
        let matches = self.asked.matches(found.keys, true).is_some();
        self.attempts.push(Attempt {
            keys: found.keys,
            onset: found.last,
            first: found.first,
            offered: at,
            matches,
            foreign: self.foreign,
            walked: self
                .walked
                .filter(|(_, keys)| *keys != found.keys)
                .map(|(chord, _)| chord),
        });

        self.note_neighbour(found.keys);
        self.fresh = false;
        self.pending = None;
        self.largest = None;
        self.struck = KeySet::EMPTY;

        if self.attempts.len() >= usize::from(self.rules.tries) || self.rules.practice && matches {
            self.closed = Some(at);
        } else if !self.rules.practice {
            self.closing = Some(at + self.rules.rubric.closing);
        }
    }

    /// Closes the item: what is held, or waiting as a match, is the last attempt.
    pub fn close(&mut self, at: Time) {
        if self.closed.is_some() {
            return;
        }

        // What cannot be decided any more does not count against the candidate.
        for waiting in &mut self.waiting {
            if waiting.weight == Weight::Open {
                waiting.weight = Weight::Graze;
            }
        }
        self.take_in(at);
        self.run_to(at);
        if self.closed.is_some() {
            return;
        }

        self.note_found(at);
        if self.fresh {
            if let Some((_, found)) = self.pending {
                self.offer(found, at);
            } else if !self.held.is_empty() {
                let found = self.found(self.held);
                self.offer(found, at);
            }
        }
        self.closed = Some(at);
    }
}
