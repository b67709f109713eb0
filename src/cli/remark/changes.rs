//! What a re-mark changed, in sentences.

use std::collections::BTreeMap;

use crate::fraction;
use crate::results::document::Stored;
use crate::sitting::outcome::Outcome;

/// Lines of a script named one by one; of more it is said how many they are.
const MOST: usize = 6;

/// What another script says otherwise, comments and blank lines aside.
pub(super) fn script(was: &str, now: &str) -> Vec<String> {
    let gone = beyond(was, now);
    let new = beyond(now, was);

    named("the script no longer says", &gone)
        .chain(named("the script now says", &new))
        .collect()
}

/// The lines of a text beyond those that the other has too.
fn beyond<'a>(text: &'a str, other: &'a str) -> Vec<&'a str> {
    fn lines(text: &str) -> impl Iterator<Item = &str> {
        text.lines()
            .map(str::trim)
            .filter(|line| !line.is_empty() && !line.starts_with('#'))
    }
    let mut left: BTreeMap<&str, usize> = BTreeMap::new();

    for line in lines(other) {
        *left.entry(line).or_default() += 1;
    }
    lines(text)
        .filter(|line| match left.get_mut(line) {
            Some(count) if *count > 0 => {
                *count -= 1;
                false
            }
            _ => true,
        })
        .collect()
}

fn named<'a>(words: &'a str, lines: &'a [&'a str]) -> impl Iterator<Item = String> + 'a {
    let more = lines.len().saturating_sub(MOST);

    lines
        .iter()
        .take(MOST)
        .map(move |line| format!("{words} `{line}`"))
        .chain((more > 0).then(|| format!("{words} {more} more lines")))
}

/// The sections whose mark or points changed.
pub(in crate::cli) fn sections(stored: &Stored, outcome: &Outcome<'_>) -> Vec<String> {
    let exam = stored.sitting.exam();

    outcome
        .grade
        .sections
        .iter()
        .filter_map(|section| {
            let id = &exam.sections[section.section].id;
            let (_, mark, out_of) = stored.sections.iter().find(|(other, ..)| other == id)?;
            let was = format!("{mark} of {out_of}");
            let now = format!(
                "{} of {}",
                fraction::hundredths(section.mark),
                fraction::hundredths(section.out_of)
            );
            (was != now).then(|| format!("section {id}: {was} -> {now}"))
        })
        .collect()
}

/// The items whose credit changed, with the first reason before and after. One that was voided
/// counts neither before nor after.
pub(in crate::cli) fn items(stored: &Stored, outcome: &Outcome<'_>) -> Vec<String> {
    outcome
        .items
        .iter()
        .filter(|item| item.counts())
        .filter_map(|item| {
            let number = item.item.number;
            // Of several showings one counts.
            let was = stored
                .items
                .iter()
                .find(|was| was.number == number && was.counts)?;
            let credit = |credit: Option<String>| credit.unwrap_or_else(|| "awaited".to_owned());
            let before = credit(was.credit.clone());
            let after = credit(item.credit().map(fraction::hundredths));
            let reasons = item.reasons();
            let reason = reasons.first().map_or("", String::as_str);

            (before != after).then(|| {
                format!(
                    "item {number}: credit {before} ({}) -> {after} ({reason})",
                    was.reason
                )
            })
        })
        .collect()
}
