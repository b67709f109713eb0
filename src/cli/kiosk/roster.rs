//! A roster: the candidates' numbers. Names stay in it.

use std::path::Path;

use super::super::{Fault, load};

/// Columns that hold a candidate's number, the first found counts: `identifier` and `sourcedId`
/// are those of OneRoster 1.1 `users.csv`.
const NUMBERS: [&str; 3] = ["identifier", "sourcedId", "number"];

/// Reads the numbers of a roster, in its order.
pub(super) fn read(path: &Path) -> Result<Vec<String>, Fault> {
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
    let column = NUMBERS.iter().find_map(|wanted| {
        head.iter()
            .position(|cell| cell.eq_ignore_ascii_case(wanted))
    });
    let (column, skip) = column.map_or((0, 0), |column| (column, 1));
    let mut numbers: Vec<String> = Vec::new();

    for (place, row) in rows.iter().enumerate().skip(skip) {
        let number = row.get(column).unwrap_or_default();
        let line = place + 1;
        if number.is_empty() {
            return Err(Fault::new(format_args!(
                "{name}: line {line}: expected a candidate's number in column {}, found none",
                column + 1
            )));
        }
        if numbers
            .iter()
            .any(|other| other.eq_ignore_ascii_case(number))
        {
            return Err(Fault::new(format_args!(
                "{name}: line {line}: number {number} stands here a second time; give each \
                 candidate their own"
            )));
        }
        numbers.push(number.to_owned());
    }

    Ok(numbers)
}
