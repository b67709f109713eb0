//! What the class heard, and what it took for what.

use std::collections::BTreeMap;

use super::record::{Names, Record};
use crate::marking::statistics::Confusion;

/// The matrix of a part of an ear section over all sittings.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Matrix {
    /// The short name of its section.
    pub section: String,
    /// The part of the question, from 1.
    pub part: u32,
    /// In how many sittings it was asked.
    pub sittings: usize,
    /// What was taken for what.
    pub counts: Confusion<String>,
}

pub(super) fn matrices(played: &[&Record], names: &Names) -> Vec<Matrix> {
    // Sums by the joined section, part and labels; as a rule one exam has one set of labels.
    let mut sums: BTreeMap<u32, (usize, Vec<u64>)> = BTreeMap::new();
    for record in played {
        for (ear, counts) in &record.ears {
            let sum = sums.entry(*ear).or_default();
            sum.0 += 1;
            sum.1.resize(sum.1.len().max(counts.len()), 0);
            for (sum, count) in sum.1.iter_mut().zip(counts) {
                *sum += u64::from(*count);
            }
        }
    }
    let mut ordered: Vec<(&str, (usize, Vec<u64>))> = sums
        .into_iter()
        .map(|(ear, sum)| (names.ears.text(ear), sum))
        .collect();
    ordered.sort_unstable();

    let mut matrices: BTreeMap<(String, u32), Matrix> = BTreeMap::new();
    for (text, (sittings, counts)) in ordered {
        let mut parts = text.split('\u{1f}');
        let section = parts.next().unwrap_or_default().to_owned();
        let part = parts.next().and_then(|part| part.parse().ok()).unwrap_or(1);
        let labels: Vec<&str> = parts.collect();
        let matrix = matrices
            .entry((section.clone(), part))
            .or_insert_with(|| Matrix {
                section,
                part,
                sittings: 0,
                counts: Confusion::new(labels.iter().map(|label| (*label).to_owned())),
            });
        matrix.sittings += sittings;
        // A row has a column a label, and "no answer".
        for (row, sounded) in counts.chunks(labels.len() + 1).zip(&labels) {
            for (column, count) in row.iter().enumerate() {
                let answered = labels.get(column).map(|label| (*label).to_owned());
                let times = usize::try_from(*count).unwrap_or(usize::MAX);
                matrix
                    .counts
                    .record_times((*sounded).to_owned(), answered, times);
            }
        }
    }

    matrices.into_values().collect()
}
