//! The lines of a result as this program writes them, read without a parser for all of TOML.
//!
//! Whatever is not as it writes them is left to TOML: then there is no answer here. Where there is
//! one it is TOML's.

use std::str::Lines;

use serde::de::IgnoredAny;

use super::{
    Raw, RawChord, RawEar, RawGap, RawItem, RawProfile, RawResult, RawSection, RawSitting, RawTotal,
};

/// Reads the lines of a block into an `Option` a key; other keys are passed over. A key that comes
/// twice, as a value that is not simple, is left to TOML.
macro_rules! keys {
    ($lines:expr, $($key:ident: $read:expr),+ $(,)?) => {
        $(let mut $key = None;)+
        each($lines, |key, value| {
            $(if key == stringify!($key) {
                return put(&mut $key, $read(value)?);
            })+
            Some(())
        })?;
    };
}

/// Reads sealed blocks; `None` where they are not simple.
pub(super) fn read(blocks: &[&str]) -> Option<Raw> {
    let (mut result, mut sitting, mut total) = (None, None, None);
    let (mut section, mut item) = (Vec::new(), Vec::new());
    let (mut overrule, mut incident) = (Vec::new(), Vec::new());
    let mut profile: Option<RawProfile> = None;

    for block in blocks {
        let mut lines = block.lines();
        let mut header = lines.next()?;
        while header.starts_with('#') {
            header = lines.next()?;
        }
        match header {
            "[[item]]" => item.push(self::item(lines)?),
            "[[profile.chord]]" => profile.as_mut()?.chord.push(chord(lines)?),
            "[[section]]" => section.push(self::section(lines)?),
            "[result]" => put(&mut result, self::result(lines)?)?,
            "[sitting]" => put(&mut sitting, self::sitting(lines)?)?,
            "[total]" => put(&mut total, self::total(lines)?)?,
            "[profile]" => put(&mut profile, walked(lines)?)?,
            "[[profile.routine_gap]]" => profile.as_mut()?.routine_gap.push(gap(lines)?),
            "[[profile.ear]]" => profile.as_mut()?.ear.push(ear(lines)?),
            "[[overrule]]" => overrule.push(nothing(lines)?),
            "[[incident]]" => incident.push(nothing(lines)?),
            "[[panel]]" | "[[by_hand]]" => drop(nothing(lines)?),
            // The script stands by itself at the end.
            "[exam]" => {}
            _ => return None,
        }
    }

    Some(Raw {
        result: result?,
        sitting: sitting?,
        total: total?,
        section,
        item,
        overrule,
        incident,
        profile: profile.unwrap_or_default(),
    })
}

fn result(lines: Lines<'_>) -> Option<RawResult> {
    keys!(
        lines,
        version: whole,
        program: text,
        rubric: whole,
        remark_of: text,
        remark_digest: text,
    );

    Some(RawResult {
        version: version?,
        program: program?,
        rubric: rubric?,
        remark_of,
        remark_digest,
    })
}

fn sitting(lines: Lines<'_>) -> Option<RawSitting> {
    keys!(
        lines,
        exam: text,
        title: text,
        edition: text,
        exam_digest: text,
        form: text,
        candidate: text,
        started: text,
        length_ms: number,
        marked_by_hand_by: texts,
        ended: text,
        time_factor: number,
    );

    Some(RawSitting {
        exam: exam?,
        title: title?,
        edition: edition.unwrap_or_default(),
        exam_digest: exam_digest?,
        form: form?,
        candidate: candidate?,
        started: started?,
        length_ms,
        marked_by_hand_by: marked_by_hand_by.unwrap_or_default(),
        ended: ended?,
        time_factor: time_factor?,
    })
}

fn total(lines: Lines<'_>) -> Option<RawTotal> {
    keys!(
        lines,
        mark: number,
        out_of: number,
        band: text,
        passed: flag,
        standard_error: number,
        provisional: flag,
    );

    Some(RawTotal {
        mark: mark?,
        out_of: out_of?,
        band: band.unwrap_or_default(),
        passed,
        standard_error,
        provisional: provisional.unwrap_or_default(),
    })
}

fn section(lines: Lines<'_>) -> Option<RawSection> {
    keys!(
        lines,
        id: text,
        title: text,
        kind: text,
        mark: number,
        out_of: number,
        items: whole,
        standard_error: number,
        hurdle: number,
        hurdle_passed: flag,
        each_passed: flag,
        each_is: text,
    );

    Some(RawSection {
        id: id?,
        title: title?,
        kind: kind?,
        mark: mark?,
        out_of: out_of?,
        items: items?,
        standard_error,
        hurdle,
        hurdle_passed: hurdle_passed.unwrap_or_default(),
        each_passed,
        each_is,
    })
}

fn item(lines: Lines<'_>) -> Option<RawItem> {
    keys!(
        lines,
        number: whole,
        section: text,
        kind: text,
        cell: whole,
        prompt: text,
        chord: text,
        voided: flag,
        awaited: flag,
        level: small,
        credit: self::number,
        mark: self::number,
        out_of: self::number,
        overruled: flag,
        reasons: texts,
        right: texts,
        answered: texts,
        answer: text,
        by_hand: text,
        shown_ms: self::number,
        complete_ms: self::number,
        answered_ms: self::number,
        walked: flag,
        attempts: whole,
        hearings: whole,
        keys: smalls,
    );

    Some(RawItem {
        number: number?,
        section: section?,
        kind: kind?,
        cell: cell.unwrap_or_default(),
        prompt: prompt?,
        chord: chord.unwrap_or_default(),
        voided: voided.unwrap_or_default(),
        awaited: awaited.unwrap_or_default(),
        level: level?,
        credit: credit?,
        mark: mark?,
        out_of: out_of?,
        overruled: overruled.unwrap_or_default(),
        reasons: reasons.unwrap_or_default(),
        right: right.unwrap_or_default(),
        answered: answered.unwrap_or_default(),
        answer: answer.unwrap_or_default(),
        by_hand: by_hand.unwrap_or_default(),
        // What was played is not stated.
        evidence: Vec::new(),
        shown_ms,
        complete_ms,
        answered_ms,
        walked: walked.unwrap_or_default(),
        attempts: attempts.unwrap_or_default(),
        hearings: hearings.unwrap_or_default(),
        keys: keys.unwrap_or_default(),
    })
}

fn walked(lines: Lines<'_>) -> Option<RawProfile> {
    keys!(lines, walked: whole);

    Some(RawProfile {
        walked: walked.unwrap_or_default(),
        ..RawProfile::default()
    })
}

fn chord(lines: Lines<'_>) -> Option<RawChord> {
    keys!(
        lines,
        root: text,
        quality: text,
        level: small,
        complete_ms: number,
        cold: flag,
    );

    Some(RawChord {
        root: root?,
        quality: quality?,
        level: level?,
        complete_ms,
        cold: cold.unwrap_or_default(),
    })
}

fn gap(lines: Lines<'_>) -> Option<RawGap> {
    keys!(
        lines,
        quality: text,
        form: text,
        cold_ms: number,
        in_run_ms: number,
        right_in_run: number,
        credit_cold: number,
    );

    Some(RawGap {
        quality: quality?,
        form: form?,
        cold_ms,
        in_run_ms,
        right_in_run,
        credit_cold,
    })
}

fn ear(lines: Lines<'_>) -> Option<RawEar> {
    keys!(
        lines,
        section: text,
        part: whole,
        right: whole,
        items: whole,
        labels: texts,
        confusion: rows,
    );

    Some(RawEar {
        section: section?,
        part: part?,
        right: right?,
        items: items?,
        labels: labels?,
        confusion: confusion?,
    })
}

/// A block of which it counts alone that it is there.
fn nothing(lines: Lines<'_>) -> Option<IgnoredAny> {
    each(lines, |_, _| Some(()))?;

    Some(IgnoredAny)
}

/// Hands each line `key = value` on, up to the evidence, which comes last. `None` where a line is
/// not simple: one of a text over several lines may look like a key.
fn each<'a>(
    mut lines: Lines<'a>,
    mut take: impl FnMut(&'a str, &'a str) -> Option<()>,
) -> Option<()> {
    while let Some(line) = lines.next() {
        if line.is_empty() {
            continue;
        }
        // A key has no blank in it; to look for one sign is faster than for three.
        let (key, rest) = line.split_once(' ')?;
        let value = rest.strip_prefix("= ")?;
        if key == "evidence" {
            break;
        }
        match value {
            // The chords of a run, a line each.
            "[" => loop {
                match lines.next()? {
                    "]" => break,
                    line if line.starts_with("    { ") && simple(line) => {}
                    _ => return None,
                }
            },
            value if simple(value) => take(key, value)?,
            _ => return None,
        }
    }

    Some(())
}

/// Whether no text in it goes over several lines.
fn simple(value: &str) -> bool {
    let quotes = ["\"\"\"", "'''"];

    // By itself such a text begins the value; in an array or a table it may begin anywhere.
    match value.as_bytes().first() {
        Some(b'[' | b'{' | b' ') => !quotes.iter().any(|quotes| value.contains(quotes)),
        _ => !quotes.iter().any(|quotes| value.starts_with(quotes)),
    }
}

fn put<T>(place: &mut Option<T>, value: T) -> Option<()> {
    place.replace(value).is_none().then_some(())
}

fn text(value: &str) -> Option<String> {
    match one(value)? {
        (text, "") => Some(text.to_owned()),
        _ => None,
    }
}

/// A text at the beginning, and what follows it.
fn one(value: &str) -> Option<(&str, &str)> {
    if let Some(rest) = value.strip_prefix('"') {
        let (text, rest) = rest.split_once('"')?;
        return (!text.contains('\\')).then_some((text, rest));
    }

    value.strip_prefix('\'')?.split_once('\'')
}

fn texts(value: &str) -> Option<Vec<String>> {
    let mut rest = value.strip_prefix('[')?;
    let mut texts = Vec::new();
    if rest == "]" {
        return Some(texts);
    }
    loop {
        let (text, after) = one(rest)?;
        texts.push(text.to_owned());
        if after == "]" {
            return Some(texts);
        }
        rest = after.strip_prefix(", ")?;
    }
}

fn smalls(value: &str) -> Option<Vec<u8>> {
    list(value.strip_prefix('[')?.strip_suffix(']')?, small)
}

fn rows(value: &str) -> Option<Vec<Vec<u32>>> {
    let inner = value.strip_prefix('[')?.strip_suffix(']')?;
    if inner.is_empty() {
        return Some(Vec::new());
    }

    inner
        .strip_prefix('[')?
        .strip_suffix(']')?
        .split("], [")
        .map(|row| list(row, whole))
        .collect()
}

fn list<T>(inner: &str, read: impl Fn(&str) -> Option<T>) -> Option<Vec<T>> {
    if inner.is_empty() {
        return Some(Vec::new());
    }

    inner.split(", ").map(read).collect()
}

fn flag(value: &str) -> Option<bool> {
    match value {
        "true" => Some(true),
        "false" => Some(false),
        _ => None,
    }
}

fn whole(value: &str) -> Option<u32> {
    plain(value).then(|| value.parse().ok())?
}

fn small(value: &str) -> Option<u8> {
    plain(value).then(|| value.parse().ok())?
}

/// Digits alone; TOML takes no zero before others.
fn plain(value: &str) -> bool {
    value.bytes().all(|byte| byte.is_ascii_digit()) && (value == "0" || !value.starts_with('0'))
}

fn number(value: &str) -> Option<f64> {
    if value == "nan" {
        return Some(f64::NAN);
    }
    let (digits, decimals) = value
        .strip_prefix('-')
        .unwrap_or(value)
        .split_once('.')
        .unwrap_or((value.strip_prefix('-').unwrap_or(value), "0"));
    let is_number = plain(digits)
        && !digits.is_empty()
        && !decimals.is_empty()
        && decimals.bytes().all(|byte| byte.is_ascii_digit());

    is_number.then(|| value.parse().ok())?
}
