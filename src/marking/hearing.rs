//! The mark of an ear item: the last answer given in time, part by part.

pub mod played;

use super::Event;
use super::event::Action;
use crate::exam::form::EarTask;
use crate::exam::item::same_answer;
use crate::fraction::Fraction;
use crate::time::Time;

/// The time between two hearings of one item.
pub const BETWEEN: Time = Time::from_ms(3000);

/// A marked ear item.
#[derive(Debug, Clone, PartialEq)]
pub struct Marked {
    /// The credit: each part an equal share.
    pub credit: Fraction,
    /// Why.
    pub reasons: Vec<String>,
    /// What was answered, a part each; `None` where nothing was, or no such option.
    pub answered: Vec<Option<usize>>,
    /// The parts of which it is told alone that they were wrong, by their places: a person noted no
    /// more.
    pub untold: Vec<usize>,
    /// The answer as given.
    pub text: Option<String>,
    /// Hearings used, the compulsory one included; 0 where nobody counted them.
    pub hearings: u8,
    /// The steps of the try that counts, where it was played back.
    pub played: Vec<played::Step>,
    /// When the counted answer was given, hearings on request set aside.
    pub at: Option<Time>,
    /// When the item closed.
    pub closed: Time,
}

/// The clock of an ear item: it stands still while a hearing on request sounds.
#[derive(Debug, Clone)]
pub struct Clock {
    limit: Time,
    sound: Time,
    hearings: u8,
    used: u8,
    stopped: Time,
    sounds_until: Time,
    handed_in: Option<Time>,
}

impl Clock {
    /// Begins at the end of the compulsory hearing.
    pub const fn new(limit: Time, sound: Time, hearings: u8) -> Self {
        Self {
            limit,
            sound,
            hearings,
            used: 1,
            stopped: Time::ZERO,
            sounds_until: Time::ZERO,
            handed_in: None,
        }
    }

    /// Returns the moment after which nothing counts any more.
    pub fn closes(&self) -> Time {
        self.handed_in.unwrap_or(self.limit + self.stopped)
    }

    /// Gives more time.
    pub fn extend(&mut self, extra: Time) {
        self.limit += extra;
    }

    /// Tells whether a hearing sounds at a moment.
    pub fn sounds_at(&self, at: Time) -> bool {
        at < self.sounds_until
    }

    /// Returns how many hearings have been used.
    pub const fn used(&self) -> u8 {
        self.used
    }

    /// Tells whether a hearing can be asked for at a moment.
    pub fn may_hear(&self, at: Time) -> bool {
        self.used < self.hearings && at <= self.closes() && at >= self.sounds_until
    }

    /// Takes an event in and tells whether it counts.
    pub fn event(&mut self, at: Time, action: &Action) -> bool {
        if at > self.closes() {
            return false;
        }

        match action {
            Action::Hear if self.may_hear(at) => {
                self.used += 1;
                self.stopped += self.sound;
                self.sounds_until = at + self.sound;
                true
            }
            Action::HandIn => {
                self.handed_in = Some(at);
                true
            }
            Action::Answer(_) => true,
            _ => false,
        }
    }

    /// Returns a moment's time on the candidate's clock.
    pub fn running(&self, at: Time) -> Time {
        at - self.stopped
    }
}

/// Marks an ear item from its events; `apart` is the gap after which a key begins another chord.
pub fn mark(task: &EarTask, limit: Time, hearings: u8, apart: Time, events: &[Event]) -> Marked {
    if task.is_played() {
        return back(task, limit, hearings, apart, events);
    }
    let mut clock = Clock::new(limit, task.sound.length, hearings);
    let mut given: Option<(&str, Time)> = None;

    for event in events {
        if !clock.event(event.at, &event.action) {
            continue;
        }
        if let Action::Answer(text) = &event.action {
            given = (!text.trim().is_empty()).then(|| (text.as_str(), clock.running(event.at)));
        }
    }

    let parts = task.answers.len().max(1);
    let texts: Vec<String> = match given {
        Some((text, _)) if parts > 1 => split(text),
        Some((text, _)) => vec![text.to_owned()],
        None => Vec::new(),
    };
    let told: Vec<Part<'_>> = texts
        .iter()
        .map(|text| match text.as_str() {
            "" => Part::Nothing,
            text => Part::Text(text),
        })
        .collect();

    Marked {
        text: given.map(|(text, _)| text.to_owned()),
        hearings: clock.used(),
        at: given.map(|(_, at)| at),
        closed: clock.closes(),
        ..judge(task, &told)
    }
}

/// What there is of the answer to a part.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Part<'a> {
    /// The answer.
    Text(&'a str),
    /// There was none.
    Nothing,
    /// A person told whether it was right, and no more.
    Told(bool),
}

/// Marks the parts of an answer; of those that are not there nothing was answered. What only a
/// clock can tell is left open.
pub fn judge(task: &EarTask, given: &[Part<'_>]) -> Marked {
    let parts = task.answers.len().max(1);
    let part = |part: usize| given.get(part).copied().unwrap_or(Part::Nothing);
    let right = |place: usize| match part(place) {
        Part::Text(text) => task
            .answers
            .get(place)
            .is_some_and(|accepted| accepted.iter().any(|answer| same_answer(answer, text))),
        Part::Told(right) => right,
        Part::Nothing => false,
    };
    let count = (0..parts).filter(|part| right(*part)).count();
    let answered = (0..parts)
        .map(|place| match part(place) {
            _ if right(place) => task.right.get(place).copied(),
            Part::Text(text) => task
                .options
                .get(place)?
                .iter()
                .position(|option| same_answer(option, text)),
            Part::Nothing | Part::Told(_) => None,
        })
        .collect();

    Marked {
        credit: Fraction::new(count as i64, parts as i64),
        reasons: if parts > QUESTIONS {
            dictated(task, &part, &right)
        } else {
            (0..parts)
                .map(|place| reason(task, place, part(place), right(place)))
                .collect()
        },
        answered,
        untold: (0..parts)
            .filter(|place| part(*place) == Part::Told(false))
            .collect(),
        text: None,
        hearings: 0,
        played: Vec::new(),
        at: None,
        closed: task.limit,
    }
}

/// Marks what was played back by how many steps were right in their order, and no more is told.
pub fn counted(task: &EarTask, right: usize) -> Marked {
    let asked = task.steps();
    let right = right.min(asked.len());
    let reason = match right {
        _ if right == asked.len() => "Right".to_owned(),
        _ => format!(
            "{right} of {} right, in their order: it was {}",
            asked.len(),
            played::words(task, &asked)
        ),
    };

    Marked {
        credit: Fraction::new(right as i64, asked.len().max(1) as i64),
        reasons: vec![reason],
        answered: Vec::new(),
        untold: Vec::new(),
        text: None,
        hearings: 0,
        played: Vec::new(),
        at: None,
        closed: task.limit,
    }
}

/// Marks what was played back.
fn back(task: &EarTask, limit: Time, hearings: u8, apart: Time, events: &[Event]) -> Marked {
    let (take, clock) = played::take(task, apart, limit, hearings, events);
    let (of, credit) = played::counted(task, &take);
    let asked = task.steps();
    let is_right = credit == Fraction::new(1, 1);
    let whole = asked.len();
    let right = crate::fraction::product(credit, Fraction::new(whole as i64, 1));
    let reasons = match &of {
        None => vec![format!(
            "Nothing was played: it was {}",
            played::words(task, &asked)
        )],
        Some(_) if is_right => vec!["Right".to_owned()],
        Some(of) => vec![
            format!("{right} of {whole} right, in their order"),
            format!(
                "Played {} for {}",
                played::words(task, &of.steps),
                played::words(task, &asked)
            ),
        ],
    };

    Marked {
        credit,
        reasons,
        answered: Vec::new(),
        untold: Vec::new(),
        text: None,
        at: of.as_ref().map(|of| of.at),
        played: of.map_or_else(Vec::new, |of| of.steps),
        hearings: clock.used(),
        closed: clock.closes(),
    }
}

/// More parts than so many are the chords of a dictation.
const QUESTIONS: usize = 2;

/// Parts stand in order with a stroke between that has blanks, or nothing, on both sides; any of
/// them may be left out.
fn split(text: &str) -> Vec<String> {
    let is_blank = |sign: Option<char>| sign.is_none_or(char::is_whitespace);
    let mut parts = Vec::new();
    let mut from = 0;

    for (at, _) in text.match_indices('/') {
        let (before, after) = (&text[..at], &text[at + 1..]);
        if is_blank(before.chars().next_back()) && is_blank(after.chars().next()) {
            parts.push(text[from..at].trim().to_owned());
            from = at + 1;
        }
    }
    parts.push(text[from..].trim().to_owned());

    parts
}

/// How many basses and qualities are right, then each chord that is not.
fn dictated<'a>(
    task: &EarTask,
    given: &impl Fn(usize) -> Part<'a>,
    right: &impl Fn(usize) -> bool,
) -> Vec<String> {
    let chords = task.answers.len() / 2;
    let count = |part: usize| (0..chords).filter(|chord| right(2 * chord + part)).count();
    let wrong = (0..chords)
        .filter(|chord| !right(2 * chord) || !right(2 * chord + 1))
        .map(|chord| {
            let both = [2 * chord, 2 * chord + 1];
            let given = both.map(|part| match given(part) {
                Part::Text(text) => text.trim(),
                Part::Told(true) => key(task, part),
                Part::Told(false) | Part::Nothing => "–",
            });
            let key = both.map(|part| key(task, part));
            format!(
                "Chord {}: {} for {}",
                chord + 1,
                given.join(" "),
                key.join(" ")
            )
        });

    std::iter::once(format!(
        "Bass {} of {chords}, quality {} of {chords}",
        count(0),
        count(1)
    ))
    .chain(wrong)
    .collect()
}

/// The right option of a part.
fn key(task: &EarTask, part: usize) -> &str {
    task.options
        .get(part)
        .zip(task.right.get(part))
        .and_then(|(options, right)| options.get(*right))
        .map_or("", String::as_str)
}

fn reason(task: &EarTask, part: usize, given: Part<'_>, right: bool) -> String {
    let key = key(task, part);

    match given {
        _ if right => "Right".to_owned(),
        Part::Text(text) => format!("{} for {key}", text.trim()),
        Part::Told(_) => format!("Wrong: it was {key}"),
        Part::Nothing => format!("No answer: it was {key}"),
    }
}

#[cfg(test)]
mod tests;
