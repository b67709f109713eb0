//! Sharing the time out: how many items each strand gets, in which sections, in which order.

use std::collections::BTreeMap;

use super::choose::{Entry, Strand};

/// A section of the paper.
#[derive(Debug, Clone)]
pub(super) struct Block<'a> {
    /// The strand, by its place among all.
    pub(super) at: usize,
    pub(super) strand: &'a Strand,
    /// Which time its strand comes, from 0.
    pub(super) round: usize,
    /// What it asks.
    pub(super) entries: Vec<Entry>,
    /// How many of these were sure, or come to keep others apart.
    pub(super) between: Vec<Entry>,
    /// Whether hands rest before it.
    pub(super) rest_before: bool,
}

/// One item of so many was sure before, so that it stays.
const ONE_SURE_IN: usize = 5;
/// A paper has so many sections at most, rests apart.
const SECTIONS: usize = 20;
/// Prompts that hands play without a pause, and how long, in seconds: a margin below what the
/// trade holds for the most.
const PROMPTS: usize = 36;
const PLAYED: f64 = 13.0 * 60.0;
/// How long a rest lasts, in seconds.
pub(super) const REST: f64 = 60.0;

/// Shares seconds out among strands; those named in `without` get none.
pub(super) fn out<'a>(strands: &'a [Strand], seconds: f64, without: &[usize]) -> Vec<Block<'a>> {
    let mut among: Vec<usize> = (0..strands.len())
        .filter(|at| !without.contains(at))
        .collect();
    let orders: Vec<Vec<usize>> = strands.iter().map(Strand::order).collect();

    loop {
        let counts = counts(strands, &orders, &among, seconds);
        // A strand that gets less than makes sense leaves its time to the others.
        let short = among
            .iter()
            .copied()
            .filter(|at| counts[at] < strands[*at].items.0)
            .min_by(|a, b| strands[*a].weight.total_cmp(&strands[*b].weight));
        match short {
            Some(short) => among.retain(|at| *at != short),
            None => return arranged(strands, &orders, &among, &counts),
        }
    }
}

/// How many items each strand gets: each time the one is served that has least for its weight.
fn counts(
    strands: &[Strand],
    orders: &[Vec<usize>],
    among: &[usize],
    seconds: f64,
) -> BTreeMap<usize, usize> {
    let mut counts: BTreeMap<usize, usize> = among.iter().map(|at| (*at, 0)).collect();
    let mut spent: BTreeMap<usize, f64> = among.iter().map(|at| (*at, 0.0)).collect();
    let mut left = seconds;

    loop {
        let next = |at: usize| {
            wanted(&strands[at], &orders[at], counts[&at])
                .seconds
                .max(0.5)
        };
        let best = among
            .iter()
            .copied()
            .filter(|at| next(*at) <= left && counts[at] < most(&strands[*at]) * ROUNDS)
            .max_by(|a, b| {
                let worth = |at: usize| strands[at].weight / (spent[&at] + next(at));
                worth(*a).total_cmp(&worth(*b))
            });
        let Some(best) = best else {
            return counts;
        };
        let takes = next(best);
        left -= takes;
        *spent.entry(best).or_default() += takes;
        *counts.entry(best).or_default() += 1;
    }
}

/// A strand comes so often at most.
const ROUNDS: usize = 4;

/// The entry that stands at a place of a strand's endless list.
fn wanted<'a>(strand: &'a Strand, order: &[usize], place: usize) -> &'a Entry {
    let turn = place / ONE_SURE_IN;

    if place % ONE_SURE_IN == ONE_SURE_IN - 1 && !strand.sure.is_empty() {
        &strand.sure[turn % strand.sure.len()]
    } else {
        let before = if strand.sure.is_empty() {
            place
        } else {
            place - turn
        };
        &strand.weak[order[before % order.len()]]
    }
}

fn arranged<'a>(
    strands: &'a [Strand],
    orders: &[Vec<usize>],
    among: &[usize],
    counts: &BTreeMap<usize, usize>,
) -> Vec<Block<'a>> {
    let mut blocks: Vec<Block<'a>> = among
        .iter()
        .flat_map(|at| dealt(&strands[*at], &orders[*at], *at, counts[at]))
        .collect();
    blocks.sort_by(|a, b| {
        a.round
            .cmp(&b.round)
            .then(b.strand.weight.total_cmp(&a.strand.weight))
    });
    blocks.truncate(SECTIONS);

    // Hands and heads in turn, so that each rests while the other works.
    let rounds = blocks.iter().map(|block| block.round).max().unwrap_or(0);
    let mut all: Vec<Block<'a>> = Vec::new();
    for round in 0..=rounds {
        let (mut hands, mut heads): (Vec<_>, Vec<_>) = blocks
            .iter()
            .filter(|block| block.round == round)
            .cloned()
            .partition(|block| block.strand.hands);
        hands.reverse();
        heads.reverse();
        while !hands.is_empty() || !heads.is_empty() {
            all.extend(hands.pop());
            all.extend(heads.pop());
        }
    }

    let (mut prompts, mut played) = (0, 0.0);
    for block in &mut all {
        let takes: f64 = block.entries.iter().map(|entry| entry.seconds).sum();
        if !block.strand.hands {
            (prompts, played) = (0, 0.0);
            continue;
        }
        if prompts > 0 && (prompts + block.entries.len() > PROMPTS || played + takes > PLAYED) {
            block.rest_before = true;
            (prompts, played) = (0, 0.0);
        }
        prompts += block.entries.len();
        played += takes;
    }

    all
}

/// Deals the items of a strand to sections of about the same size.
fn dealt<'a>(strand: &'a Strand, order: &[usize], at: usize, count: usize) -> Vec<Block<'a>> {
    let most = most(strand);
    let rounds = count.div_ceil(most).max(1);
    let each = count.div_ceil(rounds);
    let mut place = 0;
    let mut blocks = Vec::new();

    for round in 0..rounds {
        let mut entries: Vec<Entry> = Vec::new();
        let mut between: Vec<Entry> = Vec::new();
        let until = (place + each).min(count);
        let mut tried = 0;
        while place < until && tried < 4 * each + 40 {
            let entry = wanted(strand, order, place + tried_past(&entries, tried));
            tried += 1;
            if !fits(&entries, entry) {
                continue;
            }
            if strand.sure.contains(entry) {
                between.push(entry.clone());
            }
            entries.push(entry.clone());
            place += 1;
        }
        place = until;
        if strand.leaps {
            leap(strand, &mut entries, &mut between);
        }
        if entries.len() >= strand.items.0 {
            blocks.push(Block {
                at,
                strand,
                round,
                entries,
                between,
                rest_before: false,
            });
        }
    }

    blocks
}

/// How many items a section of a strand has at most.
fn most(strand: &Strand) -> usize {
    strand.items.1.min(different(strand)).max(1)
}

/// How many items a section can have so that no more than its share of them were sure.
fn different(strand: &Strand) -> usize {
    let twins = |entries: &[Entry]| {
        let mut twins: Vec<_> = entries
            .iter()
            .filter_map(|entry| entry.twin.clone())
            .collect();
        twins.sort();
        twins.dedup();
        twins.len()
    };
    let weak = twins(&strand.weak);

    match weak {
        0 => usize::MAX,
        weak => weak + (weak / (ONE_SURE_IN - 1)).min(strand.sure.len()),
    }
}

/// How far to look on in the list: what did not fit was passed over.
const fn tried_past(entries: &[Entry], tried: usize) -> usize {
    tried.saturating_sub(entries.len())
}

/// Tells whether an entry may stand in a section beside others.
fn fits(entries: &[Entry], entry: &Entry) -> bool {
    entry.twin.is_none() || entries.iter().all(|other| other.twin != entry.twin)
}

/// Sees to it that there are enough roots for leaps: no root stands for more than a third of the
/// items, and there are four at least.
fn leap(strand: &Strand, entries: &mut Vec<Entry>, between: &mut Vec<Entry>) {
    let times = |entries: &[Entry], root: u8| {
        entries
            .iter()
            .filter(|entry| entry.root.as_ref().is_some_and(|(of, _)| *of == root))
            .count()
    };
    let roots = |entries: &[Entry]| -> Vec<u8> {
        let mut roots: Vec<u8> = entries
            .iter()
            .filter_map(|entry| entry.root.as_ref().map(|(root, _)| *root))
            .collect();
        roots.sort_unstable();
        roots.dedup();
        roots
    };

    for _ in 0..24 {
        let distinct = roots(entries);
        let most = distinct
            .iter()
            .copied()
            .max_by_key(|root| times(entries, *root));
        let Some(most) = most else {
            return;
        };
        let crowded = 3 * times(entries, most) > entries.len() + 2;
        if distinct.len() >= 4.min(strand.items.1) && !crowded {
            return;
        }
        let filler = strand
            .sure
            .iter()
            .chain(&strand.weak)
            .chain(&strand.others)
            .find(|entry| {
                fits(entries, entry)
                    && entry
                        .root
                        .as_ref()
                        .is_some_and(|(root, _)| !distinct.contains(root))
            });
        match filler {
            Some(filler) => {
                between.push(filler.clone());
                entries.push(filler.clone());
            }
            None if crowded => {
                let last = entries
                    .iter()
                    .rposition(|entry| entry.root.as_ref().is_some_and(|(of, _)| *of == most));
                if let Some(last) = last {
                    let gone = entries.remove(last);
                    between.retain(|entry| *entry != gone);
                }
            }
            None => return,
        }
    }
}
