//! The guide for teachers who write exam scripts.

mod prose;

pub use self::prose::{MISTAKES, Mistake, SMALL};

use self::prose::{MADE, TRIED};
use super::{COVER, Default, Key, Kind, Part, SECTIONS, names, sections};
use crate::exam::diagnostic::{Lines, Severity};
use crate::exam::read;

/// The name that the guide's own script goes by.
const NAME: &str = "week-3";

/// Writes the guide.
pub fn guide() -> String {
    let mut out = vec![MADE.to_owned(), String::new()];

    out.push("## A small exam, whole".to_owned());
    out.push(String::new());
    fence(&mut out, "toml", SMALL);
    out.extend([TRIED.to_owned(), String::new()]);
    keys(&mut out);
    built_in(&mut out);
    mistakes(&mut out);

    let mut text = out.join("\n");
    text.truncate(text.trim_end().len());
    text.push('\n');
    text
}

fn fence(out: &mut Vec<String>, language: &str, text: &str) {
    out.extend([
        format!("```{language}"),
        text.trim_end().to_owned(),
        "```".to_owned(),
        String::new(),
    ]);
}

/// Writes every key, part by part.
fn keys(out: &mut Vec<String>) {
    out.extend([
        "## Every key".to_owned(),
        String::new(),
        "A key marked **required** has to be there; any other can be left out, and then its default \
         holds. Both ends of a range are taken. The names of qualities, forms and progressions are \
         listed [further down](#names-that-are-built-in)."
            .to_owned(),
        String::new(),
    ]);
    for part in COVER {
        heading(out, part, 3);
        table(out, part.keys);
        if part.id != "cover" {
            fence(out, "toml", part.sample);
        }
    }
    out.extend([
        "### Every section: `[[section]]`".to_owned(),
        String::new(),
        "These keys are the same in sections of every kind; a rest has only the first three."
            .to_owned(),
        String::new(),
    ]);
    let shared: Vec<Key> = [sections::COMMON, sections::MARKED].concat();
    table(out, &shared);

    let mut told = Vec::new();
    for section in SECTIONS {
        if !told.contains(&section.part.id) {
            told.push(section.part.id);
            heading(out, section.part, 3);
            table(out, section.part.keys);
            fence(out, "toml", section.part.sample);
            refused(out, section.part);
            if section.word == "run" {
                heading(out, &super::hands::WEIGHTS, 4);
                table(out, super::hands::WEIGHTS.keys);
            }
        }
        let Some(cell) = section.cell else { continue };
        heading(out, cell, 4);
        let all: Vec<Key> = cell
            .keys
            .iter()
            .chain(cell.shared.iter().copied().flatten())
            .copied()
            .collect();
        table(out, &all);
        if cell.sample != section.part.sample {
            fence(out, "toml", cell.sample);
        }
        refused(out, cell);
    }
}

fn heading(out: &mut Vec<String>, part: &Part, level: usize) {
    out.extend([
        format!("{} {}", "#".repeat(level), part.title),
        String::new(),
    ]);
    if !part.says.is_empty() {
        out.extend([part.says.to_owned(), String::new()]);
    }
}

fn refused(out: &mut Vec<String>, part: &Part) {
    if part.refused.is_empty() {
        return;
    }
    let all: Vec<String> = part
        .refused
        .iter()
        .map(|(key, why)| format!("`{key}` ({why})"))
        .collect();
    out.extend([
        format!("Not taken here: {}.", all.join(", ")),
        String::new(),
    ]);
}

fn table(out: &mut Vec<String>, keys: &[Key]) {
    out.push("| key | value | default | example | what it does |".to_owned());
    out.push("| --- | --- | --- | --- | --- |".to_owned());
    for key in keys {
        let default = match key.default {
            Default::Required => "**required**".to_owned(),
            Default::Is("\"\"") => "empty".to_owned(),
            Default::Is(_) if key.name == "roots" => "all twelve roots".to_owned(),
            Default::Is(value) => format!("`{value}`"),
            Default::Else(words) => words.to_owned(),
        };
        let example = match (key.example, key.kind) {
            ("", Kind::Word(words, _)) => {
                format!("`{} = \"{}\"`", key.name, words.first().unwrap_or(&""))
            }
            ("", _) => "below".to_owned(),
            (value, _) => format!("`{} = {value}`", key.name),
        };
        out.push(format!(
            "| `{}` | {} | {default} | {example} | {} |",
            key.name,
            value(key.kind, key.unit, key.name),
            key.says
        ));
    }
    out.push(String::new());
}

/// Says what can stand after a key.
fn value(kind: Kind, unit: &str, key: &str) -> String {
    let unit = match unit {
        "" => String::new(),
        unit => format!(" {unit}"),
    };
    let listed = |words: &[&str]| {
        let words: Vec<String> = words.iter().map(|word| format!("`\"{word}\"`")).collect();
        words.join(", ")
    };

    match kind {
        Kind::Line => "a text".to_owned(),
        Kind::Label => "a text, which may be empty".to_owned(),
        Kind::Text => "a text, also over several lines".to_owned(),
        Kind::Flag => "`true` or `false`".to_owned(),
        Kind::Whole(from, to) => format!("a whole number, {from} to {to}{unit}"),
        Kind::Number(from, to) => format!("a number, {from} to {to}{unit}"),
        Kind::Word(words, []) => format!("one of {}", listed(words)),
        Kind::Word(words, also) => {
            format!("one of {}; also written {}", listed(words), listed(also))
        }
        Kind::Member => "a chord tone: 1, 3, 5 or 7".to_owned(),
        Kind::Ask => {
            let asks: Vec<&str> = SECTIONS
                .iter()
                .flat_map(|section| section.asks)
                .copied()
                .collect();
            format!("one of {}, or a list of two", listed(&asks))
        }
        Kind::Quality => "a quality".to_owned(),
        Kind::Root => "a root".to_owned(),
        Kind::Degrees => "degrees, with blanks between".to_owned(),
        Kind::Name(of) => format!("a name: {of}"),
        Kind::Options => "a list of answers".to_owned(),
        Kind::List(of, least, most) => {
            let one = match of {
                Kind::Whole(from, to) => format!("whole numbers, each {from} to {to}{unit}"),
                Kind::Number(from, to) => format!("numbers, each {from} to {to}{unit}"),
                Kind::Root => "roots".to_owned(),
                _ => "texts".to_owned(),
            };
            match (least, most) {
                (least, usize::MAX) => format!("a list of {one}, {least} or more"),
                (least, most) if least == most => format!("a list of {least} {one}"),
                (least, most) => format!("a list of {least} to {most} {one}"),
            }
        }
        Kind::Groups | Kind::Table(_) => format!("a table `[{key}]`"),
        Kind::Tables(_) if key == "cells" => "a list of cells".to_owned(),
        Kind::Tables(_) => format!("tables `[[{key}]]`"),
    }
}

/// Writes the names that are there without more.
fn built_in(out: &mut Vec<String>) {
    out.extend([
        "## Names that are built in".to_owned(),
        String::new(),
        "### Roots and keys".to_owned(),
        String::new(),
        "A letter from `A` to `G` with one accidental at most: `\"Bb\"` or `\"B♭\"`, `\"F#\"` or \
         `\"F♯\"`. Without `[key_groups]` of your own there are three: `\"I\"` with C F G D B♭, \
         `\"II\"` with A E♭ E A♭, and `\"III\"` with B D♭ G♭."
            .to_owned(),
        String::new(),
        "### Qualities".to_owned(),
        String::new(),
        "Any quality that a chord symbol can say, as it stands after the root, can be written; these \
         are common. The major triad is an empty text. On an altered dominant the ninth and the \
         thirteenth may be either of their alterations."
            .to_owned(),
        String::new(),
    ]);
    names::qualities(out);
    out.extend([
        String::new(),
        "### Forms of voicing and their orders".to_owned(),
        String::new(),
        "The degrees are those of the first shape; on some chords a form has another one, and \
         `form --key` shows it."
            .to_owned(),
        String::new(),
    ]);
    names::forms(out);
    out.extend([
        String::new(),
        "### Progressions".to_owned(),
        String::new(),
        "A dot divides the bars; `%` lets the chord before go on.".to_owned(),
        String::new(),
    ]);
    names::progressions(out);
    out.extend([
        String::new(),
        "### Degrees".to_owned(),
        String::new(),
        "As `[[form]]` has them; a flat is `b` or ♭, a sharp `#` or ♯:".to_owned(),
        String::new(),
    ]);
    names::degrees(out);
    out.push(String::new());
}

/// Writes the usual mistakes with what the program says to them.
fn mistakes(out: &mut Vec<String>) {
    out.extend([
        "## Usual mistakes, and what the program says".to_owned(),
        String::new(),
        "Each of them made in the small exam above. The two numbers after the file's name are the \
         line and the column."
            .to_owned(),
        String::new(),
    ]);
    for (words, right, wrong) in MISTAKES {
        out.extend([format!("**{words}**"), String::new()]);
        fence(out, "toml", wrong.trim_end());
        let script = SMALL.replacen(right, wrong, 1);
        let lines = Lines::new(&script);
        let said: String = read::read(&script, NAME)
            .1
            .iter()
            .filter(|found| found.severity == Severity::Fault)
            .map(|found| lines.plain(found, &format!("{NAME}.toml")))
            .collect();
        fence(out, "text", &said);
    }
}
