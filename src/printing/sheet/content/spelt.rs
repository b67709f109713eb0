//! What was spelled otherwise than right.

use super::{Source, Spelt};
use crate::exam::form::Task;
use crate::fraction::{self, Fraction};
use crate::marking::item::Marked;
use crate::marking::noted::Note;
use crate::theory::Name;

pub(super) fn spelt(source: &Source<'_>) -> Vec<Spelt> {
    let one = Fraction::from_integer(1);

    source
        .outcome
        .items
        .iter()
        .filter(|of| of.counts() && of.credit() != Some(one))
        .filter_map(|of| {
            let (Task::Spell(task), Marked::Spell(marked)) = (&of.item.task, &of.marked) else {
                return None;
            };
            let right: Vec<String> = task
                .tones
                .iter()
                .filter_map(|(_, names)| names.first().map(ToString::to_string))
                .collect();
            Some(Spelt {
                id: source.id(of.item),
                chord: task.chord,
                right: right.join(" "),
                answered: match (&marked.text, of.written.map(|written| &written.note)) {
                    (Some(text), _) => printed(text),
                    (None, Some(Note::Tones(_))) => "not noted".to_owned(),
                    (None, _) => "no answer".to_owned(),
                },
                percent: fraction::percent(of.credit().unwrap_or_default(), one).unwrap_or(0),
            })
        })
        .collect()
}

/// An answer with real signs, where its words are names of notes.
fn printed(answer: &str) -> String {
    answer
        .split(|sign: char| sign.is_whitespace() || sign == ',')
        .filter(|part| !part.is_empty())
        .map(|part| Name::parse(part).map_or_else(|_| part.to_owned(), |name| name.to_string()))
        .collect::<Vec<_>>()
        .join(" ")
}
