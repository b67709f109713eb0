//! A class as one JSON document: the same figures as in the tables, marks in points.

use serde_json::{Value, json};

use super::super::Fault;
use super::folder::Damaged;
use crate::cohort::class::Row;
use crate::cohort::cut::Sheet;
use crate::cohort::form::Form;
use crate::cohort::item::{Item, Scope};
use crate::cohort::reliability::{Figure, OVER_FORMS, WITHIN_FORM};
use crate::cohort::table::Roster;
use crate::cohort::{Exam, Report};
use crate::marking::statistics::Basis;
use crate::results::summary::Hundredths;

/// The version of this document.
const VERSION: u32 = 1;

pub(super) fn document(
    report: &Report,
    damaged: &[Damaged],
    cut: Option<&Sheet>,
    roster: Option<&dyn Roster>,
) -> Result<String, Fault> {
    let damaged: Vec<Value> = damaged
        .iter()
        .map(|of| json!({ "file": of.path.display().to_string(), "fault": of.fault }))
        .collect();
    let set_aside: Vec<Value> = report
        .set_aside
        .iter()
        .map(|of| json!({ "file": of.file, "because": of.why.words(), "counts": of.counts }))
        .collect();
    let exams: Vec<Value> = report
        .exams
        .iter()
        .map(|of| exam(of, cut, roster))
        .collect();
    let document = json!({
        "version": VERSION,
        "results": report.results,
        "damaged": damaged,
        "set_aside": set_aside,
        "exams": exams,
    });

    Ok(serde_json::to_string_pretty(&document)? + "\n")
}

fn points(hundredths: Hundredths) -> f64 {
    hundredths as f64 / 100.0
}

fn exam(exam: &Exam, cut: Option<&Sheet>, roster: Option<&dyn Roster>) -> Value {
    let sections: Vec<Value> = exam
        .sections
        .iter()
        .map(|of| json!({ "id": of.id, "title": of.title, "kind": of.kind, "out_of": points(of.out_of) }))
        .collect();
    let resits: Vec<Value> = exam
        .resits
        .iter()
        .map(|(candidate, sittings)| json!({ "candidate": candidate, "sittings": sittings }))
        .collect();
    let bands: Vec<Value> = exam
        .bands
        .iter()
        .map(|of| json!({ "band": of.name, "sittings": of.count }))
        .collect();
    let rows: Vec<Value> = exam.rows.iter().map(|of| row(of, roster)).collect();
    let items: Vec<Value> = exam.items.iter().map(item).collect();
    let forms: Vec<Value> = exam.forms.rows.iter().map(form).collect();
    let within: Vec<Value> = exam
        .reliability
        .forms
        .iter()
        .map(|of| json!({ "form": of.code, "figures": figures(&of.figures) }))
        .collect();

    json!({
        "exam": exam.name,
        "digest": exam.digest,
        "title": exam.title,
        "edition": exam.edition,
        "out_of": points(exam.out_of),
        "sections": sections,
        "sittings": rows,
        "settled": exam.settled,
        "resits": resits,
        "bands": bands,
        "forms": {
            "rows": forms,
            "all": exam.forms.all.as_ref().map(form),
            "pooled_deviation": exam.forms.pooled,
            "sentence": exam.forms.sentence(),
        },
        "items": items,
        "reliability": {
            "forms": within,
            "forms_are": WITHIN_FORM,
            "over_forms": figures(&exam.reliability.over_forms),
            "over_forms_are": OVER_FORMS,
        },
        "confusions": confusions(exam),
        "chords": chords(exam),
        "gaps": gaps(exam),
        "cut": cut.map(sheet),
    })
}

fn row(row: &Row, roster: Option<&dyn Roster>) -> Value {
    let sections: Vec<Value> = row
        .sections
        .iter()
        .map(|(id, mark, out_of)| {
            json!({ "section": id, "mark": points(*mark), "out_of": points(*out_of) })
        })
        .collect();
    let mut value = json!({
        "candidate": row.candidate,
        "form": row.form,
        "started": row.started,
        "ended": row.ended,
        "mark": points(row.mark),
        "out_of": points(row.out_of),
        "percent": row.percent,
        "standard_error": row.error,
        "band": row.band,
        "passed": row.passed,
        "sections": sections,
        "hurdles_missed": row.hurdles_missed,
        "standards_missed": row
            .unreached
            .iter()
            .map(|(section, words)| json!({ "section": section, "is": words }))
            .collect::<Vec<_>>(),
        "walked": row.by_hand.is_empty().then_some(row.walked),
        "overruled": row.overruled,
        "incidents": row.incidents,
        "awaited": row.awaited,
        "result": row.file,
        "digest": row.digest,
        "by_hand": row.by_hand,
    });
    if let Some(roster) = roster {
        value["name"] = json!(roster.name(&row.candidate));
    }

    value
}

fn form(form: &Form) -> Value {
    json!({
        "form": form.code,
        "sittings": form.count,
        "mean": form.mean,
        "deviation": form.deviation,
        "pooled_error": form.error,
    })
}

fn item(item: &Item) -> Value {
    let told = item.basis != Basis::Counts;
    let (cell, prompt, right) = match &item.scope {
        Scope::Item { prompt, right } => (None, Some(prompt), Some(right)),
        Scope::Cell(cell) => (Some(cell), None, None),
    };
    let distractors: Vec<Value> = item
        .distractors
        .iter()
        .map(|(part, label, count)| json!({ "part": part, "answer": label, "count": count }))
        .collect();

    json!({
        "section": item.section,
        "kind": item.kind,
        "cell": cell,
        "prompt": prompt,
        "right": right,
        "asked": item.asked,
        "sittings": item.sittings,
        "rough": item.basis == Basis::Rough,
        "difficulty": told.then_some(item.difficulty),
        "share_right": told.then_some(item.right),
        "levels": item.levels,
        "discrimination": item.discrimination.filter(|_| told),
        "discrimination_is": item.word(),
        "distractors": distractors,
        "look_because": item.look,
    })
}

fn figures(figures: &[Figure]) -> Vec<Value> {
    figures
        .iter()
        .map(|of| {
            json!({
                "section": of.section,
                "sittings": of.sittings,
                "items": of.items,
                "kr20": of.kr20,
                "reliability": of.reliability,
                "error_in_marks": of.error,
                "at_most": of.open,
            })
        })
        .collect()
}

fn confusions(exam: &Exam) -> Vec<Value> {
    exam.confusions
        .iter()
        .map(|matrix| {
            let counts = &matrix.counts;
            let rows: Vec<Value> = counts
                .rows()
                .map(|row| {
                    json!({
                        "sounded": row.sounded,
                        "answered": row.counts,
                        "no_answer": row.unanswered,
                        "d_prime": counts.sensitivity(row.sounded),
                    })
                })
                .collect();
            let commonest: Vec<String> = counts
                .commonest(3)
                .iter()
                .map(ToString::to_string)
                .collect();

            json!({
                "section": matrix.section,
                "part": matrix.part,
                "sittings": matrix.sittings,
                "labels": counts.labels(),
                "rows": rows,
                "commonest": commonest,
            })
        })
        .collect()
}

fn chords(exam: &Exam) -> Vec<Value> {
    exam.chords
        .iter()
        .map(|of| {
            json!({
                "root": of.root,
                "quality": of.quality,
                "asked": of.count,
                "mean_level": of.level,
                "whole": of.timed,
                "median_ms": of.median.map(|median| median.as_ms()),
                "cold": of.cold,
            })
        })
        .collect()
}

fn gaps(exam: &Exam) -> Value {
    let rows: Vec<Value> = exam
        .gaps
        .rows
        .iter()
        .map(|of| {
            json!({
                "candidate": of.candidate,
                "started": of.started,
                "quality": of.quality,
                "voicing": of.form,
                "gap_ms": of.ms(),
                "gap_share": of.share(),
            })
        })
        .collect();
    let medians: Vec<Value> = exam
        .gaps
        .medians
        .iter()
        .map(|of| {
            json!({
                "quality": of.quality,
                "voicing": of.form,
                "gap_ms": of.ms.map(|of| of.1),
                "gap_share": of.share.map(|of| of.1),
            })
        })
        .collect();

    json!({ "sittings": rows, "medians": medians })
}

fn sheet(sheet: &Sheet) -> Value {
    let judges: Vec<Value> = sheet
        .judges
        .iter()
        .map(|of| json!({ "judge": of.name, "items": of.estimated, "marks": of.marks }))
        .collect();

    json!({
        "form": sheet.form,
        "judges": judges,
        "cut": sheet.cut,
        "deviation": sheet.deviation,
        "error": sheet.error,
        "reached": sheet.reached.0,
        "of": sheet.reached.1,
        "look": sheet.warnings,
    })
}
