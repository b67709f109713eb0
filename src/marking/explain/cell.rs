//! What sections and cells ask, in words.

use super::words::counted;
use crate::exam::script::{
    EarCell, Exam, Kind, Line, Motion, Pace, RunCell, Section, Spacing, SpellCell, Start, Stimulus,
    VoicingCell,
};
use crate::theory::interval::{Interval, root_motion};
use crate::theory::voicing::form::Form;
use crate::theory::{Degree, Name, Quality, symbol};
use crate::time::Time;

/// Says what a section with so many items asks.
pub(super) fn section(section: &Section, items: usize) -> String {
    match &section.kind {
        Kind::Voicing(of) => format!(
            "{} to play{}, {} s each",
            counted(items, "chord"),
            if of.with_bass {
                " over a sounded bass"
            } else {
                ""
            },
            seconds(of.limit)
        ),
        Kind::Run(_) => format!("{} of chords to play", counted(items, "line")),
        Kind::Ear(of) if of.is_dictation() => format!(
            "{} to write down chord by chord, {} each, {} s to answer",
            counted(items, "progression"),
            counted(usize::from(of.hearings), "hearing"),
            seconds(of.limit)
        ),
        Kind::Ear(of) if of.is_played() => format!(
            "{} to play back, {} each, {} s to answer",
            counted(items, "sound"),
            counted(usize::from(of.hearings), "hearing"),
            seconds(of.limit)
        ),
        Kind::Ear(of) => format!(
            "{} to name, {} each, {} s to answer",
            counted(items, "sound"),
            counted(usize::from(of.hearings), "hearing"),
            seconds(of.limit)
        ),
        Kind::Spell(of) => format!(
            "{} to spell, {} s each",
            counted(items, "chord"),
            seconds(of.limit)
        ),
        Kind::Panel(of) => format!("judged by a person: {}", of.criteria.join(", ")),
        Kind::Rest { length } => format!("a rest of {} s", seconds(*length)),
    }
}

/// Lists the cells of a section: how many items, and of what.
pub(super) fn list(exam: &Exam, section: &Section) -> Vec<(u32, String)> {
    match &section.kind {
        Kind::Voicing(of) => of
            .cells
            .iter()
            .map(|cell| (cell.count, voicing(exam, cell)))
            .collect(),
        Kind::Run(of) => of
            .cells
            .iter()
            .map(|cell| (cell.count, run(exam, cell)))
            .collect(),
        Kind::Ear(of) => of
            .cells
            .iter()
            .map(|cell| (cell.count, ear(exam, cell)))
            .collect(),
        Kind::Spell(of) => of
            .cells
            .iter()
            .map(|cell| (cell.count, spell(exam, cell)))
            .collect(),
        Kind::Panel(_) | Kind::Rest { .. } => Vec::new(),
    }
}

fn voicing(exam: &Exam, cell: &VoicingCell) -> String {
    joined([
        quality(exam, cell.quality),
        cell.form.name.clone(),
        order(&cell.form, cell.order),
        roots(exam, &cell.roots, "root"),
    ])
}

fn run(exam: &Exam, cell: &RunCell) -> String {
    let line = match &cell.line {
        Line::Cycle {
            quality: of,
            chords,
        } => format!(
            "{} round the cycle of fourths, {}",
            quality(exam, *of),
            counted(*chords as usize, "chord")
        ),
        Line::AtRandom { quality: of, .. } => {
            format!("{} on all roots in drawn order", quality(exam, *of))
        }
        Line::Progression(progression) => progression.name.clone(),
    };
    let form = cell.form.as_ref().map_or_else(
        || "any voicing with third and seventh".to_owned(),
        |form| form.name.clone(),
    );
    let start = match (cell.start, &cell.form) {
        (_, None) => String::new(),
        (_, Some(form)) if form.orders.len() < 2 => String::new(),
        (Start::Order(at), Some(form)) => format!("{} first", order(form, at)),
        (Start::Drawn, _) => "start drawn".to_owned(),
        (Start::Open, _) => "start left open".to_owned(),
    };
    let pace = match cell.pace {
        Pace::Tempo { tempo, .. } => {
            let bass = if cell.with_bass { " over a bass" } else { "" };
            format!("at {}{bass}", f64::from(tempo) / 100.0)
        }
        Pace::Free { limit, .. } => format!("free, {} s a chord", seconds(limit)),
    };
    let keys = match cell.line {
        // Round the cycle every key comes; a line that stands in one key is asked in it.
        Line::Cycle { .. } | Line::AtRandom { .. } => roots(exam, &cell.keys, "first root"),
        Line::Progression(_) => roots(exam, &cell.keys, "key"),
    };

    joined([line, form, start, pace, keys])
}

fn ear(exam: &Exam, cell: &EarCell) -> String {
    let what = match &cell.stimulus {
        Stimulus::Chord {
            quality: of,
            spacing,
            top,
            bass,
        } => {
            let member = |number: u8, place: &str| {
                of.own(number)
                    .map_or_else(String::new, |degree| format!("{} {place}", degree.words()))
            };
            joined([
                quality(exam, *of),
                spaced(*spacing).to_owned(),
                top.map_or_else(String::new, |top| member(top, "on top")),
                if *bass == 1 {
                    String::new()
                } else {
                    member(*bass, "in the bass")
                },
            ])
        }
        Stimulus::Interval { semitones, motion } => {
            let interval = Interval::new(*semitones).map_or("interval", Interval::words);
            let motion = match motion {
                Motion::Harmonic => "together",
                Motion::Rising => "rising",
                Motion::Falling => "falling",
            };
            format!("{interval}, {motion}")
        }
        Stimulus::Motive { notes } => format!("a motive of {} notes", notes.len()),
        Stimulus::Line { progression, form } => format!("{}, {}", progression.name, form.name),
        Stimulus::Tension { tension } => format!("{tension} on a dominant"),
        Stimulus::Progression { progression } => progression.name.clone(),
        Stimulus::RootMotion { quality: of, up } => {
            let motion = match root_motion(0, *up) {
                "a tritone" => "by a tritone",
                motion => motion,
            };
            format!("{}, root moves {motion}", quality(exam, *of))
        }
        Stimulus::WrongVoice { quality: of, voice } => {
            let voice = of.own(*voice).map_or("voice", |degree| degree.words());
            format!("{}, {voice} wrong", quality(exam, *of))
        }
    };

    joined([what, roots(exam, &cell.roots, "root")])
}

fn spell(exam: &Exam, cell: &SpellCell) -> String {
    let classes: Vec<u8> = cell.roots.iter().map(|name| name.class()).collect();
    let scope = match named(exam, &classes, "root") {
        Some(scope) => scope,
        None => listed(cell.roots.iter().copied()),
    };

    let tones: Vec<&str> = cell
        .quality
        .degrees()
        .filter(|degree| cell.tones.contains(&degree.number()))
        .map(Degree::words)
        .collect();

    joined([quality(exam, cell.quality), tones.join(" and "), scope])
}

fn joined<const N: usize>(parts: [String; N]) -> String {
    let parts: Vec<String> = parts.into_iter().filter(|part| !part.is_empty()).collect();

    parts.join(", ")
}

/// A quality as it is printed after a root; a major triad has a name only.
fn quality(exam: &Exam, quality: Quality) -> String {
    let printed = symbol::print_quality(quality, exam.style);

    if printed.is_empty() {
        symbol::words(quality).unwrap_or("major triad").to_owned()
    } else {
        printed
    }
}

/// The name of an order, where the form has more than one.
fn order(form: &Form, order: usize) -> String {
    form.orders
        .get(order)
        .filter(|_| form.orders.len() > 1)
        .map_or_else(String::new, |order| order.name.clone())
}

const fn spaced(spacing: Spacing) -> &'static str {
    match spacing {
        Spacing::Close => "close",
        Spacing::Open => "open",
        Spacing::TwoHand => "two-hand",
    }
}

/// Says which roots or keys there are: by the name of their group, or one by one.
fn roots(exam: &Exam, classes: &[u8], word: &str) -> String {
    named(exam, classes, word)
        .unwrap_or_else(|| listed(classes.iter().map(|class| Name::plain(*class))))
}

fn named(exam: &Exam, classes: &[u8], word: &str) -> Option<String> {
    let set = |classes: &[u8]| {
        classes
            .iter()
            .fold(0u16, |set, class| set | 1 << (class % 12))
    };
    let own = set(classes);

    if own == 0xfff {
        return Some(format!("any {word}"));
    }
    exam.groups
        .iter()
        .find(|group| set(&group.classes) == own)
        .map(|group| format!("group {}", group.name))
}

fn listed(names: impl Iterator<Item = Name>) -> String {
    let names: Vec<String> = names.map(|name| name.to_string()).collect();

    format!("on {}", names.join(" "))
}

/// Seconds as a teacher writes them: `6`, `3.5`.
fn seconds(time: Time) -> f64 {
    time.as_seconds()
}
