//! Many results side by side: a class table, its items, forms, confusions and gaps.
//!
//! One result after the other comes in as what it states ([`Summary`]); of each a small record
//! stays, a kilobyte or so, in which texts that return are numbers. [`Cohort::report`] then says
//! which results count and works the tables out. All sums are of whole hundredths, so that the
//! order in which results come in changes nothing.
//!
//! A *sitting* here is what counts of one sitting: the last of a chain of re-marks. *Settled* is one
//! that is neither void nor waits for a person's marks; totals and items are weighed over these
//! alone, what was heard and played over all that are not void.
#![deny(clippy::disallowed_methods)]

pub mod chain;
pub mod chord;
pub mod class;
pub mod confusion;
pub mod csv;
pub mod cut;
pub mod form;
pub mod gap;
pub mod gradebook;
pub mod item;
mod record;
pub mod reliability;
pub mod table;
pub mod words;

use std::collections::BTreeMap;

use crate::results::summary::{Hundredths, Summary};
use record::{Names, Record};

/// Results of any exams, as they come in.
#[derive(Debug, Default)]
pub struct Cohort {
    names: Names,
    records: Vec<Record>,
}

/// What the results of a folder come to.
#[derive(Debug, Clone, PartialEq)]
pub struct Report {
    /// How many results were read.
    pub results: usize,
    /// Those that count for nothing, and why, by the names of their files.
    pub set_aside: Vec<chain::SetAside>,
    /// The exams, by name and then by the digest of their script.
    pub exams: Vec<Exam>,
}

/// All sittings of one exam script.
#[derive(Debug, Clone, PartialEq)]
pub struct Exam {
    /// Its name.
    pub name: String,
    /// The digest of its script, 64 hexadecimal digits.
    pub digest: String,
    /// Its title.
    pub title: String,
    /// Its edition.
    pub edition: String,
    /// Its points.
    pub out_of: Hundredths,
    /// Its sections.
    pub sections: Vec<Heading>,
    /// The class table: a row a sitting, by candidate, then by when it began.
    pub rows: Vec<class::Row>,
    /// How many sittings are settled.
    pub settled: usize,
    /// Candidates with more than one sitting, and how many; all of them count.
    pub resits: Vec<(String, usize)>,
    /// How many sittings have which band, the highest first.
    pub bands: Vec<class::Band>,
    /// The forms side by side.
    pub forms: form::Forms,
    /// The items, those that were asked most first, then the cells.
    pub items: Vec<item::Item>,
    /// How far the totals can be relied on.
    pub reliability: reliability::Reliability,
    /// What was taken for what.
    pub confusions: Vec<confusion::Matrix>,
    /// Keys and qualities.
    pub chords: Vec<chord::Chord>,
    /// The routine gaps of the sittings.
    pub gaps: gap::Gaps,
    /// The items of the form that was sat most, for judges of a cut score.
    pub asked: Vec<cut::Asked>,
}

/// A section's name and points.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Heading {
    /// Its short name.
    pub id: String,
    /// Its title.
    pub title: String,
    /// Its kind.
    pub kind: String,
    /// Its points.
    pub out_of: Hundredths,
}

impl Cohort {
    /// Takes a result in. `file` is its name from the folder on, with `/` between.
    pub fn add(&mut self, file: &str, summary: &Summary) {
        self.records.push(self.names.record(file, summary));
    }

    /// Returns how many results came in.
    pub fn len(&self) -> usize {
        self.records.len()
    }

    /// Whether none came in.
    pub fn is_empty(&self) -> bool {
        self.records.is_empty()
    }

    /// Works everything out.
    pub fn report(&self) -> Report {
        let chain::Chains { last, set_aside } = chain::chains(&self.records);
        let mut exams: BTreeMap<(&str, &str), Vec<&Record>> = BTreeMap::new();

        for record in last.iter().map(|place| &self.records[*place]) {
            let exam = &self.names.exams[record.exam as usize];
            exams
                .entry((&exam.name, &exam.digest))
                .or_default()
                .push(record);
        }

        Report {
            results: self.records.len(),
            set_aside,
            exams: exams
                .into_values()
                .map(|records| self.exam(records))
                .collect(),
        }
    }

    /// The files of the results that count, in the order of their names.
    pub fn last(&self) -> Vec<&str> {
        let mut files: Vec<&str> = chain::chains(&self.records)
            .last
            .iter()
            .map(|place| self.records[*place].file.as_str())
            .collect();
        files.sort_unstable();

        files
    }

    fn exam(&self, mut records: Vec<&Record>) -> Exam {
        records.sort_by(|one, other| one.order().cmp(&other.order()));
        let names = &self.names;
        let exam = &names.exams[records[0].exam as usize];
        let settled: Vec<&Record> = records.iter().copied().filter(|of| of.settled()).collect();
        let played: Vec<&Record> = records.iter().copied().filter(|of| !of.void()).collect();

        Exam {
            name: exam.name.clone(),
            digest: exam.digest.clone(),
            title: exam.title.clone(),
            edition: exam.edition.clone(),
            out_of: exam.out_of,
            sections: exam.sections.clone(),
            rows: records.iter().map(|of| class::row(of, names)).collect(),
            settled: settled.len(),
            resits: class::resits(&records),
            bands: class::bands(&records, names),
            forms: form::forms(&settled, names),
            items: item::items(&settled, names),
            reliability: reliability::reliability(exam, &settled, names),
            confusions: confusion::matrices(&played, names),
            chords: chord::chords(&played, names),
            gaps: gap::gaps(&played, names),
            asked: cut::asked(&settled, names),
        }
    }
}

/// Prints hundredths with two decimals.
pub fn decimal(value: Hundredths) -> String {
    crate::fraction::hundredths(crate::fraction::from_hundredths(value))
}

#[cfg(test)]
mod tests;
