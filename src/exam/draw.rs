//! Drawing a form: which item stands where, from a set's seed and a seat.
//!
//! A plan holds picks only, small and quick to draw; [`super::item`] makes items of them. The
//! seats of a set are planned in turn, each avoiding what the earlier ones have at the same
//! place, so a seat's form depends on the seed and on the seats before it and on nothing else.

mod arrange;
mod pool;
mod spare;

use thiserror::Error;

use self::arrange::Rules;
use self::pool::{Items, Pool};
use super::chance::Chance;
use super::code::Code;
use super::form::Form;
use super::item::Maker;
use super::script::{Exam, Section};

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

/// What a cell has to draw from, and what a form takes of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stock {
    /// How many different items there are.
    pub different: usize,
    /// How many items a form asks of them; cells that draw from the very same share them.
    pub asked: usize,
    /// How many spare items are wanted beside.
    pub spare: usize,
}

impl Stock {
    /// Whether the items and their spare ones leave nothing of the pool: form after form has the
    /// same.
    pub const fn is_thin(self) -> bool {
        self.different <= self.asked + self.spare
    }
}

/// Returns what each cell of a section has to draw from, with so many spare items in percent of
/// each cell; nothing of a panel and a rest.
pub fn stock(section: &Section, reserve: u8) -> Vec<Stock> {
    let Some(pool) = pool::of(&section.kind, &mut 0) else {
        return Vec::new();
    };
    // Two variants may be the same thing.
    let things: Vec<Vec<u16>> = pool
        .cells
        .iter()
        .map(|cell| {
            let mut things = cell.things.clone();
            things.sort_unstable();
            things.dedup();
            things
        })
        .collect();

    pool.cells
        .iter()
        .zip(&things)
        .map(|(cell, own)| {
            let different = own.len() * cell.roots.count_ones() as usize;
            let sharing = pool
                .cells
                .iter()
                .zip(&things)
                .filter(|(other, things)| other.roots == cell.roots && *things == own);
            sharing.fold(
                Stock {
                    different,
                    asked: 0,
                    spare: 0,
                },
                |stock, (other, _)| Stock {
                    asked: stock.asked + other.count as usize,
                    spare: stock.spare + spare::wanted(&pool, other, reserve) as usize,
                    ..stock
                },
            )
        })
        .collect()
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

    let plans = plan_seats(exam, code.seed(), code.seat(), Whole::LastOnly)?;
    let last: Vec<&Plan> = plans.iter().filter_map(|seats| seats.last()).collect();

    Ok(Maker::new(exam).form(code, &last))
}

/// Draws all forms of a set.
///
/// # Errors
/// Says which section has no such form.
pub fn draw_set(exam: &Exam, seed: u32) -> Result<Vec<Form>, Error> {
    let seats = exam.rules.seats;
    let plans = plan_seats(exam, seed, seats, Whole::All)?;
    let mut maker = Maker::new(exam);

    Ok((1..=seats)
        .map(|seat| {
            let of_seat: Vec<&Plan> = plans
                .iter()
                .map(|seats| &seats[usize::from(seat) - 1])
                .collect();
            maker.form(Code::new(seed, seat), &of_seat)
        })
        .collect())
}

/// Which plans have spare items and warm-ups.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Whole {
    All,
    /// The seats before only say what the last one avoids.
    LastOnly,
    /// None has.
    Trial,
}

/// Draws the first forms of a set for a trial, without making their items; tells whether a
/// section can be filled.
///
/// A trial gives up early: what can hardly be drawn once will not be drawn for every code.
///
/// # Errors
/// Returns the seat at which it cannot.
pub(super) fn trial(section: &Section, index: usize, seed: u32, seats: u8) -> Result<(), u8> {
    let Some(pool) = pool::of(&section.kind, &mut 0) else {
        return Ok(());
    };
    let stream = |seat| Chance::new("form 1", &[seed.into(), index as u64, seat]);

    plan_section(&pool, 0, seats, Whole::Trial, stream).map(drop)
}

/// Plans the first seats of a set: for each section a list of plans, one a seat.
fn plan_seats(exam: &Exam, seed: u32, seats: u8, whole: Whole) -> Result<Vec<Vec<Plan>>, Error> {
    let mut warm_ups = exam.rules.warm_ups;

    exam.sections
        .iter()
        .enumerate()
        .map(|(index, section)| {
            let Some(pool) = pool::of(&section.kind, &mut warm_ups) else {
                return Ok(vec![Plan::default(); usize::from(seats)]);
            };
            let stream = |seat| Chance::new("form 1", &[seed.into(), index as u64, seat]);

            plan_section(&pool, exam.rules.reserve, seats, whole, stream).map_err(|seat| {
                Error::Impossible {
                    section: section.id.clone(),
                    index,
                    seat,
                }
            })
        })
        .collect()
}

/// So often a seat is begun again before its section counts as impossible.
const TRIES: u32 = 2000;
/// So often in a trial, which is to leave a margin.
const TRIAL_TRIES: u32 = TRIES / 4;

fn plan_section(
    pool: &Pool,
    reserve: u8,
    seats: u8,
    whole: Whole,
    stream: impl Fn(u64) -> Chance,
) -> Result<Vec<Plan>, u8> {
    let mut used: Vec<Items> = vec![pool.no_items(); pool.count()];
    let mut plans = Vec::with_capacity(usize::from(seats));
    // Whether the cells let every root come in each order alike does not hang on the seat.
    let balanced = pool.each_root.is_some() && arrange::can_balance(pool, &mut stream(0));

    let tries = match whole {
        Whole::Trial => TRIAL_TRIES,
        Whole::All | Whole::LastOnly => TRIES,
    };

    for seat in 1..=seats {
        let mut chance = stream(seat.into());
        let picks = (0..tries)
            .find_map(|tried| {
                let again = tried >= tries / 2;
                arrange::fill(pool, Rules { balanced, again }, &used, &mut chance)
            })
            .ok_or(seat)?;

        for (used, pick) in used.iter_mut().zip(&picks) {
            pool.add(used, *pick);
        }

        let mut plan = Plan {
            picks,
            ..Plan::default()
        };
        if whole == Whole::All || whole == Whole::LastOnly && seat == seats {
            plan.reserve = spare::reserve(pool, reserve, &plan.picks, &mut chance);
            plan.warm_ups = spare::warm_ups(pool, &plan, &mut chance);
        }
        plans.push(plan);
    }

    Ok(plans)
}
