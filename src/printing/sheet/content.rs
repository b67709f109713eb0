//! Everything that a mark sheet says, as data: made from a marked sitting, laid out elsewhere.
//!
//! Items are called by their section's letter and their number in the form, `A 7`: the number that
//! the result has, so that who looks an item up finds it.

mod development;
mod ears;
mod grade;
mod happened;
mod head;
mod keys;
mod lost;
mod rubric;
mod runs;
mod seen;
mod spelt;

#[cfg(test)]
pub(super) mod tests;

use crate::engraving::grand::Hands;
use crate::exam::form::Item;
use crate::exam::script::Exam;
use crate::results::document::Given;
use crate::results::summary::Summary;
use crate::sitting::Sitting;
use crate::sitting::outcome::Outcome;
use crate::theory::{Chord, Quality, symbol};
use crate::time::Time;

/// Everything that a mark sheet says.
#[derive(Debug, Clone, PartialEq)]
pub struct Content {
    /// The exam's title.
    pub title: String,
    /// What this paper is: a mark sheet, or one of a second marking.
    pub what: String,
    /// The candidate: `Candidate 3118`.
    pub candidate: String,
    /// Day and times.
    pub when: String,
    /// How symbols are printed.
    pub style: symbol::Style,
    /// The grade and what it means.
    pub grade: Grade,
    /// The sections against their hurdles.
    pub sections: Vec<Section>,
    /// What was right and what to practise: three sentences at most.
    pub advice: Vec<String>,
    /// Keys and qualities, a table for each section of single chords.
    pub keys: Vec<Keys>,
    /// What is told of cold chords against the routine.
    pub gaps: Vec<String>,
    /// The time to complete over the items, for each section of single chords.
    pub paces: Vec<Pace>,
    /// The ear sections, a part of the question each.
    pub ears: Vec<Ear>,
    /// The chords that lost marks.
    pub lost: Lost,
    /// The runs.
    pub runs: Runs,
    /// What was spelled otherwise than right.
    pub spelt: Vec<Spelt>,
    /// What was seen and not marked, in sentences.
    pub seen: Vec<String>,
    /// What the examiner must know, with its clock time.
    pub incidents: Vec<Happened>,
    /// What people set otherwise than the program, and when.
    pub overruled: Vec<Happened>,
    /// Marks that people gave.
    pub panel: Vec<Panel>,
    /// Who entered all marks by hand; empty where the program marked.
    pub examiners: Vec<String>,
    /// What the sheet must say of the sitting as a whole: how it ended, what was allowed, where it
    /// was marked again.
    pub notes: Vec<String>,
    /// What it was sat with, and what that cannot tell.
    pub instrument: Vec<String>,
    /// How marks are worked out.
    pub rubric: Rubric,
    /// How the candidate has come on since earlier sittings of this exam.
    pub development: Option<Development>,
    /// The line under every page: form, exam, rubric, program and result.
    pub foot: String,
}

/// The grade and what it means.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Grade {
    /// The band in words; without bands `Passed`, `Not passed` or `Marked`.
    pub word: String,
    /// The total in whole marks.
    pub mark: String,
    /// `of 100 marks`.
    pub of: String,
    /// What it means, the standard error first.
    pub sentences: Vec<String>,
}

/// A section's row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Section {
    /// Its letter.
    pub id: String,
    /// Its title.
    pub title: String,
    /// `of 40`.
    pub of: String,
    /// `86 %`; a dash where a person's marks are awaited.
    pub mark: String,
    /// The standard error in marks; a dash where a person gives the marks.
    pub error: String,
    /// What else is to be said: the hurdle, who gave the marks, that they are awaited.
    pub note: String,
    /// Whether a hurdle was missed.
    pub missed: bool,
}

/// A table of keys and qualities.
#[derive(Debug, Clone, PartialEq)]
pub struct Keys {
    /// The section's title.
    pub title: String,
    /// What stands over the table.
    pub caption: String,
    /// The rows, a quality each.
    pub rows: Vec<KeyRow>,
    /// What stands under it: the levels, what is bold, what is printed otherwise, hands.
    pub legend: String,
}

/// The keys of one quality.
#[derive(Debug, Clone, PartialEq)]
pub struct KeyRow {
    /// The quality.
    pub quality: Quality,
    /// It in words.
    pub words: String,
    /// The askings by root, in the order of [`ROOTS`]; several where one chord was asked again.
    pub cells: [Vec<Asking>; 12],
}

/// One chord that was asked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Asking {
    /// Its item.
    pub id: String,
    /// The level that counts.
    pub level: u8,
    /// Seconds to complete.
    pub seconds: Option<String>,
    /// Whether the level is bold: it is not 4.
    pub bold: bool,
    /// Whether the time is bold: it is over the limit.
    pub over: bool,
}

/// The roots of the table's columns: the cycle of fourths.
pub const ROOTS: [(u8, &str); 12] = [
    (0, "C"),
    (5, "F"),
    (10, "B♭"),
    (3, "E♭"),
    (8, "A♭"),
    (1, "D♭"),
    (6, "G♭"),
    (11, "B"),
    (4, "E"),
    (9, "A"),
    (2, "D"),
    (7, "G"),
];

/// The time to complete over the items, in the order asked.
#[derive(Debug, Clone, PartialEq)]
pub struct Pace {
    /// The section's title.
    pub title: String,
    /// The limit.
    pub limit: Time,
    /// The items.
    pub points: Vec<Point>,
    /// What is to be seen, in a sentence or two.
    pub words: String,
}

/// One item of a pace.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Point {
    /// Its item.
    pub id: String,
    /// The time; `None` where no chord was offered.
    pub time: Option<Time>,
    /// The level that counts.
    pub level: u8,
}

/// A part of an ear section.
#[derive(Debug, Clone, PartialEq)]
pub struct Ear {
    /// The section's title, and of several parts the question.
    pub title: String,
    /// Right, corrected for guessing, and what a guesser reaches.
    pub summary: String,
    /// The labels as printed; the columns, with `no answer` after them.
    pub labels: Vec<Label>,
    /// The rows, in the order of the labels.
    pub rows: Vec<EarRow>,
    /// The commonest confusions in words, and where there is too little to say anything.
    pub words: Vec<String>,
}

/// What can be sounded or answered.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Label {
    /// The quality, where it is one.
    pub quality: Option<Quality>,
    /// As printed.
    pub text: String,
}

/// A row of the confusion matrix.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EarRow {
    /// How often each label was answered.
    pub counts: Vec<usize>,
    /// How often nothing was.
    pub unanswered: usize,
    /// `5 of 6`.
    pub right: String,
    /// The sensitivity, `2.8`; a dash where there is none.
    pub sensitivity: String,
}

/// The chords that lost marks.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Lost {
    /// Those to be engraved, the most telling first.
    pub chords: Vec<LostChord>,
    /// What else is to be said, such as that chords were not reached.
    pub words: Vec<String>,
}

/// A chord below level 3.
#[derive(Debug, Clone, PartialEq)]
pub struct LostChord {
    /// Its item.
    pub id: String,
    /// The chord.
    pub chord: Chord,
    /// The order asked: `seventh on top`.
    pub order: String,
    /// The level that counts.
    pub level: u8,
    /// `3.4`; `None` where nothing was offered.
    pub seconds: Option<String>,
    /// The right answer nearest to what was played.
    pub asked: Hands,
    /// What was played; empty where nothing was.
    pub played: Hands,
    /// Whether what was played is not recorded: the level was entered by hand.
    pub unrecorded: bool,
    /// Why, in sentences.
    pub reason: String,
    /// What kind of fault it is.
    pub fault: Fault,
}

/// The kinds of fault, the most telling first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Fault {
    /// A third or a seventh is not there: another chord.
    Another,
    /// A fifth or a colour tone is wrong, missing or added.
    Colour,
    /// The right notes in another order, register or hand.
    Place,
    /// Found by way of its neighbour in the cycle of fourths.
    Walked,
    /// Right too late, or after too much else.
    Late,
    /// No chord was offered.
    Nothing,
}

/// The runs.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Runs {
    /// The criteria that occur, as column heads.
    pub columns: Vec<&'static str>,
    /// The rows.
    pub rows: Vec<RunRow>,
}

/// A run.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RunRow {
    /// Its item.
    pub id: String,
    /// The section's title.
    pub section: String,
    /// What it was: `F major, starting with the seventh on top`.
    pub what: String,
    /// The shares by the columns; `None` where a criterion does not apply.
    pub shares: Vec<Option<i64>>,
    /// The mark in percent.
    pub mark: i64,
    /// Whether it was reached.
    pub reached: bool,
    /// What was not right, in a sentence; empty where all was.
    pub reason: String,
}

/// A chord that was spelled otherwise than right.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Spelt {
    /// Its item.
    pub id: String,
    /// The chord.
    pub chord: Chord,
    /// What was right: `A♭ C E♭ G♭`.
    pub right: String,
    /// What was answered; `no answer` where nothing was, `not noted` where a person marked it.
    pub answered: String,
    /// Its share of its marks in percent.
    pub percent: i64,
}

/// Something that happened at a time.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Happened {
    /// When: the clock, or for a later act the day with it.
    pub when: String,
    /// What.
    pub text: String,
}

/// A mark that a person gave.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Panel {
    /// Its item.
    pub id: String,
    /// What was judged.
    pub criterion: String,
    /// The share: `80 %`, or `awaited`.
    pub share: String,
    /// Who gave it.
    pub by: String,
}

/// How marks are worked out.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Rubric {
    /// The levels of a single chord; empty where none was asked.
    pub levels: Vec<Level>,
    /// The criteria of runs; empty where none was asked.
    pub criteria: Vec<Criterion>,
    /// The weights of the criteria by name, for sections that weigh alike, named by their ids.
    pub weights: Vec<Weighed>,
    /// How ear and spelling items are marked, and sums made.
    pub words: Vec<String>,
}

/// What sections of runs weigh alike.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Weighed {
    /// The sections by their ids.
    pub sections: Vec<String>,
    /// The criteria by name, with their weights.
    pub weights: Vec<(&'static str, u32)>,
}

/// A level of a single chord.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Level {
    /// 4 to 0.
    pub level: u8,
    /// The credit in percent.
    pub credit: u8,
    /// When.
    pub words: String,
}

/// A criterion of runs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Criterion {
    /// Its name.
    pub name: &'static str,
    /// Its weight, as sections differ: `40`, or `40 (B), 60 (C)`.
    pub weight: String,
    /// What it is.
    pub words: &'static str,
}

/// How a candidate has come on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Development {
    /// The sittings, the earliest first; the last is this one.
    pub rows: Vec<Sat>,
    /// What can be said for sure, and what cannot.
    pub words: Vec<String>,
}

/// A sitting of a development.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sat {
    /// The day.
    pub date: String,
    /// The form code.
    pub form: String,
    /// The mark in percent of the exam's.
    pub mark: Share,
    /// The band.
    pub band: String,
    /// Whether it is this sitting.
    pub this: bool,
}

/// A share and its standard error.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Share {
    /// In hundredths of a percent.
    pub share: i64,
    /// In hundredths of a percent; `None` where it is not known.
    pub error: Option<i64>,
}

/// What everything on a sheet is made from.
struct Source<'a> {
    sitting: &'a Sitting,
    exam: &'a Exam,
    given: &'a Given,
    outcome: &'a Outcome<'a>,
}

impl Source<'_> {
    /// Calls an item by its section's letter and its number.
    fn id(&self, item: &Item) -> String {
        let section = self.exam.sections.get(item.section);

        format!(
            "{} {}",
            section.map_or("", |section| section.id.as_str()),
            item.number
        )
    }

    /// The same by the number alone.
    fn id_of(&self, number: u32) -> String {
        self.sitting
            .form()
            .item(number)
            .map_or_else(|| number.to_string(), |item| self.id(item))
    }
}

/// Makes what a sheet says: `digest` is the result's short one, `earlier` are results of the same
/// candidate and exam, in any order; others among them are passed over.
pub fn content(
    sitting: &Sitting,
    given: &Given,
    outcome: &Outcome<'_>,
    digest: &str,
    earlier: &[Summary],
) -> Content {
    let source = Source {
        sitting,
        exam: sitting.exam(),
        given,
        outcome,
    };
    let head = head::head(&source, digest);

    Content {
        title: source.exam.title.clone(),
        what: head.what,
        candidate: head.candidate,
        when: head.when,
        style: source.exam.style,
        grade: grade::grade(&source),
        sections: grade::sections(&source),
        advice: grade::advice(&source),
        keys: keys::keys(&source),
        gaps: keys::gaps(&source),
        paces: keys::paces(&source),
        ears: ears::ears(&source),
        lost: lost::lost(&source),
        runs: runs::runs(&source),
        spelt: spelt::spelt(&source),
        seen: seen::seen(&source),
        incidents: happened::incidents(&source),
        overruled: happened::overruled(&source),
        panel: grade::panel(&source),
        examiners: head.examiners,
        notes: head.notes,
        instrument: head.instrument,
        rubric: rubric::rubric(&source),
        development: development::development(&source, earlier),
        foot: head.foot,
    }
}
