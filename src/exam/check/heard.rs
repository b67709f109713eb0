//! How often each answer sounds: enough for a standard for each, and for a word about each.

use super::{Outline, Part};
use crate::exam::diagnostic::Diagnostics;
use crate::exam::draw::Pick;
use crate::exam::item::accepted;
use crate::exam::script::{Ask, EarSection, Kind};
use crate::exam::sound;
use crate::exam::table::clip;
use crate::theory::symbol;

/// Under so many sounds nothing is said of a single answer.
const SOUNDS: u32 = 6;

/// Answers with how often they sound.
type Counts = Vec<(String, u32)>;

pub(super) fn check(outline: &Outline<'_>, out: &Diagnostics) {
    for part in outline.parts {
        let Some(own) = ear(part) else {
            continue;
        };
        standard(outline, part, own, out);
        thin(outline, part, own, out);
    }
}

fn ear(part: &Part) -> Option<&EarSection> {
    match &part.section.as_ref()?.kind {
        Kind::Ear(ear) => Some(ear),
        _ => None,
    }
}

/// Counts the sounds of each answer to the first question.
fn count(section: &EarSection, into: &mut Counts) {
    let ask = section.asks[0];

    for cell in &section.cells {
        // Only the top varies from item to item of one cell.
        let variants = match ask {
            Ask::Top => sound::variants(&cell.stimulus).max(1),
            _ => 1,
        };
        for variant in 0..variants {
            let pick = Pick {
                cell: 0,
                root: 0,
                variant,
            };
            let texts = accepted(ask, &cell.stimulus, pick, symbol::Style::DEFAULT);
            let Some(answer) = texts.into_iter().next() else {
                continue;
            };
            let sounds = cell.count / u32::from(variants);
            match into.iter_mut().find(|(text, _)| *text == answer) {
                Some((_, sum)) => *sum += sounds,
                None => into.push((answer, sounds)),
            }
        }
    }
}

/// Checks a standard for each answer against the sounds that are counted for it.
fn standard(outline: &Outline<'_>, part: &Part, own: &EarSection, out: &Diagnostics) {
    let Some(each) = &part.each else {
        return;
    };
    let mut counts = Counts::new();
    let mut whole = true;
    count(own, &mut counts);

    for (place, id) in each.with.iter().enumerate() {
        let mut fault = |message: String, help: &str| {
            out.fault(id.span.clone(), message, Some(help.to_owned()));
            whole = false;
        };
        let named = |part: &&Part| part.id.as_ref().is_some_and(|own| own.value == id.value);
        let Some(other) = outline.parts.iter().find(named) else {
            fault(
                format!("there is no section `{}`", clip(&id.value)),
                "name another section that is heard by its id",
            );
            continue;
        };
        if std::ptr::eq(other, part) || each.with[..place].iter().any(|one| one.value == id.value) {
            fault(
                format!("section `{}` is counted already", clip(&id.value)),
                "leave it out",
            );
            continue;
        }
        match ear(other) {
            Some(ear) if ear.asks[0] == own.asks[0] => count(ear, &mut counts),
            // What is wrong with it is told there.
            None if other.section.is_none() => whole = false,
            _ => fault(
                format!("section `{}` does not ask the same", clip(&id.value)),
                "only sounds of one question can be counted together",
            ),
        }
    }
    if !whole {
        return;
    }
    let place = each.least.span.clone();
    match counts.iter().min_by_key(|(_, sounds)| *sounds) {
        Some((answer, fewest)) if each.least.value > *fewest => out.fault(
            place,
            format!(
                "expected at most {fewest}, as often as `{answer}` sounds, found {}: nobody could reach it",
                each.least.value
            ),
            Some("lower `each`, raise the counts, or name sections in `each_with`".to_owned()),
        ),
        _ if outline.whole && !outline.cover.pass_written => out.warning(
            place,
            "a standard for each answer decides nothing in an exam without a pass mark",
            Some("write `pass = ...` at the top, or leave `each` out".to_owned()),
        ),
        _ => {}
    }
}

/// Warns of answers that sound too seldom in the whole exam for a word about each of them.
fn thin(outline: &Outline<'_>, part: &Part, own: &EarSection, out: &Diagnostics) {
    let (ask, Some(place)) = (own.asks[0], &part.ask) else {
        return;
    };
    // Practice without a pass mark tells no standard of anything.
    if outline.cover.rules.feedback && !outline.cover.pass_written {
        return;
    }
    // Of progressions and wrong voices nobody expects as much.
    if matches!(
        ask,
        Ask::Progression | Ask::Cadence | Ask::Bass | Ask::WrongVoice | Ask::PlayBack
    ) {
        return;
    }
    let (mut here, mut all) = (Counts::new(), Counts::new());
    count(own, &mut here);
    for ear in outline.parts.iter().filter_map(ear) {
        if ear.asks[0] == ask {
            count(ear, &mut all);
        }
    }
    let thin: Vec<String> = here
        .iter()
        .filter_map(|(text, _)| all.iter().find(|(other, _)| other == text))
        .filter(|(_, count)| *count < SOUNDS)
        .map(|(text, count)| format!("`{text}` {count}"))
        .collect();

    if !thin.is_empty() {
        let shown: Vec<String> = thin.iter().take(5).cloned().collect();
        let more = if thin.len() > 5 { ", …" } else { "" };
        out.warning(
            place.clone(),
            format!(
                "too few sounds to tell how well single answers are heard: {}{more}",
                shown.join(", ")
            ),
            Some("six of each say something, eight say more".to_owned()),
        );
    }
}
