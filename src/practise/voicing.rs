//! Chords to be practised cold: the weak, the slow, and those that only the routine knows.

use super::choose::{Covered, Entry, Place, Strand, Why};
use super::evidence::{Gap, SLOW};
use crate::exam::chance::Chance;
use crate::exam::script::VoicingSection;
use crate::theory::{Chord, Quality, symbol};

/// What a chord is practised for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Group {
    Weak,
    Slow,
    Routine,
}

/// A group of fewer chords is no section of its own.
const FEWEST: usize = 4;

pub(super) fn strands(
    place: &Place<'_>,
    section: &VoicingSection,
    covered: &mut Covered,
    chance: &mut Chance,
    out: &mut Vec<Strand>,
) {
    let evidence = place.evidence;
    let style = place.source().exam.style;
    let mut entries: Vec<(Entry, Group)> = Vec::new();
    let mut gaps: Vec<(Quality, Gap)> = Vec::new();

    for (at, cell) in section.cells.iter().enumerate() {
        let order = &cell.form.orders[cell.order].name;
        let form = (cell.form.name.clone(), cell.quality);
        let gap = evidence.gap(&cell.form.name, cell.quality);
        let seconds = place.seconds(at);
        for root in &cell.roots {
            // The same hands, whatever their form is called.
            let hands = &cell.form.orders[cell.order];
            let what = format!("{hands:?} {:?} {root}", cell.quality);
            if !covered.is_new(place.at, what) {
                continue;
            }
            let chord = Chord::new(cell.quality.printed_root(*root), cell.quality);
            let is_seen = evidence.chords.has(&form, root);
            let need = evidence.chords.need(&form, root, order);
            let is_fluent = gap.is_some() && evidence.is_fluent(&cell.form.name, chord);
            if let Some(gap) = gap.filter(|_| is_fluent)
                && gaps.iter().all(|(quality, _)| *quality != cell.quality)
            {
                gaps.push((cell.quality, gap));
            }
            let entry = Entry {
                cell: at,
                root: Some((*root, chord.root.ascii())),
                twin: Some((symbol::ascii_quality(cell.quality), *root)),
                name: symbol::print(chord, style),
                need: place.need(need, *root, is_seen),
                exposure: f64::from(cell.count) / cell.roots.len().max(1) as f64,
                seconds,
                is_seen,
            };
            let group = match is_fluent {
                true => Group::Routine,
                false if is_slow(place, &cell.form.name, chord) => Group::Slow,
                false => Group::Weak,
            };
            entries.push((entry, group));
        }
    }

    let all = entries.iter().map(|(entry, _)| entry.clone()).collect();
    let Some(whole) = place.strand(all, Why::Weak, chance) else {
        return;
    };
    let whole = Strand {
        items: (3, 20),
        hands: true,
        leaps: true,
        ..whole
    };
    if whole.why != Why::Weak {
        out.push(whole);
        return;
    }

    // Each group that is large enough by itself, then what is left with the weak.
    let group_of = |entry: &Entry| {
        entries
            .iter()
            .find(|(other, _)| other.cell == entry.cell && other.root == entry.root)
            .map_or(Group::Weak, |(_, group)| *group)
    };
    let in_group = |group: Group| {
        let mut chords: Vec<_> = whole
            .weak
            .iter()
            .filter(|entry| group_of(entry) == group)
            .map(|entry| &entry.twin)
            .collect();
        chords.sort();
        chords.dedup();
        chords.len()
    };
    let alone: Vec<Group> = [Group::Routine, Group::Slow]
        .into_iter()
        .filter(|group| in_group(*group) >= FEWEST)
        .collect();
    let total: f64 = whole.weak.iter().map(|entry| entry.need).sum();
    let mut part = |why: Why, is: &dyn Fn(Group) -> bool| {
        let weak: Vec<Entry> = whole
            .weak
            .iter()
            .filter(|entry| is(group_of(entry)))
            .cloned()
            .collect();
        let own: f64 = weak.iter().map(|entry| entry.need).sum();
        let rest = whole.weak.iter().filter(|entry| !is(group_of(entry)));
        if !weak.is_empty() {
            out.push(Strand {
                why,
                // What another section practises may fill this one.
                others: whole.others.iter().chain(rest).cloned().collect(),
                weak,
                weight: whole.weight * own / total.max(0.001),
                ..whole.clone()
            });
        }
    };
    part(Why::Weak, &|group| !alone.contains(&group));
    if alone.contains(&Group::Slow) {
        part(Why::Slow, &|group| group == Group::Slow);
    }
    if alone.contains(&Group::Routine) {
        part(Why::Routine(gaps), &|group| group == Group::Routine);
    }
}

/// Tells whether a chord came right whenever it was asked, and near its limit or beyond it.
fn is_slow(place: &Place<'_>, form: &str, chord: Chord) -> bool {
    let mut asked = place
        .evidence
        .cold
        .iter()
        .filter(|cold| {
            cold.form == form
                && cold.chord.quality == chord.quality
                && cold.chord.root.class() == chord.root.class()
        })
        .peekable();

    asked.peek().is_some() && asked.all(|cold| cold.ratio().is_some_and(|ratio| ratio >= SLOW))
}
