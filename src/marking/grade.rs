//! From items to grade: section marks, hurdles, standards, total, standard error and band.

mod each;

pub use self::each::{Answer, Each, Heard, planned};

use super::item::Marked;
use super::statistics::{self, StandardError};
use crate::exam::script::{Exam, Kind};
use crate::fraction::{self, Fraction};

/// Under so many items an exam is feedback, not a certificate.
pub const CERTIFICATE_ITEMS: usize = 20;

/// One item's contribution: its number and section, and how it was marked.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    /// The item's number.
    pub number: u32,
    /// The section, from 0.
    pub section: usize,
    /// How it was marked.
    pub marked: Marked,
    /// A person's overruling of the credit, if any.
    pub overruled: Option<Fraction>,
}

impl Entry {
    /// Returns the credit that counts.
    pub fn credit(&self) -> Option<Fraction> {
        self.overruled.or_else(|| self.marked.credit())
    }
}

/// A section's mark.
#[derive(Debug, Clone, PartialEq)]
pub struct SectionMark {
    /// The section, from 0.
    pub section: usize,
    /// Its mark.
    pub mark: Fraction,
    /// Its points.
    pub out_of: Fraction,
    /// How many items count.
    pub items: usize,
    /// The standard error; `None` where a person gives the marks.
    pub error: Option<StandardError>,
    /// The hurdle and whether it is passed.
    pub hurdle: Option<(Fraction, bool)>,
    /// The standard for each answer and how it came out.
    pub each: Option<Each>,
    /// Whether a person's marks are awaited.
    pub awaited: bool,
}

/// The grade.
#[derive(Debug, Clone, PartialEq)]
pub struct Total {
    /// The mark.
    pub mark: Fraction,
    /// The points of the exam.
    pub out_of: Fraction,
    /// The standard error.
    pub error: StandardError,
    /// The band, cut on the exact total.
    pub band: Option<String>,
    /// Whether the exam is passed, hurdles and standards for each answer included; `None` where it has no pass mark.
    pub passed: Option<bool>,
    /// Whether marks are still awaited.
    pub provisional: bool,
    /// What else is to be said, in sentences.
    pub notes: Vec<String>,
}

/// A whole grading.
#[derive(Debug, Clone, PartialEq)]
pub struct Grade {
    /// The sections that have items.
    pub sections: Vec<SectionMark>,
    /// The total.
    pub total: Total,
}

/// Returns the marks that one item of a section can bring, given how many count.
pub fn item_points(points: u32, items: usize) -> Fraction {
    let items = i64::try_from(items.max(1)).unwrap_or(1);

    Fraction::new(i64::from(points), 100 * items)
}

impl SectionMark {
    /// Whether the hurdle or the standard for each answer is missed.
    pub fn is_missed(&self) -> bool {
        self.hurdle.is_some_and(|(_, passed)| !passed)
            || self.each.as_ref().is_some_and(|each| !each.is_reached())
    }
}

/// Grades a sitting's items; of what is heard, `heard` has every sound that was meant or asked.
pub fn grade(exam: &Exam, entries: &[Entry], heard: &[Heard]) -> Grade {
    let sections: Vec<SectionMark> = exam
        .sections
        .iter()
        .enumerate()
        .filter(|(_, section)| !matches!(section.kind, Kind::Rest { .. }))
        .map(|(index, _)| section_mark(exam, index, entries, heard))
        .collect();
    let mark = fraction::sum(sections.iter().map(|section| section.mark));
    let out_of = fraction::from_hundredths(i64::from(exam.points()));
    let errors: Vec<StandardError> = sections
        .iter()
        .filter_map(|section| section.error)
        .collect();
    let error = statistics::combine(&errors);
    let provisional = sections.iter().any(|section| section.awaited);
    let hurdles = !sections.iter().any(SectionMark::is_missed);
    let pass = exam
        .pass
        .map(|pass| fraction::from_hundredths(i64::from(pass)));
    let band = exam
        .bands
        .iter()
        .find(|band| mark >= fraction::from_hundredths(i64::from(band.from)))
        .map(|band| band.name.clone());
    let mut notes = Vec::new();

    notes.push(statistics::true_mark_sentence(mark, error, out_of));
    if let Some(pass) = pass {
        notes.extend(statistics::near_pass(mark, error, pass).map(str::to_owned));
    }
    for section in &sections {
        if let Some((hurdle, false)) = section.hurdle {
            notes.push(format!(
                "section {} needs {} marks and has {}",
                exam.sections[section.section].id,
                fraction::hundredths(hurdle),
                fraction::hundredths(section.mark)
            ));
        }
        if let Some(each) = section.each.as_ref().filter(|each| !each.is_reached()) {
            notes.push(format!(
                "section {} needs {}",
                exam.sections[section.section].id,
                each.words()
            ));
        }
        if section.error == Some(StandardError::Unknown) {
            notes.push(format!(
                "the standard error of section {} is not known: it has a single item",
                exam.sections[section.section].id
            ));
        }
    }
    let items = sections
        .iter()
        .filter(|section| section.error.is_some())
        .map(|section| section.items)
        .sum();
    notes.extend(statistics::feedback_note(items).map(str::to_owned));
    if provisional {
        notes.push("a person's marks are awaited: the total is not final".to_owned());
    }

    Grade {
        total: Total {
            mark,
            out_of,
            error,
            band,
            passed: pass.map(|pass| mark >= pass && hurdles),
            provisional,
            notes,
        },
        sections,
    }
}

fn section_mark(exam: &Exam, index: usize, entries: &[Entry], heard: &[Heard]) -> SectionMark {
    let section = &exam.sections[index];
    let own: Vec<&Entry> = entries
        .iter()
        .filter(|entry| entry.section == index)
        .collect();
    let credits: Vec<Fraction> = own
        .iter()
        .map(|entry| entry.credit().unwrap_or_default())
        .collect();
    let points = fraction::from_hundredths(i64::from(section.points));
    let mark = fraction::product(points, fraction::mean(&credits).unwrap_or_default());
    let is_panel = matches!(section.kind, Kind::Panel(_));

    SectionMark {
        section: index,
        mark,
        out_of: points,
        items: own.len(),
        error: (!is_panel).then(|| statistics::standard_error(points, &credits)),
        hurdle: section
            .hurdle
            .map(|hurdle| fraction::from_hundredths(i64::from(hurdle)))
            .map(|hurdle| (hurdle, mark >= hurdle)),
        each: each::standard(exam, index, heard),
        awaited: own.iter().any(|entry| entry.credit().is_none()),
    }
}
