//! Sounds to be heard again: what was confused, against each other.

use super::choose::{Aim, Covered, Entry, Place, Strand, Why};
use super::evidence::Confusion;
use crate::exam::chance::Chance;
use crate::exam::script::EarSection;

/// Confusions that are worked on in one section.
const PAIRS: usize = 2;

pub(super) fn strands(
    place: &Place<'_>,
    section: &EarSection,
    covered: &mut Covered,
    chance: &mut Chance,
    out: &mut Vec<Strand>,
) {
    let evidence = place.evidence;
    let mut entries = Vec::new();

    for (at, cell) in section.cells.iter().enumerate() {
        if !covered.is_new(place.at, format!("{:?} {:?}", section.asks, cell.stimulus)) {
            continue;
        }
        let labels = place.source().labels(place.index, at);
        let needs: Vec<f64> = labels
            .iter()
            .map(|label| evidence.sounds.need(label, &cell.stimulus, &()))
            .collect();
        let need = needs.iter().sum::<f64>() / needs.len().max(1) as f64;
        let is_seen = labels
            .iter()
            .any(|label| evidence.sounds.has(label, &cell.stimulus));
        entries.push(Entry {
            cell: at,
            root: None,
            twin: None,
            name: labels.join(", "),
            need,
            seconds: place.seconds(at),
            is_seen,
        });
    }

    let confusions = confusions(place, section);
    let Some(mut strand) = place.strand(entries, Why::Heard, chance) else {
        return;
    };
    strand.items = (4, 24);
    if place.aim == Aim::Weak && !confusions.is_empty() {
        if let [_] = section.asks.as_slice() {
            pair(&mut strand, &confusions);
        }
        strand.why = Why::Confused(confusions);
    }
    strand.weak = in_turn(strand.weak);
    out.push(strand);
}

/// Returns the confusions to work on: the commonest, and the next if it was made twice.
fn confusions(place: &Place<'_>, section: &EarSection) -> Vec<Confusion> {
    let mut all: Vec<Confusion> = section
        .options
        .iter()
        .enumerate()
        .flat_map(|(part, labels)| place.evidence.confusions(part, labels))
        .collect();
    all.sort_by_key(|confusion| std::cmp::Reverse(confusion.count));
    let first = all.first().cloned();
    let turned = |a: &Confusion, b: &Confusion| a.sounded == b.answered && a.answered == b.sounded;

    all.into_iter()
        .enumerate()
        .filter(|(at, confusion)| {
            let is_back = first.as_ref().is_some_and(|first| turned(first, confusion));
            *at == 0 || confusion.count >= 2 || is_back
        })
        .map(|(_, confusion)| confusion)
        .take(PAIRS)
        .collect()
}

/// Keeps what was confused as weak; of the rest what was named comes now and then.
fn pair(strand: &mut Strand, confusions: &[Confusion]) {
    let is_in = |entry: &Entry| {
        confusions
            .iter()
            .any(|confusion| confusion.sounded == entry.name || confusion.answered == entry.name)
    };
    // Where an answer changes from item to item a cell has no label of its own.
    if !strand.weak.iter().any(is_in) {
        return;
    }
    let mut all: Vec<Entry> = Vec::new();
    all.append(&mut strand.weak);
    all.append(&mut strand.sure);
    all.append(&mut strand.others);

    let (weak, rest): (Vec<Entry>, Vec<Entry>) = all.into_iter().partition(is_in);
    let (mut sure, others): (Vec<Entry>, Vec<Entry>) =
        rest.into_iter().partition(|entry| entry.is_seen);
    // The surest first: they come to stay, not to be learnt beside the pair.
    sure.sort_by(|a, b| a.need.total_cmp(&b.need));
    strand.weak = weak;
    strand.sure = sure;
    strand.others = others;
    strand.weak.sort_by(|a, b| b.need.total_cmp(&a.need));
}

/// Puts entries in an order in which the labels take turns.
fn in_turn(entries: Vec<Entry>) -> Vec<Entry> {
    let mut ranked: Vec<(usize, Entry)> = Vec::new();

    for entry in entries {
        let rank = ranked
            .iter()
            .filter(|(_, other)| other.name == entry.name)
            .count();
        ranked.push((rank, entry));
    }
    ranked.sort_by_key(|(rank, _)| *rank);

    ranked.into_iter().map(|(_, entry)| entry).collect()
}
