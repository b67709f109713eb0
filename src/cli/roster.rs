//! A roster: the candidates' numbers and names. Names stay in it.

use std::collections::HashMap;
use std::path::Path;

use super::{Fault, load};
use crate::cohort::table;

/// Columns that hold a candidate's number, the first found counts: `identifier` and `sourcedId`
/// are those of OneRoster 1.1 `users.csv`.
const NUMBERS: [&str; 3] = ["identifier", "sourcedId", "number"];

/// A candidate of a roster.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Entry {
    /// The number.
    pub(super) number: String,
    /// The name: `name`, or OneRoster's `givenName` and `familyName`; empty where there is none.
    pub(super) name: String,
    /// OneRoster's `sourcedId`; empty where there is none.
    pub(super) identifier: String,
}

/// A roster by number.
#[derive(Debug)]
pub(super) struct Roster(HashMap<String, Entry>);

impl Roster {
    pub(super) fn open(path: &Path) -> Result<Self, Fault> {
        let entries = read(path)?.into_iter();

        Ok(Self(
            entries
                .map(|entry| (entry.number.to_ascii_lowercase(), entry))
                .collect(),
        ))
    }

    fn entry(&self, number: &str) -> Option<&Entry> {
        self.0.get(&number.to_ascii_lowercase())
    }
}

impl table::Roster for Roster {
    fn name(&self, candidate: &str) -> Option<&str> {
        self.entry(candidate).map(|entry| entry.name.as_str())
    }

    fn identifier(&self, candidate: &str) -> Option<&str> {
        self.entry(candidate)
            .map(|entry| entry.identifier.as_str())
            .filter(|identifier| !identifier.is_empty())
    }
}

/// Reads the candidates of a roster, in its order.
pub(super) fn read(path: &Path) -> Result<Vec<Entry>, Fault> {
    let bytes = load::bytes(path)?;
    let name = path.display();
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .trim(csv::Trim::All)
        .from_reader(bytes.as_slice());
    let rows = reader
        .records()
        .collect::<Result<Vec<_>, _>>()
        .map_err(|error| Fault::new(format_args!("{name}: expected a CSV file: {error}")))?;
    let Some(head) = rows.first() else {
        return Err(Fault::new(format_args!(
            "{name}: expected a row for each candidate, found none"
        )));
    };
    let place = |wanted: &str| {
        head.iter()
            .position(|cell| cell.eq_ignore_ascii_case(wanted))
    };
    let column = NUMBERS.iter().find_map(|wanted| place(wanted));
    let names: Vec<usize> = match (column, place("name")) {
        // Without heads the name follows the number.
        (None, _) => vec![1],
        (Some(_), Some(name)) => vec![name],
        (Some(_), None) => ["givenName", "familyName"]
            .iter()
            .filter_map(|wanted| place(wanted))
            .collect(),
    };
    let identifier = place("sourcedId");
    let (column, skip) = column.map_or((0, 0), |column| (column, 1));
    let mut entries: Vec<Entry> = Vec::new();

    for (place, row) in rows.iter().enumerate().skip(skip) {
        let number = row.get(column).unwrap_or_default();
        let line = place + 1;
        if number.is_empty() {
            return Err(Fault::new(format_args!(
                "{name}: line {line}: expected a candidate's number in column {}, found none",
                column + 1
            )));
        }
        if entries
            .iter()
            .any(|other| other.number.eq_ignore_ascii_case(number))
        {
            return Err(Fault::new(format_args!(
                "{name}: line {line}: number {number} stands here a second time; give each \
                 candidate their own"
            )));
        }
        let parts: Vec<&str> = names
            .iter()
            .filter_map(|column| row.get(*column))
            .filter(|part| !part.is_empty())
            .collect();
        entries.push(Entry {
            number: number.to_owned(),
            name: parts.join(" "),
            identifier: identifier
                .and_then(|column| row.get(column))
                .unwrap_or_default()
                .to_owned(),
        });
    }

    Ok(entries)
}

/// Reads the numbers of a roster, in its order.
#[cfg_attr(
    not(feature = "kiosk"),
    expect(dead_code, reason = "the kiosk asks for numbers alone")
)]
pub(super) fn numbers(path: &Path) -> Result<Vec<String>, Fault> {
    Ok(read(path)?.into_iter().map(|entry| entry.number).collect())
}
