//! Spare items and warm-ups: what stands beside the items of a form.

use super::arrange::one_of;
use super::pool::{Cell, Items, Pool, classes};
use super::{Pick, Plan};
use crate::exam::chance::Chance;

/// Draws the spare items of each cell, none of them in the form.
///
/// A spare item follows the voided one and stands before the one that comes next, so of all that
/// are free those are taken that may do so at the most places of their cell.
pub(super) fn reserve(pool: &Pool, percent: u8, picks: &[Pick], chance: &mut Chance) -> Vec<Pick> {
    let mut spare = Vec::new();
    if percent == 0 {
        return spare;
    }

    let mut taken = pool.no_items();
    for pick in picks {
        pool.add(&mut taken, *pick);
    }
    // The roots that may not come in the place of each item; all, once one is found that may.
    let mut barred: Vec<u16> = (0..picks.len()).map(|at| barred(pool, picks, at)).collect();

    for (i, cell) in pool.cells.iter().enumerate() {
        let asked = picks
            .iter()
            .filter(|pick| pool.cell(**pick).kind == cell.kind)
            .fold(0u16, |set, pick| set | 1 << pick.root);

        for _ in 0..wanted(pool, cell, percent) {
            let mut places = [0usize; 12];
            for (_, barred) in of_same(picks, &mut barred, i) {
                for root in classes(cell.roots & !*barred) {
                    places[usize::from(root)] += 1;
                }
            }
            // Of equals, one whose chord the section does not have in another order.
            let worth =
                |root: u8| 2 * places[usize::from(root)] + usize::from(asked & 1 << root == 0);
            let open = free(pool, i, &taken);
            let most = classes(open).map(worth).max().unwrap_or(0);
            let best = classes(open)
                .filter(|root| worth(*root) == most)
                .fold(0, |set, root| set | 1 << root);
            let Some(pick) = on_one_of(pool, i, best, &taken, chance) else {
                break;
            };

            for (_, barred) in of_same(picks, &mut barred, i) {
                if *barred & 1 << pick.root == 0 {
                    *barred = 0xfff;
                }
            }
            pool.add(&mut taken, pick);
            spare.push(pick);
        }
    }

    spare
}

/// Returns how many spare items a cell is to have.
pub(super) fn wanted(pool: &Pool, cell: &Cell, percent: u8) -> u32 {
    if percent == 0 {
        return 0;
    }

    let share = (cell.count * u32::from(percent)).div_ceil(100);
    // Cold items have few roots to choose from: a second one helps where the first was used.
    let least = if pool.cold && !pool.round { 2 } else { 1 };

    share.max(least)
}

/// Goes through the items of a cell, each with what belongs to it.
fn of_same<'a, T>(
    picks: &'a [Pick],
    all: &'a mut [T],
    cell: usize,
) -> impl Iterator<Item = (&'a Pick, &'a mut T)> {
    picks
        .iter()
        .zip(all)
        .filter(move |(pick, _)| usize::from(pick.cell) == cell)
}

/// Draws an item of a cell on one of some roots.
fn on_one_of(
    pool: &Pool,
    cell: usize,
    roots: u16,
    taken: &Items,
    chance: &mut Chance,
) -> Option<Pick> {
    let root = one_of(roots, chance)?;
    let variants = pool.cells[cell].things.len();
    let start = chance.below(variants);

    (0..variants)
        .map(|turn| Pick {
            cell: cell as u16,
            root,
            variant: ((start + turn) % variants) as u8,
        })
        .find(|pick| !pool.has(taken, *pick))
}

/// Counts the places where no item of the cell could stand instead, the form's own left out.
pub(super) fn places_without(pool: &Pool, picks: &[Pick]) -> usize {
    if !pool.cold {
        return 0;
    }

    let mut taken = pool.no_items();
    for pick in picks {
        pool.add(&mut taken, *pick);
    }

    picks
        .iter()
        .enumerate()
        .filter(|(at, pick)| {
            let open = free(pool, usize::from(pick.cell), &taken);
            open & !barred(pool, picks, *at) == 0
        })
        .count()
}

/// Returns the roots on which a cell may still ask something.
fn free(pool: &Pool, cell: usize, taken: &Items) -> u16 {
    let cell = &pool.cells[cell];
    let all = cell
        .things
        .iter()
        .fold(0xfff, |set, thing| set & taken[usize::from(*thing)]);

    cell.roots & !all
}

/// Lists all that a cell may ask.
fn of_cell(pool: &Pool, cell: usize) -> impl Iterator<Item = Pick> + use<'_> {
    let of = &pool.cells[cell];

    classes(of.roots).flat_map(move |root| {
        (0..of.things.len() as u8).map(move |variant| Pick {
            cell: cell as u16,
            root,
            variant,
        })
    })
}

/// Returns the roots that a spare item may not have where an item was voided: those that the
/// voided one leads to, and those that lead to the next one.
fn barred(pool: &Pool, picks: &[Pick], at: usize) -> u16 {
    let before = pool.led(Some(picks[at]));
    let after = picks.get(at + 1).filter(|_| pool.cold).map_or(0, |next| {
        let ends = pool.cell(picks[at]).ends;
        let from = |root: u8| (root + 12 - ends) % 12;
        1 << next.root | 1 << from(next.root) | 1 << from((next.root + 7) % 12)
    });

    before | after
}

/// Draws the warm-ups: each on another root, none an item of the form or a spare one, and none
/// that leads to the next or to the first item.
pub(super) fn warm_ups(pool: &Pool, plan: &Plan, chance: &mut Chance) -> Vec<Pick> {
    let mut taken = pool.no_items();
    for pick in plan.picks.iter().chain(&plan.reserve) {
        pool.add(&mut taken, *pick);
    }
    let mut picks: Vec<Pick> = Vec::with_capacity(usize::from(pool.warm_ups));
    let mut roots = 0u16;

    for left in (0..pool.warm_ups).rev() {
        let first = plan.picks.first().filter(|_| left == 0).copied();
        let led = pool.led(picks.last().copied());
        // A small pool may have no such item: what matters least is given up first.
        let pick = [(led | roots, true), (led | roots, false), (0, false)]
            .into_iter()
            .find_map(|(barred, new)| {
                let open: Vec<Pick> = (0..pool.cells.len())
                    .flat_map(|cell| of_cell(pool, cell))
                    .filter(|pick| {
                        barred & 1 << pick.root == 0
                            && !(new && pool.has(&taken, *pick))
                            && first.is_none_or(|first| pool.follows(Some(*pick), first))
                    })
                    .collect();
                chance.pick(&open).copied()
            });
        if let Some(pick) = pick {
            roots |= 1 << pick.root;
            picks.push(pick);
        }
    }

    picks
}
