//! The chords that lost marks: asked beside played, and why, the most telling first.

use super::keys::{Shown, shown};
use super::{Fault, Lost, LostChord, Source};
use crate::engraving::grand::Hands;
use crate::exam::form::Task;
use crate::exam::script::Kind;
use crate::marking::item::{self, Marked};
use crate::marking::voicing;
use crate::printing::words::{counted, seconds, sentence, sentences};
use crate::theory::Key;
use crate::theory::voicing::spelled;

/// Chords of a lower level are shown.
const SHOWN_BELOW: u8 = 3;

pub(super) fn lost(source: &Source<'_>) -> Lost {
    let chords: Vec<LostChord> = shown(source)
        .filter(|shown| shown.of.level() < SHOWN_BELOW)
        .map(|shown| chord(source, &shown))
        .collect();
    let unreached = source
        .outcome
        .items
        .iter()
        .filter(|of| matches!(of.item.task, Task::Voicing(_)))
        .filter(|of| of.counts() && matches!(of.marked, Marked::NotReached))
        .count();
    let mut words = Vec::new();

    if unreached > 0 {
        words.push(sentence(&format!(
            "{} not reached",
            counted(unreached, "chord was", "chords were")
        )));
    }

    Lost {
        chords: in_turn(chords),
        words,
    }
}

/// Puts one of each kind of fault first, in the order of the kinds, then a second of each, so
/// that those for which there is room show as many kinds as they can.
fn in_turn(chords: Vec<LostChord>) -> Vec<LostChord> {
    let mut turns: Vec<(usize, Fault, LostChord)> = Vec::with_capacity(chords.len());

    for chord in chords {
        let before = turns
            .iter()
            .filter(|(_, fault, _)| *fault == chord.fault)
            .count();
        turns.push((before, chord.fault, chord));
    }
    // The sort is stable, so that those of one kind stay in the order asked.
    turns.sort_by_key(|(turn, fault, _)| (*turn, *fault));

    turns.into_iter().map(|(.., chord)| chord).collect()
}

fn chord(source: &Source<'_>, shown: &Shown<'_>) -> LostChord {
    let Shown { of, task, marked } = shown;
    let played: Vec<Key> = marked.facts.keys.keys().collect();
    let asked = task.voicing.nearest(task.chord.root.class(), &played);
    let left = task.voicing.hands.left.len();
    let hands = |keys: &[Key]| {
        let pitches = spelled(task.chord, keys);
        if pitches.len() == asked.len() {
            let (low, high) = pitches.split_at(left.min(pitches.len()));
            Hands::new(low, high)
        } else {
            Hands::split(&pitches)
        }
    };
    let reasons = match (of.written, of.overruled) {
        // Who entered it and the level stand beside.
        (Some(written), None) if written.remark.is_empty() => vec!["No reason noted".to_owned()],
        (Some(written), None) => vec![written.remark.clone()],
        _ => of.reasons(),
    };
    let reasons: Vec<String> = reasons
        .iter()
        .map(|reason| reason.trim_end_matches('.').to_owned())
        .collect();

    LostChord {
        id: source.id(of.item),
        chord: task.chord,
        order: order(source, shown),
        level: of.level(),
        seconds: marked.facts.complete.map(seconds),
        asked: hands(&asked),
        played: hands(&played),
        unrecorded: of.written.is_some(),
        reason: sentences(&reasons),
        fault: fault(of.item, marked),
    }
}

/// The order asked, as the form calls it; where it has one only, nothing.
fn order(source: &Source<'_>, shown: &Shown<'_>) -> String {
    let item = shown.of.item;
    let Some(Kind::Voicing(section)) = source
        .exam
        .sections
        .get(item.section)
        .map(|section| &section.kind)
    else {
        return String::new();
    };

    section
        .cells
        .get(item.cell)
        .and_then(|cell| cell.form.orders.get(cell.order))
        .map(|order| order.name.clone())
        .unwrap_or_default()
}

fn fault(item: &crate::exam::form::Item, marked: &voicing::Marked) -> Fault {
    let keys = marked.facts.keys;
    let Some(asked) = item::asked(item).filter(|_| !keys.is_empty()) else {
        return Fault::Nothing;
    };

    if asked.has_right_classes(keys) {
        match asked.matches(keys, true) {
            Some(_) if marked.facts.walked => Fault::Walked,
            Some(_) => Fault::Late,
            None => Fault::Place,
        }
    } else if asked.has_essentials(keys) {
        Fault::Colour
    } else {
        Fault::Another
    }
}
