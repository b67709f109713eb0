//! How much something needs practice, from few and uncertain looks at it.

/// The looks that the mean of all is worth against those at one row or column.
const MARGIN: f64 = 2.0;
/// The looks that the mean of a cell's margins is worth against its own.
const CELL: f64 = 1.5;
/// The looks that a cell is worth against those at one kind within it.
const KIND: f64 = 1.0;
/// What nobody has looked at lies in the middle, with the worth of one look.
const MIDDLE: f64 = 0.5;

/// One look: at a row, a column and a kind within the cell.
#[derive(Debug, Clone)]
struct Look<A, B, C> {
    a: A,
    b: B,
    c: C,
    need: f64,
    weight: f64,
}

/// Looks at the cells of a table, such as qualities by keys. Needs go from 0 (sure) to 1 (unknown).
///
/// One look is weak evidence: a cell is shrunk towards the mean of its margins, and these towards
/// the mean of all, so that one slip among sure neighbours does not dominate, and a cell that was
/// never asked is taken for what its row and its column are.
#[derive(Debug, Clone)]
pub(super) struct Table<A, B, C> {
    looks: Vec<Look<A, B, C>>,
}

impl<A, B, C> Default for Table<A, B, C> {
    fn default() -> Self {
        Self { looks: Vec::new() }
    }
}

impl<A: PartialEq, B: PartialEq, C: PartialEq> Table<A, B, C> {
    pub(super) fn look(&mut self, (a, b, c): (A, B, C), need: f64, weight: f64) {
        self.looks.push(Look {
            a,
            b,
            c,
            need,
            weight,
        });
    }

    fn sum(&self, of: impl Fn(&Look<A, B, C>) -> bool) -> (f64, f64) {
        self.looks
            .iter()
            .filter(|look| of(look))
            .fold((0.0, 0.0), |(needs, weights), look| {
                (needs + look.need * look.weight, weights + look.weight)
            })
    }

    /// Returns how much a cell and a kind in it need practice.
    pub(super) fn need(&self, a: &A, b: &B, c: &C) -> f64 {
        let shrunk = |(needs, weight): (f64, f64), towards: f64, worth: f64| {
            (needs + worth * towards) / (weight + worth)
        };
        let all = shrunk(self.sum(|_| true), MIDDLE, 1.0);
        let row = shrunk(self.sum(|look| look.a == *a), all, MARGIN);
        let column = shrunk(self.sum(|look| look.b == *b), all, MARGIN);
        let cell = shrunk(
            self.sum(|look| look.a == *a && look.b == *b),
            f64::midpoint(row, column),
            CELL,
        );

        shrunk(
            self.sum(|look| look.a == *a && look.b == *b && look.c == *c),
            cell,
            KIND,
        )
    }

    /// Tells whether a cell was looked at.
    pub(super) fn has(&self, a: &A, b: &B) -> bool {
        self.looks.iter().any(|look| look.a == *a && look.b == *b)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn table(looks: &[(u8, u8, f64)]) -> Table<u8, u8, ()> {
        let mut table = Table::default();
        for (a, b, need) in looks {
            table.look((*a, *b, ()), *need, 1.0);
        }
        table
    }

    #[test]
    fn one_slip_among_sure_neighbours_does_not_dominate() {
        let looks: Vec<_> = (0..4)
            .flat_map(|a| (0..6).map(move |b| (a, b)))
            // Row 3 is weak throughout; in row 0 one was missed.
            .map(|(a, b)| (a, b, if a == 3 || (a, b) == (0, 2) { 0.8 } else { 0.0 }))
            .collect();
        let table = table(&looks);
        let need = |a, b| table.need(&a, &b, &());

        assert!(need(0, 2) < need(3, 2));
        assert!((0..6).all(|b| need(0, 2) < need(3, b)), "{}", need(0, 2));
        assert!(need(0, 2) > need(0, 1));
    }

    #[test]
    fn what_was_never_asked_is_taken_for_its_margins() {
        let table = table(&[(0, 0, 0.0), (0, 1, 0.0), (1, 0, 1.0), (1, 1, 1.0)]);
        let need = |a, b| table.need(&a, &b, &());

        assert!(need(1, 5) > need(0, 5));
        assert!(!table.has(&1, &5) && table.has(&1, &1));
        assert!(need(1, 1) > need(1, 5));
    }

    #[test]
    fn nothing_known_lies_in_the_middle() {
        assert!((table(&[]).need(&1, &1, &()) - 0.5).abs() < 1e-9);
    }

    #[test]
    fn a_heavier_look_counts_for_more() {
        let mut table: Table<u8, u8, ()> = Table::default();
        table.look((0, 0, ()), 1.0, 0.3);
        table.look((0, 0, ()), 0.0, 1.0);

        assert!(table.need(&0, &0, &()) < 0.5);
    }
}
