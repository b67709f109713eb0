//! A filled table as lines with their columns, whatever a spreadsheet made of it.

use super::{COLUMNS, Fault};

/// Columns without which nothing can be read.
const NEEDED: [&str; 6] = ["item", "part", "entry", "exam", "form", "script"];

/// A line of the table that is not blank.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Line {
    /// Its number in the file, from 1.
    pub(super) number: u64,
    cells: Vec<String>,
}

impl Line {
    /// Returns what stands in a column, without blanks around it; empty where there is no such
    /// column.
    pub(super) fn cell(&self, column: &str) -> &str {
        COLUMNS
            .iter()
            .position(|name| *name == column)
            .and_then(|place| self.cells.get(place))
            .map_or("", String::as_str)
    }

    /// Makes a fault of a column of this line.
    pub(super) fn fault(&self, column: &'static str, message: impl Into<String>) -> Fault {
        Fault {
            line: Some(self.number),
            column,
            message: message.into(),
        }
    }
}

/// Reads the lines of a table: UTF-8 with its mark or without, divided by commas, semicolons or
/// tabs, with the columns in any order.
pub(super) fn lines(text: &str) -> Result<Vec<Line>, Vec<Fault>> {
    let text = text.trim_start_matches('\u{feff}');
    // Some spreadsheets name the sign that divides in a line of its own.
    let (text, before) = match text.split_once('\n') {
        Some((first, rest)) if first.trim_end().starts_with("sep=") => (rest, 1),
        _ => (text, 0),
    };
    let mut reader = csv::ReaderBuilder::new()
        .flexible(true)
        .has_headers(false)
        .delimiter(divider(text))
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes());
    let mut rows = reader.records();
    let heads = match rows.next() {
        Some(Ok(heads)) => heads,
        _ => {
            return Err(vec![of_table(format!(
                "expected a first line with the columns {}, found none; write an empty table with \
                 `form EXAM --by-hand FILE.csv`",
                NEEDED.join(", ")
            ))]);
        }
    };
    let places = places(&heads, before + 1)?;
    let mut lines = Vec::new();
    let mut faults = Vec::new();

    for row in rows {
        match row {
            Ok(row) => {
                // Where a line begins after blank ones the reader gives the first of these.
                let number = before + line_of(text, row.position());
                let cells: Vec<String> = places
                    .iter()
                    .map(|place| place.and_then(|place| row.get(place)).unwrap_or_default())
                    .map(|cell| plain(cell.trim_start_matches('\'')))
                    .collect();
                if cells.iter().any(|cell| !cell.is_empty()) {
                    lines.push(Line { number, cells });
                }
            }
            Err(error) => faults.push(of_table(format!("expected a table as CSV: {error}"))),
        }
    }

    if faults.is_empty() {
        Ok(lines)
    } else {
        Err(faults)
    }
}

/// Where each column stands.
fn places(heads: &csv::StringRecord, line: u64) -> Result<Vec<Option<usize>>, Vec<Fault>> {
    let fault = |message: String| Fault {
        line: Some(line),
        column: "",
        message,
    };
    let mut faults = Vec::new();
    let places = COLUMNS
        .iter()
        .map(|name| {
            let mut found = heads
                .iter()
                .enumerate()
                .filter(|(_, head)| head.trim().eq_ignore_ascii_case(name))
                .map(|(place, _)| place);
            let first = found.next();
            if found.next().is_some() {
                faults.push(fault(format!(
                    "expected one column `{name}`, found several; take the others out"
                )));
            }
            if first.is_none() && NEEDED.contains(name) {
                faults.push(fault(format!(
                    "expected a column `{name}`, found none; keep the first line as \
                     `form EXAM --by-hand FILE.csv` writes it"
                )));
            }
            first
        })
        .collect();

    match faults.is_empty() {
        true => Ok(places),
        false => Err(faults),
    }
}

/// The sign that divides the columns: the commonest of the first line.
fn divider(text: &str) -> u8 {
    let first = text
        .lines()
        .find(|line| !line.trim().is_empty())
        .unwrap_or_default();
    let count = |sign: u8| first.bytes().filter(|byte| *byte == sign).count();

    [b',', b';', b'\t']
        .into_iter()
        // Of equals the first.
        .rev()
        .max_by_key(|sign| count(*sign))
        .unwrap_or(b',')
}

/// The line on which a row begins, blank ones before it passed over.
fn line_of(text: &str, position: Option<&csv::Position>) -> u64 {
    let Some(position) = position else {
        return 0;
    };
    let rest = usize::try_from(position.byte())
        .ok()
        .and_then(|byte| text.get(byte..))
        .unwrap_or_default();
    let blank = rest
        .bytes()
        .take_while(|byte| matches!(byte, b'\n' | b'\r'))
        .filter(|byte| *byte == b'\n')
        .count();

    position.line() + blank as u64
}

/// A text on one line, with single blanks.
fn plain(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn of_table(message: String) -> Fault {
    Fault {
        line: None,
        column: "",
        message,
    }
}
