//! The names that scripts can use without more: forms, progressions, qualities, degrees.

use crate::theory::voicing::form::{self, Tone};
use crate::theory::{Chord, Degree, Name, progression, symbol};

/// Qualities that are often asked for, as scripts write them; a triad of the major kind is empty.
pub(super) const QUALITIES: [&str; 30] = [
    "", "m", "dim", "aug", "sus4", "6", "m6", "maj7", "7", "m7", "m7b5", "dim7", "m(maj7)",
    "maj7#5", "7sus4", "maj9", "9", "m9", "maj7#11", "7b9", "7#9", "7#11", "7b13", "7b9b13", "13",
    "9sus4", "m11", "7alt", "6/9", "m6/9",
];

/// Returns the names of one sort that need no explanation; none where there are none.
pub(super) fn known(of: &str) -> Vec<&'static str> {
    match of {
        "form of voicing" => form::all().iter().map(|form| form.name.as_str()).collect(),
        "progression" => progression::names()
            .chain(["cycle-of-fourths", "at-random"])
            .collect(),
        "key group" => vec!["I", "II", "III"],
        _ => Vec::new(),
    }
}

/// Writes the table of the program's forms.
pub(super) fn forms(out: &mut Vec<String>) {
    out.push("| form | order | left | right | what is asked |".to_owned());
    out.push("| --- | --- | --- | --- | --- |".to_owned());
    for form in form::all() {
        for (i, order) in form.orders.iter().enumerate() {
            let name = match i {
                0 => format!("`{}`", form.name),
                _ => String::new(),
            };
            let hand = |tones: Option<&Vec<Tone>>| {
                let tones: Vec<String> = tones.into_iter().flatten().map(tone).collect();
                match tones.is_empty() {
                    true => "–".to_owned(),
                    false => tones.join(" "),
                }
            };
            let shape = order.shapes.first();
            out.push(format!(
                "| {name} | `{}` | {} | {} | {} |",
                order.name,
                hand(shape.map(|shape| &shape.left)),
                hand(shape.map(|shape| &shape.right)),
                order.words
            ));
        }
    }
}

/// Writes a tone as `[[form]]` has it.
fn tone(tone: &Tone) -> String {
    match tone {
        Tone::Own(number) => number.to_string(),
        Tone::Exact(degree) => degree.ascii().to_owned(),
        Tone::Agreed(degree) => format!("={}", degree.ascii()),
    }
}

/// Writes the table of the program's progressions.
pub(super) fn progressions(out: &mut Vec<String>) {
    out.push("| progression | bars |".to_owned());
    out.push("| --- | --- |".to_owned());
    for (name, bars) in progression::written() {
        out.push(format!("| `{name}` | {} |", bars.join(" · ")));
    }
    out.push(
        "| `cycle-of-fourths` | one quality round the cycle; only in runs, with `quality` |"
            .to_owned(),
    );
    out.push(
        "| `at-random` | one quality on all twelve roots in a drawn order; only in runs, with `quality` |"
            .to_owned(),
    );
}

/// Writes the table of common qualities.
pub(super) fn qualities(out: &mut Vec<String>) {
    out.push("| write | on C it is printed | chord tones |".to_owned());
    out.push("| --- | --- | --- |".to_owned());
    for text in QUALITIES {
        let Ok(quality) = symbol::parse_quality(text) else {
            continue;
        };
        let Ok(root) = Name::parse("C") else {
            continue;
        };
        let degrees: Vec<&str> = quality.degrees().map(Degree::ascii).collect();
        let degrees = match quality.is_altered() {
            true => "third and seventh, altered fifths and ninths".to_owned(),
            false => degrees.join(" "),
        };
        out.push(format!(
            "| `\"{text}\"` | {} | {degrees} |",
            symbol::print(Chord::new(root, quality), symbol::Style::DEFAULT),
        ));
    }
}

/// Writes the table of degrees.
pub(super) fn degrees(out: &mut Vec<String>) {
    let all: Vec<String> = Degree::ALL
        .iter()
        .map(|degree| format!("`{}`", degree.ascii()))
        .collect();

    out.push(format!("{}.", all.join(", ")));
}
