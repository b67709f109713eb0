//! From the keys of a run to soundings: clusters of notes, and sets of keys held steady.

use crate::exam::script::Rubric;
use crate::marking::Event;
use crate::marking::event::{Action, KeySet};
use crate::time::Time;

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
    /// The place of the last strike among the run's events.
    pub place: usize,
}

/// All that was played in a run, ready to be heard as any of its chords hears it.
///
/// Which soft touches are grazes depends on the chord that is asked, so there is a record for
/// each set of pitch classes whose touches do not count; mostly that is the empty set alone.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Take {
    /// The pitch classes that were touched softly and shortly.
    touched: u16,
    records: Vec<(u16, Record)>,
}

impl Take {
    /// Reads a run's events, in the order of their times; `asked` are the pitch classes that are
    /// not foreign to a chord, for each of the chords.
    pub fn new(
        events: &[Event],
        pedal: bool,
        ended: Option<Time>,
        asked: impl IntoIterator<Item = u16>,
        rubric: Rubric,
    ) -> Self {
        let events = match ended {
            Some(ended) => &events[..events.partition_point(|event| event.at <= ended)],
            None => events,
        };
        let touches = touches(events, ended, rubric);
        let touched = touches.iter().fold(0, |set, touch| set | 1 << touch.class);
        let mut records: Vec<(u16, Record)> = Vec::new();

        for within in asked {
            let dropped = touched & !within;
            if records.iter().all(|(known, _)| *known != dropped) {
                let mut left_out = vec![false; events.len()];
                for touch in &touches {
                    if dropped & 1 << touch.class != 0 {
                        left_out[touch.strike] = true;
                        left_out[touch.release] = true;
                    }
                }
                records.push((dropped, record(events, pedal, &left_out, rubric)));
            }
        }

        Self { touched, records }
    }

    /// Returns what a chord hears to which these pitch classes are not foreign; it must be one of
    /// those that the take was made for.
    pub fn heard(&self, within: u16) -> &Record {
        let dropped = self.touched & !within;

        self.records
            .iter()
            .find(|(known, _)| *known == dropped)
            .map_or(&self.records[0].1, |(_, record)| record)
    }
}

/// A key struck so softly and shortly that it is a graze where it is foreign: the places of both
/// events, and its pitch class.
struct Touch {
    strike: usize,
    release: usize,
    class: u8,
}

/// What cannot be decided before the end does not count against the candidate.
fn touches(events: &[Event], ended: Option<Time>, rubric: Rubric) -> Vec<Touch> {
    let mut soft: [Option<usize>; 128] = [None; 128];
    let mut touches = Vec::new();

    for (place, event) in events.iter().enumerate() {
        let (key, velocity) = match event.action {
            Action::Down(key, velocity) => (key, velocity),
            Action::Up(key) => (key, 0),
            _ => continue,
        };
        let slot = usize::from(key.number());
        // A key struck again has been lifted unseen.
        if let Some(strike) = soft[slot].take()
            && event.at - events[strike].at < rubric.graze_held
        {
            touches.push(Touch {
                strike,
                release: if velocity == 0 { place } else { strike },
                class: key.class(),
            });
        }
        if (1..rubric.graze_velocity).contains(&velocity) {
            soft[slot] = Some(place);
        }
    }
    for strike in soft.into_iter().flatten() {
        let event = &events[strike];
        if let (Some(ended), Action::Down(key, _)) = (ended, &event.action)
            && ended - event.at < rubric.graze_held
        {
            touches.push(Touch {
                strike,
                release: strike,
                class: key.class(),
            });
        }
    }

    touches
}

/// What sounded in a run, for one chord to hear.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Record {
    rubric: Rubric,
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
    /// Where it stands among the events.
    place: usize,
    /// Where the notes still down when this one was struck stand in the record's list.
    before: std::ops::Range<usize>,
}

const NEVER: Time = Time::from_tenths(i64::MAX / 4);

fn record(events: &[Event], pedal: bool, left_out: &[bool], rubric: Rubric) -> Record {
    let mut notes: Vec<Note> = Vec::new();
    let mut sounding: [Option<usize>; 128] = [None; 128];
    let mut held = KeySet::EMPTY;
    let mut sustained = KeySet::EMPTY;
    let mut pedal_down = false;
    let mut down: Vec<usize> = Vec::new();
    let mut lifted: Vec<(Time, Time, KeySet)> = Vec::new();
    let mut open: Option<(Time, KeySet)> = None;

    for (place, event) in events.iter().enumerate() {
        let at = event.at;
        let mut lift = KeySet::EMPTY;
        let action = match event.action {
            // A key that was down already has been lifted unseen.
            Action::Down(key, _) if left_out[place] => &Action::Up(key),
            _ if left_out[place] => continue,
            _ => &event.action,
        };

        match *action {
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
                    place,
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

    Record {
        rubric,
        notes,
        down,
        lifted,
    }
}

impl Record {
    /// Returns when the first key was struck.
    pub fn first(&self) -> Option<Time> {
        self.notes.first().map(|note| note.on)
    }

    /// Returns the next cluster after a place among the events, of notes from a moment on and
    /// not later than another: a note in a later slot never belongs to an earlier cluster.
    pub fn next(&self, after: Option<usize>, from: Time, until: Time) -> Option<Cluster> {
        let begin = self
            .notes
            .partition_point(|note| after.is_some_and(|after| note.place <= after))
            .max(self.notes.partition_point(|note| note.on < from));
        let first = self.notes.get(begin).filter(|note| note.on <= until)?;
        let mut last = first.on;
        let more = self.notes[begin + 1..]
            .iter()
            .take_while(|note| {
                let together = note.on <= until && note.on - last <= self.rubric.apart;
                last = note.on;
                together
            })
            .count();

        Some(self.sound(begin, begin + 1 + more))
    }

    fn sound(&self, from: usize, to: usize) -> Cluster {
        let notes = &self.notes[from..to];
        let last = &notes[notes.len() - 1];
        let struck = notes
            .iter()
            .fold(KeySet::EMPTY, |keys, note| keys.with(note.key));
        let still = self.down[notes[0].before.clone()]
            .iter()
            .map(|index| &self.notes[*index])
            .filter(|note| note.off > last.on + self.rubric.still_down)
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
            last: last.on,
            onset,
            place: last.place,
        }
    }

    /// Returns the sets that were reached by lifting keys and held steady for [`Rubric::still_down`],
    /// beginning at a moment or after it and not later than another, with the moment each began.
    pub fn steady(
        &self,
        from: Time,
        until: Time,
    ) -> impl Iterator<Item = (Time, KeySet)> + Clone + '_ {
        let first = self.lifted.partition_point(|(began, ..)| *began < from);

        self.lifted[first..]
            .iter()
            .take_while(move |(began, ..)| *began <= until)
            .filter(|(began, ended, _)| *ended - *began >= self.rubric.still_down)
            .map(|(began, _, keys)| (*began, *keys))
    }
}
