//! A class in plain words, as the terminal has it.

use std::fmt::Write as _;

use super::chain::Why;
use super::cut::Sheet;
use super::item::{Item, Scope};
use super::reliability::{Figure, OVER_FORMS, WITHIN_FORM};
use super::{Exam, Report};
use crate::marking::statistics::Basis;

/// Items named one by one.
const MOST_ITEMS: usize = 8;

/// Forms named one by one; a form a candidate makes a long list.
const MOST_FORMS: usize = 12;

/// Says what was read and what was set aside.
pub fn read(report: &Report) -> String {
    let mut text = format!("{} read", count(report.results, "result"));
    let sittings: usize = report.exams.iter().map(|exam| exam.rows.len()).sum();
    let _ = write!(text, ", {} counted", count(sittings, "sitting"));
    let aside: Vec<String> = [
        (
            Why::Remarked,
            "marked or looked at again, of which the last counts",
        ),
        (Why::Beside, "beside a later re-mark of the same sitting"),
        (Why::Copy, "a copy of another"),
    ]
    .into_iter()
    .map(|(why, words)| {
        let found = report.set_aside.iter().filter(|of| of.why == why).count();
        (found, words)
    })
    .filter(|(found, _)| *found > 0)
    .map(|(found, words)| format!("{found} {words}"))
    .collect();
    if !aside.is_empty() {
        let _ = write!(text, "; set aside: {}", aside.join(", "));
    }

    text + "\n"
}

/// Says everything of an exam.
pub fn exam(exam: &Exam, cut: Option<&Sheet>) -> String {
    let mut text = format!(
        "\n{}, exam {}{}, script {}\n",
        exam.title,
        exam.name,
        match exam.edition.as_str() {
            "" => String::new(),
            edition => format!(" {edition}"),
        },
        exam.digest.get(..8).unwrap_or_default()
    );
    for part in [
        sizes(exam),
        forms(exam),
        items(exam),
        reliability(exam),
        confusions(exam),
        hands(exam),
    ] {
        if !part.is_empty() {
            let _ = write!(text, "\n{part}");
        }
    }
    if let Some(cut) = cut {
        let _ = write!(text, "\n{}", self::cut(cut));
    }

    text
}

fn count(count: usize, word: &str) -> String {
    match count {
        1 => format!("1 {word}"),
        _ => format!("{count} {word}s"),
    }
}

fn sizes(exam: &Exam) -> String {
    let mut text = format!("  {}", count(exam.rows.len(), "sitting"));
    if exam.settled < exam.rows.len() {
        let _ = write!(
            text,
            ", {} with a mark that stands (totals and items are weighed over these)",
            exam.settled
        );
    }
    text.push('\n');
    if let Some(all) = &exam.forms.all {
        let _ = writeln!(
            text,
            "  Mean mark {:.2} of {}{}",
            all.mean,
            super::decimal(exam.out_of),
            all.deviation
                .map(|of| format!(", standard deviation {of:.2}"))
                .unwrap_or_default()
        );
    }
    let width = exam
        .bands
        .iter()
        .map(|band| band.name.chars().count())
        .max()
        .unwrap_or(0)
        .max(9);
    for band in &exam.bands {
        let name = match band.name.as_str() {
            "" => "(no band)",
            name => name,
        };
        let _ = writeln!(text, "    {name:<width$} {:>4}", band.count);
    }
    let passed = exam
        .rows
        .iter()
        .filter(|row| row.passed == Some(true))
        .count();
    let decided = exam.rows.iter().filter(|row| row.passed.is_some()).count();
    if decided > 0 {
        let _ = writeln!(text, "  {passed} of {decided} passed");
    }
    for row in exam.rows.iter().filter(|row| !row.void) {
        for (section, words) in &row.unreached {
            let _ = writeln!(text, "  {}, section {section}: {words}", row.candidate);
        }
    }
    if let Some(by_hand) = by_hand(exam) {
        let _ = writeln!(text, "  {by_hand}");
    }
    if !exam.resits.is_empty() {
        let _ = writeln!(
            text,
            "  {} sat it more than once; each of their sittings counts",
            count(exam.resits.len(), "candidate")
        );
    }

    text
}

/// Says how many sittings were marked by hand, by whom, and what that leaves out.
pub fn by_hand(exam: &Exam) -> Option<String> {
    let rows = exam.rows.iter().filter(|row| !row.by_hand.is_empty());
    let mut names: Vec<&str> = rows
        .clone()
        .flat_map(|row| row.by_hand.iter().map(String::as_str))
        .collect();
    names.sort_unstable();
    names.dedup();

    (!names.is_empty()).then(|| {
        format!(
            "{} marked by hand at a piano, by {}: what was played is not recorded there, so of \
             chords that were not timed and of runs there are marks and no times or gaps",
            count(rows.count(), "sitting"),
            names.join(", ")
        )
    })
}

fn forms(exam: &Exam) -> String {
    let forms = &exam.forms;
    if forms.rows.is_empty() {
        return String::new();
    }
    let mut text = format!("  Forms: {}\n", forms.sentence());
    if forms.rows.len() < 2 {
        return text;
    }
    let mut rows: Vec<_> = forms.rows.iter().collect();
    rows.sort_by_key(|form| (std::cmp::Reverse(form.count), form.code.clone()));
    let some = rows.len().min(MOST_FORMS);
    for form in &rows[..some] {
        let _ = writeln!(
            text,
            "    {:<8} {:>5}  mean {:>6.2}{}{}",
            form.code,
            form.count,
            form.mean,
            form.error
                .map(|of| format!(" ± {of:.2}"))
                .unwrap_or_default(),
            form.deviation
                .map(|of| format!("  standard deviation {of:.2}"))
                .unwrap_or_default()
        );
    }
    if some < rows.len() {
        let _ = writeln!(text, "    and {} more, in forms.csv", rows.len() - some);
    }

    text
}

/// The items to look at, the most urgent first; single items before cells.
pub fn to_look_at(exam: &Exam) -> Vec<&Item> {
    let mut items: Vec<&Item> = exam
        .items
        .iter()
        .filter(|item| !item.look.is_empty())
        .collect();
    items.sort_by(|one, other| {
        let is_cell = |item: &Item| matches!(item.scope, Scope::Cell(_));
        let ((own, r), (its, s)) = (one.urgency(), other.urgency());

        (own, is_cell(one))
            .cmp(&(its, is_cell(other)))
            .then(r.total_cmp(&s))
            .then_with(|| one.words().cmp(&other.words()))
    });

    items
}

fn items(exam: &Exam) -> String {
    if exam.items.is_empty() {
        return String::new();
    }
    let told = exam.items.iter().filter(|item| item.basis != Basis::Counts);
    let rough = told.clone().filter(|item| item.basis == Basis::Rough);
    let (told, rough) = (told.count(), rough.count());
    if told == 0 {
        return "  Items: each was sat fewer than 20 times, so there are counts and no figures\n"
            .to_owned();
    }
    let look = to_look_at(exam);
    let mut text = format!(
        "  Items: {} of {} items and cells have 20 sittings or more{}; {} to look at\n",
        told,
        exam.items.len(),
        match rough {
            0 => String::new(),
            _ => format!(", {rough} of them under 50 (rough)"),
        },
        look.len()
    );
    for item in look.iter().take(MOST_ITEMS) {
        let _ = writeln!(
            text,
            "    {}\n      mean credit {:.2}, discrimination {}{}: {}",
            item.words(),
            item.difficulty,
            item.discrimination
                .map_or_else(|| "not known".to_owned(), |r| format!("{r:.2}")),
            match item.basis {
                Basis::Rough => " (rough)",
                _ => "",
            },
            item.look.join("; ")
        );
    }
    if look.len() > MOST_ITEMS {
        let _ = writeln!(
            text,
            "    and {} more, in items.csv",
            look.len() - MOST_ITEMS
        );
    }

    text
}

fn reliability(exam: &Exam) -> String {
    let mut text = String::new();

    if let Some(form) = exam.reliability.forms.first() {
        let _ = writeln!(text, "  Reliability, form {}", form.code);
        for figure in &form.figures {
            text += &line(figure, "alpha");
        }
        let _ = writeln!(text, "    {WITHIN_FORM}");
    }
    let over = &exam.reliability.over_forms;
    if over.iter().any(|figure| figure.reliability.is_some()) {
        text += "  Reliability over forms\n";
        for figure in over {
            text += &line(figure, "1 − MSw/MSp");
        }
        let _ = writeln!(text, "    {OVER_FORMS}");
    }

    text
}

fn line(figure: &Figure, name: &str) -> String {
    let which = match &figure.section {
        Some(section) => format!("section {section}"),
        None => "whole".to_owned(),
    };
    let Some(reliability) = figure.reliability else {
        return format!("    {which:<10} not known\n");
    };
    let (most, least) = match figure.open {
        true => ("at most ", "at least "),
        false => ("", ""),
    };

    format!(
        "    {which:<10} {name} {most}{reliability:.2}{}{}, {} sittings of {:.1} items\n",
        figure
            .kr20
            .map(|kr20| format!(", KR-20 {kr20:.2}"))
            .unwrap_or_default(),
        figure
            .error
            .map(|error| format!(", standard error {least}{error:.2} marks"))
            .unwrap_or_default(),
        figure.sittings,
        figure.items,
    )
}

fn confusions(exam: &Exam) -> String {
    let mut text = String::new();
    for matrix in &exam.confusions {
        let counts = &matrix.counts;
        let commonest: Vec<String> = counts
            .commonest(3)
            .iter()
            .map(ToString::to_string)
            .collect();
        let part = match exam
            .confusions
            .iter()
            .any(|of| of.section == matrix.section && of.part > 1)
        {
            true => format!(", part {}", matrix.part),
            false => String::new(),
        };
        let _ = writeln!(
            text,
            "  Heard, section {}{part}: {} of {} right{}",
            matrix.section,
            counts.right(),
            counts.total(),
            match commonest.is_empty() {
                true => String::new(),
                false => format!("; taken for one another: {}", commonest.join("; ")),
            }
        );
    }

    text
}

fn hands(exam: &Exam) -> String {
    let mut text = String::new();
    for median in &exam.gaps.medians {
        if let Some((sittings, ms)) = median.ms {
            let _ = writeln!(
                text,
                "  Routine gap, {} ({}): median {:.1} s slower cold than inside the run, {} ",
                median.quality,
                median.form,
                ms / 1000.0,
                count(sittings, "sitting")
            );
        }
        if let Some((sittings, share)) = median.share {
            let _ = writeln!(
                text,
                "  Routine gap, {} ({}): median {share:+.2} between the share right in the run and \
                 the credit cold, {}",
                median.quality,
                median.form,
                count(sittings, "sitting")
            );
        }
    }
    let weak = exam
        .chords
        .iter()
        .filter(|chord| chord.count >= 6)
        .min_by(|one, other| one.level.total_cmp(&other.level));
    if let Some(chord) = weak {
        let _ = writeln!(
            text,
            "  Weakest chord: {}{}, mean level {:.1} of 4, asked {} times",
            chord.root, chord.quality, chord.level, chord.count
        );
    }

    text.replace(" \n", "\n")
}

/// Says the cut-score sheet.
pub fn cut(sheet: &Sheet) -> String {
    let mut text = format!(
        "  Cut after Angoff, form {}, {}\n",
        sheet.form,
        count(sheet.items, "item")
    );
    for judge in &sheet.judges {
        let _ = writeln!(
            text,
            "    {:<12} {}",
            judge.name,
            judge.marks.map_or_else(
                || "not complete".to_owned(),
                |marks| format!("{marks:.2} of {:.2} marks", sheet.out_of)
            )
        );
    }
    if let (Some(cut), Some((low, high))) = (sheet.cut, sheet.range) {
        let _ = writeln!(
            text,
            "    cut {cut:.2} marks{}; judges from {low:.2} to {high:.2}{}",
            sheet
                .error
                .map(|error| format!(" ± {error:.2} (standard error of the judges' mean)"))
                .unwrap_or_default(),
            sheet
                .deviation
                .map(|of| format!(", standard deviation {of:.2}"))
                .unwrap_or_default(),
        );
        let _ = writeln!(
            text,
            "    {} of {} sittings reach it; a cut is a judgement and has an error as marks have",
            sheet.reached.0, sheet.reached.1
        );
    }
    for warning in &sheet.warnings {
        let _ = writeln!(text, "    look: {warning}");
    }

    text
}
