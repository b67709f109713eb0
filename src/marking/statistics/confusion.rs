//! The confusion matrix: what was sounded, what was answered, and what was taken for what.

use std::fmt;

use super::sensitivity::sensitivity;
use crate::fraction::{self, Fraction};

/// The fewest soundings of a label that carry a statement about it (a proposal of ours, no
/// source).
pub const FEWEST_SOUNDINGS: usize = 6;

/// Counts of answers: rows sounded, columns answered, and a column "no answer".
///
/// Rows and columns share one order, given by the caller, so that likely confusions can lie beside
/// the diagonal.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Confusion<L> {
    labels: Vec<L>,
    /// One row a label, one count a label; both in the order of `labels`.
    counts: Vec<Vec<usize>>,
    unanswered: Vec<usize>,
}

/// One line of the matrix.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Row<'a, L> {
    /// What was sounded.
    pub sounded: &'a L,
    /// How often each label was answered, in the order of [`Confusion::labels`].
    pub counts: &'a [usize],
    /// How often nothing was answered.
    pub unanswered: usize,
}

impl<L> Row<'_, L> {
    /// Returns how often the label sounded.
    pub fn total(&self) -> usize {
        self.counts.iter().sum::<usize>() + self.unanswered
    }

    /// Returns the share of each answer among the soundings, 0 to 1, with "no answer" last.
    ///
    /// `None` where the label never sounded.
    pub fn shares(&self) -> Option<Vec<Fraction>> {
        self.counts
            .iter()
            .chain([&self.unanswered])
            .map(|count| share(*count, self.total()))
            .collect()
    }
}

/// A confusion in numbers; prints as `m7 for ø7, 5 of 8`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Pair<'a, L> {
    /// What was sounded.
    pub sounded: &'a L,
    /// What it was taken for.
    pub answered: &'a L,
    /// How often.
    pub count: usize,
    /// Of how many soundings.
    pub of: usize,
}

impl<L: fmt::Display> fmt::Display for Pair<'_, L> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{} for {}, {} of {}",
            self.answered, self.sounded, self.count, self.of
        )
    }
}

impl<L: PartialEq> Confusion<L> {
    /// Starts an empty matrix with the labels in this order; a repeated label counts once.
    pub fn new(order: impl IntoIterator<Item = L>) -> Self {
        let mut matrix = Self {
            labels: Vec::new(),
            counts: Vec::new(),
            unanswered: Vec::new(),
        };
        for label in order {
            let _ = matrix.place(label);
        }

        matrix
    }

    /// Counts one item; `None` is no answer.
    ///
    /// A label outside the order given at the start is put behind it: no answer gets lost.
    pub fn record(&mut self, sounded: L, answered: Option<L>) {
        self.record_times(sounded, answered, 1);
    }

    /// Counts so many items alike, as [`record`](Self::record) does one.
    pub fn record_times(&mut self, sounded: L, answered: Option<L>, times: usize) {
        let row = self.place(sounded);

        match answered {
            Some(label) => {
                let column = self.place(label);
                self.counts[row][column] += times;
            }
            None => self.unanswered[row] += times,
        }
    }

    /// Returns the labels in order.
    pub fn labels(&self) -> &[L] {
        &self.labels
    }

    /// Returns the lines of the matrix in order.
    pub fn rows(&self) -> impl Iterator<Item = Row<'_, L>> {
        (0..self.labels.len()).map(|index| self.row_at(index))
    }

    /// Returns the line of one label; `None` where the matrix does not know it.
    pub fn row(&self, sounded: &L) -> Option<Row<'_, L>> {
        self.position(sounded).map(|index| self.row_at(index))
    }

    /// Returns how often `answered` was given for `sounded`.
    pub fn count(&self, sounded: &L, answered: &L) -> usize {
        match (self.position(sounded), self.position(answered)) {
            (Some(row), Some(column)) => self.counts[row][column],
            _ => 0,
        }
    }

    /// Returns the number of items counted.
    pub fn total(&self) -> usize {
        self.rows().map(|row| row.total()).sum()
    }

    /// Returns the number of right answers, the sum of the diagonal.
    pub fn right(&self) -> usize {
        self.labels.iter().map(|label| self.hits(label)).sum()
    }

    /// Returns how often the label was named when it sounded.
    pub fn hits(&self, label: &L) -> usize {
        self.count(label, label)
    }

    /// Returns how often the label was named when something else sounded.
    pub fn false_alarms(&self, label: &L) -> usize {
        let Some(column) = self.position(label) else {
            return 0;
        };
        let named = self.counts.iter().map(|row| row[column]).sum::<usize>();

        named - self.hits(label)
    }

    /// Returns d′ of the label against the rest; see [`sensitivity`](super::sensitivity()).
    ///
    /// No answer to the label is a miss, to another label a correct rejection.
    pub fn sensitivity(&self, label: &L) -> Option<f64> {
        let signals = self.row(label)?.total();
        let others = self.total() - signals;

        sensitivity(self.hits(label), signals, self.false_alarms(label), others)
    }

    /// Whether the label sounded often enough, [`FEWEST_SOUNDINGS`] times, to say anything of it.
    pub fn says_enough(&self, label: &L) -> bool {
        self.row(label)
            .is_some_and(|row| row.total() >= FEWEST_SOUNDINGS)
    }

    /// Returns at most `limit` confusions, the most frequent first, those of equal count in the
    /// order of the rows and then of the columns.
    ///
    /// Only confusions that occurred; no answer is none.
    pub fn commonest(&self, limit: usize) -> Vec<Pair<'_, L>> {
        let mut pairs = Vec::new();
        for (row, line) in self.rows().enumerate() {
            for (column, count) in line.counts.iter().enumerate() {
                if row != column && *count > 0 {
                    pairs.push(Pair {
                        sounded: line.sounded,
                        answered: &self.labels[column],
                        count: *count,
                        of: line.total(),
                    });
                }
            }
        }

        // The sort is stable, hence ties stay in order.
        pairs.sort_by_key(|pair| std::cmp::Reverse(pair.count));
        pairs.truncate(limit);
        pairs
    }

    fn position(&self, label: &L) -> Option<usize> {
        self.labels.iter().position(|known| known == label)
    }

    fn row_at(&self, index: usize) -> Row<'_, L> {
        Row {
            sounded: &self.labels[index],
            counts: &self.counts[index],
            unanswered: self.unanswered[index],
        }
    }

    fn place(&mut self, label: L) -> usize {
        if let Some(index) = self.position(&label) {
            return index;
        }

        self.labels.push(label);
        self.unanswered.push(0);
        for row in &mut self.counts {
            row.push(0);
        }
        self.counts.push(vec![0; self.labels.len()]);

        self.labels.len() - 1
    }
}

fn share(count: usize, of: usize) -> Option<Fraction> {
    fraction::of(i64::try_from(count).ok()?, i64::try_from(of).ok()?)
}
