//! The tables of a class, as CSV files.

use super::csv::Table;
use super::cut::Sheet;
use super::item::Scope;
use super::{Exam, decimal, gradebook};
use crate::marking::statistics::Basis;

/// What a roster says of a candidate.
pub trait Roster {
    /// The name, where the roster has one.
    fn name(&self, candidate: &str) -> Option<&str>;
    /// The school's own identifier, where the roster has one.
    fn identifier(&self, candidate: &str) -> Option<&str>;
}

/// All tables of an exam. Names stand in them only where a roster is given.
pub fn tables(exam: &Exam, roster: Option<&dyn Roster>, cut: Option<&Sheet>) -> Vec<Table> {
    let student = |candidate: &str| {
        roster
            .and_then(|roster| roster.identifier(candidate))
            .unwrap_or(candidate)
            .to_owned()
    };
    let mut tables = vec![
        class(exam, roster),
        items(exam),
        forms(exam),
        reliability(exam),
        confusions(exam),
        chords(exam),
        gaps(exam),
        gradebook::results(exam, student),
        gradebook::line_items(exam),
    ];
    tables.extend(cut.map(cut_table));

    tables
}

fn class(exam: &Exam, roster: Option<&dyn Roster>) -> Table {
    let mut heads = vec!["candidate".to_owned()];
    heads.extend(roster.map(|_| "name".to_owned()));
    let before = [
        "form",
        "started",
        "ended",
        "mark",
        "out_of",
        "percent",
        "standard_error",
        "band",
        "passed",
    ];
    heads.extend(before.map(str::to_owned));
    heads.extend(exam.sections.iter().map(|of| format!("section_{}", of.id)));
    let after = [
        "hurdles_missed",
        "walked",
        "overruled",
        "incidents",
        "awaited",
        "result",
        "digest",
        "by_hand",
    ];
    heads.extend(after.map(str::to_owned));
    let mut table = Table::new("class.csv", heads.iter().map(String::as_str));

    for row in &exam.rows {
        let _ = table.text(&row.candidate);
        if let Some(roster) = roster {
            let _ = table.text(roster.name(&row.candidate).unwrap_or_default());
        }
        let passed = match row.passed {
            Some(true) => "yes",
            Some(false) => "no",
            None => "",
        };
        let _ = table
            .text(&row.form)
            .text(&row.started)
            .text(&row.ended)
            .plain(decimal(row.mark))
            .plain(decimal(row.out_of))
            .plain(row.percent.map(|of| of.to_string()).unwrap_or_default())
            .number(row.error, 2)
            .text(&row.band)
            .text(passed);
        for heading in &exam.sections {
            let mark = row.sections.iter().find(|(id, ..)| *id == heading.id);
            let _ = table.plain(mark.map(|(_, mark, _)| decimal(*mark)).unwrap_or_default());
        }
        table
            .text(&row.hurdles_missed.join(" "))
            .plain(match row.by_hand.is_empty() {
                true => row.walked.to_string(),
                false => String::new(),
            })
            .plain(row.overruled)
            .plain(row.incidents)
            .plain(row.awaited)
            .text(&row.file)
            .text(&row.digest)
            .text(&row.by_hand.join(" and "))
            .end();
    }

    table
}

fn items(exam: &Exam) -> Table {
    let heads = [
        "scope",
        "section",
        "kind",
        "cell",
        "prompt",
        "right",
        "asked",
        "sittings",
        "basis",
        "difficulty",
        "share_right",
        "level_0",
        "level_1",
        "level_2",
        "level_3",
        "level_4",
        "discrimination",
        "discrimination_is",
        "rare_distractors",
        "look_because",
    ];
    let mut table = Table::new("items.csv", heads);

    for item in &exam.items {
        // Under twenty sittings there are counts and no figures.
        let (basis, told) = match item.basis {
            Basis::Counts => ("counts only", false),
            Basis::Rough => ("rough", true),
            Basis::Firm => ("firm", true),
        };
        let (scope, cell, prompt, right) = match &item.scope {
            Scope::Item { prompt, right } => {
                ("item", String::new(), prompt.as_str(), right.join(" | "))
            }
            Scope::Cell(cell) => ("cell", cell.to_string(), "", String::new()),
        };
        let rare: Vec<String> = item
            .distractors
            .iter()
            .filter(|(_, _, count)| told && (*count as f64) < 0.05 * item.asked as f64)
            .map(|(part, label, count)| format!("{part}: {label} {count}"))
            .collect();
        let _ = table
            .text(scope)
            .text(&item.section)
            .text(&item.kind)
            .plain(cell)
            .text(prompt)
            .text(&right)
            .plain(item.asked)
            .plain(item.sittings)
            .text(basis)
            .number(Some(item.difficulty).filter(|_| told), 4)
            .number(Some(item.right).filter(|_| told), 4);
        for count in item.levels {
            let _ = table.plain(count);
        }
        table
            .number(item.discrimination.filter(|_| told), 4)
            .text(item.word())
            .text(&rare.join("; "))
            .text(&item.look.join("; "))
            .end();
    }

    table
}

fn forms(exam: &Exam) -> Table {
    let mut table = Table::new(
        "forms.csv",
        ["form", "sittings", "mean", "deviation", "pooled_error"],
    );
    for form in exam.forms.rows.iter().chain(&exam.forms.all) {
        table
            .text(&form.code)
            .plain(form.count)
            .number(Some(form.mean), 2)
            .number(form.deviation, 2)
            .number(form.error, 2)
            .end();
    }

    table
}

fn reliability(exam: &Exam) -> Table {
    let heads = [
        "form",
        "section",
        "sittings",
        "items",
        "kr20",
        "alpha",
        "over_forms",
        "error_in_marks",
        "is",
    ];
    let mut table = Table::new("reliability.csv", heads);
    let forms = exam
        .reliability
        .forms
        .iter()
        .map(|of| (Some(of.code.as_str()), of.figures.as_slice()));
    let all = [(None, exam.reliability.over_forms.as_slice())];

    for (form, figures) in forms.chain(all) {
        for figure in figures {
            let (alpha, over) = match form {
                Some(_) => (figure.reliability, None),
                None => (None, figure.reliability),
            };
            table
                .text(form.unwrap_or("all"))
                .text(figure.section.as_deref().unwrap_or("whole"))
                .plain(figure.sittings)
                .number(Some(figure.items), 2)
                .number(figure.kr20, 4)
                .number(alpha, 4)
                .number(over, 4)
                .number(figure.error, 2)
                .text(if figure.open {
                    "reliability at most, error at least"
                } else {
                    ""
                })
                .end();
        }
    }

    table
}

fn confusions(exam: &Exam) -> Table {
    let heads = [
        "section",
        "part",
        "sounded",
        "answered",
        "count",
        "of",
        "share",
        "d_prime",
        "commonest",
    ];
    let mut table = Table::new("confusions.csv", heads);

    for matrix in &exam.confusions {
        let counts = &matrix.counts;
        let commonest = counts.commonest(3);
        for row in counts.rows() {
            let total = row.total();
            let d_prime = counts.sensitivity(row.sounded);
            let answers = counts
                .labels()
                .iter()
                .map(Some)
                .zip(row.counts)
                .chain([(None, &row.unanswered)]);
            for (answered, count) in answers {
                let place = commonest.iter().position(|pair| {
                    pair.sounded == row.sounded && Some(pair.answered) == answered
                });
                table
                    .text(&matrix.section)
                    .plain(matrix.part)
                    .text(row.sounded)
                    .text(answered.map_or("no answer", String::as_str))
                    .plain(count)
                    .plain(total)
                    .number((total > 0).then(|| *count as f64 / total as f64), 4)
                    .number(d_prime, 4)
                    .plain(
                        place
                            .map(|place| (place + 1).to_string())
                            .unwrap_or_default(),
                    )
                    .end();
            }
        }
    }

    table
}

fn chords(exam: &Exam) -> Table {
    let heads = [
        "root",
        "quality",
        "asked",
        "mean_level",
        "whole",
        "median_ms",
        "cold",
        "share_cold",
    ];
    let mut table = Table::new("chords.csv", heads);
    for chord in &exam.chords {
        table
            .text(&chord.root)
            .text(&chord.quality)
            .plain(chord.count)
            .number(Some(chord.level), 4)
            .plain(chord.timed)
            .plain(chord.median.map(|of| of.to_string()).unwrap_or_default())
            .plain(chord.cold)
            .number(Some(chord.cold as f64 / chord.count as f64), 4)
            .end();
    }

    table
}

fn gaps(exam: &Exam) -> Table {
    let heads = [
        "scope",
        "candidate",
        "started",
        "quality",
        "voicing",
        "cold_ms",
        "in_run_ms",
        "gap_ms",
        "right_in_run",
        "credit_cold",
        "gap_share",
        "sittings_ms",
        "sittings_share",
    ];
    let mut table = Table::new("gaps.csv", heads);
    for gap in &exam.gaps.rows {
        table
            .text("sitting")
            .text(&gap.candidate)
            .text(&gap.started)
            .text(&gap.quality)
            .text(&gap.form)
            .number(gap.medians_ms.map(|of| of.0), 1)
            .number(gap.medians_ms.map(|of| of.1), 1)
            .number(gap.ms(), 1)
            .number(gap.shares.map(|of| of.0), 2)
            .number(gap.shares.map(|of| of.1), 2)
            .number(gap.share(), 2)
            .plain("")
            .plain("")
            .end();
    }
    for median in &exam.gaps.medians {
        let count = |of: Option<(usize, f64)>| of.map_or(0, |(count, _)| count);
        table
            .text("class median")
            .plain("")
            .plain("")
            .text(&median.quality)
            .text(&median.form)
            .plain("")
            .plain("")
            .number(median.ms.map(|of| of.1), 2)
            .plain("")
            .plain("")
            .number(median.share.map(|of| of.1), 3)
            .plain(count(median.ms))
            .plain(count(median.share))
            .end();
    }

    table
}

fn cut_table(sheet: &Sheet) -> Table {
    let mut table = Table::new("cut.csv", ["row", "judge", "items", "marks", "percent"]);
    let percent = |marks: Option<f64>| marks.map(|marks| 100.0 * marks / sheet.out_of);
    for judge in &sheet.judges {
        table
            .text("judge")
            .text(&judge.name)
            .plain(judge.estimated)
            .number(judge.marks, 2)
            .number(percent(judge.marks), 1)
            .end();
    }
    for (row, marks) in [
        ("cut", sheet.cut),
        ("lowest judge", sheet.range.map(|of| of.0)),
        ("highest judge", sheet.range.map(|of| of.1)),
        ("standard deviation", sheet.deviation),
        ("standard error", sheet.error),
    ] {
        table
            .text(row)
            .plain("")
            .plain(sheet.items)
            .number(marks, 2)
            .number(percent(marks), 1)
            .end();
    }

    table
}
