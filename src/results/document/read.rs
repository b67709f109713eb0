//! Reading a result back, to mark it again or to play it.

mod by_hand;

use serde::Deserialize;
use thiserror::Error;

use super::{Given, VERSION};
use crate::exam::code::Code;
use crate::exam::form::{Form, GENERATOR, Item, Task};
use crate::exam::script::Exam;
use crate::exam::{self, draw};
use crate::fraction::{self, Fraction};
use crate::marking::Event;
use crate::marking::event::Action;
use crate::marking::item::Allowance;
use crate::sitting::equipment::Equipment;
use crate::sitting::overrule::Overrule;
use crate::sitting::{End, Incident, Showing, Sitting};
use crate::theory::Key;
use crate::time::Time;

/// What is wrong with a result.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum Error {
    /// Not a result file.
    #[error("expected a result of Viva Voicing: {0}")]
    NotAResult(String),
    /// Written by a later program.
    #[error(
        "this result has version {0}, and this program reads up to {VERSION}: use a newer program"
    )]
    TooNew(u32),
    /// The form was drawn by another generator.
    #[error(
        "this form was drawn by generator {found}, and this program has generator {GENERATOR}: \
         mark it with the program version that the result names"
    )]
    Generator {
        /// The generator named in the result.
        found: u32,
    },
    /// The script inside cannot be read.
    #[error("the exam script inside the result has faults: {0}")]
    Script(String),
    /// The form code is wrong.
    #[error("{0}")]
    Form(String),
    /// A line of evidence cannot be read.
    #[error("item {item}: expected a line of evidence such as `1234.5 down 60 80`, found `{line}`")]
    Evidence {
        /// The item's number.
        item: u32,
        /// The line.
        line: String,
    },
    /// What was entered by hand cannot be read.
    #[error("item {item}: expected a mark entered by hand such as `level = 3`, found none")]
    ByHand {
        /// The item's number.
        item: u32,
    },
    /// Another script asks more or fewer items.
    #[error(
        "the sitting had {was} items and would have {would}: the script must ask the same items"
    )]
    Count {
        /// How many there were.
        was: usize,
        /// How many the script would ask.
        would: usize,
    },
    /// Another script asks something else.
    #[error("item {number} was `{was}` and would be `{would}`: the script must ask the same items")]
    Differs {
        /// The item's number.
        number: u32,
        /// What was asked.
        was: String,
        /// What the script would ask.
        would: String,
    },
}

#[derive(Debug, Deserialize)]
struct Raw {
    result: RawResult,
    sitting: RawSitting,
    total: RawTotal,
    #[serde(default)]
    section: Vec<RawSection>,
    #[serde(default)]
    item: Vec<RawItem>,
    #[serde(default)]
    panel: Vec<RawPanel>,
    #[serde(default)]
    overrule: Vec<RawOverrule>,
    #[serde(default)]
    by_hand: Vec<by_hand::Raw>,
    #[serde(default)]
    incident: Vec<RawIncident>,
    exam: RawExam,
}

#[derive(Debug, Deserialize)]
struct RawResult {
    version: u32,
    program: String,
    generator: u32,
}

#[derive(Debug, Deserialize)]
struct RawSitting {
    exam: String,
    form: String,
    candidate: String,
    started: String,
    length_ms: Option<f64>,
    #[serde(default)]
    marked_by_hand_by: Vec<String>,
    ended: String,
    #[serde(default)]
    reason: String,
    instrument: String,
    #[serde(default)]
    instrument_name: String,
    #[serde(default)]
    without_touch: bool,
    #[serde(default)]
    output: String,
    output_delay_ms: Option<f64>,
    lag_spread_ms: Option<f64>,
    #[serde(default)]
    lag_ms: f64,
    time_factor: f64,
    extra_hearings: u8,
}

#[derive(Debug, Deserialize)]
struct RawTotal {
    mark: f64,
    #[serde(default)]
    band: String,
}

#[derive(Debug, Deserialize)]
struct RawSection {
    id: String,
    mark: f64,
    out_of: f64,
}

#[derive(Debug, Deserialize)]
struct RawItem {
    number: u32,
    section: String,
    kind: String,
    prompt: String,
    #[serde(default)]
    voided: bool,
    #[serde(default)]
    voided_because: String,
    #[serde(default)]
    awaited: bool,
    credit: Option<f64>,
    #[serde(default)]
    reasons: Vec<String>,
    shown_ms: Option<f64>,
    zero_ms: Option<f64>,
    ended_ms: Option<f64>,
    #[serde(default)]
    added_ms: f64,
    bass_ms: Option<f64>,
    #[serde(default)]
    evidence: Vec<String>,
}

#[derive(Debug, Deserialize)]
struct RawPanel {
    item: u32,
    credit: String,
    by: String,
}

#[derive(Debug, Deserialize)]
struct RawOverrule {
    item: u32,
    level: u8,
    was: Option<String>,
    reason: String,
    by: String,
    at: String,
}

#[derive(Debug, Deserialize)]
struct RawIncident {
    at_ms: f64,
    item: Option<u32>,
    kind: String,
    text: String,
    by: String,
}

#[derive(Debug, Deserialize)]
struct RawExam {
    digest: String,
    script: String,
}

/// A result as read: the sitting it is of, and the marks it states.
#[derive(Debug)]
pub struct Stored {
    /// The sitting, ready to be marked.
    pub sitting: Sitting,
    /// What stands around it.
    pub given: Given,
    /// The stated total, in hundredths.
    pub mark: String,
    /// The stated band.
    pub band: String,
    /// The stated marks of the sections: short name, mark and points, in hundredths.
    pub sections: Vec<(String, String, String)>,
    /// What is stated of each item, in the order of the file.
    pub items: Vec<Stated>,
    /// The script inside.
    pub script: String,
}

/// What a result states of an item.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stated {
    /// Its number.
    pub number: u32,
    /// Whether it counts: it was not voided.
    pub counts: bool,
    /// Its credit in hundredths; `None` where a person's mark is awaited.
    pub credit: Option<String>,
    /// The first reason.
    pub reason: String,
}

/// Reads a result. `script` takes the place of the script inside, with its text and digest.
///
/// # Errors
/// Says what is missing or cannot be read, and where; or what another script would ask.
pub fn read(text: &str, script: Option<(&Exam, &str, &str)>) -> Result<Stored, Error> {
    let raw: Raw = toml::from_str(text).map_err(|error| {
        let line = error
            .span()
            .map(|span| text[..span.start.min(text.len())].matches('\n').count() + 1)
            .map_or(String::new(), |line| format!("line {line}: "));
        let message = error.message().lines().next().unwrap_or_default();
        Error::NotAResult(format!("{line}{message}"))
    })?;
    if raw.result.version > VERSION {
        return Err(Error::TooNew(raw.result.version));
    }
    if raw.result.generator != GENERATOR {
        return Err(Error::Generator {
            found: raw.result.generator,
        });
    }

    let code = Code::parse(&raw.sitting.form).map_err(|error| Error::Form(error.to_string()))?;
    let drawn =
        |exam: &Exam| draw::draw(exam, code).map_err(|error| Error::Form(error.to_string()));
    let (exam, form) = match script {
        Some((exam, ..)) => {
            let form = drawn(exam)?;
            // A script inside that this program refuses can't say more than the file does.
            let before = inside(&raw).and_then(|exam| drawn(&exam)).ok();
            require_same_items(&raw, exam, &form, before.as_ref())?;
            (exam.clone(), form)
        }
        None => {
            let exam = inside(&raw)?;
            let form = drawn(&exam)?;
            require_same_items(&raw, &exam, &form, None)?;
            (exam, form)
        }
    };

    let allowance = Allowance {
        factor: (raw.sitting.time_factor * 100.0).round() as u32,
        hearings: raw.sitting.extra_hearings,
        lag: ms(raw.sitting.lag_ms),
    };
    let given = Given {
        program: raw.result.program.clone(),
        script: script.map_or_else(|| raw.exam.script.clone(), |(_, text, _)| text.to_owned()),
        digest: script.map_or_else(|| raw.exam.digest.clone(), |(.., digest)| digest.to_owned()),
        candidate: raw.sitting.candidate.clone(),
        started: raw.sitting.started.clone(),
        equipment: Equipment {
            instrument: raw.sitting.instrument.clone(),
            name: raw.sitting.instrument_name.clone(),
            without_touch: raw.sitting.without_touch,
            output: raw.sitting.output.clone(),
            delay: raw.sitting.output_delay_ms.map(ms),
            lag_spread: raw.sitting.lag_spread_ms.map(ms),
        },
        remark: None,
        journal: None,
    };
    let hundredths = |number: f64| format!("{number:.2}");
    let items = raw.item.iter().map(|item| Stated {
        number: item.number,
        counts: !item.voided,
        credit: item.credit.filter(|_| !item.awaited).map(hundredths),
        reason: item.reasons.first().cloned().unwrap_or_default(),
    });
    let sections = raw.section.iter().map(|section| {
        (
            section.id.clone(),
            hundredths(section.mark),
            hundredths(section.out_of),
        )
    });

    Ok(Stored {
        mark: hundredths(raw.total.mark),
        band: raw.total.band.clone(),
        sections: sections.collect(),
        items: items.collect(),
        given,
        script: raw.exam.script.clone(),
        sitting: restore(raw, exam, form, allowance)?,
    })
}

/// Refuses a form that asks other items than those of the file, or than those of the form before.
fn require_same_items(
    raw: &Raw,
    exam: &Exam,
    form: &Form,
    before: Option<&Form>,
) -> Result<(), Error> {
    let count = |form: &Form| form.items.len();
    if let Some(was) = before.map(count).filter(|was| *was != count(form)) {
        return Err(Error::Count {
            was,
            would: count(form),
        });
    }

    for item in &raw.item {
        let was = (
            item.section.as_str(),
            item.kind.as_str(),
            item.prompt.as_str(),
        );
        let now = form.item(item.number);
        let would = now.map(|now| {
            let section = exam.sections[now.section].id.as_str();
            (section, now.task.word(), now.prompt.as_str())
        });
        let sounds_the_same = before
            .and_then(|before| before.item(item.number))
            .zip(now)
            .is_none_or(|(before, now)| sound(before) == sound(now));
        if would == Some(was) && sounds_the_same {
            continue;
        }

        let words = |(section, kind, prompt)| match (kind, sounds_the_same) {
            (_, true) => format!("{section}, {kind}: {prompt}"),
            (_, false) => format!("{section}, {kind}, another sound: {prompt}"),
        };
        return Err(Error::Differs {
            number: item.number,
            was: format!("{}, {}: {}", was.0, was.1, was.2),
            would: would.map_or_else(|| "nothing".to_owned(), words),
        });
    }

    Ok(())
}

/// What an ear item sounds, which its prompt does not tell.
fn sound(item: &Item) -> Option<&exam::sound::Sound> {
    match &item.task {
        Task::Ear(task) => Some(&task.sound),
        _ => None,
    }
}

fn inside(raw: &Raw) -> Result<Exam, Error> {
    let (exam, diagnostics) = exam::read::read(&raw.exam.script, &raw.sitting.exam);

    exam.ok_or_else(|| {
        let first = diagnostics
            .into_iter()
            .next()
            .map(|diagnostic| diagnostic.message)
            .unwrap_or_default();
        Error::Script(first)
    })
}

fn restore(
    raw: Raw,
    exam: Exam,
    form: exam::form::Form,
    allowance: Allowance,
) -> Result<Sitting, Error> {
    let mut showings = Vec::with_capacity(raw.item.len());
    for item in raw.item {
        let Some(shown) = item.shown_ms else {
            continue;
        };
        let events = item
            .evidence
            .iter()
            .map(|line| {
                event(line).ok_or_else(|| Error::Evidence {
                    item: item.number,
                    line: line.clone(),
                })
            })
            .collect::<Result<Vec<_>, _>>()?;
        showings.push(Showing {
            number: item.number,
            shown: ms(shown),
            zero: ms(item.zero_ms.unwrap_or(shown)),
            events,
            ended: item.ended_ms.map(ms),
            added: ms(item.added_ms),
            voided: item.voided.then_some(item.voided_because),
            bass: item.bass_ms.map(ms),
        });
    }
    let end = match raw.sitting.ended.as_str() {
        "complete" => Some(End::Complete),
        "early" => Some(End::Early),
        "stopped" => Some(End::Stopped(raw.sitting.reason)),
        "void" => Some(End::Void(raw.sitting.reason)),
        _ => None,
    };
    let incidents = raw
        .incident
        .into_iter()
        .map(|incident| Incident {
            at: ms(incident.at_ms),
            item: incident.item,
            kind: incident.kind,
            text: incident.text,
            by: if incident.by == "program" {
                String::new()
            } else {
                incident.by
            },
        })
        .collect();
    let panel = raw
        .panel
        .into_iter()
        .filter_map(|panel| Some((panel.item, (credit(&panel.credit)?, panel.by))))
        .collect();
    let overrules = raw
        .overrule
        .into_iter()
        .map(|of| Overrule {
            item: of.item,
            level: of.level.min(4),
            was: of.was.as_deref().and_then(credit),
            reason: of.reason,
            by: of.by,
            at: of.at,
        })
        .collect();

    let by_hand = by_hand::read(raw.by_hand, !raw.sitting.marked_by_hand_by.is_empty())?;

    Ok(Sitting::restored(
        exam,
        form,
        allowance,
        crate::sitting::Past {
            now: raw.sitting.length_ms.map_or(Time::ZERO, ms),
            showings,
            incidents,
            panel,
            overrules,
            by_hand,
            end,
        },
    ))
}

fn credit(text: &str) -> Option<Fraction> {
    let (numerator, denominator) = text.split_once('/')?;

    fraction::of(numerator.parse().ok()?, denominator.parse().ok()?)
}

fn ms(ms: f64) -> Time {
    Time::from_tenths((ms * 10.0).round() as i64)
}

/// Reads a line of evidence, such as `1234.5 down 60 80`; `None` where it is none.
pub fn event(line: &str) -> Option<Event> {
    let (at, rest) = line.split_once(' ')?;
    let at = ms(at.parse().ok()?);
    let (word, rest) = rest.split_once(' ').unwrap_or((rest, ""));
    let key = |text: &str| Key::new(text.parse().ok()?).ok();
    let action = match word {
        "down" => {
            let (number, velocity) = rest.split_once(' ')?;
            Action::Down(key(number)?, velocity.parse().ok()?)
        }
        "up" => Action::Up(key(rest)?),
        "pedal" => Action::Pedal(rest.parse().ok()?),
        "answer" => Action::Answer(rest.to_owned()),
        "hear" => Action::Hear,
        "hand-in" => Action::HandIn,
        _ => return None,
    };

    Some(Event::new(at, action))
}
