//! What the drawing needs to know of a section, whatever it asks.

use super::Pick;
use crate::exam::script::{
    EarSection, Kind, RunSection, SpellSection, Start, Stimulus, VoicingSection,
};
use crate::exam::sound;
use crate::theory::Quality;

/// Which items there are: for each thing that may be asked, the roots it is asked on.
///
/// The same thing on the same root is the same item.
pub(super) type Items = Vec<u16>;

/// A section's cells and the rules of their order.
#[derive(Debug)]
pub(super) struct Pool {
    pub(super) cells: Vec<Cell>,
    /// How many different things may be asked on a root.
    pub(super) things: usize,
    /// How often each root comes, where that is asked.
    pub(super) each_root: Option<u8>,
    /// Whether the items come in drawn order.
    pub(super) shuffle: bool,
    /// Whether neighbours obey the cold rule.
    pub(super) cold: bool,
    /// Whether roots come round: each once before any comes again.
    pub(super) round: bool,
    pub(super) warm_ups: u8,
}

/// A cell, its contents numbered so that like things have the same number.
#[derive(Debug)]
pub(super) struct Cell {
    pub(super) count: u32,
    /// The roots as a set of twelve bits.
    pub(super) roots: u16,
    /// What each variant asks, by its number.
    pub(super) things: Vec<u16>,
    /// Variants come in turn, so that each is equally often there, or are drawn.
    pub(super) in_turn: bool,
    /// Cells of one kind ask the same chord on the same root: no root twice among them.
    pub(super) kind: u16,
    /// Which order of which form is asked.
    pub(super) order: u16,
    /// How far above its root an item ends, in semitones.
    pub(super) ends: u8,
}

impl Pool {
    /// Returns the number of items.
    pub(super) fn count(&self) -> usize {
        self.cells.iter().map(|cell| cell.count as usize).sum()
    }

    /// Returns the cell of a pick.
    pub(super) fn cell(&self, pick: Pick) -> &Cell {
        &self.cells[usize::from(pick.cell)]
    }

    /// Tells whether an item is among some.
    pub(super) fn has(&self, items: &Items, pick: Pick) -> bool {
        items[self.thing(pick)] & 1 << pick.root != 0
    }

    /// Adds an item to some.
    pub(super) fn add(&self, items: &mut Items, pick: Pick) {
        items[self.thing(pick)] |= 1 << pick.root;
    }

    fn thing(&self, pick: Pick) -> usize {
        usize::from(self.cell(pick).things[usize::from(pick.variant)])
    }

    /// Begins a list of items.
    pub(super) fn no_items(&self) -> Items {
        vec![0; self.things]
    }

    /// Returns the roots that may not follow: the same again, and the next step of the cycle.
    pub(super) fn led(&self, before: Option<Pick>) -> u16 {
        match before {
            Some(before) if self.cold => {
                let end = (before.root + self.cell(before).ends) % 12;
                1 << before.root | 1 << end | 1 << ((end + 5) % 12)
            }
            _ => 0,
        }
    }

    /// Tells whether an item may follow another.
    pub(super) fn follows(&self, before: Option<Pick>, pick: Pick) -> bool {
        self.led(before) & 1 << pick.root == 0
    }
}

/// Lists the pitch classes of a set.
pub(super) fn classes(mut set: u16) -> impl Iterator<Item = u8> {
    std::iter::from_fn(move || {
        let next = (set != 0).then(|| set.trailing_zeros() as u8);
        set &= set.wrapping_sub(1);
        next
    })
}

/// Makes the pool of a section; the first section of single chords or sounds takes the warm-ups.
pub(super) fn of(kind: &Kind, warm_ups: &mut u8) -> Option<Pool> {
    Some(match kind {
        Kind::Voicing(section) => voicing(section, std::mem::take(warm_ups)),
        Kind::Run(section) => run(section),
        Kind::Ear(section) => ear(section, std::mem::take(warm_ups)),
        Kind::Spell(section) => spell(section),
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

fn set(roots: impl IntoIterator<Item = u8>) -> u16 {
    roots
        .into_iter()
        .fold(0, |set, root| set | 1 << (root % 12))
}

fn voicing(section: &VoicingSection, warm_ups: u8) -> Pool {
    let (mut kinds, mut things, mut orders) = (Vec::new(), Vec::new(), Vec::new());

    Pool {
        cells: section
            .cells
            .iter()
            .map(|cell| Cell {
                count: cell.count,
                roots: set(cell.roots.iter().copied()),
                things: vec![number(
                    &mut things,
                    (cell.quality, &cell.form.name, cell.order),
                )],
                in_turn: true,
                kind: number(&mut kinds, cell.quality),
                order: number(&mut orders, (&cell.form.name, cell.order)),
                ends: 0,
            })
            .collect(),
        things: things.len(),
        each_root: section.each_root,
        shuffle: true,
        cold: true,
        round: false,
        warm_ups,
    }
}

fn run(section: &RunSection) -> Pool {
    let (mut kinds, mut things) = (Vec::new(), Vec::new());

    Pool {
        cells: section
            .cells
            .iter()
            .map(|cell| {
                // A drawn start is the same run as that start where the script sets it.
                let starts = match (cell.start, &cell.form) {
                    (Start::Drawn, Some(form)) => {
                        let count = form.orders.len().clamp(1, 2);
                        (0..count).map(Start::Order).collect()
                    }
                    (start, _) => vec![start],
                };
                let form = cell.form.as_ref().map(|form| &form.name);
                Cell {
                    count: cell.count,
                    roots: set(cell.keys.iter().copied()),
                    things: starts
                        .into_iter()
                        .map(|start| number(&mut things, (&cell.line, cell.pace, form, start)))
                        .collect(),
                    in_turn: false,
                    kind: number(&mut kinds, (&cell.line, cell.pace, cell.start)),
                    order: 0,
                    ends: 0,
                }
            })
            .collect(),
        things: things.len(),
        each_root: None,
        shuffle: section.shuffle,
        cold: false,
        round: false,
        warm_ups: 0,
    }
}

fn ear(section: &EarSection, warm_ups: u8) -> Pool {
    let (mut kinds, mut things) = (Vec::new(), Vec::new());

    Pool {
        cells: section
            .cells
            .iter()
            .map(|cell| Cell {
                count: cell.count,
                roots: set(cell.roots.iter().copied()),
                // One spacing can be another's on some root, so it makes no other thing.
                things: (0..sound::variants(&cell.stimulus))
                    .map(|variant| number(&mut things, Heard::of(&cell.stimulus, Some(variant))))
                    .collect(),
                in_turn: true,
                // Each quality has every tone on top equally often, over all its spacings.
                kind: number(&mut kinds, Heard::of(&cell.stimulus, None)),
                order: 0,
                ends: sound::ends(&cell.stimulus),
            })
            .collect(),
        things: things.len(),
        each_root: None,
        shuffle: true,
        cold: true,
        round: true,
        warm_ups,
    }
}

/// What is heard, its root and spacing apart.
#[derive(PartialEq)]
enum Heard<'a> {
    Chord(Quality, u8, Option<u8>),
    Other(&'a Stimulus, Option<u8>),
}

impl<'a> Heard<'a> {
    fn of(stimulus: &'a Stimulus, variant: Option<u8>) -> Self {
        match stimulus {
            Stimulus::Chord {
                quality, top, bass, ..
            } => {
                let top = variant.and_then(|variant| sound::top(*quality, *bass, *top, variant));
                Self::Chord(*quality, *bass, top)
            }
            other => Self::Other(other, variant),
        }
    }
}

fn spell(section: &SpellSection) -> Pool {
    let mut kinds = Vec::new();

    Pool {
        cells: section
            .cells
            .iter()
            .map(|cell| {
                let kind = number(&mut kinds, cell.quality);
                Cell {
                    count: cell.count,
                    roots: set(cell.roots.iter().map(|name| name.class())),
                    things: vec![kind],
                    in_turn: true,
                    kind,
                    order: 0,
                    ends: 0,
                }
            })
            .collect(),
        things: kinds.len(),
        each_root: None,
        shuffle: true,
        cold: false,
        round: false,
        warm_ups: 0,
    }
}
