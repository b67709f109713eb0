//! Which block stands on which page, and how far apart they are.

use super::UNDER_HEAD;
use crate::printing::writer::Writer;

/// The least and the greatest room between two blocks.
const LEAST: f32 = 12.0;
const MOST: f32 = 32.0;

/// Something that stands together on one page.
pub(in crate::printing) struct Block<'a> {
    write: Box<dyn Fn(&mut Writer) + 'a>,
    /// Whether it goes on where the one before ends.
    tight: bool,
    /// Whether it stands at the foot of its page.
    at_foot: bool,
}

impl<'a> Block<'a> {
    /// A block that writes itself from the writer's height on, and leaves it at its end.
    pub(in crate::printing) fn new(write: impl Fn(&mut Writer) + 'a) -> Self {
        Self {
            write: Box::new(write),
            tight: false,
            at_foot: false,
        }
    }

    /// One that goes on where the one before ends.
    pub(in crate::printing) fn tight(self) -> Self {
        Self {
            tight: true,
            ..self
        }
    }

    /// One at the foot of its page.
    pub(in crate::printing) fn at_foot(self) -> Self {
        Self {
            at_foot: true,
            ..self
        }
    }
}

/// Blocks with their heights, on their pages.
pub(in crate::printing) struct Flow<'a> {
    blocks: Vec<(Block<'a>, f32)>,
    /// Each page's blocks, by the place of the first and of the one after the last.
    pages: Vec<(usize, usize)>,
    room: f32,
}

impl<'a> Flow<'a> {
    /// Measures blocks and shares them out; `scratch` is a writer for the paper in use.
    pub(in crate::printing) fn of(blocks: Vec<Block<'a>>, mut scratch: Writer) -> Self {
        let room = scratch.bottom() - UNDER_HEAD - 9.0;
        let blocks: Vec<(Block<'_>, f32)> = blocks
            .into_iter()
            .map(|block| {
                scratch.y = 0.0;
                (block.write)(&mut scratch);
                let height = scratch.y;
                (block, height)
            })
            .collect();
        let mut pages = Vec::new();
        let mut first = 0;
        let mut used = 0.0;

        for (place, (block, height)) in blocks.iter().enumerate() {
            let gap = match block.tight || place == first {
                true => 0.0,
                false => LEAST,
            };
            if place > first && used + gap + height > room {
                pages.push((first, place));
                first = place;
                used = *height;
            } else {
                used += gap + height;
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
    pub(in crate::printing) fn pages(&self) -> usize {
        self.pages.len()
    }

    /// Writes them all.
    pub(in crate::printing) fn write(&self, writer: &mut Writer) {
        for (place, (first, after)) in self.pages.iter().enumerate() {
            if place > 0 {
                writer.page();
            }
            writer.y = UNDER_HEAD;
            let blocks = &self.blocks[*first..*after];
            let heights: f32 = blocks.iter().map(|(_, height)| height).sum();
            let gaps = blocks.iter().skip(1).filter(|(block, _)| !block.tight);
            let spare = (self.room - heights) / (gaps.count().max(1) as f32);
            let gap = spare.clamp(LEAST, MOST);

            for (index, (block, height)) in blocks.iter().enumerate() {
                if index > 0 && !block.tight {
                    writer.y += gap;
                }
                if block.at_foot {
                    writer.y = writer.y.max(UNDER_HEAD + self.room - height);
                }
                (block.write)(writer);
            }
        }
    }
}
