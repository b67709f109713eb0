//! Judges' estimates from a CSV file: `judge,section,item,estimate`.

use std::fmt;

use thiserror::Error;

use super::Asked;

/// What an estimate is of.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum On {
    /// An item by its number in the form.
    Number(u32),
    /// All items of a cell of the section.
    Cell(u16),
    /// An item by its prompt.
    Prompt(String),
}

impl fmt::Display for On {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Number(number) => write!(f, "item {number}"),
            Self::Cell(cell) => write!(f, "cell {cell}"),
            Self::Prompt(prompt) => write!(f, "item \"{prompt}\""),
        }
    }
}

/// What a judge expects.
#[derive(Debug, Clone, PartialEq)]
pub struct Estimate {
    /// Its line in the file, from 1.
    pub line: u64,
    /// The judge.
    pub judge: String,
    /// The short name of the section.
    pub section: String,
    /// What it is of.
    pub on: On,
    /// The share of just-passing candidates who get it right, 0 to 1; of items with part credits
    /// the credit that they have on average.
    pub share: f64,
}

impl Estimate {
    /// Whether it is of this item.
    pub fn is_of(&self, item: &Asked) -> bool {
        self.section == item.section
            && match &self.on {
                On::Number(number) => *number == item.number,
                On::Cell(cell) => *cell == item.cell,
                On::Prompt(prompt) => *prompt == item.prompt,
            }
    }
}

/// Why estimates cannot be read.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum Error {
    /// It is no CSV.
    #[error("expected a CSV file with the columns judge, section, item, estimate: {0}")]
    Csv(String),
    /// A column is not there.
    #[error(
        "line 1: expected a column `{0}`, found none; the columns are judge, section, item, estimate"
    )]
    Column(&'static str),
    /// No rows.
    #[error("expected a row for each judge and item, found none")]
    Empty,
    /// A cell says nothing.
    #[error("line {line}: expected {what}, found nothing; fill it in")]
    Blank {
        /// The line.
        line: u64,
        /// What is missing.
        what: &'static str,
    },
    /// An estimate is no percentage.
    #[error(
        "line {line}: expected an estimate from 0 to 100 percent, found `{found}`; write a number such as 60"
    )]
    Estimate {
        /// The line.
        line: u64,
        /// What stands there.
        found: String,
    },
    /// One judge said two things of one item.
    #[error(
        "line {line}: {judge} has an estimate of {on} in section {section} already; leave one of them out"
    )]
    Twice {
        /// The line.
        line: u64,
        /// The judge.
        judge: String,
        /// What it is of.
        on: String,
        /// The section.
        section: String,
    },
}

const COLUMNS: [&str; 4] = ["judge", "section", "item", "estimate"];

/// Reads estimates. Columns may stand in any order, with others between; an item is its number in
/// the form, `cell 3`, or its prompt.
///
/// # Errors
/// Says the line, what is wrong and how to mend it.
pub fn read(text: &str) -> Result<Vec<Estimate>, Error> {
    let mut reader = csv::ReaderBuilder::new()
        .flexible(true)
        .trim(csv::Trim::All)
        .from_reader(text.trim_start_matches('\u{feff}').as_bytes());
    let heads = reader.headers().map_err(csv_error)?.clone();
    let mut columns = [0; 4];
    for (place, name) in columns.iter_mut().zip(COLUMNS) {
        *place = heads
            .iter()
            .position(|head| head.eq_ignore_ascii_case(name))
            .ok_or(Error::Column(name))?;
    }
    let mut estimates: Vec<Estimate> = Vec::new();
    let mut seen = std::collections::BTreeSet::new();

    for row in reader.records() {
        let row = row.map_err(csv_error)?;
        let line = row.position().map_or(0, csv::Position::line);
        if row.iter().all(str::is_empty) {
            continue;
        }
        let cell = |column: usize, what| match row.get(columns[column]) {
            Some(text) if !text.is_empty() => Ok(text),
            _ => Err(Error::Blank { line, what }),
        };
        let judge = cell(0, "a judge's name or initials")?;
        let section = cell(1, "a section's short name")?;
        let on = on(cell(
            2,
            "an item: its number, its prompt, or a cell such as `cell 3`",
        )?);
        let found = cell(3, "an estimate from 0 to 100")?;
        let share = found
            .trim_end_matches('%')
            .trim_end()
            .parse::<f64>()
            .ok()
            .filter(|percent| (0.0..=100.0).contains(percent))
            .ok_or_else(|| Error::Estimate {
                line,
                found: found.to_owned(),
            })?
            / 100.0;
        if !seen.insert((judge.to_owned(), section.to_owned(), on.to_string())) {
            return Err(Error::Twice {
                line,
                judge: judge.to_owned(),
                on: on.to_string(),
                section: section.to_owned(),
            });
        }
        estimates.push(Estimate {
            line,
            judge: judge.to_owned(),
            section: section.to_owned(),
            on,
            share,
        });
    }

    if estimates.is_empty() {
        return Err(Error::Empty);
    }
    Ok(estimates)
}

fn on(text: &str) -> On {
    if let Ok(number) = text.parse() {
        return On::Number(number);
    }
    let cell = text
        .get(..4)
        .filter(|word| word.eq_ignore_ascii_case("cell"))
        .and_then(|_| text[4..].trim().parse().ok());

    cell.map_or_else(|| On::Prompt(text.to_owned()), On::Cell)
}

fn csv_error(error: csv::Error) -> Error {
    Error::Csv(error.to_string())
}
