//! The routine gap by candidate and quality, and the class's median of it.

use std::collections::BTreeMap;

use super::record::{Names, Record};

/// The gap of a sitting in one quality and form of voicing.
#[derive(Debug, Clone, PartialEq)]
pub struct Gap {
    /// The candidate's number.
    pub candidate: String,
    /// When the sitting began.
    pub started: String,
    /// The quality in ASCII.
    pub quality: String,
    /// The form of voicing.
    pub form: String,
    /// Against a free run: median times in milliseconds, cold and inside the run.
    pub medians_ms: Option<(f64, f64)>,
    /// Against a run in tempo: share right in the run, mean credit cold.
    pub shares: Option<(f64, f64)>,
}

impl Gap {
    /// Cold minus in the run, in milliseconds: positive is slower without the routine.
    pub fn ms(&self) -> Option<f64> {
        self.medians_ms.map(|(cold, run)| cold - run)
    }

    /// In the run minus cold, as a share: positive is better inside the routine.
    pub fn share(&self) -> Option<f64> {
        self.shares.map(|(run, cold)| run - cold)
    }
}

/// The class's median in one quality and form of voicing.
#[derive(Debug, Clone, PartialEq)]
pub struct Median {
    /// The quality in ASCII.
    pub quality: String,
    /// The form of voicing.
    pub form: String,
    /// Over how many sittings, in milliseconds.
    pub ms: Option<(usize, f64)>,
    /// Over how many sittings, as a share.
    pub share: Option<(usize, f64)>,
}

/// All gaps.
#[derive(Debug, Clone, PartialEq)]
pub struct Gaps {
    /// Of the sittings, in the order of the class table.
    pub rows: Vec<Gap>,
    /// Of the class, by quality and form.
    pub medians: Vec<Median>,
}

pub(super) fn gaps(played: &[&Record], names: &Names) -> Gaps {
    let mut rows = Vec::new();
    for record in played {
        for gap in &record.gaps {
            let mut parts = names.gaps.parts(gap.name).map(str::to_owned);
            rows.push(Gap {
                candidate: record.candidate.clone(),
                started: record.started.clone(),
                quality: parts.next().unwrap_or_default(),
                form: parts.next().unwrap_or_default(),
                medians_ms: gap.medians_ms,
                shares: gap.shares,
            });
        }
    }
    let mut by_name: BTreeMap<(&str, &str), (Vec<f64>, Vec<f64>)> = BTreeMap::new();
    for row in &rows {
        let (ms, shares) = by_name.entry((&row.quality, &row.form)).or_default();
        ms.extend(row.ms());
        shares.extend(row.share());
    }
    let medians = by_name
        .into_iter()
        .map(|((quality, form), (mut ms, mut shares))| Median {
            quality: quality.to_owned(),
            form: form.to_owned(),
            ms: middle(&mut ms),
            share: middle(&mut shares),
        })
        .collect();

    Gaps { rows, medians }
}

fn middle(values: &mut [f64]) -> Option<(usize, f64)> {
    values.sort_by(f64::total_cmp);
    let last = values.len().checked_sub(1)?;

    Some((
        values.len(),
        f64::midpoint(values[last / 2], values[last.div_ceil(2)]),
    ))
}
