//! Sections that are heard.

mod answer;
mod cell;
mod options;

use self::cell::Sounded;
use super::scope::Scope;
use super::section::Content;
use super::{cells, limit, meant, one_or_more};
use crate::exam::check::pool;
use crate::exam::script::{Ask, EarSection, Kind};
use crate::exam::sound;
use crate::exam::table::{Spanned, Table, clip};

/// Under so many sounds nothing is said of a single answer.
const SOUNDS: u32 = 6;

pub(super) fn read(table: &Table<'_>, scope: &Scope<'_>) -> Option<Content> {
    let asks = asks(table);
    let limit = limit(table, 1.0);
    let faulty = table.has("hearings");
    let hearings = table.integer("hearings", 1..=9);
    let faulty = faulty && hearings.is_none();
    let rooted = table.boolean("root_heard");
    if let (Some(rooted), Some(asks)) = (&rooted, &asks)
        && !rooted.value
        && asks.value.contains(&Ask::Inversion)
    {
        table.fault(
            rooted.span.clone(),
            "an inversion can be told only if the root is heard",
            Some("leave out `root_heard = false`".to_owned()),
        );
    }
    let rooted = rooted.is_none_or(|rooted| rooted.value);
    // What the keys of the cells and the options mean depends on the question.
    let Some(asks) = asks else {
        let _ = (table.has("options"), table.required_value("cells"));
        return None;
    };
    let usual = scope
        .rules
        .hearings
        .unwrap_or(usual_hearings(asks.value[0]));
    let mut read: Vec<Sounded> = Vec::new();
    let mut whole = true;

    for cell in cells(table, cell::sample(asks.value[0])) {
        let of = cell::read(&cell, &asks.value, rooted, scope);
        cell.finish();
        whole &= of.is_some();
        read.extend(of);
    }
    let options = options::read(table, &asks, &read, rooted, whole, scope);
    let supply = pool(&read, whole, scope);
    let options = options?;
    if !whole || read.is_empty() || faulty {
        return None;
    }
    thin(&asks, &read, scope);

    Some(Content {
        kind: Kind::Ear(EarSection {
            limit: limit?,
            hearings: hearings.map_or(usual, |hearings| hearings.value as u8),
            rooted,
            options,
            cells: read.into_iter().map(|sounded| sounded.cell).collect(),
            asks: asks.value,
        }),
        supply,
    })
}

/// Hearings when the script says nothing: 1 for triads and intervals is the script's to say;
/// sevenths and tensions 2, progressions 4.
const fn usual_hearings(ask: Ask) -> u8 {
    match ask {
        Ask::Progression => 4,
        _ => 2,
    }
}

fn asks(table: &Table<'_>) -> Option<Spanned<Vec<Ask>>> {
    let value = table.required_value("ask")?;
    let place = value.span();
    let words = one_or_more(value)?;
    let mut asks = Vec::new();

    for word in &words {
        match Ask::WORDS.iter().find(|(known, _)| *known == word.value) {
            Some((_, ask)) => asks.push(*ask),
            None => {
                let known: Vec<&str> = Ask::WORDS.iter().map(|(word, _)| *word).collect();
                table.fault(
                    word.span.clone(),
                    format!("unknown question `{}`", clip(word.value)),
                    Some(meant(word.value, &known)),
                );
            }
        }
    }
    if asks.len() != words.len() {
        return None;
    }

    let of_chords = |ask: &Ask| matches!(ask, Ask::Quality | Ask::Top | Ask::Inversion);
    let fine = match asks.as_slice() {
        [_] => true,
        [a, b] => a != b && of_chords(a) && of_chords(b),
        _ => false,
    };
    if !fine {
        table.fault(
            place,
            "expected one question, or two of `quality`, `top` and `inversion`",
            Some("write for example `ask = [\"quality\", \"inversion\"]`".to_owned()),
        );
        return None;
    }

    Some(Spanned::new(asks, place))
}

/// Checks that the forms of a set can differ; sounds may come again within a form.
fn pool(read: &[Sounded], whole: bool, scope: &Scope<'_>) -> pool::Supply {
    let mut contents = Vec::new();
    let slots: Vec<pool::Slot> = read
        .iter()
        .enumerate()
        .map(|(kind, sounded)| pool::Slot {
            count: sounded.count.clone(),
            roots: sounded.cell.roots.clone(),
            place: sounded.roots_place.clone(),
            kind,
            content: pool::number(&mut contents, &sounded.cell.stimulus),
            variants: sound::variants(&sounded.cell.stimulus).into(),
            what: "sounds of this cell".to_owned(),
        })
        .collect();

    pool::Pool {
        cells: &slots,
        whole,
        shuffle: true,
        once: false,
        each_root: None,
        seats: &scope.seats,
    }
    .check(scope.out)
}

/// Warns of answers that sound too seldom for a word about each of them.
fn thin(asks: &Spanned<Vec<Ask>>, read: &[Sounded], scope: &Scope<'_>) {
    let ask = asks.value[0];
    if scope.only_practice {
        return;
    }
    // Of progressions and wrong voices nobody expects as much.
    if matches!(ask, Ask::Progression | Ask::WrongVoice) {
        return;
    }

    let mut counts: Vec<(String, u32)> = Vec::new();
    for sounded in read {
        let answers = answer::answers(ask, &sounded.cell.stimulus);
        for answer in &answers {
            let count = sounded.count.value / answers.len().max(1) as u32;
            match counts.iter_mut().find(|(text, _)| *text == answer.texts[0]) {
                Some((_, sum)) => *sum += count,
                None => counts.push((answer.texts[0].clone(), count)),
            }
        }
    }
    let thin: Vec<String> = counts
        .iter()
        .filter(|(_, count)| *count < SOUNDS)
        .map(|(text, count)| format!("`{text}` {count}"))
        .collect();

    if !thin.is_empty() {
        let shown: Vec<String> = thin.iter().take(5).cloned().collect();
        let more = if thin.len() > 5 { ", …" } else { "" };
        scope.out.warning(
            asks.span.clone(),
            format!(
                "too few sounds to tell how well single answers are heard: {}{more}",
                shown.join(", ")
            ),
            Some("six of each say something, eight say more".to_owned()),
        );
    }
}
