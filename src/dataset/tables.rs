//! The rows of the three tables, a field a column, and their schemas.
//!
//! `mark_hundredths = 250` is 2.50 points; `credit_hundredths` goes from 0 to 100; `…_us` is
//! microseconds. A missing value (null) says that there is none: no answer was given, or a person's
//! mark is awaited.

use std::sync::Arc;

use parquet_derive::ParquetRecordWriter;

use super::Error;
use super::place::moment;
use crate::marking;
use crate::marking::event::Action;
use crate::results::summary;

/// What stands between the parts of a question in two parts.
const BETWEEN: &str = " | ";

/// A row of a table.
pub trait Row {
    /// The table's name, which is its folder's.
    const TABLE: &'static str;
    /// The columns, in the order of the fields.
    const SCHEMA: &'static str;
}

/// The names of the tables, in the order in which they are written.
pub const NAMES: [&str; 3] = [Sitting::TABLE, Item::TABLE, Event::TABLE];

/// A row of `sittings`: one result.
#[derive(Debug, Clone, PartialEq, ParquetRecordWriter)]
pub struct Sitting {
    /// The digest of the result, 64 hexadecimal digits: its key.
    pub result: Arc<str>,
    /// The digest of the result that it was made from; null for the first of a sitting.
    pub remark_of: Option<String>,
    /// The candidate's number.
    pub candidate: String,
    /// The form code.
    pub form: String,
    /// The exam's edition; may be empty.
    pub edition: String,
    /// The digest of the exam's script, 64 hexadecimal digits.
    pub exam_digest: String,
    /// When it began: a timestamp in UTC, milliseconds.
    pub started: i64,
    /// How long it lasted, in microseconds; null where nobody timed it.
    pub length_us: Option<i64>,
    /// How it ended: `complete`, `early`, `stopped`, `void` or `interrupted`.
    pub ended: String,
    /// The candidate's time factor in percent, 100 and up.
    pub time_factor_percent: i32,
    /// The total mark in hundredths of a point.
    pub mark_hundredths: i64,
    /// The points of the exam in hundredths.
    pub out_of_hundredths: i64,
    /// The grade band; empty where there is none, `void` for a void sitting.
    pub band: String,
    /// Whether it is passed; null where the exam has no pass mark or the sitting is void.
    pub passed: Option<bool>,
    /// The standard error of the total in points; null where it is not known.
    pub standard_error: Option<f64>,
    /// Whether a person's marks are awaited.
    pub provisional: bool,
    /// Chords found by way of a neighbour in the cycle of fourths; null where marked by hand.
    pub walked: Option<i32>,
    /// Items overruled by a person.
    pub overruled: i32,
    /// Incidents.
    pub incidents: i32,
    /// The version of the program that wrote the result.
    pub program: String,
    /// The version of the marking rules.
    pub rubric: i32,
    /// Who entered its marks by hand; null where the program listened.
    pub by_hand: Option<String>,
}

impl Row for Sitting {
    const TABLE: &'static str = "sittings";
    const SCHEMA: &'static str = "message sittings {
        required binary result (STRING);
        optional binary remark_of (STRING);
        required binary candidate (STRING);
        required binary form (STRING);
        required binary edition (STRING);
        required binary exam_digest (STRING);
        required int64 started (TIMESTAMP(MILLIS,true));
        optional int64 length_us;
        required binary ended (STRING);
        required int32 time_factor_percent;
        required int64 mark_hundredths;
        required int64 out_of_hundredths;
        required binary band (STRING);
        optional boolean passed;
        optional double standard_error;
        required boolean provisional;
        optional int32 walked;
        required int32 overruled;
        required int32 incidents;
        required binary program (STRING);
        required int32 rubric;
        optional binary by_hand (STRING);
    }";
}

impl Sitting {
    pub(super) fn new(of: &summary::Summary, digest: &Arc<str>) -> Result<Self, Error> {
        Ok(Self {
            result: Arc::clone(digest),
            remark_of: of.remark_of.as_ref().and_then(|(_, digest)| digest.clone()),
            candidate: of.candidate.clone(),
            form: of.form.clone(),
            edition: of.edition.clone(),
            exam_digest: of.exam_digest.clone(),
            started: moment(&of.started)?.timestamp_millis(),
            length_us: of.length_ms.map(us),
            ended: of.ended.clone(),
            time_factor_percent: of.factor as i32,
            mark_hundredths: of.mark,
            out_of_hundredths: of.out_of,
            band: of.band.clone(),
            passed: of.passed,
            standard_error: of.error,
            provisional: of.provisional,
            walked: of.by_hand.is_empty().then_some(of.walked as i32),
            overruled: of.overrules as i32,
            incidents: of.incidents as i32,
            program: of.program.clone(),
            rubric: of.rubric as i32,
            by_hand: (!of.by_hand.is_empty()).then(|| of.by_hand.join(BETWEEN)),
        })
    }
}

/// A row of `items`: one item of a result.
#[derive(Debug, Clone, PartialEq, ParquetRecordWriter)]
pub struct Item {
    /// The digest of the result.
    pub result: Arc<str>,
    /// The item's place in the result, from 1: with `result` its key. A run that was started
    /// again has its number twice.
    pub place: i32,
    /// Its number in the form, from 1.
    pub number: i32,
    /// The short name of its section.
    pub section: String,
    /// Its kind.
    pub kind: String,
    /// Its cell of the section, from 1; 0 where an older program did not tell.
    pub cell: i32,
    /// What was asked, as shown.
    pub prompt: String,
    /// The chord asked, in ASCII; null where there is none or it is not told.
    pub chord: Option<String>,
    /// Whether it counts: it was not voided.
    pub counts: bool,
    /// Whether it was shown.
    pub reached: bool,
    /// Its level, from 0 to 4.
    pub level: i32,
    /// Its credit, from 0 to 100; null where a person's mark is awaited.
    pub credit_hundredths: Option<i64>,
    /// Its mark in hundredths of a point.
    pub mark_hundredths: i64,
    /// What it could bring, in hundredths of a point; 0 where it does not count.
    pub out_of_hundredths: i64,
    /// Whether a person overruled it.
    pub overruled: bool,
    /// The first reason of its mark, in words.
    pub reason: String,
    /// What was right, parts divided by ` | `; null where the item has no one right answer.
    pub right: Option<String>,
    /// What was answered, parts divided by ` | `; null as above. An empty part is no answer.
    pub answered: Option<String>,
    /// From the prompt to the whole chord or to the answer, in microseconds; null where it never
    /// came.
    pub time_us: Option<i64>,
    /// Whether it was found by way of a neighbour in the cycle of fourths; null where its mark was
    /// entered by hand.
    pub walked: Option<bool>,
    /// Chords offered; null as above.
    pub attempts: Option<i32>,
    /// Hearings used; null as above.
    pub hearings: Option<i32>,
    /// The keys of the best attempt as MIDI numbers from low to high, divided by blanks; null
    /// where there is none.
    pub keys: Option<String>,
}

impl Row for Item {
    const TABLE: &'static str = "items";
    const SCHEMA: &'static str = "message items {
        required binary result (STRING);
        required int32 place;
        required int32 number;
        required binary section (STRING);
        required binary kind (STRING);
        required int32 cell;
        required binary prompt (STRING);
        optional binary chord (STRING);
        required boolean counts;
        required boolean reached;
        required int32 level;
        optional int64 credit_hundredths;
        required int64 mark_hundredths;
        required int64 out_of_hundredths;
        required boolean overruled;
        required binary reason (STRING);
        optional binary right (STRING);
        optional binary answered (STRING);
        optional int64 time_us;
        optional boolean walked;
        optional int32 attempts;
        optional int32 hearings;
        optional binary keys (STRING);
    }";
}

impl Item {
    pub(super) fn new(of: &summary::Item, digest: &Arc<str>, place: i32) -> Self {
        let some = |text: String| Some(text).filter(|text| !text.is_empty());
        let parts = |parts: &[String]| (!parts.is_empty()).then(|| parts.join(BETWEEN));
        let keys: Vec<String> = of.keys.iter().map(u8::to_string).collect();
        let counted = |count: u32| of.by_hand.is_empty().then_some(count as i32);

        Self {
            result: Arc::clone(digest),
            place,
            number: of.number as i32,
            section: of.section.clone(),
            kind: of.kind.clone(),
            cell: of.cell as i32,
            prompt: of.prompt.clone(),
            chord: some(of.chord.clone()),
            counts: of.counts,
            reached: of.reached,
            level: of.level.into(),
            credit_hundredths: of.credit,
            mark_hundredths: of.mark,
            out_of_hundredths: of.out_of,
            overruled: of.overruled,
            reason: of.reason.clone(),
            right: parts(&of.right),
            answered: parts(&of.answered),
            time_us: of.time_ms.map(us),
            walked: of.by_hand.is_empty().then_some(of.walked),
            attempts: counted(of.attempts),
            hearings: counted(of.hearings),
            keys: some(keys.join(" ")),
        }
    }
}

/// A row of `events`: one thing done in an item.
#[derive(Debug, Clone, PartialEq, ParquetRecordWriter)]
pub struct Event {
    /// The digest of the result.
    pub result: Arc<str>,
    /// The item's place in the result, from 1.
    pub place: i32,
    /// The event's place in the item, from 1: with `result` and `place` its key.
    pub number: i32,
    /// When, in microseconds since the item's zero: its prompt, or the end of the compulsory
    /// hearing of an ear item (so it may be negative).
    pub at_us: i64,
    /// What was done: `down`, `up`, `pedal`, `answer`, `hear` or `hand-in`.
    pub action: String,
    /// The key of `down` and `up`, a MIDI number from 0 to 127; else null.
    pub key: Option<i32>,
    /// The velocity of `down`, from 1 to 127; else null.
    pub velocity: Option<i32>,
    /// The position of `pedal`, from 0 (up) to 127 (down); else null.
    pub pedal: Option<i32>,
    /// The text of `answer`, empty where one was withdrawn; else null.
    pub text: Option<String>,
}

impl Row for Event {
    const TABLE: &'static str = "events";
    const SCHEMA: &'static str = "message events {
        required binary result (STRING);
        required int32 place;
        required int32 number;
        required int64 at_us;
        required binary action (STRING);
        optional int32 key;
        optional int32 velocity;
        optional int32 pedal;
        optional binary text (STRING);
    }";
}

impl Event {
    pub(super) fn new(of: &marking::Event, digest: &Arc<str>, place: i32, number: i32) -> Self {
        let (action, key, velocity, pedal, text) = match &of.action {
            Action::Down(key, velocity) => ("down", Some(*key), Some(*velocity), None, None),
            Action::Up(key) => ("up", Some(*key), None, None, None),
            Action::Pedal(value) => ("pedal", None, None, Some(*value), None),
            Action::Answer(text) => ("answer", None, None, None, Some(text.clone())),
            Action::Hear => ("hear", None, None, None, None),
            Action::HandIn => ("hand-in", None, None, None, None),
        };

        Self {
            result: Arc::clone(digest),
            place,
            number,
            at_us: of.at.tenths() * 100,
            action: action.to_owned(),
            key: key.map(|key| key.number().into()),
            velocity: velocity.map(Into::into),
            pedal: pedal.map(Into::into),
            text,
        }
    }
}

/// Milliseconds, which a result has with one decimal, as whole microseconds.
fn us(ms: f64) -> i64 {
    (ms * 10.0).round() as i64 * 100
}
