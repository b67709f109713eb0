//! `form`: print the items of a form.

mod hands;
mod page;

use std::fmt::Write as _;
use std::path::PathBuf;

use clap::Args;

use super::paper::Paper;
use super::{End, Fault, disk, load, say};
use crate::exam::draw;
use crate::exam::form::{EarTask, Form, GENERATOR, Item, SpellTask, Task};
use crate::exam::script::{Exam, Kind, Rubric, Section, Weights};
use crate::fraction;
use crate::printing::{form, musicxml};
use crate::results::by_hand;
use crate::theory::{Name, symbol};
use crate::time::Time;

/// What `settle` is unless an exam says otherwise.
const SETTLE: Time = Time::from_ms(600);

#[derive(Debug, Args)]
pub(super) struct Arguments {
    /// The exam script
    #[arg(value_name = "EXAM")]
    exam: PathBuf,
    /// The form code, such as one from a candidate's slip; the first form of the first set if absent
    #[arg(long, value_name = "CODE")]
    form: Option<String>,
    /// Print the answers too
    #[arg(long)]
    key: bool,
    /// Print JSON in place of TOML
    #[arg(long)]
    json: bool,
    /// Write the form as PDF in place of TOML, to be run at a piano by a person; with --key the
    /// answers are engraved
    #[arg(long, value_name = "FILE.pdf", num_args = 0..=1, conflicts_with = "json")]
    paper: Option<Option<PathBuf>>,
    /// The size of the paper
    #[arg(long, value_enum, default_value = "a4", requires = "paper")]
    size: Paper,
    /// Write the answers as MusicXML in place of TOML, for a notation editor
    #[arg(long, value_name = "FILE.musicxml", conflicts_with_all = ["json", "key", "paper"])]
    musicxml: Option<PathBuf>,
    /// Write an empty table for an examiner's marks in place of TOML: `sit --by-hand` reads it filled
    #[arg(long, value_name = "FILE.csv", conflicts_with_all = ["json", "key", "paper", "musicxml"])]
    by_hand: Option<PathBuf>,
}

pub(super) fn run(arguments: &Arguments) -> Result<End, Fault> {
    let (exam, source) = load::exam(&arguments.exam)?;
    let code = load::code(arguments.form.as_deref())?;
    let form = draw::draw(&exam, code)?;
    if let Some(file) = &arguments.paper {
        let digest = load::digest(&source);
        let paper = form::Paper {
            exam: &exam,
            form: &form,
            digest: &digest,
            key: arguments.key,
        };
        return page::write(&paper, file.as_deref(), arguments.size.into());
    }
    if let Some(file) = &arguments.musicxml {
        disk::write_new(file, &musicxml::write(&exam, &form)?)?;
        say(&format!("{}\n", file.display()));
        return Ok(End::Fine);
    }
    if let Some(file) = &arguments.by_hand {
        let table = by_hand::write(&exam, &form, &load::digest(&source));
        disk::write_new(file, table.as_bytes())?;
        say(&format!("{}\n", file.display()));
        return Ok(End::Fine);
    }
    let text = print(&exam, &form, arguments.key);

    if arguments.json {
        let value: toml::Value = toml::from_str(&text)?;
        say(&(serde_json::to_string_pretty(&value)? + "\n"));
    } else {
        say(&text);
    }

    Ok(End::Fine)
}

/// Writes a form as TOML.
fn print(exam: &Exam, form: &Form, key: bool) -> String {
    let mut out = String::new();
    let _ = writeln!(out, "exam = {}", quoted(&exam.name));
    let _ = writeln!(out, "form = {}", quoted(&form.code.to_string()));
    let _ = writeln!(out, "title = {}", quoted(&exam.title));
    let _ = writeln!(out, "generator = {GENERATOR}");
    let _ = writeln!(out, "tries = {}", exam.rules.tries);
    if exam.rules.settle != SETTLE {
        let _ = writeln!(out, "settle_ms = {}", exam.rules.settle);
    }
    if exam.rules.feedback {
        let _ = writeln!(out, "feedback = true");
    }

    print_rubric(&mut out, exam.rules.rubric);
    for section in &exam.sections {
        print_section(&mut out, section);
    }
    for item in &form.items {
        out.push_str("\n[[item]]\n");
        print_item(&mut out, exam, item, "item", key);
    }
    for item in &form.reserve {
        out.push_str("\n[[reserve]]\n");
        print_item(&mut out, exam, item, "reserve", key);
    }

    out
}

/// The figures of the marking rules that the exam changes.
fn print_rubric(out: &mut String, rubric: Rubric) {
    let usual = Rubric::DEFAULT;
    if rubric == usual {
        return;
    }

    out.push_str("\n[rubric]\n");
    for (key, own, usual) in [
        ("gather_ms", rubric.gather, usual.gather),
        ("apart_ms", rubric.apart, usual.apart),
        ("found_ms", rubric.found, usual.found),
        ("closing_ms", rubric.closing, usual.closing),
        ("graze_ms", rubric.graze_held, usual.graze_held),
        ("window_ms", rubric.window, usual.window),
        ("still_down_ms", rubric.still_down, usual.still_down),
    ] {
        if own != usual {
            let _ = writeln!(out, "{key} = {own}");
        }
    }
    if rubric.graze_velocity != usual.graze_velocity {
        let _ = writeln!(out, "graze_velocity = {}", rubric.graze_velocity);
    }
    for (key, own, usual) in [
        ("leading", rubric.leading, usual.leading),
        ("readiness", rubric.readiness, usual.readiness),
        ("time", rubric.time, usual.time),
    ] {
        if own != usual {
            let _ = writeln!(out, "{key} = {own:?}");
        }
    }
}

fn print_section(out: &mut String, section: &Section) {
    let _ = writeln!(out, "\n[[section]]\nid = {}", quoted(&section.id));
    let _ = writeln!(out, "title = {}", quoted(&section.title));
    let _ = writeln!(out, "kind = {}", quoted(section.kind.word()));
    let points = fraction::from_hundredths(i64::from(section.points));
    let _ = writeln!(out, "points = {}", fraction::hundredths(points));

    let pedal = match &section.kind {
        Kind::Voicing(of) => of.pedal,
        Kind::Run(of) => of.pedal,
        Kind::Ear(_) | Kind::Spell(_) | Kind::Panel(_) | Kind::Rest { .. } => false,
    };
    if pedal {
        let _ = writeln!(out, "pedal = true");
    }
    if let Kind::Run(of) = &section.kind
        && of.weights != Weights::DEFAULT
    {
        let Weights {
            harmony,
            voicing,
            leading,
            readiness,
            time,
        } = of.weights;
        let _ = writeln!(
            out,
            "weights = {{ harmony = {harmony}, voicing = {voicing}, leading = {leading}, readiness = {readiness}, time = {time} }}"
        );
    }
}

fn print_item(out: &mut String, exam: &Exam, item: &Item, table: &str, key: bool) {
    let _ = writeln!(out, "number = {}", item.number);
    let _ = writeln!(out, "section = {}", quoted(&exam.sections[item.section].id));
    let _ = writeln!(out, "kind = {}", quoted(item.task.word()));
    let _ = writeln!(out, "prompt = {}", quoted(&item.prompt));
    let _ = writeln!(out, "seconds = {}", seconds(item.task.limit()));

    match &item.task {
        Task::Voicing(task) => hands::print_voicing_item(out, exam, item, task, key),
        Task::Run(task) => hands::print_run(out, task, table, key),
        Task::Ear(task) => print_ear(out, task, key),
        Task::Spell(task) => print_spell(out, task, key),
        Task::Panel(task) => {
            let _ = writeln!(out, "criterion = {}", quoted(&task.criterion));
        }
    }
}

fn print_ear(out: &mut String, task: &EarTask, key: bool) {
    let list = |texts: &[String]| {
        let inner: Vec<String> = texts.iter().map(|text| quoted(text)).collect();
        format!("[{}]", inner.join(", "))
    };
    let options = match task.options.as_slice() {
        [only] => list(only),
        parts => {
            let parts: Vec<String> = parts.iter().map(|part| list(part)).collect();
            format!("[{}]", parts.join(", "))
        }
    };
    if task.is_played() {
        let _ = writeln!(out, "play_back = true");
    } else {
        let _ = writeln!(out, "options = {options}");
    }
    let _ = writeln!(out, "hearings = {}", task.hearings);
    let _ = writeln!(out, "sound_ms = {}", task.sound.length);

    if key && task.answers.len() > 2 {
        // So many parts would have too many answers: each part has its own.
        let parts: Vec<String> = task.answers.iter().map(|part| list(part)).collect();
        let _ = writeln!(out, "answers = [{}]", parts.join(", "));
    } else if key && !task.is_played() {
        let mut all = vec![String::new()];
        for (part, texts) in task.answers.iter().enumerate() {
            all = all
                .iter()
                .flat_map(|before| {
                    texts.iter().map(move |text| {
                        if part == 0 {
                            text.clone()
                        } else {
                            format!("{before} / {text}")
                        }
                    })
                })
                .collect();
        }
        let _ = writeln!(out, "answers = {}", list(&all));
    }
    if key {
        let strikes: Vec<String> = task
            .sound
            .strikes
            .iter()
            .map(|strike| {
                let keys: Vec<String> =
                    strike.keys.iter().map(|(key, _)| key.to_string()).collect();
                format!(
                    "{{ at_ms = {}, held_ms = {}, keys = [{}] }}",
                    strike.at,
                    strike.held,
                    keys.join(", ")
                )
            })
            .collect();
        let _ = writeln!(out, "sound = [{}]", strikes.join(", "));
    }
}

fn print_spell(out: &mut String, task: &SpellTask, key: bool) {
    let _ = writeln!(out, "symbol = {}", quoted(&symbol::ascii(task.chord)));

    if key {
        let mut all: Vec<Vec<Name>> = vec![Vec::new()];
        for (_, accepted) in &task.tones {
            all = all
                .iter()
                .flat_map(|before| {
                    accepted.iter().map(move |name| {
                        let mut next = before.clone();
                        next.push(*name);
                        next
                    })
                })
                .collect();
        }
        let texts: Vec<String> = all
            .iter()
            .map(|names| {
                let names: Vec<String> = names.iter().map(|name| name.ascii()).collect();
                quoted(&names.join(" "))
            })
            .collect();
        let _ = writeln!(out, "answers = [{}]", texts.join(", "));
    }
}

fn quoted(text: &str) -> String {
    toml::Value::String(text.to_owned()).to_string()
}

/// Seconds without needless decimals: `6.0`, `27.25`.
fn seconds(time: Time) -> String {
    format!("{:?}", time.as_seconds())
}
