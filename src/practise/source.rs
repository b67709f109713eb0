//! The scripts that were sat, taken apart key by key: what this program does not change it copies.

use toml::{Table, Value};

use super::{Error, Sat};
use crate::exam::duration;
use crate::exam::form::Form;
use crate::exam::script::{Exam, Kind};
use crate::theory::progression;
use crate::theory::voicing::form;

/// A script that was sat, once however often.
#[derive(Debug)]
pub(super) struct Source<'a> {
    /// The exam as checked.
    pub(super) exam: &'a Exam,
    /// The script as written.
    pub(super) table: Table,
    /// A form of it, for how long its items last.
    form: &'a Form,
}

/// Takes the scripts apart, those that ask most first.
pub(super) fn all<'a>(sat: &[Sat<'a>]) -> Result<Vec<Source<'a>>, Error> {
    let mut all: Vec<(Source<'a>, &str)> = Vec::new();

    for one in sat {
        if all.iter().any(|(_, script)| *script == one.script) {
            continue;
        }
        let table: Table = one.script.parse().map_err(|error: toml::de::Error| {
            Error::Script(
                error
                    .message()
                    .lines()
                    .next()
                    .unwrap_or_default()
                    .to_owned(),
            )
        })?;
        let source = Source {
            exam: one.sitting.exam(),
            table,
            form: one.sitting.form(),
        };
        if source.sections().len() != source.exam.sections.len() {
            return Err(Error::Script(
                "its sections cannot be told apart".to_owned(),
            ));
        }
        all.push((source, one.script));
    }
    let mut all: Vec<Source<'a>> = all.into_iter().map(|(source, _)| source).collect();
    rename(&mut all);
    // A practice paper asks less of the same: what both ask is taken from the exam.
    all.sort_by_key(|source| std::cmp::Reverse(source.form.items.len()));

    Ok(all)
}

impl Source<'_> {
    fn sections(&self) -> Vec<&Table> {
        tables(&self.table, "section")
    }

    /// Returns a section as written.
    pub(super) fn section(&self, index: usize) -> Table {
        self.sections()
            .get(index)
            .map_or_else(Table::new, |table| (*table).clone())
    }

    /// Returns a cell of a section as written.
    pub(super) fn cell(&self, section: usize, cell: usize) -> Table {
        let section = self.section(section);

        tables(&section, "cells")
            .get(cell)
            .map_or_else(Table::new, |table| (*table).clone())
    }

    /// Returns how long an item of a cell lasts with the gap after it, in seconds.
    pub(super) fn seconds(&self, section: usize, cell: usize) -> f64 {
        let times: Vec<f64> = self
            .form
            .items
            .iter()
            .filter(|item| item.section == section && item.cell == cell)
            .map(|item| duration::with_gap(self.exam, item, 100).usual.as_seconds())
            .collect();

        times.iter().sum::<f64>() / times.len().max(1) as f64
    }

    /// Returns the labels that are right in the items of a cell, the parts joined.
    pub(super) fn labels(&self, section: usize, cell: usize) -> Vec<String> {
        let mut labels = Vec::new();

        for item in &self.form.items {
            let crate::exam::form::Task::Ear(task) = &item.task else {
                continue;
            };
            if item.section != section || item.cell != cell {
                continue;
            }
            let Kind::Ear(of) = &self.exam.sections[section].kind else {
                continue;
            };
            let label = super::ear::label(task, &of.cells[cell].stimulus);
            if !labels.contains(&label) {
                labels.push(label);
            }
        }

        labels
    }

    /// Returns how hard a key is, from 0 to 1, by the group it stands in.
    pub(super) fn hardness(&self, root: u8) -> f64 {
        let groups = &self.exam.groups;
        let at = groups
            .iter()
            .position(|group| group.classes.contains(&root));

        at.map_or(0.5, |at| at as f64 / (groups.len().max(2) - 1) as f64)
    }
}

/// Returns the tables of a list of tables.
pub(super) fn tables<'a>(table: &'a Table, key: &str) -> Vec<&'a Table> {
    table
        .get(key)
        .and_then(Value::as_array)
        .map(|list| list.iter().filter_map(Value::as_table).collect())
        .unwrap_or_default()
}

/// Gives forms and progressions another name that mean something else in another script, or in the
/// program: the paper holds them side by side.
fn rename(sources: &mut [Source<'_>]) {
    for kind in ["form", "progression"] {
        let mut known: Vec<(String, Vec<Table>)> = Vec::new();
        for source in &mut *sources {
            let own: Vec<Table> = tables(&source.table, kind).into_iter().cloned().collect();
            let mut names: Vec<String> = own.iter().filter_map(name).collect();
            names.dedup();
            for name_of in names {
                let of: Vec<Table> = own
                    .iter()
                    .filter(|table| name(table).as_deref() == Some(&name_of))
                    .cloned()
                    .collect();
                let other = known
                    .iter()
                    .any(|(known, tables)| *known == name_of && *tables != of);
                let hides = is_known(kind, &name_of);
                if other || hides {
                    let new = (2..)
                        .map(|number| format!("{name_of} {number}"))
                        .find(|new| known.iter().all(|(known, _)| known != new))
                        .unwrap_or_else(|| name_of.clone());
                    say_otherwise(&mut source.table, kind, &name_of, &new);
                    known.push((new, of));
                } else {
                    known.push((name_of, of));
                }
            }
        }
    }
}

fn name(table: &Table) -> Option<String> {
    Some(table.get("name")?.as_str()?.to_owned())
}

fn is_known(kind: &str, name: &str) -> bool {
    match kind {
        "form" => form::named(name).is_some(),
        _ => progression::named(name).is_some(),
    }
}

/// Puts another name for a form or progression wherever the script says it.
fn say_otherwise(table: &mut Table, kind: &str, was: &str, new: &str) {
    let put = |value: &mut Value| {
        if value.as_str() == Some(was) {
            *value = Value::String(new.to_owned());
        }
    };
    let listed = |table: &mut Table, key: &str, of: &mut dyn FnMut(&mut Table)| {
        for value in table
            .get_mut(key)
            .and_then(Value::as_array_mut)
            .into_iter()
            .flatten()
        {
            if let Some(table) = value.as_table_mut() {
                of(table);
            }
        }
    };

    listed(table, kind, &mut |own| {
        own.get_mut("name").into_iter().for_each(put);
    });
    listed(table, "section", &mut |section| {
        section.get_mut(kind).into_iter().for_each(put);
        let asked = section.get("ask").and_then(Value::as_str);
        let of_progressions = matches!(asked, Some("progression" | "cadence"));
        if kind == "progression" && of_progressions {
            section
                .get_mut("options")
                .and_then(Value::as_array_mut)
                .into_iter()
                .flatten()
                .for_each(put);
        }
        listed(section, "cells", &mut |cell| {
            cell.get_mut(kind).into_iter().for_each(put);
            if kind == "progression" {
                cell.get_mut("cadence").into_iter().for_each(put);
            }
        });
    });
}
