//! The mark of a run of chords: first soundings, criteria, and what is recorded beside them.

pub mod sounding;

#[cfg(test)]
mod tests;

use super::Event;
use super::asked::{Asked, foreign_guide_tones, has_guide_tones};
use super::event::KeySet;
use super::item::Allowance;
use super::reason;
use super::statistics;
use crate::exam::form::{RunTask, Timing};
use crate::exam::script::{Pace, Rubric, Weights};
use crate::fraction::{self, Fraction};
use crate::theory::{Chord, Key, leading, symbol};
use crate::time::Time;
use sounding::{Cluster, Record, Take};

/// A run made ready for marking.
#[derive(Debug, Clone, PartialEq)]
pub struct Ready {
    /// When things are due.
    pub timing: Timing,
    /// The chords.
    pub chords: Vec<Chord>,
    /// What is asked on each chord, a list for each way to start; empty where anything with third
    /// and seventh will do.
    pub lines: Vec<Vec<Asked>>,
    /// In tempo or free.
    pub in_tempo: bool,
    /// The weights of the criteria.
    pub weights: Weights,
    /// Whether the sustain pedal prolongs keys.
    pub pedal: bool,
    /// The figures of the marking rules.
    pub rubric: Rubric,
}

/// How one chord of a run came.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct ChordMark {
    /// Right pitch classes and root: at first sounding, or late.
    pub harmony: Step,
    /// The asked form.
    pub voicing: Step,
    /// The keys of the first sounding.
    pub keys: KeySet,
    /// The keys that matched, at first or later.
    pub matched: Option<KeySet>,
    /// The chord's onset: the median of its first cluster.
    pub onset: Option<Time>,
    /// Free runs: from the start of the slot until it was complete.
    pub complete: Option<Time>,
}

/// Whether something was right at once, late, or not.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub enum Step {
    /// Never.
    #[default]
    Wrong,
    /// Late, or only after a first sounding that was not.
    Late,
    /// At first sounding and in time.
    Right,
}

impl ChordMark {
    /// The keys of the first sounding where it matches the form asked.
    fn at_first(&self) -> Option<KeySet> {
        self.matched.filter(|keys| *keys == self.keys)
    }
}

impl Step {
    const fn halves(self) -> i64 {
        match self {
            Self::Wrong => 0,
            Self::Late => 1,
            Self::Right => 2,
        }
    }
}

/// A marked run.
#[derive(Debug, Clone, PartialEq)]
pub struct Marked {
    /// The credit: the weighted mean of the criteria that apply.
    pub credit: Fraction,
    /// Each criterion: its name, weight and credit.
    pub criteria: Vec<Criterion>,
    /// Why.
    pub reasons: Vec<String>,
    /// The chords one by one.
    pub chords: Vec<ChordMark>,
    /// Mean lead (negative) or lag of the onsets, in tempo.
    pub lag: Option<Time>,
    /// When the item closed.
    pub closed: Time,
}

impl Ready {
    /// Makes a run ready under what the candidate is allowed. The beats of a run in tempo lie where
    /// the candidate taps along with them.
    pub fn new(
        task: &RunTask,
        weights: Weights,
        pedal: bool,
        allowance: Allowance,
        rubric: Rubric,
    ) -> Self {
        Self {
            timing: task.timing(allowance.factor).late(allowance.lag),
            chords: task.chords.iter().map(|placed| placed.chord).collect(),
            lines: task
                .lines
                .iter()
                .map(|line| {
                    line.iter()
                        .zip(&task.chords)
                        .map(|(voicing, placed)| Asked::new(placed.chord, voicing, &[]))
                        .collect()
                })
                .collect(),
            in_tempo: matches!(task.pace, Pace::Tempo { .. }),
            weights,
            pedal,
            rubric,
        }
    }

    /// The pitch classes that are not foreign to a chord.
    fn within(&self, line: usize, k: usize) -> u16 {
        match self.lines.get(line).and_then(|line| line.get(k)) {
            Some(asked) => asked.within,
            None => !foreign_guide_tones(self.chords[k]),
        }
    }

    fn has_classes(&self, line: usize, k: usize, keys: KeySet) -> bool {
        match self.lines.get(line).and_then(|line| line.get(k)) {
            Some(asked) => asked.has_right_classes(keys),
            None => has_guide_tones(self.chords[k], keys),
        }
    }

    fn is_right(&self, line: usize, k: usize, keys: KeySet) -> bool {
        match self.lines.get(line).and_then(|line| line.get(k)) {
            Some(asked) => asked.has_right_classes(keys) && asked.has_right_bass(keys),
            None => has_guide_tones(self.chords[k], keys),
        }
    }

    fn matches(&self, line: usize, k: usize, keys: KeySet) -> bool {
        match self.lines.get(line).and_then(|line| line.get(k)) {
            // The register binds the first chord only.
            Some(asked) => asked.matches(keys, k == 0).is_some(),
            None => has_guide_tones(self.chords[k], keys),
        }
    }
}

/// Marks a run from its events; `ended` is when it was taken away, if before its end.
///
/// Where the start is open, the first chord says which line it is; if it says nothing, the line
/// that the rest fits better counts.
pub fn mark(ready: &Ready, events: &[Event], ended: Option<Time>) -> Marked {
    let count = ready.lines.len().max(1);
    let asked = (0..count)
        .flat_map(|line| (0..ready.chords.len()).map(move |k| (line, k)))
        .map(|(line, k)| ready.within(line, k));
    let take = Take::new(events, ready.pedal, ended, asked, ready.rubric);
    let first = |marked: &Marked| {
        marked
            .chords
            .first()
            .map_or(Step::Wrong, |chord| chord.voicing)
    };

    (0..count)
        .rev()
        .map(|line| mark_line(ready, &take, line, ended))
        .max_by(|a, b| first(a).cmp(&first(b)).then(a.credit.cmp(&b.credit)))
        .expect("there is at least one line")
}

fn mark_line(ready: &Ready, take: &Take, line: usize, ended: Option<Time>) -> Marked {
    let (chords, closed) = if ready.in_tempo {
        (in_tempo(ready, take, line), ready.timing.end)
    } else {
        free(ready, take, line)
    };
    let halves =
        |step: &dyn Fn(&ChordMark) -> Step| chords.iter().map(|chord| step(chord).halves()).sum();
    let (deviation, lag) = deviation(ready, &chords);
    let (criteria, credit) = weighed(
        ready,
        Counts {
            harmony: halves(&|chord| chord.harmony),
            voicing: halves(&|chord| chord.voicing),
            leading: leading_step(ready, line, &chords),
            pace: match ready.in_tempo {
                true => time_step(ready.rubric.time, deviation),
                false => readiness_step(ready, &chords),
            },
        },
    );

    Marked {
        credit,
        reasons: reasons(ready, line, &chords),
        criteria,
        lag,
        closed: ended.map_or(closed, |ended| ended.min(closed)),
        chords,
    }
}

/// What a run comes to before it is weighed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Counts {
    /// Chords with the right notes, in halves: a late one is one half.
    pub harmony: i64,
    /// Chords in the form asked, in halves.
    pub voicing: i64,
    /// The step of voice leading, 0 to 4.
    pub leading: i64,
    /// The step of time, or of readiness in a free run, 0 to 4.
    pub pace: i64,
}

/// A criterion: its name, weight and credit.
pub type Criterion = (&'static str, u32, Fraction);

/// The criteria that apply to a run, and its credit: their weighted mean.
pub fn weighed(ready: &Ready, counts: Counts) -> (Vec<Criterion>, Fraction) {
    let n = ready.chords.len().max(1) as i64;
    let share = |halves: i64| Fraction::new(halves, 2 * n);
    let harmony = share(counts.harmony);
    let step = |step: i64| fraction::product(Fraction::new(step, 4), harmony);
    let weights = ready.weights;
    let mut criteria = vec![("harmony", weights.harmony, harmony)];

    if !ready.lines.is_empty() {
        criteria.push(("voicing", weights.voicing, share(counts.voicing)));
        criteria.push(("voice leading", weights.leading, step(counts.leading)));
    }
    criteria.push(match ready.in_tempo {
        true => ("time", weights.time, step(counts.pace)),
        false => ("readiness", weights.readiness, step(counts.pace)),
    });

    let weights: i64 = criteria
        .iter()
        .map(|(_, weight, _)| i64::from(*weight))
        .sum();
    let credit = fraction::sum(criteria.iter().map(|(_, weight, credit)| {
        fraction::product(Fraction::new(i64::from(*weight), weights.max(1)), *credit)
    }));

    (criteria, credit)
}

/// The least time there is.
const TICK: Time = Time::from_tenths(1);

/// Hears each chord in its beat's slot: slot k runs from beat k − window to beat k + 1 − window.
fn in_tempo(ready: &Ready, take: &Take, line: usize) -> Vec<ChordMark> {
    let beats = &ready.timing.beats;
    let half = ready.timing.beat.scaled(1, 2);
    let window = ready.rubric.window.min(half);

    (0..beats.len())
        .map(|k| {
            let from = beats[k] - window;
            let next = beats.get(k + 1).copied().unwrap_or(ready.timing.end);
            let until = next - window - TICK;
            let record = take.heard(ready.within(line, k));
            let mut clusters = Vec::new();
            let mut after = None;
            while let Some(cluster) = record.next(after, from, until) {
                after = Some(cluster.place);
                clusters.push(cluster);
            }

            judge_chord(ready, record, line, k, &clusters, until, beats[k] + window)
        })
        .collect()
}

/// Judges a chord in tempo by the clusters of its slot; `on_time` is the last moment that is not
/// late.
fn judge_chord(
    ready: &Ready,
    record: &Record,
    line: usize,
    k: usize,
    clusters: &[Cluster],
    until: Time,
    on_time: Time,
) -> ChordMark {
    let Some(first) = clusters.first() else {
        return ChordMark::default();
    };
    let at_once = if first.first > on_time {
        Step::Late
    } else {
        Step::Right
    };
    // A chord that comes right by lifting a key counts as late too.
    let later = clusters[1..]
        .iter()
        .map(|cluster| cluster.keys)
        .chain(record.steady(first.last, until).map(|(_, keys)| keys));
    let matched = if ready.matches(line, k, first.keys) {
        Some(first.keys)
    } else {
        later.clone().find(|keys| ready.matches(line, k, *keys))
    };

    ChordMark {
        harmony: if ready.is_right(line, k, first.keys) {
            at_once
        } else if later.clone().any(|keys| ready.is_right(line, k, keys)) {
            Step::Late
        } else {
            Step::Wrong
        },
        voicing: match matched {
            Some(keys) if keys == first.keys => at_once,
            Some(_) => Step::Late,
            None => Step::Wrong,
        },
        keys: first.keys,
        matched,
        onset: Some(first.onset),
        complete: None,
    }
}

/// Follows a free run: each slot begins where the chord before was completed or given up.
fn free(ready: &Ready, take: &Take, line: usize) -> (Vec<ChordMark>, Time) {
    let limit = ready.timing.beat;
    let first_note = take.heard(ready.within(line, 0)).first();
    let mut start = first_note.map_or(ready.timing.look, |first| first.min(ready.timing.look));
    let mut after = None;
    let mut marks = Vec::with_capacity(ready.chords.len());

    for k in 0..ready.chords.len() {
        let record = take.heard(ready.within(line, k));
        let until = start + limit;
        let mut mark = ChordMark::default();
        let mut seen = 0;
        let mut ends = until;

        while let Some(cluster) = record.next(after, start, until) {
            let is_right = ready.is_right(line, k, cluster.keys);
            let gives_up = !is_right
                && k + 1 < ready.chords.len()
                && ready.has_classes(line, k + 1, cluster.keys);
            if gives_up {
                ends = cluster.first;
                break;
            }

            after = Some(cluster.place);
            seen += 1;
            if seen == 1 {
                mark.keys = cluster.keys;
                mark.onset = Some(cluster.onset);
            }
            let at_once = if seen == 1 { Step::Right } else { Step::Late };
            if mark.voicing == Step::Wrong && ready.matches(line, k, cluster.keys) {
                mark.voicing = at_once;
                mark.matched = Some(cluster.keys);
            }
            if is_right {
                mark.harmony = at_once;
                mark.complete = Some(cluster.last - start);
                ends = cluster.last;
                break;
            }

            // A chord that comes right by lifting a key counts as late too.
            let before = record
                .next(after, start, until)
                .map_or(until, |following| following.first - TICK);
            let lifted = record
                .steady(cluster.last, before)
                .find(|(_, keys)| ready.is_right(line, k, *keys));
            if let Some((at, keys)) = lifted {
                mark.harmony = Step::Late;
                mark.complete = Some(at - start);
                if ready.matches(line, k, keys) {
                    mark.voicing = Step::Late;
                    mark.matched = Some(keys);
                }
                ends = at;
                break;
            }
        }

        start = ends;
        marks.push(mark);
    }

    (marks, start)
}

/// Mean absolute distance from the beat and mean lead or lag, in tenths of a millisecond as exact
/// fractions: numerator and denominator, and the lag.
fn deviation(ready: &Ready, chords: &[ChordMark]) -> (Option<(i64, i64)>, Option<Time>) {
    if !ready.in_tempo {
        return (None, None);
    }

    let offsets: Vec<i64> = chords
        .iter()
        .zip(&ready.timing.beats)
        .filter_map(|(chord, beat)| Some((chord.onset? - *beat).tenths()))
        .collect();
    let n = offsets.len() as i64;
    if n == 0 {
        return (None, None);
    }

    let sum: i64 = offsets.iter().sum();
    // |x − sum/n| summed is |n·x − sum| summed over n, and the mean of that over n again.
    let total: i64 = offsets.iter().map(|offset| (n * offset - sum).abs()).sum();
    let share = (total, n * n * ready.timing.beat.tenths());

    (Some(share), Some(Time::from_tenths(sum / n)))
}

/// The step, 4 to 1, whose bound is the first to hold.
fn step_within(bounds: [u32; 3], holds: impl Fn(i64) -> bool) -> i64 {
    bounds
        .into_iter()
        .zip([4, 3, 2])
        .find(|(bound, _)| holds(i64::from(*bound)))
        .map_or(1, |(_, step)| step)
}

fn time_step(bounds: [u32; 3], deviation: Option<(i64, i64)>) -> i64 {
    let Some((part, whole)) = deviation else {
        return 0;
    };

    step_within(bounds, |percent| part * 100 <= whole * percent)
}

fn readiness_step(ready: &Ready, chords: &[ChordMark]) -> i64 {
    let limit = ready.timing.beat;
    let mut times: Vec<Time> = chords
        .iter()
        .map(|chord| chord.complete.unwrap_or(limit))
        .collect();
    let Some(median) = statistics::median(&mut times) else {
        return 0;
    };

    step_within(ready.rubric.readiness, |percent| {
        median.scaled(100, 1) <= limit.scaled(percent, 1)
    })
}

/// The step of voice leading: semitones moved over the least possible, over neighbouring pairs
/// that both match; one displacement of the whole hand by an octave is free.
fn leading_step(ready: &Ready, line: usize, chords: &[ChordMark]) -> i64 {
    let mut moved = 0i64;
    let mut least = 0i64;
    let mut pairs = 0;
    let mut free = 0i64;

    for k in 1..chords.len() {
        let (Some(from), Some(to)) = (chords[k - 1].at_first(), chords[k].at_first()) else {
            continue;
        };
        let (from, _) = leading_hand(ready, line, k - 1, from);
        let (to, asked) = leading_hand(ready, line, k, to);
        let classes: Vec<u8> = to.iter().map(|key| key.class()).collect();
        let step = i64::from(leading::movement(&from, &to));

        pairs += 1;
        moved += step;
        least += i64::from(match asked {
            Some(asked) if asked.voicing.open => {
                leading::least_open(&from, &classes, asked.voicing.span)
            }
            _ => leading::nearest(&from, &classes).map_or(0, |(_, moved)| moved),
        });
        for shift in [-12, 12] {
            let shifted: Option<Vec<Key>> = to
                .iter()
                .map(|key| Key::new(i64::from(key.number()) + shift).ok())
                .collect();
            if let Some(shifted) = shifted {
                free = free.max(step - i64::from(leading::movement(&from, &shifted)));
            }
        }
    }

    if pairs == 0 {
        return 0;
    }

    let moved = moved - free;
    step_within(ready.rubric.leading, |percent| {
        moved * 100 <= least * percent
    })
}

/// The keys of the hand that leads, the right, or the left where it is alone, and what was asked.
fn leading_hand(ready: &Ready, line: usize, k: usize, keys: KeySet) -> (Vec<Key>, Option<&Asked>) {
    let all: Vec<Key> = keys.keys().collect();
    let asked = ready.lines.get(line).and_then(|line| line.get(k));
    // What may be left out may be of the right hand: the shape that was played tells.
    let right = asked
        .and_then(|asked| Some(&asked.shapes[asked.matches(keys, k == 0)?]))
        .map_or(0, |shape| shape.classes.len() - shape.left);

    if right > 0 {
        (all[all.len().saturating_sub(right)..].to_vec(), asked)
    } else {
        (all, asked)
    }
}

fn reasons(ready: &Ready, line: usize, chords: &[ChordMark]) -> Vec<String> {
    const MOST: usize = 6;

    let n = chords.len();
    let right = chords
        .iter()
        .filter(|chord| chord.harmony == Step::Right)
        .count();
    let mut out = vec![format!("{right} of {n} chords right at first sounding")];
    let mut more = 0;

    for (k, chord) in chords.iter().enumerate() {
        let printed = symbol::print(ready.chords[k], symbol::Style::DEFAULT);
        let asked = ready.lines.get(line).and_then(|line| line.get(k));
        let text = match (chord.harmony, chord.voicing) {
            (Step::Right, Step::Right) => continue,
            (Step::Right, _) => match asked {
                Some(asked) => format!("{printed}: {}", reason::wrong_place(asked, chord.keys)),
                None => continue,
            },
            (Step::Late, Step::Wrong) => format!("{printed}: late, and not in the form asked"),
            (Step::Late, _) => format!("{printed}: late"),
            (Step::Wrong, _) if chord.keys.is_empty() => format!("{printed}: not played"),
            (Step::Wrong, _) => match asked {
                Some(asked) if asked.has_right_classes(chord.keys) => {
                    format!("{printed}: {}", reason::wrong_place(asked, chord.keys))
                }
                Some(asked) => format!("{printed}: {}", reason::wrong_notes(asked, chord.keys)),
                None => format!("{printed}: third or seventh not there, or another beside it"),
            },
        };
        if out.len() <= MOST {
            out.push(text);
        } else {
            more += 1;
        }
    }
    if more > 0 {
        out.push(format!("and {more} more"));
    }

    out
}
