//! Whether the cells of a section have enough to draw from, as far as counting tells.
//!
//! What cannot be drawn for other reasons, such as the cold rule, shows when forms are drawn.

use std::ops::Range;

use super::deal::Deal;
use super::seats::Seats;
use crate::exam::diagnostic::Diagnostics;
use crate::exam::table::Spanned;
use crate::theory::Name;

/// A cell as its section draws from it.
pub(in crate::exam) struct Slot {
    /// How many items.
    pub(in crate::exam) count: Spanned<u32>,
    /// The pitch classes of the roots or keys, each once.
    pub(in crate::exam) roots: Vec<u8>,
    /// Where the roots are written, or what else is closest.
    pub(in crate::exam) place: Range<usize>,
    /// Cells of one kind never have the same root.
    pub(in crate::exam) kind: usize,
    /// Cells of one content ask the very same but for the root.
    pub(in crate::exam) content: usize,
    /// How many ways there are to ask it on one root.
    pub(in crate::exam) variants: u32,
    /// What it asks, in the plural.
    pub(in crate::exam) what: String,
}

/// The cells of a section.
pub(in crate::exam) struct Pool<'a> {
    pub(in crate::exam) cells: &'a [Slot],
    /// Whether these are all: one that could not be read may bring what others lack.
    pub(in crate::exam) whole: bool,
    /// Whether the items come in drawn order; otherwise each cell has its places.
    pub(in crate::exam) shuffle: bool,
    /// Whether a kind has each root once at most.
    pub(in crate::exam) once: bool,
    /// How often each root is to come in all.
    pub(in crate::exam) each_root: Option<&'a Spanned<u8>>,
    pub(in crate::exam) seats: &'a Seats,
}

/// Whether a section has enough to draw from, as far as counting tells.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(in crate::exam) enum Supply {
    /// More than twice what the forms of a set take.
    Ample,
    /// Hardly more: whether all can be drawn hangs on the order.
    Tight,
    /// Too little, which has been told.
    Short,
}

/// Numbers things by equality: like things get the same number.
pub(in crate::exam) fn number<T: PartialEq>(seen: &mut Vec<T>, thing: T) -> usize {
    seen.iter()
        .position(|other| *other == thing)
        .unwrap_or_else(|| {
            seen.push(thing);
            seen.len() - 1
        })
}

impl Pool<'_> {
    /// Tells every cell that asks for more than there is.
    pub(in crate::exam) fn check(&self, out: &Diagnostics) -> Supply {
        let mut fine = true;

        if self.once {
            fine &= self.cells_suffice(out) & self.kinds_suffice(out);
        }
        if let Some(times) = self.each_root
            && self.whole
        {
            fine &= self.deals(times, fine, out);
        }

        match fine {
            true if self.whole => self.sets(out),
            true => Supply::Ample,
            false => Supply::Short,
        }
    }

    fn is_over(slot: &Slot) -> bool {
        slot.count.value as usize > slot.roots.len()
    }

    fn cells_suffice(&self, out: &Diagnostics) -> bool {
        for slot in self.cells.iter().filter(|slot| Self::is_over(slot)) {
            out.fault(
                slot.count.span.clone(),
                format!(
                    "the cell asks for {} {} and has {} to draw from",
                    slot.count.value,
                    slot.what,
                    slot.roots.len()
                ),
                Some("none comes twice: lower the count, or widen the group".to_owned()),
            );
        }

        !self.cells.iter().any(Self::is_over)
    }

    /// Checks that the cells of each kind can share its roots without using one twice.
    fn kinds_suffice(&self, out: &Diagnostics) -> bool {
        let kinds = self.kinds();
        let mut told = vec![false; kinds];
        // For each kind, the cell that each root is given to.
        let mut given = vec![[None; 12]; kinds];

        for (at, slot) in self.cells.iter().enumerate() {
            // A cell of one root asks for that chord whatever else is asked, unless roots are dealt.
            let alone = slot.roots.len() == 1 && self.each_root.is_none();
            if Self::is_over(slot) || told[slot.kind] || alone {
                continue;
            }
            let placed = (0..slot.count.value)
                .all(|_| self.give(at, &mut given[slot.kind], &mut [false; 12]));
            if !placed {
                let asked: u32 = self.cells[..=at]
                    .iter()
                    .filter(|other| other.kind == slot.kind)
                    .map(|other| other.count.value)
                    .sum();
                out.fault(
                    slot.count.span.clone(),
                    format!(
                        "with this cell the section asks for {asked} {}, and there are too few different ones",
                        slot.what
                    ),
                    Some("none comes twice: lower the counts, or widen the groups".to_owned()),
                );
                told[slot.kind] = true;
            }
        }

        !told.contains(&true)
    }

    pub(super) fn kinds(&self) -> usize {
        self.cells
            .iter()
            .map(|slot| slot.kind + 1)
            .max()
            .unwrap_or(0)
    }

    /// Gives a cell one more root, moving others where need be.
    fn give(&self, cell: usize, given: &mut [Option<usize>; 12], seen: &mut [bool; 12]) -> bool {
        for root in self.cells[cell].roots.iter().map(|root| usize::from(*root)) {
            if std::mem::replace(&mut seen[root], true) {
                continue;
            }
            if given[root].is_none_or(|other| self.give(other, given, seen)) {
                given[root] = Some(cell);
                return true;
            }
        }

        false
    }

    /// Checks that each root can come as often as asked.
    fn deals(&self, times: &Spanned<u8>, counts_are_fine: bool, out: &Diagnostics) -> bool {
        let needed = 12 * u32::from(times.value);
        let total: u32 = self.cells.iter().map(|slot| slot.count.value).sum();

        if total != needed {
            out.fault(
                times.span.clone(),
                format!(
                    "`each_root = {}` needs {needed} items and the cells have {total}",
                    times.value
                ),
                Some("change the counts, or leave `each_root` out".to_owned()),
            );
            return false;
        }
        if !counts_are_fine {
            return false;
        }

        let mut deal = Deal::new(self, u32::from(times.value));
        for (cell, slot) in self.cells.iter().enumerate() {
            for _ in 0..slot.count.value {
                let _ = deal.give(cell);
            }
        }
        let short: Vec<String> = (0..12u8)
            .filter(|root| deal.has_less(*root, u32::from(times.value)))
            .map(|root| Name::plain(root).to_string())
            .collect();
        if !short.is_empty() {
            out.fault(
                times.span.clone(),
                format!(
                    "`each_root = {}` cannot be met by these cells: {} would come too seldom",
                    times.value,
                    short.join(", ")
                ),
                Some(
                    "ask for more chords in the groups of these roots, or leave `each_root` out"
                        .to_owned(),
                ),
            );
        }

        short.is_empty()
    }

    /// Checks that the forms of a set can differ at every place.
    fn sets(&self, out: &Diagnostics) -> Supply {
        let seats = u64::from(self.seats.count);
        let all: u64 = self
            .cells
            .iter()
            .map(|slot| u64::from(slot.count.value))
            .sum();
        let mut alike: Vec<Alike<'_>> = Vec::new();
        let mut supply = Supply::Ample;

        // In a drawn order cells that ask the same share all places, otherwise each has its own.
        for slot in self.cells {
            let at = if self.shuffle {
                slot.content
            } else {
                alike.len()
            };
            while at >= alike.len() {
                alike.push(Alike {
                    first: slot,
                    roots: 0,
                    count: 0,
                });
            }
            let alike = &mut alike[at];
            alike.roots = slot
                .roots
                .iter()
                .fold(alike.roots, |set, root| set | 1 << root);
            alike.count += u64::from(slot.count.value);
        }

        for Alike {
            first,
            roots,
            count,
        } in alike
        {
            let different = u64::from(roots.count_ones()) * u64::from(first.variants);
            let places = if self.shuffle { all } else { count };
            if seats * count <= places * different {
                if self.shuffle && 2 * seats * count > places * different {
                    supply = supply.max(Supply::Tight);
                }
                continue;
            }
            let allowed = (places * different / count).max(1);
            let fine = self.seats.lower(
                u8::try_from(allowed).unwrap_or(u8::MAX),
                first.place.clone(),
                &format!(
                    "they are to differ at every place, and of {} there {} {different}",
                    first.what,
                    if different == 1 { "is" } else { "are" }
                ),
                out,
            );
            supply = supply.max(if fine { Supply::Tight } else { Supply::Short });
        }

        supply
    }
}

/// Cells that ask the very same but for the root.
struct Alike<'a> {
    first: &'a Slot,
    roots: u16,
    count: u64,
}
