//! An item with what was asked and what was played, as data.

use serde::Serialize;

use super::line::{self, Line};
use crate::exam::form::{EarTask, RunTask, SpellTask, Task, VoicingTask};
use crate::exam::script::Pace;
use crate::marking::event::{Action, KeySet};
use crate::marking::item::{self, Marked};
use crate::marking::noted::{Heard, Note};
use crate::marking::{Event, hearing, run, spelling, voicing};
use crate::sitting::Sitting;
use crate::sitting::outcome::ItemOutcome;
use crate::theory::voicing::{Hands, Voicing, spelled};
use crate::theory::{Chord, Degree, Key, symbol};
use crate::time::Time;

/// Keys by name, hand by hand, as inferred from pitch.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub(super) struct ByHand {
    pub(super) left: Vec<String>,
    pub(super) right: Vec<String>,
}

/// A label and what it tells.
pub(super) type Told = (String, String);

/// A chord that was offered.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(super) struct Attempt {
    pub(super) keys: ByHand,
    /// The first key.
    pub(super) first_ms: f64,
    /// The last key.
    pub(super) onset_ms: f64,
    pub(super) spread_ms: f64,
    pub(super) matches: bool,
    pub(super) foreign: u32,
    pub(super) walked: Option<String>,
}

/// A chord of a run.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(super) struct ChordOf {
    pub(super) chord: String,
    pub(super) keys: ByHand,
    pub(super) onset_ms: Option<f64>,
    pub(super) beat_ms: Option<f64>,
    pub(super) complete_ms: Option<f64>,
    pub(super) harmony: &'static str,
    pub(super) voicing: &'static str,
}

/// Something done in an ear or spelling item.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(super) struct Done {
    pub(super) at_ms: f64,
    /// An answer, `heard again` or `handed in`; `played` where that is the answer.
    pub(super) what: &'static str,
    pub(super) answer: Option<String>,
}

/// A level set by a person.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub(super) struct Overruled {
    pub(super) level: u8,
    pub(super) was: Option<String>,
    pub(super) reason: String,
    pub(super) by: String,
    pub(super) at: String,
}

/// An incident of the item.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(super) struct Happened {
    pub(super) at_ms: f64,
    pub(super) kind: String,
    pub(super) text: String,
    pub(super) by: String,
}

/// An item to be looked at.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(super) struct Item {
    #[serde(flatten)]
    pub(super) line: Line,
    pub(super) asked: Vec<Told>,
    pub(super) attempts: Vec<Attempt>,
    pub(super) chords: Vec<ChordOf>,
    pub(super) done: Vec<Done>,
    /// What else was seen.
    pub(super) seen: Vec<Told>,
    pub(super) overruled_by: Vec<Overruled>,
    pub(super) incidents: Vec<Happened>,
}

impl Item {
    pub(super) fn new(sitting: &Sitting, of: &ItemOutcome<'_>) -> Self {
        let number = of.item.number;
        let events = of.showing.map_or(&[][..], |showing| &showing.events);
        let overruled = sitting.overrules().iter().filter(|one| one.item == number);
        let incidents = sitting.incidents().iter();

        Self {
            line: Line::new(sitting, of),
            asked: asked(sitting, of),
            attempts: attempts(sitting, of),
            chords: chords(sitting, of),
            done: done(of, events),
            seen: seen(of, events),
            overruled_by: overruled
                .filter(|_| of.counts())
                .map(|one| Overruled {
                    level: one.level,
                    was: one.was.map(crate::fraction::hundredths),
                    reason: one.reason.clone(),
                    by: one.by.clone(),
                    at: one.at.clone(),
                })
                .collect(),
            incidents: incidents
                .filter(|incident| incident.item == Some(number))
                .map(|incident| Happened {
                    at_ms: incident.at.as_ms(),
                    kind: incident.kind.clone(),
                    text: incident.text.clone(),
                    by: incident.by.clone(),
                })
                .collect(),
        }
    }
}

fn told(label: &str, text: impl Into<String>) -> Told {
    (label.to_owned(), text.into())
}

fn seconds(time: Time) -> String {
    format!("{:.1} s", time.as_seconds())
}

/// What was asked, line by line.
fn asked(sitting: &Sitting, of: &ItemOutcome<'_>) -> Vec<Told> {
    let mut lines = match &of.item.task {
        Task::Voicing(task) => asked_voicing(sitting, task),
        Task::Run(task) => asked_run(sitting, task),
        Task::Ear(task) => asked_ear(task),
        Task::Spell(task) => asked_spelling(sitting, task),
        Task::Panel(task) => vec![told("criterion", task.criterion.clone())],
    };

    if !matches!(of.item.task, Task::Panel(_)) {
        let limit = seconds(line::limit(sitting, of));
        let factor = sitting.allowance().factor;
        let added = of.showing.map_or(Time::ZERO, |showing| showing.added);
        let mut text = limit;
        if factor != 100 {
            text += &format!(", time factor {}.{:02}", factor / 100, factor % 100);
        }
        if added > Time::ZERO {
            text += &format!(", {} of it added in the item", seconds(added));
        }
        lines.push(told("limit", text));
    }
    lines
}

fn asked_voicing(sitting: &Sitting, task: &VoicingTask) -> Vec<Told> {
    let chord = symbol::print(task.chord, sitting.exam().style);
    let root = task.chord.root.class();
    let mut lines = vec![told("chord", chord), told("form", task.form.clone())];

    lines.extend(order(&task.voicing));
    lines.push(told("hands", degrees(&task.voicing.hands)));
    for equal in &task.voicing.equal {
        lines.push(told("or", degrees(equal)));
    }
    lines.extend(register(&task.voicing));
    if let Some(keys) = task.voicing.realise(root) {
        let keys = by_hand(task.chord, &keys, Some(&task.voicing));
        lines.push(told("such as", hand_words(&keys)));
    }
    lines
}

/// Which tone lies on top of the hand that leads.
fn order(voicing: &Voicing) -> Option<Told> {
    let top = voicing.hands.leading().last()?;

    Some(told("order", format!("{} on top", top.words())))
}

fn degrees(hands: &Hands) -> String {
    let list = |of: &[Degree]| {
        let texts: Vec<String> = of.iter().map(ToString::to_string).collect();
        if texts.is_empty() {
            "nothing".to_owned()
        } else {
            texts.join(" ")
        }
    };

    format!("left {}, right {}", list(&hands.left), list(&hands.right))
}

/// Where the hands may lie, where it is not anywhere.
fn register(voicing: &Voicing) -> Option<Told> {
    let register = &voicing.register;
    let name = |key: u8| Key::new(i64::from(key)).map_or_else(|_| key.to_string(), Key::flat_name);
    let parts: Vec<String> = [
        ("lowest key of the left hand", &register.left_lowest),
        ("lowest key of the right hand", &register.right_lowest),
        ("highest key", &register.top),
    ]
    .into_iter()
    .filter_map(|(what, range)| match (*range.start(), *range.end()) {
        (0, 127) => None,
        (from, 127) => Some(format!("{what} from {}", name(from))),
        (0, to) => Some(format!("{what} up to {}", name(to))),
        (from, to) => Some(format!("{what} {} to {}", name(from), name(to))),
    })
    .collect();

    (!parts.is_empty()).then(|| told("register", parts.join(", ")))
}

fn asked_run(sitting: &Sitting, task: &RunTask) -> Vec<Told> {
    let mut lines = vec![told("line", task.name.clone())];
    let form = if task.form.is_empty() {
        "any voicing with third and seventh"
    } else {
        &task.form
    };
    lines.push(told("form", form));
    let starts: Vec<String> = task
        .lines
        .iter()
        .filter_map(|line| order(line.first()?))
        .map(|(_, order)| order)
        .collect();
    if !starts.is_empty() {
        lines.push(told("starts with", starts.join(", or ")));
    }
    let timing = task.timing(sitting.allowance().factor);
    lines.push(match task.pace {
        Pace::Tempo { .. } => {
            let tempo = 60_000.0 / timing.beat.as_ms();
            told("tempo", format!("♩ = {tempo:.0}"))
        }
        Pace::Free { .. } => told("tempo", format!("free, {} a chord", seconds(timing.beat))),
    });
    lines
}

fn asked_ear(task: &EarTask) -> Vec<Told> {
    let mut lines = Vec::new();

    for (place, strike) in task.sound.strikes.iter().enumerate() {
        let keys: Vec<String> = strike
            .keys
            .iter()
            .filter_map(|(key, _)| Key::new(i64::from(*key)).ok())
            .map(Key::flat_name)
            .collect();
        let label = if place == 0 { "sounded" } else { "then" };
        lines.push(told(label, keys.join(" ")));
    }
    if task.right.len() > 2 {
        lines.extend(asked_dictation(task));
        lines.push(told("hearings", task.hearings.to_string()));
        return lines;
    }
    for (options, right) in task.options.iter().zip(task.right.iter()) {
        lines.push(told("options", options.join(", ")));
        let right = options.get(*right).cloned().unwrap_or_default();
        lines.push(told("right", right));
    }
    lines.push(told("hearings", task.hearings.to_string()));
    lines
}

/// The options once, and bass and quality of each chord in one line.
fn asked_dictation(task: &EarTask) -> Vec<Told> {
    let right: Vec<&str> = task
        .right
        .iter()
        .zip(task.options.iter())
        .filter_map(|(right, options)| options.get(*right).map(String::as_str))
        .collect();
    let chords: Vec<String> = right.chunks(2).map(|both| both.join(" ")).collect();
    let options = task.options.iter().zip(["basses", "qualities"]);

    options
        .map(|(options, label)| told(label, options.join(", ")))
        .chain([told("right", chords.join(", "))])
        .collect()
}

fn asked_spelling(sitting: &Sitting, task: &SpellTask) -> Vec<Told> {
    let tones: Vec<String> = task
        .tones
        .iter()
        .map(|(degree, names)| {
            let names: Vec<String> = names.iter().map(ToString::to_string).collect();
            format!("{degree} {}", names.join(" or "))
        })
        .collect();

    vec![
        told("chord", symbol::print(task.chord, sitting.exam().style)),
        told("right", tones.join(", ")),
    ]
}

/// The keys of a chord by hand: as far as pitch tells.
fn by_hand(chord: Chord, keys: &[Key], voicing: Option<&Voicing>) -> ByHand {
    let names: Vec<String> = spelled(chord, keys)
        .iter()
        .map(ToString::to_string)
        .collect();
    let left = voicing.map_or_else(
        || keys.iter().filter(|key| **key < Key::MIDDLE_C).count(),
        |voicing| voicing.hands.left_of(keys),
    );
    let (left, right) = names.split_at(left.min(names.len()));

    ByHand {
        left: left.to_vec(),
        right: right.to_vec(),
    }
}

/// Both hands in words.
pub(super) fn hand_words(keys: &ByHand) -> String {
    let hand = |name: &str, keys: &[String]| match keys {
        [] => format!("{name} nothing"),
        keys => format!("{name} {}", keys.join(" ")),
    };

    if keys.left.is_empty() && keys.right.is_empty() {
        return "nothing".to_owned();
    }
    format!(
        "{}, {}",
        hand("left", &keys.left),
        hand("right", &keys.right)
    )
}

fn attempts(sitting: &Sitting, of: &ItemOutcome<'_>) -> Vec<Attempt> {
    let (Task::Voicing(task), Some(showing)) = (&of.item.task, of.showing) else {
        return Vec::new();
    };

    item::attempts(
        sitting.exam(),
        of.item,
        sitting.allowance(),
        showing.added,
        &showing.events,
        showing.ended,
    )
    .into_iter()
    .map(|attempt| Attempt {
        keys: hands(task.chord, attempt.keys, Some(&task.voicing)),
        first_ms: attempt.first.as_ms(),
        onset_ms: attempt.onset.as_ms(),
        spread_ms: (attempt.onset - attempt.first).as_ms(),
        matches: attempt.matches,
        foreign: attempt.foreign,
        walked: attempt
            .walked
            .map(|chord| symbol::print(chord, sitting.exam().style)),
    })
    .collect()
}

fn hands(chord: Chord, keys: KeySet, voicing: Option<&Voicing>) -> ByHand {
    by_hand(chord, &keys.keys().collect::<Vec<_>>(), voicing)
}

fn chords(sitting: &Sitting, of: &ItemOutcome<'_>) -> Vec<ChordOf> {
    let (Task::Run(task), Marked::Run(marked)) = (&of.item.task, &of.marked) else {
        return Vec::new();
    };
    let allowance = sitting.allowance();
    let beats = task.timing(allowance.factor).late(allowance.lag).beats;
    let step = |step: run::Step| match step {
        run::Step::Right => "right",
        run::Step::Late => "late",
        run::Step::Wrong => "wrong",
    };

    task.chords
        .iter()
        .zip(&marked.chords)
        .enumerate()
        .map(|(place, (asked, mark))| {
            let voicing = task.lines.first().and_then(|line| line.get(place));
            ChordOf {
                chord: symbol::print(asked.chord, sitting.exam().style),
                keys: hands(asked.chord, mark.keys, voicing),
                onset_ms: mark.onset.map(Time::as_ms),
                beat_ms: beats.get(place).copied().map(Time::as_ms),
                complete_ms: mark.complete.map(Time::as_ms),
                harmony: step(mark.harmony),
                voicing: step(mark.voicing),
            }
        })
        .collect()
}

/// What was answered, and when; what is done with keys stands elsewhere.
fn done(of: &ItemOutcome<'_>, events: &[Event]) -> Vec<Done> {
    if !matches!(of.item.task, Task::Ear(_) | Task::Spell(_)) {
        return Vec::new();
    }

    let is_played = of.item.task.for_hands();

    events
        .iter()
        .filter_map(|event| {
            let (what, answer) = match &event.action {
                Action::Down(key, velocity) if is_played && *velocity > 0 => {
                    ("played", Some(key.flat_name()))
                }
                Action::Answer(text) if text.trim().is_empty() => ("withdrawn", None),
                Action::Answer(text) => ("answered", Some(text.clone())),
                Action::Hear => ("heard again", None),
                Action::HandIn => ("handed in", None),
                Action::Down(..) | Action::Up(_) | Action::Pedal(_) => return None,
            };
            Some(Done {
                at_ms: event.at.as_ms(),
                what,
                answer,
            })
        })
        .collect()
}

/// What was seen beside the mark.
fn seen(of: &ItemOutcome<'_>, events: &[Event]) -> Vec<Told> {
    match &of.marked {
        Marked::Voicing(marked) if of.written.is_some() => {
            let complete = marked.facts.complete.map_or_else(
                || "not timed".to_owned(),
                |complete| format!("{}, by the examiner's watch", exact(complete)),
            );
            vec![told("complete", complete)]
        }
        Marked::Ear(hearing::Marked { text, .. })
        | Marked::Spell(spelling::Marked { text, .. })
            if of.written.is_some() =>
        {
            let note = of.written.map_or(&Note::Nothing, |written| &written.note);
            vec![told("counts", noted(note, text.as_deref()))]
        }
        Marked::Voicing(marked) => seen_voicing(marked),
        Marked::Run(marked) => seen_run(marked),
        Marked::Ear(marked) => seen_ear(&of.item.task, marked),
        Marked::Spell(marked) => vec![told(
            "counts",
            marked
                .text
                .clone()
                .unwrap_or_else(|| "no answer".to_owned()),
        )],
        Marked::Panel(_) | Marked::NotReached => Vec::new(),
    }
    .into_iter()
    .chain(pedal(events))
    .collect()
}

/// An answer as an examiner entered it.
fn noted<'a>(note: &Note, text: Option<&'a str>) -> &'a str {
    let is_told = match note {
        Note::Tones(_) => true,
        Note::Heard(parts) => parts.iter().any(|part| matches!(part, Heard::Told(_))),
        _ => false,
    };

    match text {
        Some(text) => text,
        None if is_told => "not noted, only whether it was right",
        None => "no answer",
    }
}

fn seen_voicing(marked: &voicing::Marked) -> Vec<Told> {
    let facts = &marked.facts;
    let mut lines = Vec::new();

    if let Some(first) = facts.first_note {
        lines.push(told("first key", exact(first)));
    }
    if let Some(complete) = facts.complete {
        lines.push(told("complete", exact(complete)));
    }
    if let Some((left, right, chord)) = facts.spread {
        let ms = |time: Time| format!("{:.0}", time.as_ms());
        lines.push(told(
            "spread",
            format!(
                "left {}, right {}, chord {} ms",
                ms(left),
                ms(right),
                ms(chord)
            ),
        ));
    }
    lines.push(told("foreign", keys(facts.foreign)));
    lines.push(told(
        "grazes",
        format!("{}, not counted", keys(facts.grazes)),
    ));
    if facts.restrikes > 0 {
        lines.push(told(
            "again",
            format!("{} struck again", keys(facts.restrikes)),
        ));
    }
    let walked = if facts.walked {
        "yes: found by way of its neighbour in the cycle of fourths"
    } else {
        "no"
    };
    lines.push(told("walked", walked));
    lines
}

fn keys(count: u32) -> String {
    match count {
        0 => "no key".to_owned(),
        1 => "1 key".to_owned(),
        count => format!("{count} keys"),
    }
}

fn exact(time: Time) -> String {
    format!("{:.3} s", time.as_seconds())
}

fn seen_run(marked: &run::Marked) -> Vec<Told> {
    let mut lines: Vec<Told> = marked
        .criteria
        .iter()
        .map(|(name, weight, credit)| {
            let credit = crate::fraction::hundredths(*credit);
            told(name, format!("{credit}, weight {weight}"))
        })
        .collect();
    if let Some(lag) = marked.lag {
        lines.push(told("mean lag", format!("{:.0} ms", lag.as_ms())));
    }

    lines
}

fn seen_ear(task: &Task, marked: &hearing::Marked) -> Vec<Told> {
    let played = match task {
        Task::Ear(task) => hearing::played::words(task, &marked.played),
        _ => String::new(),
    };
    let answer = marked
        .text
        .clone()
        .or_else(|| (!played.is_empty()).then(|| format!("played {played}")))
        .unwrap_or_else(|| "no answer".to_owned());
    let at = marked
        .at
        .map_or_else(String::new, |at| format!(", at {}", exact(at)));

    vec![
        told("counts", answer + &at),
        told("heard", format!("{} in all", marked.hearings)),
    ]
}

fn pedal(events: &[Event]) -> Option<Told> {
    let count = events
        .iter()
        .filter(|event| matches!(event.action, Action::Pedal(depth) if depth >= 64))
        .count();

    (count > 0).then(|| told("pedal", "used"))
}
