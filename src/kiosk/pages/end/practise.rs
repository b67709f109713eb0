//! What to practise, in two sentences taken from the evidence.

use crate::exam::script::Exam;
use crate::fraction;
use crate::kiosk::words::number::capital;
use crate::kiosk::words::{Words, fill};
use crate::marking::item::Marked;
use crate::sitting::outcome::Outcome;
use crate::theory::symbol;
use crate::theory::{Chord, Quality};

/// Sentences at most, and chords in one.
const SENTENCES: usize = 2;
const CHORDS: usize = 3;

/// Returns at most two sentences: the weakest chords when they come cold, the commonest confusion
/// of the ear, and where these say nothing the weakest sections.
pub(super) fn sentences(words: &Words, exam: &Exam, outcome: &Outcome<'_>) -> Vec<String> {
    let mut said = Vec::new();

    said.extend(cold(words, exam, outcome));
    said.extend(heard(words, exam, outcome));
    let mut sections: Vec<_> = outcome
        .grade
        .sections
        .iter()
        .filter(|mark| !mark.awaited && mark.items > 0)
        .filter_map(|mark| Some((fraction::percent(mark.mark, mark.out_of)?, mark.section)))
        .filter(|(share, _)| *share < 100)
        .collect();
    sections.sort_unstable();
    for (share, section) in sections {
        let is_reached = outcome
            .items
            .iter()
            .any(|item| item.item.section == section && !matches!(item.marked, Marked::NotReached));
        if is_reached {
            let title = &exam.sections[section].title;
            said.push(fill(words.practise_section, &[title, &share.to_string()]));
        }
    }
    said.truncate(SENTENCES);

    said
}

/// The chords with the lowest levels that came cold.
fn cold(words: &Words, exam: &Exam, outcome: &Outcome<'_>) -> Option<String> {
    let mut weak: Vec<(u8, String)> = Vec::new();
    let mut cells: Vec<_> = outcome
        .profile
        .cells
        .iter()
        .filter(|cell| cell.cold && cell.level < 4)
        .collect();
    cells.sort_by_key(|cell| cell.level);

    for cell in cells {
        let name = printed(cell.quality, cell.root, exam.style);
        if !weak.iter().any(|(_, other)| *other == name) {
            weak.push((cell.level, name));
        }
    }
    weak.truncate(CHORDS);
    let names: Vec<String> = weak.into_iter().map(|(_, name)| name).collect();
    let list = match names.split_last()? {
        (last, []) => last.clone(),
        (last, others) => format!("{}{}{last}", others.join(", "), words.and),
    };

    Some(capital(&fill(words.practise_cold, &[&list])))
}

fn printed(quality: Quality, root: u8, style: symbol::Style) -> String {
    symbol::print(Chord::new(quality.printed_root(root), quality), style)
}

/// What was most often taken for what.
fn heard(words: &Words, exam: &Exam, outcome: &Outcome<'_>) -> Option<String> {
    let pair = outcome
        .profile
        .ears
        .iter()
        .filter_map(|ear| ear.confusion.commonest(1).into_iter().next())
        .max_by_key(|pair| pair.count)?;
    let name = |label: &String| {
        symbol::parse_quality(label).map_or_else(
            |_| label.clone(),
            |quality| symbol::print_quality(quality, exam.style),
        )
    };

    Some(fill(
        words.practise_ear,
        &[
            &name(pair.sounded),
            &name(pair.answered),
            &pair.count.to_string(),
            &pair.of.to_string(),
        ],
    ))
}
