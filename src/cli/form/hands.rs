//! What hands are asked: single voicings and runs.

use std::fmt::Write as _;

use super::{quoted, seconds};
use crate::exam::form::{Item, RunTask, VoicingTask};
use crate::exam::script::{Exam, Kind};
use crate::exam::sound::{self, Sound};
use crate::fraction;
use crate::theory::voicing::{Hands, Register, SPAN, Voicing, shell};
use crate::theory::{Chord, Degree, Key, leading, symbol};

pub(super) fn print_voicing_item(
    out: &mut String,
    exam: &Exam,
    item: &Item,
    task: &VoicingTask,
    key: bool,
) {
    let _ = writeln!(out, "symbol = {}", quoted(&symbol::ascii(task.chord)));
    print_hands(out, &task.voicing, &[]);
    print_lie(out, task.chord, &task.voicing, true);
    if task.grace != 200 {
        let grace = fraction::from_hundredths(i64::from(task.grace));
        let _ = writeln!(out, "grace = {}", fraction::hundredths(grace));
    }
    if task.with_bass {
        let _ = writeln!(out, "with_bass = true");
        if key {
            print_bass(out, &sound::bass(task.chord, task.limit));
        }
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

/// Writes what the bass plays: under a voicing from the prompt on, in a run from its first beat.
fn print_bass(out: &mut String, sound: &Sound) {
    let strikes: Vec<String> = sound
        .strikes
        .iter()
        .map(|strike| {
            let keys: Vec<String> = strike.keys.iter().map(|(key, _)| key.to_string()).collect();
            format!(
                "{{ at_ms = {}, held_ms = {}, keys = [{}] }}",
                strike.at,
                strike.held,
                keys.join(", ")
            )
        })
        .collect();

    let _ = writeln!(out, "bass_ms = {}", sound.length);
    let _ = writeln!(out, "bass = [{}]", strikes.join(", "));
}

pub(super) fn print_run(out: &mut String, task: &RunTask, table: &str, key: bool) {
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
    if let Some(bass) = sound::backing(task, 100) {
        let _ = writeln!(out, "with_bass = true");
        if key {
            print_bass(out, &bass);
        }
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
            let keys_of_any = || shell(chord.chord);
            let example = example
                .as_ref()
                .and_then(|line| line.get(k).cloned())
                .unwrap_or_else(keys_of_any);
            let _ = writeln!(out, "example = {}", keys(&example));
        }
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
