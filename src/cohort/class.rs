//! The class table: a row a sitting, and how many have which band.

use std::collections::BTreeMap;

use super::record::{Names, Record};
use crate::fraction;
use crate::results::summary::Hundredths;

/// A sitting of the class table.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// The candidate's number.
    pub candidate: String,
    /// The form code.
    pub form: String,
    /// When it began, RFC 3339.
    pub started: String,
    /// How long it lasted, in milliseconds; `None` where nobody timed it.
    pub length_ms: Option<f64>,
    /// Who entered its marks by hand; empty where the program marked it.
    pub by_hand: Vec<String>,
    /// How it ended.
    pub ended: String,
    /// The mark.
    pub mark: Hundredths,
    /// The points.
    pub out_of: Hundredths,
    /// The mark in whole percent; `None` for an exam without points.
    pub percent: Option<i64>,
    /// The standard error of the total in points, as the result has it; `None` where not known.
    pub error: Option<f64>,
    /// The band.
    pub band: String,
    /// Whether it is passed, where the exam has a pass mark and the sitting is not void.
    pub passed: Option<bool>,
    /// Whether the sitting is void.
    pub void: bool,
    /// Whether a person's marks are awaited.
    pub provisional: bool,
    /// The sections' short names, marks and points.
    pub sections: Vec<(String, Hundredths, Hundredths)>,
    /// The short names of the sections whose hurdle, or standard for each answer, was missed.
    pub hurdles_missed: Vec<String>,
    /// Standards for each answer that were not reached: section and words.
    pub unreached: Vec<(String, String)>,
    /// Chords found by way of a neighbour.
    pub walked: u32,
    /// Items that a person overruled.
    pub overruled: u32,
    /// Incidents.
    pub incidents: u32,
    /// Items that wait for a person's mark.
    pub awaited: u32,
    /// The result's file.
    pub file: String,
    /// Its digest, 64 hexadecimal digits.
    pub digest: String,
}

/// How many sittings have a band.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Band {
    /// Its name; empty where the exam has none there.
    pub name: String,
    /// How many.
    pub count: usize,
}

/// Said in place of a band of sittings that wait for a person's marks.
pub const AWAITED: &str = "awaiting marks";

pub(super) fn row(of: &Record, names: &Names) -> Row {
    let word = |place| names.words.text(place).to_owned();

    Row {
        candidate: of.candidate.clone(),
        form: word(of.form),
        started: of.started.clone(),
        length_ms: of.length_ms,
        by_hand: of.by_hand.clone(),
        ended: word(of.ended),
        mark: of.mark,
        out_of: of.out_of,
        percent: fraction::percent(
            fraction::from_hundredths(of.mark),
            fraction::from_hundredths(of.out_of),
        ),
        error: of.error,
        band: word(of.band),
        passed: of.passed.filter(|_| !of.void()),
        void: of.void(),
        provisional: of.provisional,
        sections: of
            .sections
            .iter()
            .map(|section| (word(section.id), section.mark, section.out_of))
            .collect(),
        hurdles_missed: of
            .sections
            .iter()
            .filter(|section| section.missed)
            .map(|section| word(section.id))
            .collect(),
        unreached: of
            .sections
            .iter()
            .filter_map(|section| Some((word(section.id), word(section.unreached()?))))
            .collect(),
        walked: of.walked,
        overruled: of.overrules,
        incidents: of.incidents,
        awaited: of.awaited,
        file: of.file.clone(),
        digest: of.digest.to_string(),
    }
}

/// The records stand in the order of the candidates.
pub(super) fn resits(records: &[&Record]) -> Vec<(String, usize)> {
    records
        .chunk_by(|one, other| one.candidate == other.candidate)
        .filter(|sittings| sittings.len() > 1)
        .map(|sittings| (sittings[0].candidate.clone(), sittings.len()))
        .collect()
}

/// A script's bands are not told in a result; the marks that they were given for put them in order.
pub(super) fn bands(records: &[&Record], names: &Names) -> Vec<Band> {
    let mut bands: BTreeMap<&str, (Hundredths, usize)> = BTreeMap::new();
    let (mut awaited, mut void) = (0, 0);

    for record in records {
        if record.void() {
            void += 1;
        } else if record.provisional {
            awaited += 1;
        } else {
            let band = bands.entry(names.words.text(record.band)).or_default();
            band.0 = band.0.max(record.mark);
            band.1 += 1;
        }
    }
    let mut order: Vec<(&str, (Hundredths, usize))> = bands.into_iter().collect();
    order.sort_by_key(|(name, (mark, _))| (std::cmp::Reverse(*mark), *name));

    order
        .into_iter()
        .map(|(name, (_, count))| (name, count))
        .chain([(AWAITED, awaited), ("void", void)])
        .filter(|(_, count)| *count > 0)
        .map(|(name, count)| Band {
            name: name.to_owned(),
            count,
        })
        .collect()
}
