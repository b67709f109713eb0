//! `sit`: sit an exam from a performance file or a table of marks, and store the result.

use std::path::{Path, PathBuf};

use chrono::{DateTime, SecondsFormat, Utc};
use clap::Args;

use super::{End, Fault, complain, disk, load, replay, say};
use crate::exam::draw;
use crate::exam::form::{GENERATOR, Task};
use crate::exam::script::Exam;
use crate::fraction::Fraction;
use crate::instruments::keyboard::Kind;
use crate::instruments::performance::{self, Performance};
use crate::marking::item::Allowance;
use crate::results::document::{self, Given};
use crate::results::seal;
use crate::sitting::equipment::Equipment;
use crate::sitting::journal::Writer;
use crate::sitting::outcome::outcome;
use crate::sitting::{Event, Sitting, resume, wire};
use crate::time::Time;

mod by_hand;
mod summary;

/// Sit an exam from a performance file, or from marks entered by hand, and store the result
///
/// Prints the mark summary and where the result is. Nothing is overwritten: each sitting gives a
/// new file. Give the same time factor and extra hearings as the candidate had.
#[derive(Debug, Args)]
pub(super) struct Arguments {
    /// The exam script; with --resume the one in the journal is used
    #[arg(value_name = "EXAM", required_unless_present = "resume")]
    exam: Option<PathBuf>,
    /// The performance: a Standard MIDI File with markers `item N`
    #[arg(long, value_name = "FILE", required_unless_present_any = ["resume", "by_hand"])]
    performance: Option<PathBuf>,
    /// In place of a performance: the marks that an examiner at a piano entered in the table of
    /// `form --by-hand`; needs the examiner's name there or in --by
    #[arg(long, value_name = "FILE.csv", conflicts_with_all = ["performance", "resume", "journal", "lag", "panel"])]
    by_hand: Option<PathBuf>,
    /// The form code; otherwise the one named in the performance or table, or the first of the first
    /// set
    #[arg(long, value_name = "CODE")]
    form: Option<String>,
    /// The candidate's number; never a name
    #[arg(long, value_name = "ID", default_value = "unknown")]
    candidate: String,
    /// When the sitting began; now if absent
    #[arg(long, value_name = "RFC3339")]
    started: Option<String>,
    /// The folder that results go to
    #[arg(long, value_name = "DIR", default_value = "results")]
    results: PathBuf,
    /// The time factor that the candidate is allowed, such as 1.25
    #[arg(long, value_name = "FACTOR", default_value_t = 1.0)]
    time_factor: f64,
    /// Hearings that the candidate is allowed beyond those of the exam
    #[arg(long, value_name = "N", default_value_t = 0)]
    extra_hearings: u8,
    /// How late the candidate taps along with beats, in ms, early being negative: removed from runs
    /// in tempo
    #[arg(
        long,
        value_name = "MS",
        default_value_t = 0.0,
        allow_negative_numbers = true
    )]
    lag: f64,
    /// A person's mark for a panel item, as share of its points: `70=0.8`; needs --by
    #[arg(long, value_name = "ITEM=SHARE", requires = "by")]
    panel: Vec<String>,
    /// Who gives the panel's marks, or those entered by hand
    #[arg(long, value_name = "NAME")]
    by: Option<String>,
    /// Journal every event as a live sitting does, synced before it counts
    #[arg(long, value_name = "FILE", conflicts_with = "resume")]
    journal: Option<PathBuf>,
    /// Take up a sitting from its journal: the item that was open is voided and replaced
    #[arg(long, value_name = "JOURNAL", conflicts_with_all = ["exam", "form", "candidate", "started", "time_factor", "extra_hearings", "lag"])]
    resume: Option<PathBuf>,
    /// Print the mark summary as JSON
    #[arg(long)]
    json: bool,
}

/// The longest lag that is believed, either way, in ms: a tap further from its beat belongs to
/// another (half a beat at 150 a minute).
const LAG_MS: f64 = 200.0;

/// A sitting on its way, and what stands around it.
struct Room {
    sitting: Sitting,
    given: Given,
    journal: Option<disk::JournalFile>,
    writer: Writer,
    offset: Time,
}

pub(super) fn run(arguments: &Arguments) -> Result<End, Fault> {
    if let Some(table) = &arguments.by_hand {
        return finish(arguments, &by_hand::room(arguments, table)?);
    }
    let performance = match &arguments.performance {
        Some(path) => Some(read_performance(path, arguments.resume.is_some())?),
        None => None,
    };
    let mut room = match &arguments.resume {
        Some(journal) => resume(journal)?,
        None => begin(arguments, performance.as_ref())?,
    };
    let marks = panel(arguments, &room.sitting)?;
    if let Some(performance) = &performance {
        compare(performance, &room.sitting);
    }

    {
        let Room {
            sitting,
            journal,
            writer,
            offset,
            ..
        } = &mut room;
        let mut record = |at: Time, event: &Event| keep(journal, writer, at, event);
        for event in marks {
            record(sitting.now(), &event)?;
            drop(sitting.update(event, sitting.now()));
        }
        match &performance {
            Some(performance) => replay::play(sitting, performance, *offset, &mut record)?,
            None => replay::finish(sitting, &mut record)?,
        }
    }

    unreached(&room.sitting);
    if room.journal.is_some() {
        room.given.journal = Some(room.writer.head());
    }

    finish(arguments, &room)
}

/// Stores the result and says what it comes to.
fn finish(arguments: &Arguments, room: &Room) -> Result<End, Fault> {
    let text = document::write(&room.sitting, &room.given);
    let path = store(&arguments.results, room, &text)?;
    let outcome = outcome(&room.sitting);
    let digest = seal::audit(&text)
        .map(|verified| seal::short(&verified.head))
        .map_err(|fault| Fault::new(format_args!("the result was not sealed: {fault}")))?;

    if arguments.json {
        say(&summary::json(room, &outcome, &path, &digest)?);
    } else {
        say(&summary::text(room, &outcome, &path, &digest));
    }

    Ok(End::Fine)
}

fn read_performance(path: &Path, goes_on: bool) -> Result<Performance, Fault> {
    let bytes = load::bytes(path)?;
    let read = if goes_on {
        performance::read_on
    } else {
        performance::read
    };
    let performance =
        read(&bytes).map_err(|error| Fault::new(format_args!("{}: {error}", path.display())))?;

    for note in &performance.notes {
        complain(&format!("{}: note: {note}", path.display()));
    }

    Ok(performance)
}

/// Says where a performance names another exam or form than the one it is marked as.
fn compare(performance: &Performance, sitting: &Sitting) {
    let exam = &sitting.exam().name;
    let code = sitting.form().code;

    if let Some(named) = performance.exam.as_ref().filter(|named| *named != exam) {
        complain(&format!(
            "note: the performance says that it is of exam {named}, it is marked as {exam}"
        ));
    }
    if let Some(named) = &performance.form
        && load::code(Some(named)).is_ok_and(|named| named != code)
    {
        complain(&format!(
            "note: the performance says that it is of form {named}, it is marked as form {code}"
        ));
    }
}

fn begin(arguments: &Arguments, performance: Option<&Performance>) -> Result<Room, Fault> {
    let path = arguments.exam.as_deref().unwrap_or(Path::new(""));
    let (exam, source) = load::exam(path)?;
    let named = performance.and_then(|performance| performance.form.as_deref());
    let code = load::code(arguments.form.as_deref().or(named))?;
    let factor = factor(&exam, arguments.time_factor)?;
    let form = draw::draw(&exam, code)?;
    let given = Given {
        program: env!("CARGO_PKG_VERSION").to_owned(),
        digest: load::digest(&source),
        candidate: candidate(&arguments.candidate)?,
        started: started(arguments.started.as_deref())?,
        equipment: Equipment {
            instrument: Kind::Performance.words().to_owned(),
            ..Equipment::default()
        },
        script: source,
        remark: None,
        journal: None,
    };
    let allowance = Allowance {
        factor,
        hearings: arguments.extra_hearings,
        lag: lag(arguments.lag)?,
    };
    let mut room = Room {
        sitting: Sitting::new(exam, form, allowance),
        given,
        journal: None,
        writer: Writer::new(),
        offset: Time::ZERO,
    };

    if let Some(path) = &arguments.journal {
        let mut file = disk::JournalFile::create(path)?;
        let header = wire::Header {
            version: wire::VERSION,
            program: room.given.program.clone(),
            generator: GENERATOR,
            exam: room.sitting.exam().name.clone(),
            script: room.given.script.clone(),
            form: code.to_string(),
            candidate: room.given.candidate.clone(),
            started: room.given.started.clone(),
            ..wire::Header::default()
        }
        .with(allowance, &room.given.equipment);
        file.append(&room.writer.line(&header)?)?;
        room.journal = Some(file);
    }

    Ok(room)
}

/// Takes a sitting up again where its journal ends.
fn resume(path: &Path) -> Result<Room, Fault> {
    let (file, reading) = disk::JournalFile::open(path)?;
    let (header, sitting) = resume::sitting(&reading)
        .map_err(|error| Fault::new(format_args!("{}: {error}", path.display())))?;
    let mut room = Room {
        given: Given {
            program: env!("CARGO_PKG_VERSION").to_owned(),
            digest: load::digest(&header.script),
            equipment: header.equipment(),
            candidate: header.candidate,
            started: header.started,
            script: header.script,
            remark: None,
            journal: None,
        },
        offset: sitting.now(),
        sitting,
        journal: Some(file),
        writer: reading.writer(),
    };

    for (at, event) in resume::interruption(&room.sitting, reading.torn) {
        keep(&mut room.journal, &mut room.writer, at, &event)?;
        drop(room.sitting.update(event, at));
    }

    Ok(room)
}

/// Writes an event to the journal before it counts.
fn keep(
    journal: &mut Option<disk::JournalFile>,
    writer: &mut Writer,
    at: Time,
    event: &Event,
) -> Result<(), Fault> {
    if let Some(journal) = journal {
        let line = writer.line(&wire::Line::new(at, event))?;
        journal.append(&line)?;
    }

    Ok(())
}

fn factor(exam: &Exam, factor: f64) -> Result<u32, Fault> {
    let (least, most) = exam.rules.time_factor;
    let hundredths = (factor * 100.0).round();

    if !factor.is_finite() || hundredths < f64::from(least) || hundredths > f64::from(most) {
        return Err(Fault::new(format_args!(
            "expected a time factor from {} to {}, as the exam allows, found {factor}",
            f64::from(least) / 100.0,
            f64::from(most) / 100.0
        )));
    }

    Ok(hundredths as u32)
}

fn lag(ms: f64) -> Result<Time, Fault> {
    if !ms.is_finite() || ms.abs() > LAG_MS {
        return Err(Fault::new(format_args!(
            "expected a lag from -{LAG_MS} to {LAG_MS} ms, as tapping along shows it, found {ms}"
        )));
    }

    Ok(Time::from_tenths((ms * 10.0).round() as i64))
}

fn candidate(text: &str) -> Result<String, Fault> {
    let text = text.trim();

    if text.is_empty() || text.chars().count() > 64 || text.chars().any(char::is_control) {
        return Err(Fault::new(
            "expected a candidate's number of 1 to 64 characters, such as `--candidate 3118`",
        ));
    }

    Ok(text.to_owned())
}

fn started(text: Option<&str>) -> Result<String, Fault> {
    let time: DateTime<Utc> = match text {
        None => Utc::now(),
        Some(text) => DateTime::parse_from_rfc3339(text)
            .map_err(|error| {
                Fault::new(format_args!(
                    "expected a time such as `2026-03-12T10:21:00Z` after --started, found `{text}`: {error}"
                ))
            })?
            .to_utc(),
    };

    Ok(time.to_rfc3339_opts(SecondsFormat::Secs, true))
}

/// The panel's marks, as events.
fn panel(arguments: &Arguments, sitting: &Sitting) -> Result<Vec<Event>, Fault> {
    let by = arguments.by.clone().unwrap_or_default();

    arguments
        .panel
        .iter()
        .map(|text| {
            let wrong = || {
                Fault::new(format_args!(
                    "expected a panel item and a share from 0 to 1, such as `70=0.8`, found `{text}`"
                ))
            };
            let (item, share) = text.split_once('=').ok_or_else(wrong)?;
            let item: u32 = item.trim().parse().map_err(|_| wrong())?;
            let share: f64 = share.trim().parse().map_err(|_| wrong())?;
            if !(0.0..=1.0).contains(&share) {
                return Err(wrong());
            }
            let is_panel = sitting
                .form()
                .item(item)
                .is_some_and(|item| matches!(item.task, Task::Panel(_)));
            if !is_panel {
                return Err(Fault::new(format_args!("item {item} is not one that a panel marks")));
            }
            Ok(Event::Panel {
                item,
                credit: Fraction::new((share * 100.0).round() as i64, 100),
                by: by.clone(),
            })
        })
        .collect()
}

/// Says which items have no marker.
fn unreached(sitting: &Sitting) {
    let missing: Vec<u32> = sitting
        .form()
        .items
        .iter()
        .filter(|item| !matches!(item.task, Task::Panel(_)))
        .map(|item| item.number)
        .filter(|number| {
            sitting
                .showings()
                .iter()
                .all(|showing| showing.number != *number)
        })
        .collect();

    if !missing.is_empty() {
        complain(&format!(
            "note: no marker for item {}: not reached, no marks",
            ranges(&missing)
        ));
    }
}

/// Prints numbers as ranges: `3, 7 to 12`.
fn ranges(numbers: &[u32]) -> String {
    let mut parts: Vec<String> = Vec::new();
    let mut i = 0;

    while i < numbers.len() {
        let mut end = i;
        while end + 1 < numbers.len() && numbers[end + 1] == numbers[end] + 1 {
            end += 1;
        }
        parts.push(if end > i {
            format!("{} to {}", numbers[i], numbers[end])
        } else {
            numbers[i].to_string()
        });
        i = end + 1;
    }

    parts.join(", ")
}

/// Writes the result under a name of its own; it is on disk when this returns.
fn store(folder: &Path, room: &Room, text: &str) -> Result<PathBuf, Fault> {
    std::fs::create_dir_all(folder).map_err(|error| {
        Fault::new(format_args!(
            "{}: the folder for results cannot be made: {error}",
            folder.display()
        ))
    })?;
    let stem = stem(
        &room.sitting.exam().name,
        &room.given.candidate,
        &room.sitting.form().code.to_string(),
        &room.given.started,
    );

    Ok(disk::write_numbered(
        folder,
        &stem,
        "toml",
        text.as_bytes(),
    )?)
}

/// The name of a result: exam, candidate, form and time.
pub(super) fn stem(exam: &str, candidate: &str, form: &str, started: &str) -> String {
    let plain = |text: &str| {
        text.chars()
            .map(|c| if c.is_ascii_alphanumeric() { c } else { '_' })
            .collect::<String>()
    };
    let started: String = started
        .chars()
        .filter(|c| c.is_ascii_alphanumeric())
        .collect();

    format!(
        "{}-{}-{form}-{started}",
        plain(exam).replace('_', "-"),
        plain(candidate)
    )
}
