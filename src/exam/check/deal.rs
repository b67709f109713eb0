//! Dealing roots to cells so that each comes equally often: whether it can be done at all.

use super::pool::Pool;

/// Roots dealt to cells: each root so many times, each kind once on a root.
pub(super) struct Deal<'a> {
    pool: &'a Pool<'a>,
    times: u32,
    /// How often each root has been given.
    load: [u32; 12],
    /// For each kind the cell that each root is given to.
    given: Vec<[Option<usize>; 12]>,
}

impl<'a> Deal<'a> {
    pub(super) fn new(pool: &'a Pool<'a>, times: u32) -> Self {
        Self {
            pool,
            times,
            load: [0; 12],
            given: vec![[None; 12]; pool.kinds()],
        }
    }

    /// Tells whether a root has come less often than so.
    pub(super) fn has_less(&self, root: u8, times: u32) -> bool {
        self.load[usize::from(root)] < times
    }

    /// Gives a cell one more root, moving others where need be: one augmenting path.
    pub(super) fn give(&mut self, cell: usize) -> bool {
        let mut seen = vec![[false; 12]; self.given.len()];
        let mut full = [false; 12];

        self.place(cell, &mut seen, &mut full)
    }

    fn place(&mut self, cell: usize, seen: &mut [[bool; 12]], full: &mut [bool; 12]) -> bool {
        let pool = self.pool;
        let slot = &pool.cells[cell];
        let kind = slot.kind;

        for root in slot.roots.iter().map(|root| usize::from(*root)) {
            if std::mem::replace(&mut seen[kind][root], true) {
                continue;
            }
            let free = match self.given[kind][root] {
                // The cell that has it goes elsewhere: the root comes as often as before.
                Some(other) => self.place(other, seen, full),
                None if self.load[root] < self.times => {
                    self.load[root] += 1;
                    true
                }
                None => self.vacate(root, seen, full),
            };
            if free {
                self.given[kind][root] = Some(cell);
                return true;
            }
        }

        false
    }

    /// Takes a root from one of the cells that have it, which goes elsewhere.
    fn vacate(&mut self, root: usize, seen: &mut [[bool; 12]], full: &mut [bool; 12]) -> bool {
        if std::mem::replace(&mut full[root], true) {
            return false;
        }

        for kind in 0..self.given.len() {
            if let Some(other) = self.given[kind][root]
                && !std::mem::replace(&mut seen[kind][root], true)
                && self.place(other, seen, full)
            {
                self.given[kind][root] = None;
                return true;
            }
        }

        false
    }
}
