//! Blocks set one below the other, on as many leaves as they need: nothing is ever cut off.

use crate::kiosk::act::Act;
use crate::kiosk::paper::Role;
use crate::kiosk::sheet::{Sheet, Type, wrapped};

/// How far spaces may shrink before something is left out or a second leaf begins.
const SHRINK: [f32; 4] = [1.0, 0.75, 0.5, 0.25];

/// What a block is to the page.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    /// Room between two blocks; it may shrink and is none at the head of a leaf.
    Space,
    /// It has to be there.
    Needed,
    /// It is left out where the page is too small.
    Optional,
}

/// A drawing that is told its upper edge.
type Draw<'a> = Box<dyn Fn(&mut Sheet<Act>, f32) + 'a>;

/// Blocks to be set.
pub(super) struct Flow<'a> {
    blocks: Vec<(Kind, f32, Draw<'a>)>,
}

impl<'a> Flow<'a> {
    /// Begins without any.
    pub(super) fn new() -> Self {
        Self { blocks: Vec::new() }
    }

    /// Leaves room.
    pub(super) fn space(&mut self, height: f32) {
        self.blocks.push((Kind::Space, height, Box::new(|_, _| {})));
    }

    /// Sets a block that has to be there.
    pub(super) fn block(&mut self, height: f32, draw: impl Fn(&mut Sheet<Act>, f32) + 'a) {
        self.blocks.push((Kind::Needed, height, Box::new(draw)));
    }

    /// Sets a block that is left out where the page is too small.
    pub(super) fn optional(&mut self, height: f32, draw: impl Fn(&mut Sheet<Act>, f32) + 'a) {
        self.blocks.push((Kind::Optional, height, Box::new(draw)));
    }

    /// Sets words in lines.
    pub(super) fn words(&mut self, sheet: &Sheet<Act>, words: &str, of: Type) {
        self.labelled(sheet, "", words, of);
    }

    /// Sets words in lines, with a quiet label beside the first.
    pub(super) fn labelled(&mut self, sheet: &Sheet<Act>, label: &str, words: &str, of: Type) {
        let paper = sheet.paper;
        let (x, width) = (paper.left(), paper.x(super::KEYS) - paper.left());
        let lines = wrapped(words, of.face, paper.size(of.role), width).len();
        let line = paper.line(of.role);
        let rise = rise(sheet, of.role);
        let (label, words) = (label.to_owned(), words.to_owned());

        self.block(lines as f32 * line, move |sheet, top| {
            sheet.label(&label, top + rise);
            let _ = sheet.wrap(&words, x, top + rise, width, of);
        });
    }

    /// Sets the imperative and a title of its own.
    pub(super) fn title(&mut self, sheet: &Sheet<Act>, imperative: &str, title: &str, role: Role) {
        let paper = sheet.paper;
        let of = Type::of(role);
        let (x, width) = (paper.left(), paper.x(super::KEYS) - paper.left());
        let lines = wrapped(title, of.face, paper.size(role), width).len();
        let rise = rise(sheet, role);
        let (imperative, title) = (imperative.to_owned(), title.to_owned());

        self.block(lines as f32 * paper.line(role), move |sheet, top| {
            sheet.imperative(&imperative, top + rise);
            let _ = sheet.wrap(&title, x, top + rise, width, of);
        });
    }

    /// Draws a leaf, from 0, between two heights; returns how many leaves there are and where
    /// this one ends.
    pub(super) fn draw(
        &self,
        sheet: &mut Sheet<Act>,
        leaf: usize,
        top: f32,
        bottom: f32,
    ) -> (usize, f32) {
        let leaves = self.leaves(bottom - top);
        let count = leaves.len();
        let mut end = top;

        for (block, at) in &leaves[leaf.min(count - 1)] {
            let (_, height, draw) = &self.blocks[*block];
            draw(sheet, top + at);
            end = end.max(top + at + height);
        }

        (count, end)
    }

    /// Tells whether everything stands on one leaf of so much room.
    pub(super) fn fits(&self, room: f32) -> bool {
        self.parted(room, SHRINK[3], &[]).len() <= 1
    }

    /// Parts the blocks into leaves, each with how far down it stands.
    fn leaves(&self, room: f32) -> Vec<Vec<(usize, f32)>> {
        for without in [&[][..], &[Kind::Optional]] {
            for shrink in SHRINK {
                let leaves = self.parted(room, shrink, without);
                if leaves.len() <= 1 {
                    return leaves;
                }
            }
        }
        // It takes several leaves whatever is left out; then nothing need be.
        self.parted(room, SHRINK[1], &[])
    }

    fn parted(&self, room: f32, shrink: f32, without: &[Kind]) -> Vec<Vec<(usize, f32)>> {
        let mut leaves = vec![Vec::new()];
        let (mut at, mut space) = (0.0, 0.0);

        for (place, (kind, height, _)) in self.blocks.iter().enumerate() {
            if without.contains(kind) {
                continue;
            }
            if *kind == Kind::Space {
                space += height * shrink;
                continue;
            }
            let is_first = leaves.last().is_none_or(Vec::is_empty);
            if !is_first && at + space + height > room {
                leaves.push(Vec::new());
                (at, space) = (0.0, 0.0);
            } else if is_first && leaves.len() > 1 {
                space = 0.0;
            }
            at += space;
            space = 0.0;
            if let Some(leaf) = leaves.last_mut() {
                leaf.push((place, at));
            }
            at += height;
        }

        leaves
    }
}

/// From the upper edge of a line to its baseline.
pub(super) fn rise(sheet: &Sheet<Act>, role: Role) -> f32 {
    let (size, line) = (sheet.paper.size(role), sheet.paper.line(role));

    line / 2.0 + 0.34 * size
}

#[cfg(test)]
mod tests {
    use super::*;

    fn parts(room: f32, blocks: &[(char, f32)]) -> Vec<Vec<(usize, f32)>> {
        let mut flow = Flow::new();
        for (kind, height) in blocks {
            match kind {
                's' => flow.space(*height),
                'o' => flow.optional(*height, |_, _| {}),
                _ => flow.block(*height, |_, _| {}),
            }
        }
        flow.leaves(room)
    }

    #[test]
    fn blocks_that_fit_keep_their_spaces() {
        let leaves = parts(100.0, &[('n', 40.0), ('s', 20.0), ('n', 40.0)]);
        assert_eq!(leaves, [[(0, 0.0), (2, 60.0)]]);
    }

    #[test]
    fn spaces_shrink_before_anything_is_left_out() {
        let leaves = parts(90.0, &[('o', 40.0), ('s', 20.0), ('n', 40.0)]);
        assert_eq!(leaves, [[(0, 0.0), (2, 50.0)]]);
        let leaves = parts(80.0, &[('o', 40.0), ('s', 20.0), ('n', 40.0)]);
        assert_eq!(leaves, [[(2, 20.0)]]);
    }

    #[test]
    fn what_does_not_fit_goes_on_a_leaf_of_its_own_without_a_space_above() {
        let leaves = parts(50.0, &[('n', 40.0), ('s', 20.0), ('n', 40.0), ('o', 5.0)]);
        assert_eq!(leaves, vec![vec![(0, 0.0)], vec![(2, 0.0), (3, 40.0)]]);
        assert_eq!(parts(50.0, &[]), [[]]);
    }
}
