//! How far totals can be relied on: among the sittings of one form, and over forms drawn anew.

use std::collections::BTreeMap;

use super::record::{Asked, Named, Names, Record};
use crate::marking::statistics::{Moments, Nested, Variance, alpha_of, measurement_error};

/// Said of KR-20 and alpha.
pub const WITHIN_FORM: &str = "KR-20 and alpha are of sittings of one and the same form, with the \
    variance of just these sittings (population: divided by n); KR-20 where all items are right or \
    wrong. The standard error of measurement is σ √(1 − r), in marks";

/// Said of the one-way figures.
pub const OVER_FORMS: &str = "over forms drawn anew: 1 − MSw/MSp, one-way, each candidate with items \
    of their own; the whole by weights, from the sections' errors and the variance of the totals \
    (sample: divided by n − 1)";

/// What a figure is of.
#[derive(Debug, Clone, PartialEq)]
pub struct Figure {
    /// The section's short name; `None` for the whole exam.
    pub section: Option<String>,
    /// How many sittings.
    pub sittings: u64,
    /// How many items a sitting, on average where it differs.
    pub items: f64,
    /// KR-20, where all items are right or wrong. The whole has it where the exam is one section.
    pub kr20: Option<f64>,
    /// Alpha, or the one-way reliability over forms.
    pub reliability: Option<f64>,
    /// The standard error of measurement in marks.
    pub error: Option<f64>,
    /// Whether the reliability is at most, and the error at least, what stands here: a section
    /// with one item a sitting tells no error of its own.
    pub open: bool,
}

/// The figures of one form.
#[derive(Debug, Clone, PartialEq)]
pub struct OfForm {
    /// Its code.
    pub code: String,
    /// Its sections and the whole. Sittings whose items were replaced are left out.
    pub figures: Vec<Figure>,
}

/// All figures.
#[derive(Debug, Clone, PartialEq)]
pub struct Reliability {
    /// Forms with two sittings or more, those with most first.
    pub forms: Vec<OfForm>,
    /// Over all forms.
    pub over_forms: Vec<Figure>,
}

pub(super) fn reliability(exam: &Named, settled: &[&Record], names: &Names) -> Reliability {
    let mut by_form: BTreeMap<&str, Vec<&Record>> = BTreeMap::new();
    for record in settled {
        by_form
            .entry(names.words.text(record.form))
            .or_default()
            .push(record);
    }
    let mut forms: Vec<(&str, Vec<&Record>)> = by_form
        .into_iter()
        .filter(|(_, records)| records.len() >= 2)
        .collect();
    forms.sort_by_key(|(code, records)| (std::cmp::Reverse(records.len()), *code));

    Reliability {
        forms: forms
            .into_iter()
            .map(|(code, records)| OfForm {
                code: code.to_owned(),
                figures: of_form(exam, &records, names),
            })
            .collect(),
        over_forms: over_forms(exam, settled, names),
    }
}

fn of_form(exam: &Named, records: &[&Record], names: &Names) -> Vec<Figure> {
    let sections = exam.sections.iter().filter_map(|heading| {
        let of_section = |asked: &Asked| names.words.text(asked.section) == heading.id;
        let (mut figure, all_or_nothing) =
            rectangle(records, of_section, |asked| i64::from(asked.credit))?;
        figure.section = Some(heading.id.clone());
        figure.kr20 = figure.reliability.filter(|_| all_or_nothing);
        // Credits in hundredths, of which a full section has 100 an item.
        let full = 100.0 * figure.items;
        figure.error = figure
            .error
            .map(|error| error / full * heading.out_of as f64 / 100.0);

        Some(figure)
    });
    let sections: Vec<Figure> = sections.collect();
    let whole =
        rectangle(records, |_| true, |asked| i64::from(asked.mark)).map(|(whole, _)| Figure {
            kr20: match sections.as_slice() {
                [only] => only.kr20,
                _ => None,
            },
            error: whole.error.map(|error| error / 100.0),
            ..whole
        });

    sections.into_iter().chain(whole).collect()
}

/// Alpha of the sittings that had the same items, and the error in the unit of `value`; and whether
/// each credit was all or nothing.
fn rectangle(
    records: &[&Record],
    of: impl Fn(&Asked) -> bool,
    value: impl Fn(&Asked) -> i64,
) -> Option<(Figure, bool)> {
    let rows = records.iter().map(|record| {
        let mut row: Vec<&Asked> = record.items.iter().filter(|asked| of(asked)).collect();
        row.sort_by_key(|asked| asked.number);
        row
    });
    let rows: Vec<Vec<&Asked>> = rows
        .filter(|row| !row.is_empty() && row.iter().all(|asked| !asked.awaited))
        .collect();
    let key = |row: &[&Asked]| -> Vec<u32> { row.iter().map(|asked| asked.number).collect() };
    let mut shapes: BTreeMap<Vec<u32>, usize> = BTreeMap::new();
    for row in &rows {
        *shapes.entry(key(row)).or_default() += 1;
    }
    let (shape, count) = shapes
        .iter()
        .max_by_key(|(shape, count)| (**count, std::cmp::Reverse(*shape)))?;
    if *count < 2 {
        return None;
    }

    let mut items = vec![Moments::default(); shape.len()];
    let mut sums = Moments::default();
    let mut all_or_nothing = true;
    for row in rows.iter().filter(|row| key(row) == *shape) {
        for (item, asked) in items.iter_mut().zip(row) {
            item.add(value(asked));
            all_or_nothing &= matches!(asked.credit, 0 | 100);
        }
        sums.add(row.iter().map(|asked| value(asked)).sum());
    }
    let reliability = alpha_of(&items, &sums);
    let deviation = sums.variance(Variance::Population)?.sqrt();

    Some((
        Figure {
            section: None,
            sittings: sums.count(),
            items: items.len() as f64,
            kr20: None,
            reliability,
            error: reliability.and_then(|r| measurement_error(deviation, r)),
            open: false,
        },
        all_or_nothing,
    ))
}

fn over_forms(exam: &Named, settled: &[&Record], names: &Names) -> Vec<Figure> {
    let mut figures = Vec::new();
    let (mut error, mut open, mut items) = (0.0, false, 0.0);

    for heading in &exam.sections {
        let mut nested = Nested::default();
        for record in settled {
            let credits: Vec<i64> = record
                .items
                .iter()
                .filter(|asked| !asked.awaited && names.words.text(asked.section) == heading.id)
                .map(|asked| i64::from(asked.credit))
                .collect();
            nested.add(&credits);
        }
        let Some(of) = nested.items() else { continue };
        let points = heading.out_of as f64 / 100.0;
        // From hundredths of a credit to marks, squared.
        let own = nested
            .error_variance()
            .map(|variance| variance * (points / 100.0).powi(2));
        items += of;
        error += own.unwrap_or(0.0);
        open |= own.is_none() && points > 0.0;
        figures.push(Figure {
            section: Some(heading.id.clone()),
            sittings: nested.candidates(),
            items: of,
            kr20: None,
            reliability: nested.reliability(),
            error: own.map(f64::sqrt),
            open: false,
        });
    }

    let mut totals = Moments::default();
    for record in settled {
        totals.add(record.mark);
    }
    let variance = totals
        .variance(Variance::Sample)
        .map(|variance| variance / 10_000.0)
        .filter(|variance| *variance > 0.0);
    // Where no section tells an error there is nothing to say of the whole.
    let known = figures.iter().any(|figure| figure.error.is_some());
    figures.push(Figure {
        section: None,
        sittings: totals.count(),
        items,
        kr20: None,
        reliability: variance
            .filter(|_| known)
            .map(|variance| 1.0 - error / variance),
        error: known.then(|| error.sqrt()),
        open: open && known,
    });

    figures
}
