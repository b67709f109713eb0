//! The lines of a result as TOML reads them, or faster where they are as this program writes them.

mod lines;

use serde::Deserialize;

use super::{Chord, Ear, Error, Gap, Hundredths, Item, Section, Summary};
use crate::results::document::VERSION;
use crate::sitting::journal::Head;

#[derive(Deserialize)]
struct Raw {
    result: RawResult,
    sitting: RawSitting,
    total: RawTotal,
    #[serde(default)]
    section: Vec<RawSection>,
    #[serde(default)]
    item: Vec<RawItem>,
    #[serde(default)]
    overrule: Vec<serde::de::IgnoredAny>,
    #[serde(default)]
    incident: Vec<serde::de::IgnoredAny>,
    #[serde(default)]
    profile: RawProfile,
}

#[derive(Deserialize)]
struct RawResult {
    version: u32,
    program: String,
    rubric: u32,
    remark_of: Option<String>,
    remark_digest: Option<String>,
}

#[derive(Deserialize)]
struct RawSitting {
    exam: String,
    title: String,
    #[serde(default)]
    edition: String,
    exam_digest: String,
    form: String,
    candidate: String,
    started: String,
    length_ms: Option<f64>,
    #[serde(default)]
    marked_by_hand_by: Vec<String>,
    ended: String,
    time_factor: f64,
}

#[derive(Deserialize)]
struct RawTotal {
    mark: f64,
    out_of: f64,
    #[serde(default)]
    band: String,
    passed: Option<bool>,
    standard_error: Option<f64>,
    #[serde(default)]
    provisional: bool,
}

#[derive(Deserialize)]
struct RawSection {
    id: String,
    title: String,
    kind: String,
    mark: f64,
    out_of: f64,
    items: u32,
    standard_error: Option<f64>,
    hurdle: Option<f64>,
    #[serde(default)]
    hurdle_passed: bool,
    each_passed: Option<bool>,
    each_is: Option<String>,
}

#[derive(Deserialize)]
struct RawItem {
    number: u32,
    section: String,
    kind: String,
    #[serde(default)]
    cell: u32,
    prompt: String,
    #[serde(default)]
    chord: String,
    #[serde(default)]
    voided: bool,
    #[serde(default)]
    awaited: bool,
    level: u8,
    credit: f64,
    mark: f64,
    out_of: f64,
    #[serde(default)]
    overruled: bool,
    #[serde(default)]
    reasons: Vec<String>,
    #[serde(default)]
    right: Vec<String>,
    #[serde(default)]
    answered: Vec<String>,
    #[serde(default)]
    answer: String,
    #[serde(default)]
    by_hand: String,
    shown_ms: Option<f64>,
    complete_ms: Option<f64>,
    answered_ms: Option<f64>,
    #[serde(default)]
    walked: bool,
    #[serde(default)]
    attempts: u32,
    #[serde(default)]
    hearings: u32,
    #[serde(default)]
    keys: Vec<u8>,
    #[serde(default)]
    evidence: Vec<String>,
}

#[derive(Default, Deserialize)]
struct RawProfile {
    #[serde(default)]
    walked: u32,
    #[serde(default)]
    chord: Vec<RawChord>,
    #[serde(default)]
    routine_gap: Vec<RawGap>,
    #[serde(default)]
    ear: Vec<RawEar>,
}

#[derive(Deserialize)]
struct RawChord {
    root: String,
    quality: String,
    level: u8,
    complete_ms: Option<f64>,
    #[serde(default)]
    cold: bool,
}

#[derive(Deserialize)]
struct RawGap {
    quality: String,
    form: String,
    cold_ms: Option<f64>,
    in_run_ms: Option<f64>,
    right_in_run: Option<f64>,
    credit_cold: Option<f64>,
}

#[derive(Deserialize)]
struct RawEar {
    section: String,
    part: u32,
    right: u32,
    items: u32,
    labels: Vec<String>,
    confusion: Vec<Vec<u32>>,
}

/// Reads the lines of a result.
pub(super) fn read(text: &str, digest: Head) -> Result<Summary, Error> {
    read_all(text, digest).map(|(summary, _)| summary)
}

/// As [`read`], with the lines of evidence of each item.
pub(super) fn read_all(text: &str, digest: Head) -> Result<(Summary, Vec<Vec<String>>), Error> {
    let mut raw: Raw =
        toml::from_str(text).map_err(|error| Error::NotAResult(error.message().to_owned()))?;
    let evidence = raw
        .item
        .iter_mut()
        .map(|item| std::mem::take(&mut item.evidence))
        .collect();

    stated(raw, digest).map(|summary| (summary, evidence))
}

/// Reads blocks that are as this program writes them; `None` for others.
pub(super) fn read_simple(blocks: &[&str], digest: Head) -> Option<Result<Summary, Error>> {
    lines::read(blocks).map(|raw| stated(raw, digest))
}

fn stated(raw: Raw, digest: Head) -> Result<Summary, Error> {
    if raw.result.version > VERSION {
        return Err(Error::TooNew(raw.result.version));
    }
    let Raw {
        result,
        sitting,
        total,
        profile,
        ..
    } = raw;

    Ok(Summary {
        digest,
        program: result.program,
        rubric: result.rubric,
        remark_of: result.remark_of.map(|of| (of, result.remark_digest)),
        exam: sitting.exam,
        title: sitting.title,
        edition: sitting.edition,
        exam_digest: sitting.exam_digest,
        form: sitting.form,
        candidate: sitting.candidate,
        started: sitting.started,
        length_ms: sitting.length_ms,
        by_hand: sitting.marked_by_hand_by,
        ended: sitting.ended,
        factor: hundredths(sitting.time_factor) as u32,
        mark: hundredths(total.mark),
        out_of: hundredths(total.out_of),
        band: total.band,
        passed: total.passed,
        error: total.standard_error.filter(|error| error.is_finite()),
        provisional: total.provisional,
        sections: raw.section.into_iter().map(section).collect(),
        items: raw.item.into_iter().map(item).collect(),
        walked: profile.walked,
        chords: profile.chord.into_iter().map(chord).collect(),
        gaps: profile.routine_gap.into_iter().map(gap).collect(),
        ears: profile.ear.into_iter().map(ear).collect(),
        overrules: raw.overrule.len(),
        incidents: raw.incident.len(),
    })
}

/// A number that the file has with two decimals.
fn hundredths(value: f64) -> Hundredths {
    (value * 100.0).round() as Hundredths
}

fn section(raw: RawSection) -> Section {
    Section {
        mark: hundredths(raw.mark),
        out_of: hundredths(raw.out_of),
        error: raw.standard_error.filter(|error| error.is_finite()),
        hurdle: raw
            .hurdle
            .map(|hurdle| (hundredths(hurdle), raw.hurdle_passed)),
        each: raw.each_is.zip(raw.each_passed),
        id: raw.id,
        title: raw.title,
        kind: raw.kind,
        items: raw.items,
    }
}

fn item(raw: RawItem) -> Item {
    Item {
        number: raw.number,
        counts: !raw.voided,
        reached: raw.shown_ms.is_some() || !raw.by_hand.is_empty(),
        by_hand: raw.by_hand,
        level: raw.level,
        credit: (!raw.awaited).then(|| hundredths(raw.credit)),
        mark: hundredths(raw.mark),
        out_of: hundredths(raw.out_of),
        overruled: raw.overruled,
        reason: raw.reasons.into_iter().next().unwrap_or_default(),
        right: raw.right,
        answered: raw.answered,
        answer: raw.answer,
        time_ms: raw.complete_ms.or(raw.answered_ms),
        walked: raw.walked,
        attempts: raw.attempts,
        hearings: raw.hearings,
        keys: raw.keys,
        section: raw.section,
        kind: raw.kind,
        cell: raw.cell,
        prompt: raw.prompt,
        chord: raw.chord,
    }
}

fn chord(raw: RawChord) -> Chord {
    Chord {
        root: raw.root,
        quality: raw.quality,
        level: raw.level,
        complete_ms: raw.complete_ms,
        cold: raw.cold,
    }
}

fn gap(raw: RawGap) -> Gap {
    Gap {
        quality: raw.quality,
        form: raw.form,
        medians_ms: raw.cold_ms.zip(raw.in_run_ms),
        shares: raw.right_in_run.zip(raw.credit_cold),
    }
}

fn ear(raw: RawEar) -> Ear {
    Ear {
        section: raw.section,
        part: raw.part,
        right: raw.right,
        items: raw.items,
        labels: raw.labels,
        confusion: raw.confusion,
    }
}
