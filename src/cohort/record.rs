//! What stays of a result: numbers, and for each text that returns a number.

use std::collections::HashMap;

use super::Heading;
use crate::results::summary::{self, Hundredths, Summary};
use crate::sitting::journal::Head;

/// Between the parts of a name that is made of several; no prompt has it.
const BETWEEN: char = '\u{1f}';

/// Said of what is not there.
const NONE: u32 = u32::MAX;

/// Texts by their place of first appearance.
#[derive(Debug, Default)]
pub(super) struct Texts {
    places: HashMap<String, u32>,
    all: Vec<String>,
}

impl Texts {
    fn place(&mut self, text: &str) -> u32 {
        if let Some(place) = self.places.get(text) {
            return *place;
        }
        let place = self.all.len() as u32;
        let _ = self.places.insert(text.to_owned(), place);
        self.all.push(text.to_owned());

        place
    }

    fn joined<'a>(&mut self, parts: impl IntoIterator<Item = &'a str>) -> u32 {
        let parts: Vec<&str> = parts.into_iter().collect();

        self.place(&parts.join(&BETWEEN.to_string()))
    }

    /// Returns the text.
    pub(super) fn text(&self, place: u32) -> &str {
        &self.all[place as usize]
    }

    /// Returns the place of a text that is known.
    pub(super) fn find(&self, text: &str) -> Option<u32> {
        self.places.get(text).copied()
    }

    /// Returns the parts of a joined text.
    pub(super) fn parts(&self, place: u32) -> impl Iterator<Item = &str> {
        self.text(place).split(BETWEEN)
    }

    /// Returns how many there are.
    pub(super) fn len(&self) -> usize {
        self.all.len()
    }
}

/// An exam as its first result told it.
#[derive(Debug)]
pub(super) struct Named {
    pub(super) name: String,
    pub(super) digest: String,
    pub(super) title: String,
    pub(super) edition: String,
    pub(super) out_of: Hundredths,
    pub(super) sections: Vec<Heading>,
}

/// Every text that results share.
#[derive(Debug, Default)]
pub(super) struct Names {
    pub(super) exams: Vec<Named>,
    places: HashMap<(String, String), u32>,
    /// Words: forms, bands, sections' short names.
    pub(super) words: Texts,
    /// Items: section, kind, prompt and what is right.
    pub(super) items: Texts,
    /// Answers: a part each.
    pub(super) answers: Texts,
    /// Root and quality.
    pub(super) chords: Texts,
    /// Quality and form of voicing.
    pub(super) gaps: Texts,
    /// Section, part and labels.
    pub(super) ears: Texts,
}

/// An item of a sitting that counts.
#[derive(Debug, Clone, Copy)]
pub(super) struct Asked {
    pub(super) item: u32,
    pub(super) section: u32,
    pub(super) number: u32,
    answer: u32,
    pub(super) credit: i32,
    pub(super) mark: i32,
    pub(super) out_of: i32,
    pub(super) cell: u16,
    pub(super) level: u8,
    pub(super) awaited: bool,
}

impl Asked {
    /// The answers, where any were told.
    pub(super) fn answer(&self) -> Option<u32> {
        (self.answer != NONE).then_some(self.answer)
    }
}

/// A chord of a sitting.
#[derive(Debug, Clone, Copy)]
pub(super) struct Chord {
    pub(super) name: u32,
    tenths: u32,
    pub(super) level: u8,
    pub(super) cold: bool,
}

impl Chord {
    /// The time to complete in tenths of a millisecond.
    pub(super) fn tenths(&self) -> Option<i64> {
        (self.tenths != NONE).then_some(i64::from(self.tenths))
    }
}

/// A routine gap of a sitting.
#[derive(Debug, Clone, Copy)]
pub(super) struct Gap {
    pub(super) name: u32,
    pub(super) medians_ms: Option<(f64, f64)>,
    pub(super) shares: Option<(f64, f64)>,
}

/// A section's mark.
#[derive(Debug, Clone, Copy)]
pub(super) struct Section {
    pub(super) id: u32,
    pub(super) mark: Hundredths,
    pub(super) out_of: Hundredths,
    pub(super) missed: bool,
    /// Of a standard for each answer that was not reached: its words.
    unreached: u32,
}

impl Section {
    /// The words of a standard for each answer that was not reached.
    pub(super) fn unreached(&self) -> Option<u32> {
        (self.unreached != NONE).then_some(self.unreached)
    }
}

/// What stays of a result.
#[derive(Debug)]
pub(super) struct Record {
    pub(super) file: String,
    pub(super) digest: Head,
    pub(super) remark_of: Option<(String, Option<String>)>,
    pub(super) exam: u32,
    pub(super) form: u32,
    pub(super) candidate: String,
    pub(super) started: String,
    pub(super) length_ms: Option<f64>,
    pub(super) by_hand: Vec<String>,
    pub(super) ended: u32,
    pub(super) band: u32,
    pub(super) mark: Hundredths,
    pub(super) out_of: Hundredths,
    pub(super) passed: Option<bool>,
    pub(super) error: Option<f64>,
    pub(super) provisional: bool,
    pub(super) is_void: bool,
    pub(super) walked: u32,
    pub(super) overrules: u32,
    pub(super) incidents: u32,
    pub(super) awaited: u32,
    pub(super) sections: Box<[Section]>,
    pub(super) items: Box<[Asked]>,
    pub(super) chords: Box<[Chord]>,
    pub(super) gaps: Box<[Gap]>,
    pub(super) ears: Box<[(u32, Box<[u32]>)]>,
}

impl Record {
    /// Whether the sitting was void: it neither passes nor fails.
    pub(super) const fn void(&self) -> bool {
        self.is_void
    }

    /// Whether its total stands.
    pub(super) const fn settled(&self) -> bool {
        !self.is_void && !self.provisional
    }

    /// The order of the class table, which no order of reading changes.
    pub(super) fn order(&self) -> (&str, &str, String) {
        (&self.candidate, &self.started, self.digest.to_string())
    }
}

impl Names {
    /// Makes a record of what a result states.
    pub(super) fn record(&mut self, file: &str, summary: &Summary) -> Record {
        let exam = self.exam(summary);

        Record {
            file: file.to_owned(),
            digest: summary.digest,
            remark_of: summary.remark_of.clone(),
            exam,
            form: self.words.place(&summary.form),
            candidate: summary.candidate.clone(),
            started: summary.started.clone(),
            length_ms: summary.length_ms,
            by_hand: summary.by_hand.clone(),
            ended: self.words.place(&summary.ended),
            band: self.words.place(&summary.band),
            mark: summary.mark,
            out_of: summary.out_of,
            passed: summary.passed,
            error: summary.error,
            provisional: summary.provisional,
            is_void: summary.ended == "void" || summary.band == "void",
            walked: summary.walked,
            overrules: summary.overrules as u32,
            incidents: summary.incidents as u32,
            awaited: summary
                .items
                .iter()
                .filter(|item| item.counts && item.credit.is_none())
                .count() as u32,
            sections: summary.sections.iter().map(|of| self.section(of)).collect(),
            items: summary
                .items
                .iter()
                .filter(|item| item.counts)
                .map(|of| self.asked(of))
                .collect(),
            chords: summary.chords.iter().map(|of| self.chord(of)).collect(),
            gaps: summary
                .gaps
                .iter()
                .map(|gap| Gap {
                    name: self.gaps.joined([gap.quality.as_str(), &gap.form]),
                    medians_ms: gap.medians_ms,
                    shares: gap.shares,
                })
                .collect(),
            ears: summary.ears.iter().map(|of| self.ear(of)).collect(),
        }
    }

    fn exam(&mut self, summary: &Summary) -> u32 {
        let key = (summary.exam.clone(), summary.exam_digest.clone());
        if let Some(place) = self.places.get(&key) {
            return *place;
        }
        let place = self.exams.len() as u32;
        self.exams.push(Named {
            name: summary.exam.clone(),
            digest: summary.exam_digest.clone(),
            title: summary.title.clone(),
            edition: summary.edition.clone(),
            out_of: summary.out_of,
            sections: summary
                .sections
                .iter()
                .map(|section| Heading {
                    id: section.id.clone(),
                    title: section.title.clone(),
                    kind: section.kind.clone(),
                    out_of: section.out_of,
                })
                .collect(),
        });
        let _ = self.places.insert(key, place);

        place
    }

    fn section(&mut self, of: &summary::Section) -> Section {
        Section {
            id: self.words.place(&of.id),
            mark: of.mark,
            out_of: of.out_of,
            missed: of.hurdle.is_some_and(|(_, passed)| !passed)
                || of.each.as_ref().is_some_and(|(_, reached)| !reached),
            unreached: match &of.each {
                Some((words, false)) => self.words.place(words),
                _ => NONE,
            },
        }
    }

    fn asked(&mut self, of: &summary::Item) -> Asked {
        let own = [of.section.as_str(), &of.kind, &of.prompt];
        let right = of.right.iter().map(String::as_str);
        let item = self.items.joined(own.into_iter().chain(right));
        let answer = match (of.kind.as_str(), of.right.as_slice()) {
            ("ear", [_, ..]) => {
                let parts = (0..of.right.len())
                    .map(|part| of.answered.get(part).map_or("", String::as_str));
                self.answers.joined(parts)
            }
            _ => NONE,
        };

        Asked {
            item,
            section: self.words.place(&of.section),
            number: of.number,
            answer,
            credit: small(of.credit.unwrap_or(0)),
            mark: small(of.mark),
            out_of: small(of.out_of),
            cell: u16::try_from(of.cell).unwrap_or(u16::MAX),
            level: of.level,
            awaited: of.credit.is_none(),
        }
    }

    fn chord(&mut self, of: &summary::Chord) -> Chord {
        Chord {
            name: self.chords.joined([of.root.as_str(), &of.quality]),
            tenths: of
                .complete_ms
                .map_or(NONE, |ms| (ms * 10.0).round().clamp(0.0, 4e9) as u32),
            level: of.level,
            cold: of.cold,
        }
    }

    fn ear(&mut self, of: &summary::Ear) -> (u32, Box<[u32]>) {
        let part = of.part.to_string();
        let labels = of.labels.iter().map(String::as_str);
        let name = self
            .ears
            .joined([of.section.as_str(), &part].into_iter().chain(labels));

        (name, of.confusion.iter().flatten().copied().collect())
    }
}

/// Hundredths of an item; a mark beyond twenty million points is no mark.
fn small(value: Hundredths) -> i32 {
    i32::try_from(value).unwrap_or(i32::MAX)
}
