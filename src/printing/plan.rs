//! Which block stands on which page, and how far apart they are.

use super::head::UNDER;
use super::writer::Writer;

/// The least and the greatest room between two blocks.
const LEAST: f32 = 12.0;
const MOST: f32 = 32.0;

/// Something that stands together on one page.
pub(super) struct Block<'a> {
    write: Box<dyn Fn(&mut Writer) + 'a>,
    /// Whether it goes on where the one before ends.
    tight: bool,
    /// Whether it stands at the foot of its page.
    at_foot: bool,
}

impl<'a> Block<'a> {
    /// A block that writes itself from the writer's height on, and leaves it at its end.
    pub(super) fn new(write: impl Fn(&mut Writer) + 'a) -> Self {
        Self {
            write: Box::new(write),
            tight: false,
            at_foot: false,
        }
    }

    /// One that goes on where the one before ends.
    pub(super) fn tight(self) -> Self {
        Self {
            tight: true,
            ..self
        }
    }

    /// One at the foot of its page.
    pub(super) fn at_foot(self) -> Self {
        Self {
            at_foot: true,
            ..self
        }
    }
}

/// A block with its height.
struct Measured<'a> {
    block: Block<'a>,
    height: f32,
    /// Its height where it begins a page: a table repeats its heads there.
    at_top: f32,
}

/// Blocks with their heights, on their pages.
pub(super) struct Flow<'a> {
    blocks: Vec<Measured<'a>>,
    /// Each page's blocks, by the place of the first and of the one after the last.
    pages: Vec<(usize, usize)>,
    room: f32,
}

impl<'a> Flow<'a> {
    /// Measures blocks and shares them out; `scratch` is a writer for the paper in use.
    pub(super) fn of(blocks: Vec<Block<'a>>, mut scratch: Writer) -> Self {
        let room = scratch.bottom() - UNDER - 9.0;
        let mut height = |block: &Block<'_>, from: f32| {
            scratch.y = from;
            (block.write)(&mut scratch);
            scratch.y - from
        };
        let blocks: Vec<Measured<'_>> = blocks
            .into_iter()
            .map(|block| Measured {
                height: height(&block, 0.0),
                at_top: height(&block, UNDER),
                block,
            })
            .collect();
        let mut pages = Vec::new();
        let mut first = 0;
        let mut used = 0.0;

        for (place, of) in blocks.iter().enumerate() {
            let gap = if of.block.tight { 0.0 } else { LEAST };
            if place == first {
                used = of.at_top;
            } else if used + gap + of.height > room {
                pages.push((first, place));
                first = place;
                used = of.at_top;
            } else {
                used += gap + of.height;
            }
        }
        pages.push((first, blocks.len()));

        Self {
            blocks,
            pages,
            room,
        }
    }

    /// Returns how many pages there are.
    pub(super) fn pages(&self) -> usize {
        self.pages.len()
    }

    /// Writes them all.
    pub(super) fn write(&self, writer: &mut Writer) {
        for (place, (first, after)) in self.pages.iter().enumerate() {
            if place > 0 {
                writer.page();
            }
            writer.y = UNDER;
            let blocks = &self.blocks[*first..*after];
            let heights: f32 = blocks
                .iter()
                .enumerate()
                .map(|(index, of)| if index == 0 { of.at_top } else { of.height })
                .sum();
            let gaps = blocks.iter().skip(1).filter(|of| !of.block.tight);
            let spare = (self.room - heights) / (gaps.count().max(1) as f32);
            let gap = spare.clamp(LEAST, MOST);

            for (index, of) in blocks.iter().enumerate() {
                let block = &of.block;
                if index > 0 && !block.tight {
                    writer.y += gap;
                }
                if block.at_foot {
                    writer.y = writer.y.max(UNDER + self.room - of.height);
                }
                (block.write)(writer);
            }
        }
    }
}
