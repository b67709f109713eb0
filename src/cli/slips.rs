//! `slips`: print a class's slips, and the class list with the forms that the kiosks go by.

use std::path::{Path, PathBuf};

use clap::Args;

use super::moderate::folder;
use super::paper::Paper;
use super::roster::{self, Entry};
use super::{End, Fault, complain, disk, load, lp, say};
use crate::cohort::csv::Table;
use crate::exam::allot::Class;
use crate::exam::code::Code;
use crate::exam::draw;
use crate::exam::script::Exam;
use crate::kiosk::shelf;
use crate::printing::pdf;
use crate::printing::slips::{Slip, slips};

/// Print a class's slips: number, seat, form and start
///
/// The forms are those of one set, and of the next sets for a class with more candidates than a set
/// has seats. Who has a result of this exam in --results never gets a form that they have sat.
/// Beside the slips a class list with the forms is written: give it to the kiosks as --roster.
#[derive(Debug, Args)]
pub(super) struct Arguments {
    /// The exam script
    #[arg(long, value_name = "FILE")]
    exam: PathBuf,
    /// The class list (CSV): OneRoster's columns, or number and name
    #[arg(long, value_name = "FILE")]
    roster: PathBuf,
    /// The form of the first candidate; otherwise the first of the first set
    #[arg(long, value_name = "CODE")]
    form: Option<String>,
    /// Results of earlier sittings; `results` is looked into if it is there
    #[arg(long, value_name = "DIR")]
    results: Option<PathBuf>,
    /// How many candidates sit at one time; otherwise all
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..))]
    kiosks: Option<u16>,
    /// When the first begin, such as 10:00; otherwise slips have no time
    #[arg(long, value_name = "HH:MM", value_parser = minutes)]
    start: Option<u32>,
    /// Minutes from one group to the next; otherwise the longest that the exam lasts, and five
    #[arg(long, value_name = "MINUTES", requires = "start", value_parser = clap::value_parser!(u32).range(1..=600))]
    every: Option<u32>,
    /// Names on the slips too
    #[arg(long)]
    names: bool,
    /// The paper
    #[arg(long, value_enum, default_value = "a4")]
    paper: Paper,
    /// The folder that slips and list go to
    #[arg(long, value_name = "DIR", default_value = ".")]
    out: PathBuf,
    /// Print the slips, on this printer or the usual one
    #[arg(long, value_name = "PRINTER", num_args = 0..=1)]
    print: Option<Option<String>>,
}

/// Reads a time of day as minutes after midnight.
fn minutes(text: &str) -> Result<u32, String> {
    let fault = || "expected a time of day such as 10:00".to_owned();
    let (hours, minutes) = text.split_once(':').ok_or_else(fault)?;
    let number = |text: &str, below: u32| {
        let digits = text.chars().all(|sign| sign.is_ascii_digit()) && text.len() <= 2;
        text.parse::<u32>()
            .ok()
            .filter(|number| digits && *number < below)
            .ok_or_else(fault)
    };

    Ok(number(hours, 24)? * 60 + number(minutes, 60)?)
}

pub(super) fn run(arguments: &Arguments) -> Result<End, Fault> {
    let (exam, _) = load::exam(&arguments.exam)?;
    let class = roster::read(&arguments.roster)?;
    if class.is_empty() {
        return Err(Fault(load::placed(
            &arguments.roster,
            "expected a candidate a line, found none",
        )));
    }
    let first = load::code(arguments.form.as_deref())?;
    let sat = sat(arguments.results.as_deref(), &exam)?;
    let allot = Class {
        first,
        size: class.len(),
        seats: exam.rules.seats,
    };
    let every = match (arguments.start, arguments.every) {
        (Some(_), None) => longest(&exam, first)?,
        (_, every) => every.unwrap_or_default(),
    };
    let group = arguments.kiosks.map_or(class.len(), usize::from);
    let mut again = 0;
    let rows: Vec<Slip> = class
        .iter()
        .enumerate()
        .map(|(place, entry)| {
            let theirs: Vec<Code> = sat
                .iter()
                .filter(|(number, _)| number.eq_ignore_ascii_case(&entry.number))
                .map(|(_, code)| *code)
                .collect();
            again += usize::from(!theirs.is_empty());
            Slip {
                number: entry.number.clone(),
                name: if arguments.names {
                    entry.name.clone()
                } else {
                    String::new()
                },
                seat: place % group + 1,
                form: allot.form(place, &theirs).to_string(),
                start: arguments
                    .start
                    .map(|start| clock(start + (place / group) as u32 * every))
                    .unwrap_or_default(),
            }
        })
        .collect();
    if let Some(late) = rows.iter().find(|slip| slip.start.is_empty())
        && arguments.start.is_some()
    {
        return Err(Fault::new(format_args!(
            "candidate {} would begin after midnight: begin earlier, take more kiosks, or spread the \
             class over two days",
            late.number
        )));
    }

    let page = pdf::write(&slips(&exam.title, &rows, arguments.paper.into()))?;
    let (page, list) = write(&arguments.out, &exam, &page, &list(&rows, &class))?;
    say(&format!(
        "{} slips: {}\nClass list for the kiosks (--roster): {}\n",
        rows.len(),
        page.display(),
        list.display()
    ));
    if again > 0 {
        let who = if again == 1 {
            "candidate has"
        } else {
            "candidates have"
        };
        say(&format!(
            "{again} {who} sat this exam before and not the form on their slip\n"
        ));
    }

    if let Some(printer) = &arguments.print {
        match lp::print(&page, printer.as_deref()) {
            Ok(told) => say(&format!("{}\n", told.words)),
            Err(error) => {
                complain(&error.to_string());
                return Ok(End::Faults);
            }
        }
    }
    Ok(End::Fine)
}

/// The forms that candidates have sat: number and code, of results of this exam.
fn sat(named: Option<&Path>, exam: &Exam) -> Result<Vec<(String, Code)>, Fault> {
    let usual = Path::new("results");
    let Some(results) = named.or_else(|| usual.is_dir().then_some(usual)) else {
        return Ok(Vec::new());
    };
    let folder::Read {
        cohort, damaged, ..
    } = folder::read(results)?;

    for fault in &damaged {
        complain(&load::placed(&fault.path, &fault.fault));
    }
    Ok(cohort
        .report()
        .exams
        .iter()
        // Another edition of the exam draws the same items from the same code.
        .filter(|other| other.name == exam.name)
        .flat_map(|other| &other.rows)
        .filter_map(|row| Some((row.candidate.clone(), Code::parse(&row.form).ok()?)))
        .collect())
}

/// From one group to the next: the longest that the exam lasts and time to change seats, in steps
/// of five minutes.
fn longest(exam: &Exam, first: Code) -> Result<u32, Fault> {
    let form = draw::draw(exam, first)?;
    let (_, most) = shelf::minutes_in_all(&shelf::plan(exam, &form, 100));
    let most = u32::try_from(most).unwrap_or(0);

    Ok((most + 5).next_multiple_of(5))
}

/// A time of day; empty after midnight.
fn clock(minutes: u32) -> String {
    if minutes < 24 * 60 {
        format!("{:02}:{:02}", minutes / 60, minutes % 60)
    } else {
        String::new()
    }
}

/// The class list with seats and forms.
fn list(rows: &[Slip], class: &[Entry]) -> String {
    let mut table = Table::new("slips.csv", ["number", "name", "seat", "form", "start"]);

    for (slip, entry) in rows.iter().zip(class) {
        let _ = table
            .text(&slip.number)
            .text(&entry.name)
            .plain(slip.seat)
            .text(&slip.form)
            .text(&slip.start);
        table.end();
    }
    table.csv().to_owned()
}

/// Writes both under one name that neither has yet.
fn write(folder: &Path, exam: &Exam, page: &[u8], list: &str) -> Result<(PathBuf, PathBuf), Fault> {
    let page = disk::write_numbered(folder, &format!("{}-slips", exam.name), "pdf", page)?;
    let list_path = page.with_extension("csv");
    disk::write_new(&list_path, list.as_bytes())?;

    Ok((page, list_path))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_of_day_are_read_and_written() {
        let check = |text: &str, expected: Option<u32>| {
            assert_eq!(minutes(text).ok(), expected, "{text}");
        };
        check("10:00", Some(600));
        check("9:05", Some(545));
        check("24:00", None);
        check("10.00", None);
        check("+1:00", None);
        check("10:60", None);
        assert_eq!(
            (clock(545), clock(1440)),
            ("09:05".to_owned(), String::new())
        );
    }
}
