//! Results for a school's gradebook, in the columns of OneRoster 1.1 (1EdTech): `results.csv` and
//! `lineItems.csv`.
//!
//! Identifiers stay the same however often a class is worked out: an exam's comes from its name and
//! the digest of its script, a result's from the exam's, the candidate, the form and when it began,
//! so that a re-mark takes the place of the mark before it.

use super::class::Row;
use super::csv::Table;
use super::{Exam, decimal};
use crate::sitting::journal::Head;

/// The columns of `results.csv`.
pub const RESULTS: [&str; 9] = [
    "sourcedId",
    "status",
    "dateLastModified",
    "lineItemSourcedId",
    "studentSourcedId",
    "scoreStatus",
    "score",
    "scoreDate",
    "comment",
];

/// The columns of `lineItems.csv`.
pub const LINE_ITEMS: [&str; 12] = [
    "sourcedId",
    "status",
    "dateLastModified",
    "title",
    "description",
    "assignDate",
    "dueDate",
    "classSourcedId",
    "categorySourcedId",
    "gradingPeriodSourcedId",
    "resultValueMin",
    "resultValueMax",
];

/// The marks. A void sitting has none and stands in no row. `student` turns a candidate's number
/// into the school's identifier.
pub fn results(exam: &Exam, student: impl Fn(&str) -> String) -> Table {
    let mut table = Table::new("gradebook.csv", RESULTS);
    let line_item = line_item(exam);

    for row in exam.rows.iter().filter(|row| !row.void) {
        // The words are OneRoster's own (from memory).
        let status = match row.provisional {
            true => "partially graded",
            false => "fully graded",
        };
        table
            .text(&identifier(&[
                &line_item,
                &row.candidate,
                &row.form,
                &row.started,
            ]))
            .text("active")
            .text(&row.started)
            .text(&line_item)
            .text(&student(&row.candidate))
            .text(status)
            .plain(decimal(row.mark))
            .text(date(&row.started))
            .text(&comment(row))
            .end();
    }

    table
}

/// The exam as a column of the gradebook. Class, category and grading period are the school's own
/// and stay empty.
pub fn line_items(exam: &Exam) -> Table {
    let mut table = Table::new("lineItems.csv", LINE_ITEMS);
    let mut started: Vec<&str> = exam.rows.iter().map(|row| row.started.as_str()).collect();
    started.sort_unstable();
    let first = started.first().copied().unwrap_or_default();
    let last = started.last().copied().unwrap_or_default();

    table
        .text(&line_item(exam))
        .text("active")
        .text(last)
        .text(&exam.title)
        .text(&exam.edition)
        .text(date(first))
        .text(date(last))
        .text("")
        .text("")
        .text("")
        .plain("0.00".to_owned())
        .plain(decimal(exam.out_of))
        .end();

    table
}

fn comment(row: &Row) -> String {
    let digest = row.digest.get(..8).unwrap_or_default();

    format!("{} (result {digest})", row.band)
        .trim_start()
        .to_owned()
}

/// The day of a moment: RFC 3339 begins with it.
fn date(moment: &str) -> &str {
    moment.get(..10).unwrap_or_default()
}

fn line_item(exam: &Exam) -> String {
    identifier(&[&exam.name, &exam.digest])
}

/// Half a digest: 32 hexadecimal digits, which no two share by chance.
fn identifier(parts: &[&str]) -> String {
    let digest = Head::START.then(parts.join("\n").as_bytes());

    format!("{digest:.32}")
}
