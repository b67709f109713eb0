//! `form`: print the items of a form.

use std::fmt::Write as _;
use std::path::PathBuf;

use clap::Args;

use super::{End, Fault, load, say};
use crate::exam::draw;
use crate::exam::form::{EarTask, Form, GENERATOR, Item, RunTask, SpellTask, Task, VoicingTask};
use crate::exam::script::{Exam, Kind, Rubric, Section, Weights};
use crate::fraction;
use crate::theory::voicing::{Hands, Register, SPAN, Voicing};
use crate::theory::{Chord, Degree, Key, Name, leading, symbol};
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
}

pub(super) fn run(arguments: &Arguments) -> Result<End, Fault> {
    let (exam, _) = load::exam(&arguments.exam)?;
    let code = load::code(arguments.form.as_deref())?;
    let form = draw::draw(&exam, code)?;
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
        Task::Voicing(task) => print_voicing_item(out, exam, item, task, key),
        Task::Run(task) => print_run(out, task, table, key),
        Task::Ear(task) => print_ear(out, task, key),
        Task::Spell(task) => print_spell(out, task, key),
        Task::Panel(task) => {
            let _ = writeln!(out, "criterion = {}", quoted(&task.criterion));
        }
    }
}

fn print_voicing_item(out: &mut String, exam: &Exam, item: &Item, task: &VoicingTask, key: bool) {
    let _ = writeln!(out, "symbol = {}", quoted(&symbol::ascii(task.chord)));
    print_hands(out, &task.voicing, &[]);
    print_lie(out, task.chord, &task.voicing, true);
    if task.grace != 200 {
        let grace = fraction::from_hundredths(i64::from(task.grace));
        let _ = writeln!(out, "grace = {}", fraction::hundredths(grace));
    }
    if key {
        let others = other_orders(exam, item, task);
        if !others.is_empty() {
            let _ = writeln!(out, "other_orders = [{}]", others.join(", "));
        }
        let example = task
            .voicing
            .realise(task.chord.root.class())
            .unwrap_or_default();
        let _ = writeln!(out, "example = {}", keys(&example));
    }
}

/// The same form in its other orders: on a neighbour in the cycle of fourths any order of it
/// tells that the chord was found by way of the routine.
fn other_orders(exam: &Exam, item: &Item, task: &VoicingTask) -> Vec<String> {
    let Kind::Voicing(section) = &exam.sections[item.section].kind else {
        return Vec::new();
    };
    let cell = &section.cells[item.cell];
    let mut seen = task.voicing.alternatives();
    let mut others = Vec::new();

    for order in 0..cell.form.orders.len() {
        let Ok(voicing) = cell.form.voicing(task.chord, order) else {
            continue;
        };
        for other in voicing.alternatives() {
            if !seen.contains(&other) {
                others.push(hands(&other));
                seen.push(other);
            }
        }
    }

    others
}

/// The hands asked for, and what is equal to them: of this line first, then of the other lines.
fn print_hands(out: &mut String, voicing: &Voicing, other_lines: &[&Voicing]) {
    let _ = writeln!(out, "left = {}", degrees(&voicing.hands.left));
    let _ = writeln!(out, "right = {}", degrees(&voicing.hands.right));

    let mut equal: Vec<String> = voicing.equal.iter().map(hands).collect();
    for (i, other) in other_lines.iter().enumerate() {
        for its in std::iter::once(&other.hands).chain(&other.equal) {
            equal.push(format!(
                "{{ line = {}, left = {}, right = {} }}",
                i + 2,
                degrees(&its.left),
                degrees(&its.right)
            ));
        }
    }
    if !equal.is_empty() {
        let _ = writeln!(out, "equal = [{}]", equal.join(", "));
    }
}

/// Where the hands lie and what they may do, as far as it differs from the defaults.
fn print_lie(out: &mut String, chord: Chord, voicing: &Voicing, with_register: bool) {
    if with_register && voicing.register != usual_register(chord, voicing) {
        let range =
            |range: &std::ops::RangeInclusive<u8>| format!("[{}, {}]", range.start(), range.end());
        let _ = writeln!(
            out,
            "register = {{ left_lowest = {}, right_lowest = {}, top = {} }}",
            range(&voicing.register.left_lowest),
            range(&voicing.register.right_lowest),
            range(&voicing.register.top)
        );
    }
    if !voicing.optional.is_empty() {
        let _ = writeln!(out, "optional = {}", degrees(&voicing.optional));
    }
    for (name, set) in [
        ("open", voicing.open),
        ("joined", voicing.joined),
        ("doubling", voicing.doubling),
    ] {
        if set {
            let _ = writeln!(out, "{name} = true");
        }
    }
    if voicing.span != SPAN {
        let _ = writeln!(out, "span = {}", voicing.span);
    }
}

/// Two-hand guide tones have a register by default; anything else lies anywhere.
fn usual_register(chord: Chord, voicing: &Voicing) -> Register {
    let right = &voicing.hands.right;
    let guides = [chord.quality.third(), chord.quality.seventh()];
    let is_two_handed = !voicing.hands.left.is_empty()
        && right.len() == 2
        && guides
            .iter()
            .all(|guide| guide.is_some_and(|guide| right.contains(&guide)));

    if is_two_handed {
        Register::GUIDE_TONES
    } else {
        Register::ANYWHERE
    }
}

fn print_run(out: &mut String, task: &RunTask, table: &str, key: bool) {
    let timing = task.timing(100);
    let in_tempo = !timing.beats.is_empty();
    let _ = writeln!(out, "progression = {}", quoted(&task.name));
    if in_tempo {
        let _ = writeln!(out, "beat_ms = {}", timing.beat);
        let _ = writeln!(out, "end_ms = {}", timing.end);
    } else {
        let _ = writeln!(out, "chord_seconds = {}", seconds(timing.beat));
    }
    let _ = writeln!(out, "look_ms = {}", timing.look);
    if task.lines.len() > 1 {
        let _ = writeln!(out, "start = \"open\"");
    }
    if task.lines.is_empty() {
        let _ = writeln!(out, "voicing = \"any\"");
    }

    let line = task.lines.first();
    let example = line.and_then(|line| {
        let chords: Vec<_> = task
            .chords
            .iter()
            .zip(line)
            .map(|(chord, voicing)| (chord.chord.root.class(), voicing))
            .collect();
        leading::line(&chords)
    });

    for (k, chord) in task.chords.iter().enumerate() {
        let _ = writeln!(out, "[[{table}.chord]]");
        let _ = writeln!(out, "symbol = {}", quoted(&symbol::ascii(chord.chord)));
        if let Some(voicing) = line.and_then(|line| line.get(k)) {
            let others: Vec<&Voicing> = task.lines[1..].iter().map(|line| &line[k]).collect();
            print_hands(out, voicing, &others);
            // The register binds the first chord only.
            print_lie(out, chord.chord, voicing, k == 0);
        }
        if let Some(beat) = timing.beats.get(k) {
            let _ = writeln!(out, "at_ms = {beat}");
        }
        if key {
            let keys_of_any = || any_example(chord.chord);
            let example = example
                .as_ref()
                .and_then(|line| line.get(k).cloned())
                .unwrap_or_else(keys_of_any);
            let _ = writeln!(out, "example = {}", keys(&example));
        }
    }
}

/// One way to play a chord where any voicing with third and seventh will do.
fn any_example(chord: Chord) -> Vec<Key> {
    let root = chord.root.class();
    let tones = [
        Some(Degree::Root),
        chord.quality.third(),
        chord.quality.seventh(),
    ];

    [36, 55, 60]
        .into_iter()
        .zip(tones)
        .filter_map(|(floor, degree): (i64, _)| {
            let class = i64::from(degree?.class_over(root));
            Key::new(floor + (class - floor).rem_euclid(12)).ok()
        })
        .collect()
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
    let _ = writeln!(out, "options = {options}");
    let _ = writeln!(out, "hearings = {}", task.hearings);
    let _ = writeln!(out, "sound_ms = {}", task.sound.length);

    if key {
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

fn hands(hands: &Hands) -> String {
    format!(
        "{{ left = {}, right = {} }}",
        degrees(&hands.left),
        degrees(&hands.right)
    )
}

fn degrees(degrees: &[Degree]) -> String {
    let inner: Vec<String> = degrees
        .iter()
        .map(|degree| format!("\"{}\"", degree.ascii()))
        .collect();

    format!("[{}]", inner.join(", "))
}

fn keys(keys: &[Key]) -> String {
    let inner: Vec<String> = keys.iter().map(|key| key.number().to_string()).collect();

    format!("[{}]", inner.join(", "))
}

fn quoted(text: &str) -> String {
    toml::Value::String(text.to_owned()).to_string()
}

/// Seconds without needless decimals: `6.0`, `27.25`.
fn seconds(time: Time) -> String {
    format!("{:?}", time.as_seconds())
}
