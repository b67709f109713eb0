//! Items for the hands: what is asked, and how the prompt says it.

#[cfg(test)]
mod tests;

use std::fmt::Write as _;
use std::sync::Arc;

use crate::exam::draw::Pick;
use crate::exam::form::{RunChord, RunTask, Task, VoicingTask};
use crate::exam::script::{Line, Pace, RunCell, Start, VoicingCell, VoicingSection};
use crate::theory::progression::{self, Placed};
use crate::theory::voicing::form::Form;
use crate::theory::voicing::{Hands, Register, Voicing};
use crate::theory::{Chord, Quality, leading, symbol};
use crate::time::Time;

/// What the items of a voicing cell share: degrees are the same on every root.
#[derive(Debug)]
pub(super) struct Shared {
    asked: Voicing,
    /// The form in each of its orders.
    orders: Vec<Hands>,
}

impl Shared {
    pub(super) fn new(cell: &VoicingCell, span: u8) -> Self {
        let chord = Chord::new(cell.quality.printed_root(0), cell.quality);

        Self {
            asked: asked(&cell.form, chord, cell.order, span),
            orders: (0..cell.form.orders.len())
                .filter_map(|order| cell.form.voicing(chord, order).ok())
                .flat_map(|voicing| voicing.alternatives())
                .collect(),
        }
    }
}

pub(super) fn voicing(
    section: &VoicingSection,
    cell: &VoicingCell,
    shared: &Shared,
    pick: Pick,
    style: symbol::Style,
) -> (String, Task) {
    let on = |root: u8| Chord::new(cell.quality.printed_root(root % 12), cell.quality);
    let chord = on(pick.root);
    let neighbours = [5, 7]
        .into_iter()
        .flat_map(|step| {
            let neighbour = on(pick.root + step);
            shared
                .orders
                .iter()
                .map(move |hands| (neighbour, hands.clone()))
        })
        .collect();
    let prompt = format!(
        "{}: {}",
        symbol::print(chord, style),
        request(&cell.form, cell.order, &shared.asked.register)
    );

    (
        prompt,
        Task::Voicing(Arc::new(VoicingTask {
            chord,
            form: cell.form.name.clone(),
            voicing: shared.asked.clone(),
            neighbours,
            limit: section.limit,
            grace: section.grace,
            with_bass: section.with_bass,
        })),
    )
}

/// The voicing of a form with the exam's span; vetting has made sure that there is one.
fn asked(form: &Form, chord: Chord, order: usize, span: u8) -> Voicing {
    form.voicing(chord, order)
        .map(|voicing| Voicing { span, ..voicing })
        .unwrap_or_else(|_| Voicing::new(Hands::default()))
}

/// What is asked, in words, with the register where it is narrower than usual.
fn request(form: &Form, order: usize, register: &Register) -> String {
    let words = &form.orders[order].words;
    let named = |range: &std::ops::RangeInclusive<u8>| {
        let name = |key: u8| {
            crate::theory::Key::new(i64::from(key))
                .map(|key| key.flat_name())
                .unwrap_or_default()
        };
        format!("{} to {}", name(*range.start()), name(*range.end()))
    };
    let default = Register::GUIDE_TONES;
    let anywhere = Register::ANYWHERE;
    let mut narrow = Vec::new();

    if *register == default {
        return words.clone();
    }
    for (what, range, usual) in [
        (
            "lowest note left",
            &register.left_lowest,
            &anywhere.left_lowest,
        ),
        (
            "lowest note right",
            &register.right_lowest,
            &anywhere.right_lowest,
        ),
        ("top note", &register.top, &anywhere.top),
    ] {
        if range != usual && *range.end() < 127 {
            narrow.push(format!("{what} {}", named(range)));
        }
    }

    if narrow.is_empty() {
        words.clone()
    } else {
        format!("{words} ({})", narrow.join(", "))
    }
}

/// The orders that a line may start with: none where any voicing will do.
fn starts(cell: &RunCell, pick: Pick) -> Vec<usize> {
    match (&cell.form, cell.start) {
        (None, _) => Vec::new(),
        (Some(_), Start::Order(order)) => vec![order],
        (Some(_), Start::Drawn) => vec![usize::from(pick.variant)],
        (Some(form), Start::Open) => (0..form.orders.len().min(2)).collect(),
    }
}

/// What is asked on each chord of a run, a line for each order that it may start with.
pub(super) fn lines(cell: &RunCell, pick: Pick, span: u8) -> Vec<Vec<Voicing>> {
    let Some(form) = &cell.form else {
        return Vec::new();
    };
    let placed = line(&cell.line, pick.root);

    starts(cell, pick)
        .into_iter()
        .map(|start| voiced(form, &placed, start, span))
        .collect()
}

pub(super) fn run(
    cell: &RunCell,
    pick: Pick,
    style: symbol::Style,
    lines: Arc<Vec<Vec<Voicing>>>,
) -> (String, Task) {
    let placed = line(&cell.line, pick.root);
    let prompt = run_prompt(cell, &placed, starts(cell, pick).first().copied(), style);
    let chords = placed
        .iter()
        .map(|placed| RunChord {
            chord: placed.chord,
            at_twelfths: placed.at_twelfths,
            twelfths: placed.twelfths,
        })
        .collect();
    let name = match &cell.line {
        Line::Cycle { .. } => "cycle-of-fourths".to_owned(),
        Line::AtRandom { .. } => "at-random".to_owned(),
        Line::Progression(progression) => progression.name.clone(),
    };
    let form = cell.form.as_ref().map(|form| form.name.clone());

    (
        prompt,
        Task::Run(Arc::new(RunTask {
            name,
            form: form.unwrap_or_default(),
            chords,
            lines,
            pace: cell.pace,
            with_bass: cell.with_bass,
        })),
    )
}

/// The chords of a line from a root or in a key.
pub(in crate::exam) fn line(line: &Line, root: u8) -> Vec<Placed> {
    match line {
        Line::Cycle { quality, chords } => {
            progression::cycle_of_fourths(*quality, root, *chords as usize)
        }
        // Before it is drawn it goes up in semitones.
        Line::AtRandom { quality, roots } if roots.is_empty() => {
            let roots: Vec<u8> = (0..12).map(|up| (root + up) % 12).collect();
            progression::on_roots(*quality, &roots)
        }
        Line::AtRandom { quality, roots } => progression::on_roots(*quality, roots),
        Line::Progression(progression) => progression.in_key(progression.tonic(root)),
    }
}

/// Voices a line from a starting order: each chord takes the order whose leading hand moves least.
pub(in crate::exam) fn voiced(
    form: &Form,
    placed: &[Placed],
    start: usize,
    span: u8,
) -> Vec<Voicing> {
    let mut order = start;
    let mut before: Option<&Chord> = None;
    let mut all: Vec<Voicing> = Vec::with_capacity(placed.len());
    // The form in each order; it is the same for the next chord of the same quality.
    let mut orders: Vec<Option<Voicing>> = Vec::new();

    for Placed { chord, .. } in placed {
        let same = before.is_some_and(|last| {
            last.quality == chord.quality && last.bass.is_none() && chord.bass.is_none()
        });
        if !same {
            orders = (0..form.orders.len())
                .map(|order| form.voicing(*chord, order).ok())
                .collect();
        }
        if let Some((last, voicing)) = before.zip(all.last()) {
            let from = leading::leading_classes(&voicing.hands, last.root.class());
            order = (0..orders.len())
                .filter_map(|candidate| {
                    let hands = &orders[candidate].as_ref()?.hands;
                    let classes = leading::leading_classes(hands, chord.root.class());
                    // Of two equal ways the one that keeps the order is taken.
                    Some((
                        leading::least(&from, &classes),
                        candidate != order,
                        candidate,
                    ))
                })
                .min()
                .map_or(order, |(.., candidate)| candidate);
        }
        let voicing = match orders.get(order) {
            Some(Some(voicing)) => Voicing {
                span,
                ..voicing.clone()
            },
            _ => asked(form, *chord, order, span),
        };
        before = Some(chord);
        all.push(voicing);
    }

    all
}

fn run_prompt(
    cell: &RunCell,
    placed: &[Placed],
    start: Option<usize>,
    style: symbol::Style,
) -> String {
    let symbols = symbols(placed, style);
    let more = if placed.len() > 12 { " …" } else { "" };
    let form = match &cell.form {
        None => "any voicing with third and seventh".to_owned(),
        Some(form) => {
            let order = &form.orders[start.unwrap_or(0)];
            match cell.start {
                Start::Open => format!(
                    "{}, either order to start with, then by the nearest way",
                    form_words(&form.name)
                ),
                _ => format!(
                    "{}, starting with the {}",
                    form_words(&form.name),
                    order.name
                ),
            }
        }
    };
    let pace = match cell.pace {
        Pace::Tempo {
            tempo,
            bars_in,
            metronome,
            ..
        } => format!(
            "in tempo, ♩ = {}, {bars_in} {} counted in{}",
            decimal(tempo),
            if bars_in == 1 { "bar" } else { "bars" },
            if metronome { "" } else { ", then no metronome" }
        ),
        Pace::Free { limit, .. } => {
            format!(
                "in your own time, {} seconds a chord at most",
                seconds(limit)
            )
        }
    };

    format!("{symbols}{more}: {form}; {pace}")
}

/// The first twelve symbols of a line.
fn symbols(placed: &[Placed], style: symbol::Style) -> String {
    let mut text = String::with_capacity(96);
    // Round the cycle all chords have the same quality.
    let mut quality: Option<(Quality, String)> = None;

    for (i, Placed { chord, .. }) in placed.iter().take(12).enumerate() {
        let suffix = match &quality {
            Some((known, suffix)) if *known == chord.quality => suffix,
            _ => {
                let suffix = symbol::print_quality(chord.quality, style);
                &quality.insert((chord.quality, suffix)).1
            }
        };
        let blank = if i > 0 { " " } else { "" };
        // Writing to a text cannot fail.
        let _ = match chord.bass {
            None => write!(text, "{blank}{}{suffix}", chord.root),
            Some(bass) => write!(text, "{blank}{}{suffix}/{bass}", chord.root),
        };
    }

    text
}

fn form_words(name: &str) -> String {
    match name {
        "guide-tones" => "root and fifth left, guide tones right".to_owned(),
        "guide-tones-with-root" => "root left, guide tones right".to_owned(),
        other => other.replace('-', " "),
    }
}

/// Hundredths as a number in words: `80`, `92.5`.
fn decimal(hundredths: u32) -> String {
    let (whole, part) = (hundredths / 100, hundredths % 100);

    match (part, part % 10) {
        (0, _) => whole.to_string(),
        (_, 0) => format!("{whole}.{}", part / 10),
        _ => format!("{whole}.{part:02}"),
    }
}

/// Seconds as a number in words, to the tenth below.
fn seconds(time: Time) -> String {
    let tenths = (time.tenths() / 1000) as u32;

    decimal(tenths * 10)
}
