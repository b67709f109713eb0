//! Drawing a form: which item stands where, from a set's seed and a seat.
//!
//! A plan holds picks only, small and quick to draw; [`super::item`] makes items of them. The
//! seats of a set are planned in turn, each avoiding what the earlier ones have at the same
//! place, so a seat's form depends on the seed and on the seats before it and on nothing else.

use std::collections::BTreeSet;

use thiserror::Error;

use super::chance::Chance;
use super::code::Code;
use super::form::Form;
use super::item;
use super::script::{EarSection, Exam, Kind, RunSection, SpellSection, Start, VoicingSection};

/// Why a form cannot be drawn.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum Error {
    /// The set has no such seat.
    #[error("this exam has {seats} parallel forms in a set, there is no seat {seat}")]
    NoSuchSeat {
        /// The seat asked for.
        seat: u8,
        /// How many there are.
        seats: u8,
    },
    /// No order of items satisfies the section's cells and rules.
    #[error(
        "section {section}: no form for seat {seat} satisfies its cells, the cold rule and the earlier seats of the set"
    )]
    Impossible {
        /// The section's short name.
        section: String,
        /// Its place in the script, from 0.
        index: usize,
        /// The seat that could not be drawn.
        seat: u8,
    },
}

/// One item as drawn: its cell, its root, and which of the cell's variants it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) struct Pick {
    pub(super) cell: u16,
    pub(super) root: u8,
    pub(super) variant: u8,
}

/// The picks of one section.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Plan {
    pub(super) picks: Vec<Pick>,
    pub(super) reserve: Vec<Pick>,
    pub(super) warm_ups: Vec<Pick>,
}

/// What the drawing needs to know of a section, whatever it asks.
struct Pool {
    cells: Vec<Cell>,
    /// How often each root comes; otherwise roots come round without replacement.
    each_root: Option<u8>,
    /// Whether the slots come in drawn order.
    shuffle: bool,
    /// Whether neighbours obey the cold rule.
    cold: bool,
    /// Whether each root of the twelve comes once before any comes again.
    bag: bool,
    warm_ups: u8,
}

struct Cell {
    count: u32,
    roots: Vec<u8>,
    variants: u8,
    /// Variants come in turn, so that each is equally often there, or are drawn.
    in_turn: bool,
    /// Cells of one kind ask the same on the same root: no root twice among them.
    kind: u16,
    /// Cells that ask the very same but for the roots.
    content: u16,
}

/// Draws the form that a code names.
///
/// # Errors
/// Says which section has no such form.
pub fn draw(exam: &Exam, code: Code) -> Result<Form, Error> {
    let seats = exam.rules.seats;
    if code.seat() > seats {
        return Err(Error::NoSuchSeat {
            seat: code.seat(),
            seats,
        });
    }

    let plans = plan_set(exam, code.seed(), code.seat())?;
    let last: Vec<Plan> = plans
        .into_iter()
        .map(|mut seats| seats.pop().unwrap_or_default())
        .collect();

    Ok(item::form(exam, code, &last))
}

/// Draws all forms of a set.
///
/// # Errors
/// Says which section has no such form.
pub fn draw_set(exam: &Exam, seed: u32) -> Result<Vec<Form>, Error> {
    let seats = exam.rules.seats;
    let plans = plan_set(exam, seed, seats)?;

    Ok((0..usize::from(seats))
        .map(|seat| {
            let of_seat: Vec<Plan> = plans.iter().map(|seats| seats[seat].clone()).collect();
            item::form(exam, Code::new(seed, seat as u8 + 1), &of_seat)
        })
        .collect())
}

/// Tells whether the first forms of a set can be drawn, without making their items.
///
/// # Errors
/// Says which section has no such form.
pub(super) fn try_set(exam: &Exam, seed: u32, seats: u8) -> Result<(), Error> {
    plan_set(exam, seed, seats).map(drop)
}

/// Plans the first seats of a set: for each section a list of plans, one a seat.
fn plan_set(exam: &Exam, seed: u32, seats: u8) -> Result<Vec<Vec<Plan>>, Error> {
    let mut warm_ups = exam.rules.warm_ups;
    let mut all = Vec::with_capacity(exam.sections.len());

    for (index, section) in exam.sections.iter().enumerate() {
        let Some(pool) = pool(&section.kind, &mut warm_ups) else {
            all.push(vec![Plan::default(); usize::from(seats)]);
            continue;
        };
        let plans =
            plan_section(&pool, exam.rules.reserve, seed, index, seats).map_err(|seat| {
                Error::Impossible {
                    section: section.id.clone(),
                    index,
                    seat,
                }
            })?;
        all.push(plans);
    }

    Ok(all)
}

fn pool(kind: &Kind, warm_ups: &mut u8) -> Option<Pool> {
    Some(match kind {
        Kind::Voicing(section) => voicing_pool(section, std::mem::take(warm_ups)),
        Kind::Run(section) => run_pool(section),
        Kind::Ear(section) => ear_pool(section, std::mem::take(warm_ups)),
        Kind::Spell(section) => spell_pool(section),
        Kind::Panel(_) | Kind::Rest { .. } => return None,
    })
}

/// Numbers things by equality: like things get the same number.
fn number<T: PartialEq>(seen: &mut Vec<T>, thing: T) -> u16 {
    let at = seen
        .iter()
        .position(|other| *other == thing)
        .unwrap_or_else(|| {
            seen.push(thing);
            seen.len() - 1
        });

    at as u16
}

fn voicing_pool(section: &VoicingSection, warm_ups: u8) -> Pool {
    let (mut kinds, mut contents) = (Vec::new(), Vec::new());

    Pool {
        cells: section
            .cells
            .iter()
            .map(|cell| Cell {
                count: cell.count,
                roots: cell.roots.clone(),
                variants: 1,
                in_turn: true,
                kind: number(&mut kinds, cell.quality),
                content: number(&mut contents, (cell.quality, &cell.form.name, cell.order)),
            })
            .collect(),
        each_root: section.each_root,
        shuffle: true,
        cold: true,
        bag: false,
        warm_ups,
    }
}

fn run_pool(section: &RunSection) -> Pool {
    let (mut kinds, mut contents) = (Vec::new(), Vec::new());

    Pool {
        cells: section
            .cells
            .iter()
            .map(|cell| Cell {
                count: cell.count,
                roots: cell.keys.clone(),
                variants: match (cell.start, &cell.form) {
                    (Start::Drawn, Some(form)) => form.orders.len().min(2) as u8,
                    _ => 1,
                },
                in_turn: false,
                kind: number(&mut kinds, (&cell.line, cell.pace, cell.start)),
                content: number(&mut contents, (&cell.line, cell.pace, cell.start)),
            })
            .collect(),
        each_root: None,
        shuffle: section.shuffle,
        cold: false,
        bag: false,
        warm_ups: 0,
    }
}

fn ear_pool(section: &EarSection, warm_ups: u8) -> Pool {
    let mut contents = Vec::new();

    Pool {
        cells: section
            .cells
            .iter()
            .enumerate()
            .map(|(i, cell)| Cell {
                count: cell.count,
                roots: cell.roots.clone(),
                variants: 3,
                in_turn: true,
                kind: i as u16,
                content: number(&mut contents, &cell.stimulus),
            })
            .collect(),
        each_root: None,
        shuffle: true,
        cold: true,
        bag: true,
        warm_ups,
    }
}

fn spell_pool(section: &SpellSection) -> Pool {
    let (mut kinds, mut contents) = (Vec::new(), Vec::new());

    Pool {
        cells: section
            .cells
            .iter()
            .map(|cell| Cell {
                count: cell.count,
                roots: cell.roots.iter().map(|name| name.class()).collect(),
                variants: 1,
                in_turn: true,
                kind: number(&mut kinds, cell.quality),
                content: number(&mut contents, cell.quality),
            })
            .collect(),
        each_root: None,
        shuffle: true,
        cold: false,
        bag: false,
        warm_ups: 0,
    }
}

/// What an item is, so that two seats do not have the same at the same place.
type Identity = (u16, u8, u8);

const TRIES: u32 = 400;

fn plan_section(
    pool: &Pool,
    reserve: u8,
    seed: u32,
    index: usize,
    seats: u8,
) -> Result<Vec<Plan>, u8> {
    let count: usize = pool.cells.iter().map(|cell| cell.count as usize).sum();
    let mut used: Vec<Vec<Identity>> = vec![Vec::with_capacity(usize::from(seats)); count];
    let mut plans = Vec::with_capacity(usize::from(seats));

    for seat in 1..=seats {
        let mut chance = Chance::new("form 1", &[u64::from(seed), index as u64, u64::from(seat)]);
        let picks = (0..TRIES)
            .find_map(|_| fill(pool, &used, &mut chance))
            .ok_or(seat)?;

        for (place, pick) in picks.iter().enumerate() {
            used[place].push(identity(pool, *pick));
        }

        let mut taken: Vec<Identity> = picks.iter().map(|pick| identity(pool, *pick)).collect();
        let spare = spare(pool, reserve, &mut taken, &mut chance);
        let warm_ups = warm_ups(pool, &mut chance);
        plans.push(Plan {
            picks,
            reserve: spare,
            warm_ups,
        });
    }

    Ok(plans)
}

fn identity(pool: &Pool, pick: Pick) -> Identity {
    (
        pool.cells[usize::from(pick.cell)].content,
        pick.root,
        pick.variant,
    )
}

/// The slots of a section: cell, and variant where those come in turn.
fn slots(pool: &Pool) -> Vec<(u16, Option<u8>)> {
    let mut all = Vec::new();
    let mut turn = 0u8;

    for (i, cell) in pool.cells.iter().enumerate() {
        for _ in 0..cell.count {
            if cell.in_turn {
                all.push((i as u16, Some(turn % cell.variants)));
                turn = (turn + 1) % 6;
            } else {
                all.push((i as u16, None));
            }
        }
    }

    all
}

/// Fills the section once; `None` where the draw ran into a dead end.
fn fill(pool: &Pool, used: &[Vec<Identity>], chance: &mut Chance) -> Option<Vec<Pick>> {
    let mut slots = slots(pool);

    if pool.each_root.is_some() {
        let rooted = deal_roots(pool, &slots, chance)?;
        return (0..8).find_map(|_| order(pool, &rooted, used, chance));
    }

    if pool.shuffle {
        chance.shuffle(&mut slots);
    }

    let mut picks: Vec<Pick> = Vec::with_capacity(slots.len());
    let mut bag: u16 = 0;

    for (place, used) in used.iter().enumerate() {
        let (cell_index, variant) = slots[place];
        let cell = &pool.cells[usize::from(cell_index)];
        let mut open = Vec::with_capacity(24);

        for root in &cell.roots {
            if pool.bag && bag & (1 << root) != 0 || !follows(pool, picks.last(), *root) {
                continue;
            }
            let variants = variant.map_or(0..cell.variants, |variant| variant..variant + 1);
            for variant in variants {
                let pick = Pick {
                    cell: cell_index,
                    root: *root,
                    variant,
                };
                let again = !pool.bag
                    && picks.iter().any(|other| {
                        other.root == *root
                            && pool.cells[usize::from(other.cell)].kind == cell.kind
                            && cell.roots.len() > 1
                    });
                if !again && !used.contains(&identity(pool, pick)) {
                    open.push(pick);
                }
            }
        }

        let pick = *chance.pick(&open)?;
        bag |= 1 << pick.root;
        if bag == 0xfff {
            bag = 0;
        }
        picks.push(pick);
    }

    Some(picks)
}

/// Tells whether a root may follow: not the same again, and not the next step of the cycle.
fn follows(pool: &Pool, before: Option<&Pick>, root: u8) -> bool {
    !pool.cold || before.is_none_or(|before| before.root != root && (before.root + 5) % 12 != root)
}

/// Deals roots to slots so that each comes as often as asked and no chord comes twice.
fn deal_roots(pool: &Pool, slots: &[(u16, Option<u8>)], chance: &mut Chance) -> Option<Vec<Pick>> {
    let mut left = [pool.each_root.unwrap_or(u8::MAX); 12];
    let mut picks: Vec<Pick> = Vec::with_capacity(slots.len());

    for (cell_index, variant) in slots {
        let cell = &pool.cells[usize::from(*cell_index)];
        let open: Vec<u8> = cell
            .roots
            .iter()
            .copied()
            .filter(|root| {
                left[usize::from(*root)] > 0
                    && !picks.iter().any(|other| {
                        other.root == *root && pool.cells[usize::from(other.cell)].kind == cell.kind
                    })
            })
            .collect();
        // Roots with most left to give go first, or the last slots would find none.
        let most = open.iter().map(|root| left[usize::from(*root)]).max()?;
        let best: Vec<u8> = open
            .into_iter()
            .filter(|root| left[usize::from(*root)] == most)
            .collect();
        let root = *chance.pick(&best)?;
        left[usize::from(root)] -= 1;
        picks.push(Pick {
            cell: *cell_index,
            root,
            variant: variant.unwrap_or(0),
        });
    }

    Some(picks)
}

/// Puts dealt picks into an order that obeys the cold rule and the earlier seats.
fn order(
    pool: &Pool,
    rooted: &[Pick],
    used: &[Vec<Identity>],
    chance: &mut Chance,
) -> Option<Vec<Pick>> {
    let mut rest = rooted.to_vec();
    let mut picks: Vec<Pick> = Vec::with_capacity(rest.len());
    chance.shuffle(&mut rest);

    for used in used {
        let fits = |pick: &Pick| {
            follows(pool, picks.last(), pick.root) && !used.contains(&identity(pool, *pick))
        };
        let start = chance.below(rest.len());
        let at = (0..rest.len())
            .map(|i| (start + i) % rest.len())
            .find(|i| fits(&rest[*i]))?;
        picks.push(rest.swap_remove(at));
    }

    Some(picks)
}

/// Draws the spare items of each cell, none of them in the form.
fn spare(pool: &Pool, percent: u8, taken: &mut Vec<Identity>, chance: &mut Chance) -> Vec<Pick> {
    let mut spare = Vec::new();

    for (i, cell) in pool.cells.iter().enumerate() {
        // One at least, and for cold items two: one of them nearly always obeys the cold rule.
        let share = (cell.count * u32::from(percent)).div_ceil(100);
        let least = if percent == 0 {
            0
        } else if pool.cold && cell.in_turn && cell.variants == 1 {
            2
        } else {
            1
        };

        for n in 0..share.max(least) {
            let open: Vec<Pick> = cell
                .roots
                .iter()
                .map(|root| Pick {
                    cell: i as u16,
                    root: *root,
                    variant: n as u8 % cell.variants,
                })
                .filter(|pick| !taken.contains(&identity(pool, *pick)))
                .collect();
            if let Some(pick) = chance.pick(&open) {
                taken.push(identity(pool, *pick));
                spare.push(*pick);
            }
        }
    }

    spare
}

fn warm_ups(pool: &Pool, chance: &mut Chance) -> Vec<Pick> {
    let mut roots = BTreeSet::new();
    let mut picks: Vec<Pick> = Vec::new();

    for _ in 0..pool.warm_ups {
        let cell_index = chance.below(pool.cells.len());
        let cell = &pool.cells[cell_index];
        let open: Vec<u8> = cell
            .roots
            .iter()
            .copied()
            .filter(|root| !roots.contains(root) && follows(pool, picks.last(), *root))
            .collect();
        if let Some(root) = chance.pick(&open) {
            let _ = roots.insert(*root);
            picks.push(Pick {
                cell: cell_index as u16,
                root: *root,
                variant: 0,
            });
        }
    }

    picks
}
