//! The forms of an exam side by side.

use std::collections::BTreeMap;

use super::record::{Names, Record};
use crate::marking::statistics::{Moments, Variance};

/// Sittings of a form below which forms are not equated (a proposal of ours, no source).
pub const FEWEST_TO_EQUATE: u64 = 50;

/// A form's sittings.
#[derive(Debug, Clone, PartialEq)]
pub struct Form {
    /// Its code.
    pub code: String,
    /// How many sat it.
    pub count: u64,
    /// Their mean mark in points.
    pub mean: f64,
    /// Their standard deviation in points, divided by n − 1; `None` for one sitting.
    pub deviation: Option<f64>,
    /// The standard error of the mean in points, from the pooled deviation.
    pub error: Option<f64>,
}

/// All forms.
#[derive(Debug, Clone, PartialEq)]
pub struct Forms {
    /// A row a form, by code.
    pub rows: Vec<Form>,
    /// All sittings together.
    pub all: Option<Form>,
    /// The standard deviation within forms, pooled, in points; `None` where each was sat once.
    pub pooled: Option<f64>,
}

impl Forms {
    /// Says what may be done with the means.
    pub fn sentence(&self) -> String {
        let fewest = self.rows.iter().map(|form| form.count).min().unwrap_or(0);
        let rows = self.rows.len();

        match rows {
            0 => "no sitting is settled".to_owned(),
            1 => "all sat one form".to_owned(),
            _ if fewest < FEWEST_TO_EQUATE => format!(
                "{rows} forms; no equating under {FEWEST_TO_EQUATE} sittings a form: look at the \
                 means beside their errors, and decide"
            ),
            _ => format!(
                "{rows} forms, each with {FEWEST_TO_EQUATE} sittings or more: means that lie \
                 further apart than their errors tell of forms that are not equally hard"
            ),
        }
    }
}

pub(super) fn forms(settled: &[&Record], names: &Names) -> Forms {
    let mut marks: BTreeMap<&str, Moments> = BTreeMap::new();
    let mut all = Moments::default();
    for record in settled {
        marks
            .entry(names.words.text(record.form))
            .or_default()
            .add(record.mark);
        all.add(record.mark);
    }

    let free = |of: &Moments| of.count().saturating_sub(1) as f64;
    let squares: f64 = marks
        .values()
        .filter_map(|of| Some(of.variance(Variance::Sample)? * free(of)))
        .sum();
    let degrees: f64 = marks.values().map(free).sum();
    let pooled = (degrees > 0.0).then(|| (squares / degrees).sqrt() / 100.0);
    let row = |code: &str, of: &Moments, pooled: Option<f64>| {
        Some(Form {
            code: code.to_owned(),
            count: of.count(),
            mean: of.mean()? / 100.0,
            deviation: deviation(of),
            error: pooled.map(|pooled| pooled / (of.count() as f64).sqrt()),
        })
    };

    Forms {
        rows: marks
            .iter()
            .filter_map(|(code, of)| row(code, of, pooled))
            .collect(),
        all: row("all", &all, deviation(&all)),
        pooled,
    }
}

/// The sample's standard deviation in points.
fn deviation(of: &Moments) -> Option<f64> {
    Some(of.variance(Variance::Sample)?.sqrt() / 100.0)
}
