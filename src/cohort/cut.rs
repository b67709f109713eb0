//! A cut score after Angoff: what share of just-passing candidates gets each item right, by judges.
//!
//! Each judge's sum over the items of a form is that judge's cut; the mean over the judges counts,
//! beside its spread. (Angoff's way as universities describe it; one judge alone should judge twice,
//! a week apart: a proposal of ours, no source.)

mod estimates;

use std::collections::BTreeMap;

use super::Exam;
use super::record::{Names, Record};
use crate::marking::statistics::{Moments, Variance};
use crate::results::summary::Hundredths;

pub use estimates::{Error, Estimate, On, read};

/// An item of the form that judges look at.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Asked {
    /// Its number in the form.
    pub number: u32,
    /// The short name of its section.
    pub section: String,
    /// Its kind.
    pub kind: String,
    /// Its cell, from 1; 0 where an older program did not tell.
    pub cell: u16,
    /// Its prompt.
    pub prompt: String,
    /// What it brings.
    pub out_of: Hundredths,
    /// How many wrong and right answers there are to choose from together, a part each; empty where
    /// nothing is chosen.
    pub options: Vec<usize>,
    /// The code of the form.
    pub form: String,
}

impl Asked {
    /// The share that a guesser gets right, 0 to 1; `None` where nothing is chosen.
    pub fn chance(&self) -> Option<f64> {
        let mean: f64 = self
            .options
            .iter()
            .map(|options| 1.0 / (*options).max(1) as f64)
            .sum::<f64>()
            / self.options.len() as f64;

        (!self.options.is_empty()).then_some(mean)
    }
}

/// A judge's cut.
#[derive(Debug, Clone, PartialEq)]
pub struct Judge {
    /// The judge.
    pub name: String,
    /// Items with an estimate of this judge's.
    pub estimated: usize,
    /// The sum in marks; `None` where a section has no estimate at all.
    pub marks: Option<f64>,
}

/// The cut-score sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct Sheet {
    /// The form that was looked at.
    pub form: String,
    /// Its items.
    pub items: usize,
    /// The points of its items.
    pub out_of: f64,
    /// The judges, in the order of the file.
    pub judges: Vec<Judge>,
    /// The cut in marks: the mean of the judges'.
    pub cut: Option<f64>,
    /// The judges' standard deviation in marks, divided by n − 1.
    pub deviation: Option<f64>,
    /// The standard error of the cut in marks.
    pub error: Option<f64>,
    /// The lowest judge's cut and the highest.
    pub range: Option<(f64, f64)>,
    /// How many settled sittings reach the cut, of how many.
    pub reached: (usize, usize),
    /// What should be looked at.
    pub warnings: Vec<String>,
}

/// The items of the form that most sat; of equals the first code.
pub(super) fn asked(settled: &[&Record], names: &Names) -> Vec<Asked> {
    let mut forms: BTreeMap<&str, (usize, &Record)> = BTreeMap::new();
    for record in settled {
        let form = forms
            .entry(names.words.text(record.form))
            .or_insert((0, record));
        form.0 += 1;
    }
    let Some((code, (_, record))) = forms
        .iter()
        .max_by_key(|(code, (count, _))| (*count, std::cmp::Reverse(**code)))
    else {
        return Vec::new();
    };
    let mut options: BTreeMap<(String, usize), usize> = BTreeMap::new();
    for (ear, _) in &record.ears {
        let mut parts = names.ears.parts(*ear);
        let section = parts.next().unwrap_or_default().to_owned();
        let part = parts.next().and_then(|part| part.parse().ok()).unwrap_or(1);
        let _ = options.insert((section, part), parts.count());
    }

    let mut asked: Vec<Asked> = record
        .items
        .iter()
        .map(|item| {
            let mut parts = names.items.parts(item.item).map(str::to_owned);
            let mut next = || parts.next().unwrap_or_default();
            let (section, kind, prompt) = (next(), next(), next());
            let options = match kind.as_str() {
                "ear" => {
                    let own: Vec<usize> = (1..)
                        .map_while(|part| options.get(&(section.clone(), part)).copied())
                        .collect();
                    // The chords of a dictation ask the same in turn.
                    let parts = parts.count().max(own.len());
                    own.iter().copied().cycle().take(parts).collect()
                }
                _ => Vec::new(),
            };
            Asked {
                number: item.number,
                cell: item.cell,
                out_of: Hundredths::from(item.out_of),
                form: (*code).to_owned(),
                section,
                kind,
                prompt,
                options,
            }
        })
        .collect();
    asked.sort_by_key(|item| item.number);

    asked
}

/// Makes the sheet of the judges' estimates.
pub fn sheet(exam: &Exam, estimates: &[Estimate]) -> Sheet {
    let mut warnings = Vec::new();
    let mut names: Vec<&str> = Vec::new();
    for estimate in estimates {
        if !names.contains(&estimate.judge.as_str()) {
            names.push(&estimate.judge);
        }
        let of: Vec<&Asked> = exam
            .asked
            .iter()
            .filter(|item| estimate.is_of(item))
            .collect();
        if of.is_empty() {
            warnings.push(format!(
                "line {}: form {} has no {} in section {}; write a prompt, a number or a cell as \
                 items.csv has it",
                estimate.line,
                exam.asked.first().map_or("", |item| &item.form),
                estimate.on,
                estimate.section
            ));
        }
        if let Some(chance) = of.iter().find_map(|item| {
            item.chance()
                .filter(|chance| estimate.share < chance - 1e-9)
        }) {
            warnings.push(format!(
                "line {}: {} expects {:.0} % of {} in section {}, and guessing alone brings {:.0} %",
                estimate.line,
                estimate.judge,
                estimate.share * 100.0,
                estimate.on,
                estimate.section,
                chance * 100.0
            ));
        }
    }
    let judges: Vec<Judge> = names
        .iter()
        .map(|name| judge(exam, name, estimates, &mut warnings))
        .collect();
    if judges.len() == 1 {
        warnings.push(
            "one judge alone: judge again a week from now, without looking at the first estimates"
                .to_owned(),
        );
    }

    let sums: Vec<f64> = judges.iter().filter_map(|judge| judge.marks).collect();
    // Marks in ten-thousandths are whole enough to be summed exactly in any order.
    let mut moments = Moments::default();
    for sum in &sums {
        moments.add((sum * 10_000.0).round() as i64);
    }
    let cut = moments.mean().map(|mean| mean / 10_000.0);
    let deviation = moments
        .variance(Variance::Sample)
        .map(|variance| variance.sqrt() / 10_000.0);
    let settled = exam.rows.iter().filter(|row| !row.void && !row.provisional);
    let reached = cut.map_or(0, |cut| {
        let reaches = |mark: Hundredths| mark as f64 / 100.0 >= cut - 1e-9;
        settled.clone().filter(|row| reaches(row.mark)).count()
    });

    Sheet {
        form: exam
            .asked
            .first()
            .map(|item| item.form.clone())
            .unwrap_or_default(),
        items: exam.asked.len(),
        out_of: exam.asked.iter().map(|item| item.out_of).sum::<i64>() as f64 / 100.0,
        error: deviation.map(|deviation| deviation / (sums.len() as f64).sqrt()),
        range: sums
            .iter()
            .copied()
            .reduce(f64::min)
            .zip(sums.iter().copied().reduce(f64::max)),
        cut,
        deviation,
        judges,
        reached: (reached, settled.count()),
        warnings,
    }
}

/// A judge's sum. An item without an estimate counts as the mean of the judge's others of its
/// section.
fn judge(exam: &Exam, name: &str, estimates: &[Estimate], warnings: &mut Vec<String>) -> Judge {
    let own: Vec<&Estimate> = estimates.iter().filter(|of| of.judge == name).collect();
    let (mut estimated, mut marks) = (0, Some(0.0));

    for section in &exam.sections {
        let items: Vec<&Asked> = exam
            .asked
            .iter()
            .filter(|item| item.section == section.id)
            .collect();
        if items.is_empty() {
            continue;
        }
        let shares: Vec<Option<f64>> = items
            .iter()
            .map(|item| {
                // The closest saying counts: the item's own, then its cell's.
                let of = |is_cell: bool| {
                    own.iter()
                        .rev()
                        .find(|of| of.is_of(item) && matches!(of.on, On::Cell(_)) == is_cell)
                };
                of(false).or_else(|| of(true)).map(|of| of.share)
            })
            .collect();
        let given: Vec<f64> = shares.iter().copied().flatten().collect();
        let missing = items.len() - given.len();
        estimated += given.len();
        if given.is_empty() {
            warnings.push(format!(
                "{name} has no estimate for section {}, so this judge's sum does not count",
                section.id
            ));
            marks = None;
            continue;
        }
        if missing > 0 {
            warnings.push(format!(
                "{name} has no estimate for {missing} of {} items of section {}: the mean of the \
                 others stands for them",
                items.len(),
                section.id
            ));
        }
        let mean = given.iter().sum::<f64>() / given.len() as f64;
        let sum: f64 = items
            .iter()
            .zip(&shares)
            .map(|(item, share)| item.out_of as f64 / 100.0 * share.unwrap_or(mean))
            .sum();
        marks = marks.map(|marks| marks + sum);
    }

    Judge {
        name: name.to_owned(),
        estimated,
        marks,
    }
}
