//! Sounds to be heard again: what was confused, against each other.

use super::choose::{Aim, Covered, Entry, Place, Strand, Why};
use super::evidence::Confusion;
use crate::exam::chance::Chance;
use crate::exam::form::EarTask;
use crate::exam::script::{EarSection, Stimulus};
use crate::theory::symbol;

/// Pairs that are set against each other, in a section each.
const PAIRS: usize = 2;

/// Returns what an item is called: what is right, or where that is many things, what sounds.
pub(super) fn label(task: &EarTask, stimulus: &Stimulus) -> String {
    match stimulus {
        Stimulus::Motive { notes } => {
            let degrees: Vec<String> = notes.iter().map(|note| degree(*note)).collect();
            format!("motive {}", degrees.join(" "))
        }
        Stimulus::Line { progression, .. } => progression.name.clone(),
        Stimulus::Progression { progression } if task.options.len() > 1 => progression.name.clone(),
        Stimulus::Chord { quality, .. } if task.is_played() => symbol::ascii_quality(*quality),
        _ => {
            let right: Vec<String> = task
                .options
                .iter()
                .zip(task.right.iter())
                .filter_map(|(options, right)| options.get(*right).cloned())
                .collect();
            right.join(" / ")
        }
    }
}

/// A note so many semitones above the root, as a degree of the major scale: 8 is the octave.
fn degree(semitones: u8) -> String {
    const DEGREES: [(&str, u8); 12] = [
        ("", 1),
        ("♭", 2),
        ("", 2),
        ("♭", 3),
        ("", 3),
        ("", 4),
        ("♯", 4),
        ("", 5),
        ("♭", 6),
        ("", 6),
        ("♭", 7),
        ("", 7),
    ];
    let (sign, number) = DEGREES[usize::from(semitones % 12)];

    format!("{sign}{}", number + 7 * (semitones / 12))
}

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
            .map(|label| evidence.sounds.need(label, &(), &cell.stimulus))
            .collect();
        let need = needs.iter().sum::<f64>() / needs.len().max(1) as f64;
        let is_seen = labels.iter().any(|label| evidence.sounds.has(label, &()));
        entries.push(Entry {
            cell: at,
            root: None,
            twin: None,
            name: labels.join(", "),
            need,
            exposure: 1.0,
            seconds: place.seconds(at),
            is_seen,
        });
    }

    let Some(mut whole) = place.strand(entries, Why::Heard, chance) else {
        return;
    };
    whole.items = (4, 18);
    let confusions = confusions(place, section);
    let single = matches!(section.asks.as_slice(), [_]);

    if place.aim == Aim::Weak && !confusions.is_empty() {
        if single && whole.weak.iter().any(|entry| is_of(&confusions, entry)) {
            pairs(&whole, &confusions, out);
            return;
        }
        // Where an answer changes from item to item a cell has no label of its own.
        let first = confusions.into_iter().take(PAIRS).collect();
        whole.why = Why::Confused(first);
    }
    out.push(whole);
}

/// Returns the confusions of a section, the commonest first.
fn confusions(place: &Place<'_>, section: &EarSection) -> Vec<Confusion> {
    let mut all: Vec<Confusion> = section
        .options
        .iter()
        .enumerate()
        .flat_map(|(part, labels)| place.evidence.confusions(part, labels))
        .collect();
    all.sort_by_key(|confusion| std::cmp::Reverse(confusion.count));

    all
}

fn is_of(confusions: &[Confusion], entry: &Entry) -> bool {
    confusions
        .iter()
        .any(|confusion| confusion.sounded == entry.name || confusion.answered == entry.name)
}

/// Sets what was confused against each other, pair by pair, and what is left by itself; each gets
/// time by what it needs.
fn pairs(whole: &Strand, confusions: &[Confusion], out: &mut Vec<Strand>) {
    let all: Vec<&Entry> = whole
        .weak
        .iter()
        .chain(&whole.sure)
        .chain(&whole.others)
        .collect();
    // What each answer needs: the mean over what sounds.
    let mut labels: Vec<(&str, f64)> = Vec::new();
    for entry in &all {
        if labels.iter().all(|(label, _)| *label != entry.name) {
            let of: Vec<f64> = all
                .iter()
                .filter(|other| other.name == entry.name)
                .map(|other| other.need)
                .collect();
            labels.push((&entry.name, of.iter().sum::<f64>() / of.len() as f64));
        }
    }
    let total: f64 = labels.iter().map(|(_, need)| need).sum();
    let mut part = |why: Why, is: &dyn Fn(&Entry) -> bool| {
        let mut weak: Vec<Entry> = all
            .iter()
            .filter(|entry| is(entry))
            .map(|entry| (*entry).clone())
            .collect();
        let own: f64 = labels
            .iter()
            .filter(|(label, _)| weak.iter().any(|entry| entry.name == *label))
            .map(|(_, need)| need)
            .sum();
        if matches!(why, Why::Confused(_)) {
            // Two things are told apart by hearing both, the one that is missed a little more.
            let most = weak.iter().map(|entry| entry.need).fold(0.0, f64::max);
            for entry in &mut weak {
                entry.need = entry.need.max(0.3 * most);
            }
        }
        // The surest first: they come to stay, not to be learnt beside the pair.
        let mut sure: Vec<Entry> = all
            .iter()
            .filter(|entry| entry.is_seen && !is(entry))
            .map(|entry| (*entry).clone())
            .collect();
        sure.sort_by(|a, b| a.need.total_cmp(&b.need));
        if !weak.is_empty() {
            out.push(Strand {
                why,
                weak,
                sure,
                others: Vec::new(),
                weight: whole.weight * own / total.max(0.001),
                ..whole.clone()
            });
        }
    };

    let mut left: Vec<Confusion> = confusions.to_vec();
    let mut done: Vec<Confusion> = Vec::new();
    for _ in 0..PAIRS {
        let free = |confusion: &&Confusion| {
            done.iter().all(|other| {
                [&other.sounded, &other.answered]
                    .iter()
                    .all(|label| **label != confusion.sounded && **label != confusion.answered)
            })
        };
        let Some(first) = left.iter().find(free).cloned() else {
            break;
        };
        let pair: Vec<Confusion> = left
            .iter()
            .filter(|other| {
                **other == first
                    || other.sounded == first.answered && other.answered == first.sounded
            })
            .cloned()
            .collect();
        left.retain(|other| !pair.contains(other));
        part(Why::Confused(pair.clone()), &|entry| is_of(&pair, entry));
        done.extend(pair);
    }
    part(Why::Heard, &|entry| {
        !is_of(&done, entry) && whole.weak.iter().any(|weak| weak.name == entry.name)
    });
}
