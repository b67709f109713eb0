//! Reading an exam script: every key of the language, its default, unit and range.

mod cover;
mod ear;
mod hands;
mod section;

use std::ops::Range;

use super::diagnostic::{Diagnostic, Diagnostics};
use super::script::{Exam, Group};
use super::table::{self, Complaint, Spanned, Table, Value};
use super::{check, script};
use crate::theory::progression::Progression;
use crate::theory::quality::Quality;
use crate::theory::voicing::form::Form;
use crate::theory::{Name, symbol};
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
    let title = root.required_text("title");
    let cover = cover::read(&root, out);
    let scope = Scope {
        groups: cover.groups,
        forms: cover.forms,
        progressions: cover.progressions,
        rules: cover.rules,
        out,
    };
    let mut sections = Vec::new();
    let mut places = Vec::new();

    for table in root.required_array_of_tables("section") {
        places.push(table.span());
        sections.push(section::read(table, &scope));
    }
    let whole = root.is_whole() && sections.iter().all(Option::is_some);
    let pass = cover.pass;
    let bands = cover.bands;
    root.finish();

    let exam = Exam {
        name: name.to_owned(),
        title: title
            .map(|title| title.value.to_owned())
            .unwrap_or_default(),
        level: cover.level,
        edition: cover.edition,
        about: cover.about,
        style: cover.style,
        pass: pass.as_ref().map(|pass| pass.value),
        rules: scope.rules,
        groups: scope.groups,
        forms: scope.forms,
        progressions: scope.progressions,
        bands: bands.iter().map(|band| band.value.clone()).collect(),
        sections: sections.into_iter().flatten().collect(),
    };

    if whole {
        check::exam(
            &exam,
            &check::Places {
                sections: places,
                pass: pass.map(|pass| pass.span),
                bands: bands.into_iter().map(|band| band.span).collect(),
                timing: cover.timing,
            },
            out,
        );
    }

    Some(exam)
}

/// What sections may refer to.
struct Scope<'a> {
    groups: Vec<Group>,
    forms: Vec<Form>,
    progressions: Vec<Progression>,
    rules: script::Rules,
    out: &'a Diagnostics,
}

impl Scope<'_> {
    /// Finds a form of voicing, the script's own first.
    fn form(&self, name: &Spanned<&str>) -> Option<Form> {
        let found = self
            .forms
            .iter()
            .chain(crate::theory::voicing::form::all())
            .find(|form| form.name == name.value)
            .cloned();
        if found.is_none() {
            let names = self
                .forms
                .iter()
                .chain(crate::theory::voicing::form::all())
                .map(|form| form.name.as_str());
            self.unknown("form of voicing", name, names);
        }

        found
    }

    /// Finds a progression, the script's own first.
    fn progression(&self, name: &Spanned<&str>) -> Option<Progression> {
        let own = self
            .progressions
            .iter()
            .find(|progression| progression.name == name.value)
            .cloned();
        let found = own.or_else(|| crate::theory::progression::named(name.value));
        if found.is_none() {
            let mut names: Vec<&str> = crate::theory::progression::names().collect();
            names.extend(self.progressions.iter().map(|own| own.name.as_str()));
            names.push("cycle-of-fourths");
            self.unknown("progression", name, names.into_iter());
        }

        found
    }

    fn unknown<'n>(&self, what: &str, name: &Spanned<&str>, known: impl Iterator<Item = &'n str>) {
        let known: Vec<&str> = known.collect();
        let help = match nearest(name.value, &known) {
            Some(near) => format!("did you mean `{near}`?"),
            None => format!("known are: {}", known.join(", ")),
        };

        self.out.fault(
            name.span.clone(),
            format!("unknown {what} `{}`", name.value),
            Some(help),
        );
    }

    /// Reads the pitch classes that a cell draws from: `group`, `roots`, or all twelve.
    fn roots(&self, table: &Table<'_>) -> Option<Vec<u8>> {
        let named = table.texts("roots");
        let group = table.text("group");

        if let (Some(roots), Some(_)) = (&named, &group) {
            self.out.fault(
                roots.span.clone(),
                "a cell has `roots` or `group`, not both",
                Some("leave one of them out".to_owned()),
            );
            return None;
        }
        if let Some(named) = named {
            let names = self.names(&named.value)?;
            return Some(names.iter().map(|name| name.class()).collect());
        }
        if let Some(name) = group {
            let found = self.groups.iter().find(|group| group.name == name.value);
            if found.is_none() {
                self.unknown(
                    "key group",
                    &name,
                    self.groups.iter().map(|group| group.name.as_str()),
                );
            }
            return found.map(|group| group.classes.clone());
        }

        Some((0..12).collect())
    }

    fn names(&self, texts: &[Spanned<&str>]) -> Option<Vec<Name>> {
        let mut names = Vec::with_capacity(texts.len());
        let mut whole = true;

        for text in texts {
            match Name::parse(text.value) {
                Ok(name) if !name.is_double() => names.push(name),
                Ok(_) => {
                    self.out.fault(
                        text.span.clone(),
                        format!(
                            "expected a root with one accidental at most, found `{}`",
                            text.value
                        ),
                        None,
                    );
                    whole = false;
                }
                Err(error) => {
                    self.out.fault(text.span.clone(), error.to_string(), None);
                    whole = false;
                }
            }
        }

        (whole && !names.is_empty()).then_some(names)
    }
}

/// Returns the known word that a misspelt one is nearest to, if any is near.
fn nearest<'n>(word: &str, known: &[&'n str]) -> Option<&'n str> {
    known
        .iter()
        .map(|candidate| (strsim::damerau_levenshtein(word, candidate), *candidate))
        .filter(|(distance, candidate)| *distance <= 2.max(candidate.len() / 3))
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, candidate)| candidate)
}

fn quality(text: &str) -> Result<Quality, Complaint> {
    symbol::parse_quality(text).map_err(|error| Complaint {
        at: Some(error.span),
        message: error.message,
        help: Some(
            "write a quality as it stands after the root: maj7, m7, 7, m7b5, dim7".to_owned(),
        ),
    })
}

/// Reads seconds, to a tenth of a millisecond.
fn seconds(table: &Table<'_>, key: &'static str, from: f64, to: f64) -> Option<Spanned<Time>> {
    table
        .number(key, table::Within::from(from..=to).of("seconds"))
        .map(|read| read.map(Time::from_seconds))
}

/// Reads marks, in hundredths.
fn marks(table: &Table<'_>, key: &'static str) -> Option<Spanned<u32>> {
    table
        .number(key, table::Within::from(0.0..=10_000.0).of("marks"))
        .map(|read| read.map(|marks| (marks * 100.0).round() as u32))
}

/// Reads a count from 1.
fn count(table: &Table<'_>, key: &'static str, to: i64) -> Option<Spanned<u32>> {
    table
        .integer(key, 1..=to)
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

/// A place in the script.
type Place = Range<usize>;
