//! Filling a section: roots dealt to its cells, then put into an order that its rules allow.

use super::pool::{Items, Pool, classes};
use super::{Pick, spare};
use crate::exam::chance::Chance;

/// An item that has no root yet; a variant that does not come in turn is drawn with its place.
#[derive(Debug, Clone, Copy)]
struct Slot {
    cell: u16,
    variant: Option<u8>,
}

/// So many orders are tried of the roots that were dealt before they are dealt anew.
const ORDERS: u32 = 8;
/// So often a balanced hand is tried for before the cells count as unfit for one.
const BALANCED_TRIES: u32 = 50;

/// What holds for a section as far as its cells allow.
#[derive(Debug, Clone, Copy)]
pub(super) struct Rules {
    /// Each root comes equally often in each order.
    pub(super) balanced: bool,
    /// A small pool has to ask the same thing again.
    pub(super) again: bool,
}

/// Fills the section once; `None` where the draw ran into a dead end.
///
/// `used` holds, for each place, what the earlier seats have there.
pub(super) fn fill(
    pool: &Pool,
    rules: Rules,
    used: &[Items],
    chance: &mut Chance,
) -> Option<Vec<Pick>> {
    let mut slots = slots(pool, chance);

    if pool.round {
        chance.shuffle(&mut slots);
        return in_rounds(pool, &slots, rules.again, used, chance);
    }
    let balanced = rules.balanced;
    if !pool.shuffle {
        let roots = deal(pool, &slots, balanced, Some(used), chance)?;
        return slots
            .iter()
            .zip(roots)
            .zip(used)
            .map(|((slot, root), used)| unused(pool, *slot, root, used, chance))
            .collect();
    }

    let roots = deal(pool, &slots, balanced, None, chance)?;
    let mut dealt: Vec<(Slot, u8)> = slots.into_iter().zip(roots).collect();

    // Of several orders the one is taken in which spare items find most places.
    let mut best: Option<(usize, Vec<Pick>)> = None;
    for _ in 0..ORDERS {
        chance.shuffle(&mut dealt);
        if let Some(picks) = order(pool, &dealt, used, chance) {
            let without = spare::places_without(pool, &picks);
            if best.as_ref().is_none_or(|(least, _)| without < *least) {
                best = Some((without, picks));
            }
            if without == 0 {
                break;
            }
        }
    }

    best.map(|(_, picks)| picks)
}

/// Tells whether the cells can be filled so that each root comes in every order alike; asked of
/// sections only that say how often each root comes.
pub(super) fn can_balance(pool: &Pool, chance: &mut Chance) -> bool {
    let slots = slots(pool, chance);

    pool.cells.iter().any(|cell| cell.order > 0)
        && (0..BALANCED_TRIES).any(|_| deal(pool, &slots, true, None, chance).is_some())
}

/// Lists the slots of a section. Variants come in turn within a kind, from a drawn one.
fn slots(pool: &Pool, chance: &mut Chance) -> Vec<Slot> {
    let mut all = Vec::with_capacity(pool.count());
    let mut turns: Vec<Option<usize>> = vec![None; pool.cells.len()];

    for (i, cell) in pool.cells.iter().enumerate() {
        let variants = cell.things.len();
        for _ in 0..cell.count {
            let variant = match (cell.in_turn, variants) {
                (false, _) => None,
                (true, 1) => Some(0),
                (true, _) => {
                    let turn = &mut turns[usize::from(cell.kind)];
                    let now = turn.unwrap_or_else(|| chance.below(variants));
                    *turn = Some(now + 1);
                    Some((now % variants) as u8)
                }
            };
            all.push(Slot {
                cell: i as u16,
                variant,
            });
        }
    }

    all
}

/// Makes a pick of a slot on a root that no earlier seat has at this place.
fn unused(pool: &Pool, slot: Slot, root: u8, used: &Items, chance: &mut Chance) -> Option<Pick> {
    let cell = slot.cell;
    let fits = |variant: u8| {
        let pick = Pick {
            cell,
            root,
            variant,
        };
        (!pool.has(used, pick)).then_some(pick)
    };

    match slot.variant {
        Some(variant) => fits(variant),
        None => {
            let variants = pool.cells[usize::from(cell)].things.len() as u8;
            let start = chance.below(usize::from(variants)) as u8;
            (0..variants).find_map(|i| fits((start + i) % variants))
        }
    }
}

/// Deals roots to slots: each as often as asked, no chord twice, and where the cells let it each
/// root equally often in each order.
///
/// The slot with the fewest roots to choose from is served first, and of its roots those that
/// have come least; otherwise the last slots would find none.
fn deal(
    pool: &Pool,
    slots: &[Slot],
    balanced: bool,
    places: Option<&[Items]>,
    chance: &mut Chance,
) -> Option<Vec<u8>> {
    let mut left = [pool.each_root.map_or(u32::MAX, u32::from); 12];
    let mut kinds = vec![0u16; pool.cells.len()];
    let orders = pool.cells.iter().map(|cell| cell.order).max()? + 1;
    let most = pool
        .each_root
        .filter(|_| balanced)
        .map_or(u32::MAX, |each| u32::from(each).div_ceil(orders.into()));
    // How often each root has come in each order, and which roots have come often enough.
    let mut in_order = vec![[0u32; 12]; usize::from(orders)];
    let mut full = vec![0u16; usize::from(orders)];
    let mut at_hand = 0xfff;
    let mut roots: Vec<Option<u8>> = vec![None; slots.len()];

    for _ in slots {
        let open = |i: usize| {
            let slot = slots[i];
            let cell = &pool.cells[usize::from(slot.cell)];
            let mut open = cell.roots & at_hand;
            // A cell with one root asks for it however often.
            if cell.roots.count_ones() > 1 {
                open &= !kinds[usize::from(cell.kind)];
            }
            open &= !full[usize::from(cell.order)];
            if let Some(places) = places {
                // A root is used up where the earlier seats have all that the slot can ask on it.
                let of = |thing: &u16| places[i][usize::from(*thing)];
                open &= !match slot.variant {
                    Some(variant) => of(&cell.things[usize::from(variant)]),
                    None => cell.things.iter().map(of).fold(0xfff, |a, b| a & b),
                };
            }
            open
        };

        let start = chance.below(slots.len());
        let (slot, open) = (0..slots.len())
            .map(|i| (start + i) % slots.len())
            .filter(|i| roots[*i].is_none())
            .map(|i| (i, open(i)))
            .min_by_key(|(_, open)| open.count_ones())?;
        let fewest = classes(open).map(|root| left[usize::from(root)]).max()?;
        let best: u16 = classes(open)
            .filter(|root| left[usize::from(*root)] == fewest)
            .fold(0, |set, root| set | 1 << root);
        let root = one_of(best, chance)?;
        let cell = &pool.cells[usize::from(slots[slot].cell)];

        left[usize::from(root)] -= 1;
        if left[usize::from(root)] == 0 {
            at_hand &= !(1 << root);
        }
        kinds[usize::from(cell.kind)] |= 1 << root;
        let so_often = &mut in_order[usize::from(cell.order)][usize::from(root)];
        *so_often += 1;
        if *so_often == most {
            full[usize::from(cell.order)] |= 1 << root;
        }
        roots[slot] = Some(root);
    }

    roots.into_iter().collect()
}

/// Draws one class of a set.
pub(super) fn one_of(set: u16, chance: &mut Chance) -> Option<u8> {
    let count = set.count_ones() as usize;

    (count > 0)
        .then(|| classes(set).nth(chance.below(count)))
        .flatten()
}

/// Puts dealt items into an order that obeys the cold rule and the earlier seats.
fn order(
    pool: &Pool,
    dealt: &[(Slot, u8)],
    used: &[Items],
    chance: &mut Chance,
) -> Option<Vec<Pick>> {
    let mut rest = dealt.to_vec();
    let mut picks: Vec<Pick> = Vec::with_capacity(rest.len());

    for used in used {
        let led = pool.led(picks.last().copied());
        let (at, pick) = (0..rest.len()).find_map(|i| {
            let (slot, root) = rest[i];
            let fits = led & 1 << root == 0;
            let pick = fits.then(|| unused(pool, slot, root, used, chance))??;
            Some((i, pick))
        })?;
        let _ = rest.swap_remove(at);
        picks.push(pick);
    }

    Some(picks)
}

/// Gives shuffled items roots that come round without replacement.
fn in_rounds(
    pool: &Pool,
    slots: &[Slot],
    again: bool,
    used: &[Items],
    chance: &mut Chance,
) -> Option<Vec<Pick>> {
    let all = pool.cells.iter().fold(0, |set, cell| set | cell.roots);
    // Cells with roots of their own may find none of them left in the round.
    let strict = pool.cells.iter().all(|cell| cell.roots == all);
    let mut left = all;
    let mut picks: Vec<Pick> = Vec::with_capacity(slots.len());
    let mut here = pool.no_items();

    for (slot, used) in slots.iter().zip(used) {
        let led = pool.led(picks.last().copied());
        let mut draw = |mut open: u16| {
            while let Some(root) = one_of(open, chance) {
                let pick = unused(pool, *slot, root, used, chance)
                    .filter(|pick| again || !pool.has(&here, *pick));
                if pick.is_some() {
                    return pick;
                }
                open &= !(1 << root);
            }
            None
        };

        let fitting = pool.cells[usize::from(slot.cell)].roots & !led;
        let mut pick = draw(fitting & left);
        if pick.is_none() && !strict {
            pick = draw(fitting & !left);
        }
        let pick = pick?;
        left &= !(1 << pick.root);
        if left == 0 {
            left = all;
        }
        pool.add(&mut here, pick);
        picks.push(pick);
    }

    Some(picks)
}
