//! From the keys of a run to soundings: clusters of notes, and sets of keys held steady.

use crate::marking::Event;
use crate::marking::capture::APART;
use crate::marking::event::{Action, KeySet};
use crate::time::Time;

/// Keys of the chord before count if still down so long after a cluster's last note.
pub const STILL_DOWN: Time = Time::from_ms(150);

/// Keys struck together, with what was still held of the chord before.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cluster {
    /// The keys that sound.
    pub keys: KeySet,
    /// When the first was struck.
    pub first: Time,
    /// When the last was struck.
    pub last: Time,
    /// The median of the strikes.
    pub onset: Time,
}

/// All that sounded in a run.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Record {
    /// Clusters by the gaps between notes alone.
    pub clusters: Vec<Cluster>,
    notes: Vec<Note>,
    /// For each note in turn the notes still down when it was struck.
    down: Vec<usize>,
    /// Sets reached by lifting keys and then held steady: from, until, keys.
    lifted: Vec<(Time, Time, KeySet)>,
}

#[derive(Debug, Clone, PartialEq, Eq)]
struct Note {
    key: crate::theory::Key,
    on: Time,
    off: Time,
    /// Where the notes still down when this one was struck stand in the record's list.
    before: std::ops::Range<usize>,
}

const NEVER: Time = Time::from_tenths(i64::MAX / 4);

/// Reads a run's events, in the order of their times.
pub fn record(events: &[Event], pedal: bool, ended: Option<Time>) -> Record {
    let mut notes: Vec<Note> = Vec::new();
    let mut sounding: [Option<usize>; 128] = [None; 128];
    let mut held = KeySet::EMPTY;
    let mut sustained = KeySet::EMPTY;
    let mut pedal_down = false;
    let mut down: Vec<usize> = Vec::new();
    let mut lifted: Vec<(Time, Time, KeySet)> = Vec::new();
    let mut open: Option<(Time, KeySet)> = None;

    for event in events {
        let at = event.at;
        if ended.is_some_and(|ended| at > ended) {
            break;
        }
        let mut lift = KeySet::EMPTY;

        match event.action {
            Action::Down(key, velocity) if velocity > 0 => {
                let slot = usize::from(key.number());
                if let Some(note) = sounding[slot].take() {
                    notes[note].off = at;
                }
                if let Some((from, keys)) = open.take() {
                    lifted.push((from, at, keys));
                }
                let first = down.len();
                down.extend(
                    held.without(key)
                        .numbers()
                        .filter_map(|number| sounding[usize::from(number)]),
                );
                sounding[slot] = Some(notes.len());
                notes.push(Note {
                    key,
                    on: at,
                    off: NEVER,
                    before: first..down.len(),
                });
                held = held.with(key);
                sustained = sustained.without(key);
            }
            Action::Down(key, _) | Action::Up(key) => {
                if held.has(key) && pedal && pedal_down {
                    sustained = sustained.with(key);
                } else if held.has(key) {
                    lift = lift.with(key);
                }
            }
            Action::Pedal(value) => {
                pedal_down = value >= 64;
                if pedal && !pedal_down {
                    lift = sustained;
                    sustained = KeySet::EMPTY;
                }
            }
            Action::Answer(_) | Action::Hear | Action::HandIn => {}
        }

        if !lift.is_empty() {
            for number in lift.numbers() {
                if let Some(note) = sounding[usize::from(number)].take() {
                    notes[note].off = at;
                }
            }
            if let Some((from, keys)) = open.take() {
                lifted.push((from, at, keys));
            }
            held = held.minus(lift);
            if !held.is_empty() {
                open = Some((at, held));
            }
        }
    }
    if let Some((from, keys)) = open {
        lifted.push((from, NEVER, keys));
    }

    let mut record = Record {
        clusters: Vec::new(),
        notes,
        down,
        lifted,
    };
    record.clusters = record.cluster(0..record.notes.len());
    record
}

impl Record {
    /// Gathers notes into clusters: a new one after a gap.
    fn cluster(&self, range: std::ops::Range<usize>) -> Vec<Cluster> {
        let mut clusters = Vec::new();
        let mut from = range.start;

        for i in range.clone() {
            let ends = match self.notes.get(i + 1).filter(|_| i + 1 < range.end) {
                Some(next) => next.on - self.notes[i].on > APART,
                None => true,
            };
            if ends {
                clusters.push(self.sound(from, i + 1));
                from = i + 1;
            }
        }

        clusters
    }

    fn sound(&self, from: usize, to: usize) -> Cluster {
        let notes = &self.notes[from..to];
        let last = notes[notes.len() - 1].on;
        let struck = notes
            .iter()
            .fold(KeySet::EMPTY, |keys, note| keys.with(note.key));
        let still = self.down[notes[0].before.clone()]
            .iter()
            .map(|index| &self.notes[*index])
            .filter(|note| note.off > last + STILL_DOWN)
            .fold(KeySet::EMPTY, |keys, note| keys.with(note.key));
        let onset = match notes.len() {
            n if n % 2 == 1 => notes[n / 2].on,
            n => {
                let (a, b) = (notes[n / 2 - 1].on, notes[n / 2].on);
                Time::from_tenths((a.tenths() + b.tenths()).div_euclid(2))
            }
        };

        Cluster {
            keys: struck.union(still),
            first: notes[0].on,
            last,
            onset,
        }
    }

    /// Deals clusters to the slots of beats: slot k runs from beat k − window to beat k + 1 −
    /// window, and a note in a later slot never belongs to an earlier cluster.
    pub fn clusters_by_slot(&self, beats: &[Time], window: Time, end: Time) -> Vec<Vec<Cluster>> {
        let mut slots: Vec<Vec<Cluster>> = vec![Vec::new(); beats.len()];
        let mut from = 0;

        for (k, slot) in slots.iter_mut().enumerate() {
            let begin = beats[k] - window;
            let until = beats.get(k + 1).copied().unwrap_or(end) - window;
            while from < self.notes.len() && self.notes[from].on < begin {
                from += 1;
            }
            let mut to = from;
            while to < self.notes.len() && self.notes[to].on < until {
                to += 1;
            }
            *slot = self.cluster(from..to);
            from = to;
        }

        slots
    }

    /// Returns the sets that were reached by lifting keys and held steady for [`STILL_DOWN`],
    /// beginning after a moment and before another.
    pub fn steady(&self, after: Time, before: Time) -> impl Iterator<Item = KeySet> + '_ {
        self.steady_from(after, before).map(|(_, keys)| keys)
    }

    /// As [`Self::steady`], with the moment each began.
    pub fn steady_from(
        &self,
        after: Time,
        before: Time,
    ) -> impl Iterator<Item = (Time, KeySet)> + '_ {
        let first = self.lifted.partition_point(|(from, ..)| *from < after);

        self.lifted[first..]
            .iter()
            .take_while(move |(from, ..)| *from < before)
            .filter(|(from, until, _)| *until - *from >= STILL_DOWN)
            .map(|(from, _, keys)| (*from, *keys))
    }
}
