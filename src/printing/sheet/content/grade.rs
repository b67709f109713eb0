//! The grade, the sections against their hurdles, the panel's marks, and three sentences of advice.

use super::{Grade, Panel, Section, Source};
use crate::exam::form::Task;
use crate::exam::script::Kind;
use crate::fraction::{self, Fraction};
use crate::marking::grade::SectionMark;
use crate::marking::item::Marked;
use crate::marking::statistics::StandardError;
use crate::printing::sheet::words::grade as say;
use crate::printing::words::{capital, list};
use crate::results::advice;

pub(super) fn grade(source: &Source<'_>) -> Grade {
    let total = &source.outcome.grade.total;
    let exam = source.exam;
    let pass = exam
        .pass
        .map(|pass| fraction::from_hundredths(i64::from(pass)));
    let word = if source.outcome.void {
        "Void".to_owned()
    } else {
        match (&total.band, total.passed) {
            (Some(band), _) => capital(band),
            (None, Some(true)) => "Passed".to_owned(),
            (None, Some(false)) => "Not passed".to_owned(),
            (None, None) => "Marked".to_owned(),
        }
    };
    let whole = fraction::whole(total.out_of);
    let of = match fraction::percent(total.mark, total.out_of) {
        Some(percent) if whole != 100 => format!("of {whole} marks, {percent} %"),
        _ => format!("of {whole} marks"),
    };

    Grade {
        word,
        mark: fraction::whole(total.mark).to_string(),
        of,
        sentences: sentences(source, pass),
    }
}

fn sentences(source: &Source<'_>, pass: Option<Fraction>) -> Vec<String> {
    let total = &source.outcome.grade.total;
    let exam = source.exam;
    let sections = &source.outcome.grade.sections;
    let mut said = vec![say::error(total.mark, total.error, total.out_of)];

    if !source.outcome.void {
        said.extend(pass.map(|pass| say::pass(total.mark, total.error, pass)));
        for section in sections {
            if let Some((hurdle, _)) = section.hurdle.filter(|_| !section.awaited) {
                let id = &exam.sections[section.section].id;
                let of = (hurdle, section.out_of);
                said.push(say::hurdle(id, section.mark, of, section.error));
            }
            if let Some(each) = &section.each {
                said.push(say::each(&exam.sections[section.section].id, each));
            }
        }
        let bounds: Vec<Fraction> = exam
            .bands
            .iter()
            .map(|band| fraction::from_hundredths(i64::from(band.from)))
            .chain(pass)
            .collect();
        said.extend(say::exact_total(total.mark, &bounds));
    }
    let items = sections
        .iter()
        .filter(|section| section.error.is_some())
        .map(|section| section.items)
        .sum();
    said.extend(say::feedback(items));
    if total.provisional {
        said.push("A person’s marks are awaited: the total is not final.".to_owned());
    }

    said
}

pub(super) fn sections(source: &Source<'_>) -> Vec<Section> {
    source
        .outcome
        .grade
        .sections
        .iter()
        .map(|mark| section(source, mark))
        .collect()
}

fn section(source: &Source<'_>, mark: &SectionMark) -> Section {
    let of = &source.exam.sections[mark.section];
    let mut notes = Vec::new();

    if mark.awaited {
        notes.push("awaited".to_owned());
    } else if let Some((hurdle, passed)) = mark.hurdle {
        let passed = if passed { "passed" } else { "missed" };
        notes.push(format!("hurdle {} {passed}", say::exact(hurdle)));
    }
    if let Some(each) = &mark.each {
        let reached = if each.is_reached() {
            "reached"
        } else {
            "missed"
        };
        let what = if each.is_quality { "quality" } else { "answer" };
        notes.push(format!("each {what} {reached}"));
    }
    if matches!(of.kind, Kind::Panel(_)) {
        let given = givers(source, mark.section);
        if !given.is_empty() {
            notes.push(format!("by {}", list(&given)));
        }
    }

    Section {
        id: of.id.clone(),
        title: of.title.clone(),
        of: format!("of {}", say::exact(mark.out_of)),
        mark: match fraction::percent(mark.mark, mark.out_of) {
            Some(percent) if !mark.awaited => format!("{percent} %"),
            _ => "–".to_owned(),
        },
        error: match mark.error {
            None => "–".to_owned(),
            Some(StandardError::Unknown) => "not known".to_owned(),
            Some(StandardError::Known(points)) => format!("{points:.1}"),
            Some(StandardError::AtLeast(points) | StandardError::AtLeastHalfItem { points }) => {
                format!("{points:.1} or more")
            }
        },
        note: notes.join(", "),
        missed: !mark.awaited && mark.is_missed(),
    }
}

/// Who gave the marks of a section, each once.
fn givers(source: &Source<'_>, section: usize) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();

    for of in &source.outcome.items {
        if of.item.section != section {
            continue;
        }
        let by = match (&of.overruled, &of.marked) {
            (Some(overrule), _) => &overrule.by,
            (None, Marked::Panel(Some((_, by)))) => by,
            _ => continue,
        };
        if !all.contains(by) {
            all.push(by.clone());
        }
    }

    all
}

pub(super) fn panel(source: &Source<'_>) -> Vec<Panel> {
    source
        .outcome
        .items
        .iter()
        .filter_map(|of| {
            let Task::Panel(task) = &of.item.task else {
                return None;
            };
            let (share, by) = match (of.overruled, &of.marked) {
                (Some(overrule), _) => (Some(overrule.credit()), overrule.by.clone()),
                (None, Marked::Panel(Some((credit, by)))) => (Some(*credit), by.clone()),
                _ => (None, String::new()),
            };
            Some(Panel {
                id: source.id(of.item),
                criterion: task.criterion.clone(),
                share: share
                    .and_then(|share| fraction::percent(share, Fraction::from_integer(1)))
                    .map_or_else(|| "awaited".to_owned(), |share| format!("{share} %")),
                by,
            })
        })
        .collect()
}

pub(super) fn advice(source: &Source<'_>) -> Vec<String> {
    let exam = source.exam;
    let title = |section: usize| exam.sections[section].title.clone();
    let sure = advice::sure(exam, source.outcome);

    sure.iter()
        .map(|sure| say::sure(sure, title, exam.style))
        .chain(
            advice::weak(exam, source.outcome)
                .iter()
                .map(|weak| say::weak(weak, title, exam.style)),
        )
        .collect()
}
