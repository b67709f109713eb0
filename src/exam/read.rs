//! Reading an exam script: every key of the language, its default, unit and range.

mod cover;
pub(super) mod each;
mod ear;
mod own;
mod rubric;
mod run;
mod scope;
mod section;
mod spell;
mod voicing;

use std::ops::Range;

pub(super) use self::cover::Cover;
use self::scope::Scope;
use super::check::pool::Supply;
use super::check::{self, Outline};
use super::diagnostic::{Diagnostic, Diagnostics};
use super::script::Exam;
use super::table::{self, Complaint, Spanned, Table, Value, Within};
use crate::theory::quality::Quality;
use crate::theory::symbol;
use crate::time::Time;

/// Reads a script. The exam is there unless something is at fault; warnings do not count.
///
/// `name` is the exam's name: its file's name without the ending.
pub fn read(source: &str, name: &str) -> (Option<Exam>, Vec<Diagnostic>) {
    let out = Diagnostics::new();
    let exam = table::parse(source, &out).and_then(|document| {
        let root = document.root(&out);
        read_root(root, name, &out)
    });
    let exam = exam.filter(|_| !out.has_faults());

    (exam, out.into_vec())
}

fn read_root(root: Table<'_>, name: &str, out: &Diagnostics) -> Option<Exam> {
    let whole = root.is_whole();
    let title = filled(&root, "title");
    let cover = cover::read(&root);
    let scope = Scope::new(own::read(&root, out), &cover, out);
    let mut parts = Vec::new();

    let _ = root.required_array_of_tables("section");
    for table in some_tables(&root, "section", "[[section]]") {
        parts.push(section::read(table, &scope));
    }
    if whole && parts.iter().all(|part| part.seen) {
        scope.tell_unused();
    }
    root.finish();

    check::outline(
        &Outline {
            whole,
            cover: &cover,
            parts: &parts,
        },
        out,
    );

    let mut exam = Exam {
        name: name.to_owned(),
        title: title.map_or_else(String::new, |title| title.value.to_owned()),
        level: cover.level,
        edition: cover.edition,
        about: cover.about,
        style: cover.style,
        pass: cover.pass.map(|pass| pass.value),
        rules: cover.rules,
        groups: scope.own.groups.sound(),
        forms: scope.own.forms.sound(),
        progressions: scope.own.progressions.sound(),
        bands: cover
            .bands
            .into_iter()
            .filter_map(|band| band.whole())
            .collect(),
        sections: Vec::new(),
    };
    let complete = parts.iter().all(|part| part.section.is_some());
    let mut trials = Vec::new();

    for part in parts {
        if let Some(section) = part.section
            && part.supply != Supply::Short
        {
            exam.sections.push(section);
            trials.push((part.place, part.supply));
        }
    }
    check::draws(&mut exam, &trials, scope.seats, out);

    complete.then_some(exam)
}

/// Returns the known word that a misspelt one is nearest to, or all of them, as a help.
fn meant(word: &str, known: &[&str]) -> String {
    match table::nearest(word, known.iter().copied()) {
        Some(near) => format!("did you mean `{near}`?"),
        None => format!("known are: {}", known.join(", ")),
    }
}

/// Reads a text that must be there and say something, on one line.
fn filled<'a>(table: &Table<'a>, key: &'static str) -> Option<Spanned<&'a str>> {
    one_line(table, key, table.required_text(key)?)
}

/// Reads a text that says something, on one line, where it is there.
fn filled_if_there<'a>(table: &Table<'a>, key: &'static str) -> Option<Spanned<&'a str>> {
    one_line(table, key, table.text(key)?)
}

fn one_line<'a>(table: &Table<'_>, key: &str, text: Spanned<&'a str>) -> Option<Spanned<&'a str>> {
    if text.value.trim().is_empty() {
        table.fault(
            text.span,
            format!("`{key}` is empty"),
            Some("write a few words: they are printed".to_owned()),
        );
        return None;
    }

    no_breaks(table, key, text)
}

/// Refuses line breaks and other control signs.
fn no_breaks<'a>(table: &Table<'_>, key: &str, text: Spanned<&'a str>) -> Option<Spanned<&'a str>> {
    if text.value.chars().any(char::is_control) {
        table.fault(
            text.span,
            format!("`{key}` has a line break or another control sign in it"),
            Some("write it on one line".to_owned()),
        );
        return None;
    }

    Some(text)
}

/// Reads the tables of a list that has to have some, once it is there at all.
fn some_tables<'a>(table: &Table<'a>, key: &'static str, sample: &str) -> Vec<Table<'a>> {
    if let Some(value) = table.value(key)
        && value.is_list()
        && let Some(list) = value.list()
        && list.value.is_empty()
    {
        table.fault(
            list.span,
            format!("`{key}` is empty"),
            Some(format!("write at least one: {sample}")),
        );
        return Vec::new();
    }

    table.array_of_tables(key)
}

/// Reads the cells of a section.
fn cells<'a>(table: &Table<'a>, sample: &str) -> Vec<Table<'a>> {
    let Some(value) = table.required_value("cells") else {
        return Vec::new();
    };
    if !value.is_list() {
        value.mismatch(
            "a list of cells",
            Some(format!("write for example {sample}")),
        );
        return Vec::new();
    }

    some_tables(table, "cells", sample)
}

/// Reads the quality of a chord as it stands after the root.
fn quality(text: &str) -> Result<Quality, Complaint> {
    let help = "write a quality as it stands after the root: maj7, m7, 7, m7b5, dim7";

    // A message quotes the text: no symbol is longer.
    if text.len() > 60 {
        return Err(Complaint {
            at: None,
            message: format!("expected a chord quality, found `{}`", table::clip(text)),
            help: Some(help.to_owned()),
        });
    }

    symbol::parse_quality(text).map_err(|error| Complaint {
        at: Some(error.span),
        message: error.message,
        help: Some(help.to_owned()),
    })
}

/// Names a quality in messages: as it is written, or in words where that is nothing.
fn quality_name(quality: Quality) -> String {
    match symbol::ascii_quality(quality) {
        empty if empty.is_empty() => "major triad".to_owned(),
        text => text,
    }
}

/// Reads seconds, to a tenth of a millisecond.
fn seconds(table: &Table<'_>, key: &'static str, from: f64, to: f64) -> Option<Spanned<Time>> {
    table
        .number(key, Within::from(from..=to).of("seconds"))
        .map(|read| read.map(Time::from_seconds))
}

/// Reads the time limit of an item, which must be there.
fn limit(table: &Table<'_>, from: f64) -> Option<Time> {
    table
        .required_number("seconds", Within::from(from..=600.0).of("seconds"))
        .map(|limit| Time::from_seconds(limit.value))
}

/// Reads marks, in hundredths.
fn marks(table: &Table<'_>, key: &'static str) -> Option<Spanned<u32>> {
    table
        .number(key, Within::from(0.0..=10_000.0).of("marks"))
        .map(|read| read.map(|marks| (marks * 100.0).round() as u32))
}

/// Reads a count from 1.
fn count(table: &Table<'_>, key: &'static str, to: i64) -> Option<Spanned<u32>> {
    table
        .integer(key, 1..=to)
        .map(|read| read.map(|count| u32::try_from(count).unwrap_or(1)))
}

/// Reads how many items a cell has, which must be there.
fn required_count(table: &Table<'_>) -> Option<Spanned<u32>> {
    table
        .required_integer("count", 1..=200)
        .map(|read| read.map(|count| u32::try_from(count).unwrap_or(1)))
}

/// Reads a text or a list of texts.
fn one_or_more<'a>(value: Value<'a>) -> Option<Vec<Spanned<&'a str>>> {
    if value.is_list() {
        value.texts().map(|list| list.value)
    } else {
        value.text().map(|text| vec![text])
    }
}

/// The widest hand that anybody has, in semitones: a tenth.
const REACH: u8 = 16;

/// A place in the script.
type Place = Range<usize>;
