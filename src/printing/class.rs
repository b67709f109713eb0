//! A class report: marks, items and confusions of a whole class, by number unless names are asked.

mod figure;
mod tables;

use super::head::Head;
use super::page::{Document, Size};
use super::plan::{Block, Flow};
use super::text;
use super::words;
use super::writer::Writer;
use crate::cohort::cut::Sheet;
use crate::cohort::{self, Exam};
use tables::Tables;

/// What the report is given beside the class.
#[derive(Clone, Copy)]
pub struct Given<'a> {
    /// The name of a candidate, where names are wanted and it is known.
    pub name: &'a dyn Fn(&str) -> Option<String>,
    /// A cut score after Angoff, where judges gave estimates.
    pub cut: Option<&'a Sheet>,
    /// The program's version.
    pub program: &'a str,
    /// How many results of the folder could not be read.
    pub damaged: usize,
}

/// Lays the report of a class out.
pub fn report(exam: &Exam, given: Given<'_>, size: Size) -> Document {
    let title = format!("{}: class report", exam.title);
    let new = || Writer::new(size, &title, "Marks, items and confusions of a class");
    let tables = Tables::of(exam, given);
    let text = Text::of(exam, given);
    let flow = Flow::of(blocks(exam, &text, &tables), new());
    let mut writer = new();
    let count = words::counted(exam.rows.len(), "sitting", "sittings");
    let head = Head {
        title: &exam.title,
        what: "Class report",
        who: &words::capital(&count),
        when: &text.when,
        foot: &text.foot,
    };

    head.open(&mut writer);
    flow.write(&mut writer);
    writer.finish(|on, number, of| head.running(on, (number, of)))
}

/// The sentences of a report.
struct Text {
    when: String,
    foot: String,
    marks: Vec<String>,
    class: Vec<String>,
    forms: Vec<String>,
    reliability: Vec<String>,
    items: Vec<String>,
    gaps: Vec<String>,
    cut: Vec<String>,
}

impl Text {
    fn of(exam: &Exam, given: Given<'_>) -> Self {
        let when = days(exam);

        Self {
            when,
            foot: format!(
                "Exam {}, script {} · program {}",
                exam.name,
                exam.digest.get(..8).unwrap_or_default(),
                given.program
            ),
            marks: marks(exam, given.damaged),
            class: vec![format!(
                "{} are too many to print one by one: class.csv and gaps.csv have them.",
                words::capital(&words::counted(exam.rows.len(), "sitting", "sittings"))
            )],
            forms: vec![words::sentence(&exam.forms.sentence())],
            reliability: reliability(exam),
            items: items(exam),
            gaps: gaps(exam),
            cut: given.cut.map(cut).unwrap_or_default(),
        }
    }
}

fn blocks<'a>(exam: &'a Exam, text: &'a Text, tables: &'a Tables) -> Vec<Block<'a>> {
    let mut all = Vec::new();
    let paragraph = |name: &'a str, sentences: &'a [String], all: &mut Vec<Block<'a>>| {
        if !sentences.is_empty() {
            all.push(Block::new(move |on| {
                text::paragraph(on, name, sentences);
            }));
        }
    };

    paragraph("Marks", &text.marks, &mut all);
    figure::marks(exam, &mut all);
    tables.bands.blocks(("", &[]), &mut all);
    if tables.class.rows.is_empty() {
        paragraph("Class", &text.class, &mut all);
    } else {
        tables.class.blocks(("Class", &[]), &mut all);
        all.push(Block::new(|on| text::small(on, &tables.class_note)).tight());
    }
    paragraph("Reliability", &text.reliability, &mut all);
    if tables.forms.rows.len() > 1 {
        tables.forms.blocks(("Forms", &text.forms), &mut all);
    } else {
        paragraph("Forms", &text.forms, &mut all);
    }
    if tables.items.rows.is_empty() {
        paragraph("Items", &text.items, &mut all);
    } else {
        tables.items.blocks(("Items", &text.items), &mut all);
    }
    for (title, table, note) in tables.keys.iter().chain(&tables.heard) {
        table.blocks((title, &[]), &mut all);
        all.push(Block::new(|on| text::small(on, note)).tight());
    }
    if tables.gaps.rows.is_empty() {
        paragraph("Routine gap", &text.gaps, &mut all);
    } else {
        tables.gaps.blocks(("Routine gap", &text.gaps), &mut all);
    }
    paragraph("Cut score", &text.cut, &mut all);

    all
}

/// The days on which the class sat: `12 March 2026`, or the first and the last.
fn days(exam: &Exam) -> String {
    let mut days: Vec<words::Moment> = exam
        .rows
        .iter()
        .filter_map(|row| words::Moment::read(&row.started))
        .collect();
    days.sort_unstable();

    match (days.first(), days.last()) {
        (Some(first), Some(last)) if first.date() == last.date() => first.date(),
        (Some(first), Some(last)) => format!("{} to {}", first.date(), last.date()),
        _ => String::new(),
    }
}

/// Mean, spread and passes.
fn marks(exam: &Exam, damaged: usize) -> Vec<String> {
    let mut said = Vec::new();
    let out_of = words::hundredths(exam.out_of);

    if let Some(all) = &exam.forms.all {
        let spread = all
            .deviation
            .map(|of| format!(", with a standard deviation of {}", words::marks(of)))
            .unwrap_or_default();
        said.push(format!(
            "The mean is {:.0} of {out_of} marks{spread}.",
            all.mean
        ));
    }
    let decided = exam.rows.iter().filter(|row| row.passed.is_some()).count();
    let passed = exam
        .rows
        .iter()
        .filter(|row| row.passed == Some(true))
        .count();
    if decided > 0 {
        said.push(format!("{passed} of {decided} passed."));
    }
    if exam.settled < exam.rows.len() {
        let open = words::counted(exam.rows.len() - exam.settled, "sitting", "sittings");
        said.push(format!(
            "{} void or waiting for a person's marks: in the table, and in no figure.",
            words::capital(&open)
        ));
    }
    said.extend(cohort::words::by_hand(exam).map(|by_hand| words::sentence(&by_hand)));
    if !exam.resits.is_empty() {
        said.push(format!(
            "{} sat more than once; each of their sittings counts.",
            words::capital(&words::counted(
                exam.resits.len(),
                "candidate",
                "candidates"
            ))
        ));
    }
    if damaged > 0 {
        said.push(format!(
            "{} could not be read and {} left out.",
            words::capital(&words::counted(damaged, "result", "results")),
            if damaged == 1 { "is" } else { "are" }
        ));
    }

    vec![said.join(" ")]
}

/// How far the totals carry, in words.
fn reliability(exam: &Exam) -> Vec<String> {
    let mut said = Vec::new();
    let whole = |figures: &[cohort::reliability::Figure]| {
        figures
            .iter()
            .find(|figure| figure.section.is_none())
            .and_then(|figure| Some((figure.reliability?, figure.error, figure.kr20, figure.open)))
    };

    if let Some((value, error, _, open)) = whole(&exam.reliability.over_forms) {
        let (most, least) = if open {
            ("at most ", "at least ")
        } else {
            ("", "")
        };
        let error = error
            .map(|error| {
                format!(
                    " and the standard error of measurement {least}{}",
                    words::marks(error)
                )
            })
            .unwrap_or_default();
        said.push(format!(
            "Over forms drawn anew the reliability of the total is {most}{value:.2}{error}: one-way, \
             each candidate with items of their own. From .70 a class test carries decisions, from \
             .85 a certificate (common practice)."
        ));
    }
    if let Some(form) = exam.reliability.forms.first()
        && let Some((value, _, kr20, _)) = whole(&form.figures)
    {
        let name = if kr20.is_some() { "KR-20" } else { "Alpha" };
        said.push(format!(
            "{name} among the sittings of form {} is {:.2} (population variance).",
            form.code,
            kr20.unwrap_or(value)
        ));
    }
    if said.is_empty() {
        said.push("Too few sittings to say how far the totals carry.".to_owned());
    }

    vec![said.join(" ")]
}

/// What the table of items shows, or why there is none.
fn items(exam: &Exam) -> Vec<String> {
    use crate::marking::statistics::Basis;
    let told = exam.items.iter().filter(|item| item.basis != Basis::Counts);
    let rough = told.clone().filter(|item| item.basis == Basis::Rough);
    let (told, rough) = (told.count(), rough.count());
    let look = cohort::words::to_look_at(exam).len();

    if told == 0 {
        return vec![
            "Each item was sat fewer than 20 times: there are counts (items.csv) and no figures."
                .to_owned(),
        ];
    }
    let rough = match rough {
        0 => String::new(),
        _ => format!(", {rough} of them under 50 (rough)"),
    };
    let look = match look {
        0 => "none needs a look".to_owned(),
        _ => format!("{look} should be looked at"),
    };
    vec![format!(
        "{told} of {} items and cells have 20 sittings or more{rough}; {look}. Difficulty is the mean \
         credit, discrimination the correlation with the mark on all other items.",
        exam.items.len()
    )]
}

/// The class's medians of the routine gap.
fn gaps(exam: &Exam) -> Vec<String> {
    let mut said = Vec::new();

    for median in &exam.gaps.medians {
        let chord = words::label(&median.quality, crate::theory::symbol::Style::DEFAULT);
        let chord = words::capital(&chord);
        if let Some((count, ms)) = median.ms {
            said.push(format!(
                "{chord}: cold {:.1} s slower than inside the cycle (median of {}).",
                ms / 1000.0,
                words::counted(count, "sitting", "sittings")
            ));
        } else if let Some((count, share)) = median.share {
            said.push(format!(
                "{chord}: the share right in the run lies {:.0} % {} the mean credit cold (median of \
                 {}).",
                share.abs() * 100.0,
                if share >= 0.0 { "above" } else { "below" },
                words::counted(count, "sitting", "sittings")
            ));
        }
    }

    said
}

/// The cut score and how far the judges lie apart.
fn cut(sheet: &Sheet) -> Vec<String> {
    let mut said = Vec::new();

    for judge in &sheet.judges {
        said.push(match judge.marks {
            Some(marks) => format!("{}: {marks:.1} of {:.0} marks.", judge.name, sheet.out_of),
            None => format!("{}: not complete.", judge.name),
        });
    }
    if let (Some(cut), Some((low, high))) = (sheet.cut, sheet.range) {
        let error = sheet
            .error
            .map(|error| format!(" ± {error:.1} (standard error of the judges' mean)"))
            .unwrap_or_default();
        said.push(format!(
            "The cut after Angoff is {cut:.1}{error}, the judges from {low:.1} to {high:.1}; {} of {} \
             sittings reach it. A cut is a judgement and has an error as marks have.",
            sheet.reached.0, sheet.reached.1
        ));
    }
    said.extend(
        sheet
            .warnings
            .iter()
            .map(|warning| words::sentence(warning)),
    );

    said
}

#[cfg(test)]
mod tests;
