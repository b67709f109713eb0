//! The ear sections: what was named, and what was taken for what.

use super::{Ear, EarRow, Label, Source};
use crate::exam::form::Task;
use crate::exam::script::{Ask, Kind};
use crate::fraction::Fraction;
use crate::marking::item::Marked;
use crate::printing::sheet::words::ears as say;
use crate::printing::words::label;
use crate::sitting::outcome::ItemOutcome;
use crate::theory::interval::Interval;
use crate::theory::progression::numeral;
use crate::theory::symbol;

pub(super) fn ears(source: &Source<'_>) -> Vec<Ear> {
    let exam = source.exam;
    let played = (0..exam.sections.len()).filter_map(|section| back(source, section));

    source
        .outcome
        .profile
        .ears
        .iter()
        .filter_map(|ear| {
            let section = exam.sections.get(ear.section)?;
            let Kind::Ear(of) = &section.kind else {
                return None;
            };
            let ask = of.asks.get(ear.part).copied();
            let title = match ask {
                Some(ask) if of.asks.len() > 1 => {
                    format!("{}: {}", section.title, ask.question())
                }
                _ => section.title.clone(),
            };
            let named = |text: &str| words(ask, text, exam.style);
            let confusion = &ear.confusion;
            let pairs: Vec<_> = confusion
                .commonest(3)
                .iter()
                .map(|pair| (named(pair.sounded), named(pair.answered), pair.count))
                .collect();
            let few: Vec<String> = confusion
                .labels()
                .iter()
                .filter(|label| {
                    let sounded = confusion.row(label).map_or(0, |row| row.total());
                    sounded > 0 && !confusion.says_enough(label)
                })
                .map(|label| named(label))
                .collect();
            let all_few = few.len()
                == confusion
                    .labels()
                    .iter()
                    .filter(|label| confusion.row(label).is_some_and(|row| row.total() > 0))
                    .count();
            Some(Ear {
                title,
                summary: say::summary(
                    (ear.right, ear.items),
                    ear.corrected,
                    ear.guesser,
                    ear.distinguishable,
                ),
                labels: confusion
                    .labels()
                    .iter()
                    .map(|label| printed(ask, label, exam.style))
                    .collect(),
                rows: confusion
                    .rows()
                    .map(|row| EarRow {
                        counts: row.counts.to_vec(),
                        unanswered: row.unanswered,
                        right: match row.total() {
                            0 => "–".to_owned(),
                            of => format!("{} of {of}", confusion.hits(row.sounded)),
                        },
                        sensitivity: say::sensitivity(confusion.sensitivity(row.sounded)),
                    })
                    .collect(),
                words: say::confusions(&pairs, &few, all_few),
            })
        })
        .chain(played)
        .collect()
}

/// What was played back in a section: how much of it, and each that was not whole.
fn back(source: &Source<'_>, section: usize) -> Option<Ear> {
    let of = source.exam.sections.get(section)?;
    let items: Vec<_> = source
        .outcome
        .items
        .iter()
        .filter(|of| of.item.section == section && of.counts())
        .filter_map(|of| match &of.item.task {
            Task::Ear(task) if task.is_played() => Some((of, task)),
            _ => None,
        })
        .collect();
    if items.is_empty() {
        return None;
    }
    let is_whole = |of: &ItemOutcome<'_>| of.credit() == Some(Fraction::from_integer(1));
    let whole = items.iter().filter(|(of, _)| is_whole(of)).count();
    let words = items
        .iter()
        .filter(|(of, _)| !is_whole(of))
        .map(|(of, task)| {
            let steps = match &of.marked {
                Marked::Ear(marked) => marked.played.as_slice(),
                _ => &[],
            };
            let id = source.id(of.item);
            match of.written {
                Some(_) => say::back_by_hand(&id, task, of.credit().unwrap_or_default()),
                None => say::back(&id, task, steps),
            }
        })
        .collect();

    Some(Ear {
        title: of.title.clone(),
        summary: say::backs(whole, items.len()),
        labels: Vec::new(),
        rows: Vec::new(),
        words,
    })
}

/// A label as a table prints it.
fn printed(ask: Option<Ask>, text: &str, style: symbol::Style) -> Label {
    let quality = match ask {
        Some(Ask::Quality) => symbol::parse_quality(text).ok(),
        _ => None,
    };

    Label {
        quality,
        text: quality.map_or_else(
            || match ask {
                Some(Ask::Bass) => numeral(text),
                _ => text.to_owned(),
            },
            |quality| symbol::print_quality(quality, style),
        ),
    }
}

/// A label as a sentence says it.
fn words(ask: Option<Ask>, text: &str, style: symbol::Style) -> String {
    match ask {
        Some(Ask::Quality) => label(text, style),
        Some(Ask::Bass) => numeral(text),
        Some(Ask::Interval) => {
            Interval::parse(text).map_or_else(|| text.to_owned(), |of| of.words().to_owned())
        }
        _ => text.to_owned(),
    }
}
