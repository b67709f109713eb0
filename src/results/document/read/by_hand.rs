//! Reading back what an examiner wrote.

use serde::Deserialize;

use super::{Error, credit, ms};
use crate::fraction::{self, Fraction};
use crate::marking::noted::{Heard, Note};
use crate::marking::run::Counts;
use crate::sitting::by_hand::{ByHand, Written};

#[derive(Debug, Deserialize)]
pub(super) struct Raw {
    item: u32,
    level: Option<u8>,
    complete_ms: Option<f64>,
    chords_right: Option<String>,
    chords_in_form: Option<String>,
    leading: Option<i64>,
    pace: Option<i64>,
    credit: Option<String>,
    heard: Option<Vec<String>>,
    spelled: Option<String>,
    tones: Option<usize>,
    #[serde(default)]
    nothing: bool,
    voided: Option<String>,
    by: String,
    #[serde(default)]
    remark: String,
}

/// Reads what was written, where the sitting was marked by hand.
pub(super) fn read(raw: Vec<Raw>, by_hand: bool) -> Result<Option<ByHand>, Error> {
    let items = raw
        .into_iter()
        .map(|raw| {
            let note = note(&raw).ok_or(Error::ByHand { item: raw.item })?;
            let written = Written {
                note,
                voided: raw.voided,
                by: raw.by,
                remark: raw.remark,
            };
            Ok((raw.item, written))
        })
        .collect::<Result<_, Error>>()?;

    Ok(by_hand.then_some(ByHand { items }))
}

fn note(raw: &Raw) -> Option<Note> {
    if raw.nothing {
        return Some(Note::Nothing);
    }
    if let Some(level) = raw.level {
        return Some(Note::Level(level.min(4), raw.complete_ms.map(ms)));
    }
    if let Some(right) = &raw.chords_right {
        return Some(Note::Run(Counts {
            harmony: halves(right)?,
            voicing: halves(raw.chords_in_form.as_ref()?)?,
            leading: raw.leading?,
            pace: raw.pace?,
        }));
    }
    if let Some(text) = &raw.credit {
        return Some(Note::Credit(credit(text)?));
    }
    if let Some(parts) = &raw.heard {
        let parts = parts.iter().map(|part| heard(part));
        return parts.collect::<Option<_>>().map(Note::Heard);
    }
    if let Some(text) = &raw.spelled {
        let text = Some(text.clone()).filter(|text| !text.is_empty());
        return Some(Note::Spelled(text));
    }

    raw.tones.map(Note::Tones)
}

fn heard(part: &str) -> Option<Heard> {
    match part {
        "nothing" => Some(Heard::Nothing),
        "right" => Some(Heard::Told(true)),
        "wrong" => Some(Heard::Told(false)),
        _ => part
            .strip_prefix("answer ")
            .map(|text| Heard::Answer(text.to_owned())),
    }
}

/// A number of chords as so many halves.
fn halves(text: &str) -> Option<i64> {
    let halves = fraction::product(credit(text)?, Fraction::from_integer(2));

    halves.is_integer().then(|| halves.to_integer())
}
