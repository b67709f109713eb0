//! A table of many rows: shared out over pages, its head repeated on each.

use super::page::Meaning;
use super::plan::Block;
use super::text::{label, paragraph};
use super::writer::{NOTE, ROW, TEXT, Type, Writer};
use crate::engraving::text::width;
use crate::engraving::{Anchor, Face, Ink};

/// A column.
#[derive(Debug, Clone, PartialEq)]
pub struct Column {
    /// Its head.
    pub head: String,
    /// Where its texts stand, in pixels from the margin.
    pub x: f32,
    /// Which point of them stands there.
    pub anchor: Anchor,
    /// The room that they have; a longer text is cut short.
    pub room: f32,
}

impl Column {
    /// A column of words.
    pub fn words(head: &str, x: f32, room: f32) -> Self {
        Self {
            head: head.to_owned(),
            x,
            anchor: Anchor::Start,
            room,
        }
    }

    /// A column of numbers, by their right end.
    pub fn numbers(head: &str, x: f32, room: f32) -> Self {
        Self {
            anchor: Anchor::End,
            ..Self::words(head, x, room)
        }
    }
}

/// A cell: its text, and whether it is bold.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Cell {
    /// The text.
    pub text: String,
    /// Whether it is bold: what should be looked at.
    pub bold: bool,
}

impl Cell {
    /// A cell with a text.
    pub fn new(text: impl Into<String>) -> Self {
        Self {
            text: text.into(),
            bold: false,
        }
    }

    /// A bold one where something is so.
    #[must_use]
    pub const fn bold_if(mut self, bold: bool) -> Self {
        self.bold = bold;
        self
    }
}

/// A table.
#[derive(Debug, Clone, PartialEq)]
pub struct Table {
    /// What it shows, for those who hear it.
    pub about: String,
    /// Its columns; the first heads the rows.
    pub columns: Vec<Column>,
    /// Its rows, as many cells as columns.
    pub rows: Vec<Vec<Cell>>,
    /// What stands in small print under each row; none where there is nothing to add.
    pub notes: Vec<String>,
}

/// Rows that stand together on a page.
const CHUNK: usize = 4;
/// What a note adds to the height of its row.
const UNDER: f32 = 14.0;
/// Height of the line of heads.
const HEAD: f32 = 22.0;

impl Table {
    /// Adds its blocks: some rows each, the first under a label, sentences and the heads.
    pub(super) fn blocks<'a>(
        &'a self,
        (name, lead): (&'a str, &'a [String]),
        all: &mut Vec<Block<'a>>,
    ) {
        let count = self.rows.len().div_ceil(CHUNK).max(1);

        for part in 0..count {
            let rows = part * CHUNK..((part + 1) * CHUNK).min(self.rows.len());
            let is_first = part == 0;
            let is_last = part + 1 == count;
            let block = Block::new(move |on| {
                on.part(Meaning::Section, |on| {
                    if is_first {
                        self.lead(on, name, lead);
                    }
                    self.draw(on, rows.clone(), (is_first, is_last));
                });
            });
            all.push(if is_first { block } else { block.tight() });
        }
    }

    /// The label at the margin and sentences beside it. A table that begins at the margin itself
    /// stands below them.
    fn lead(&self, on: &mut Writer, name: &str, lead: &[String]) {
        let at_margin = self.columns.first().is_some_and(|column| column.x < 100.0);

        if !lead.is_empty() {
            paragraph(on, name, lead);
            on.y += 6.0;
        } else if !name.is_empty() {
            label(on, name, on.y + 13.0);
            if at_margin {
                on.y += 20.0;
            }
        }
    }

    fn draw(&self, on: &mut Writer, rows: std::ops::Range<usize>, (first, last): (bool, bool)) {
        let (margin, right) = (on.margin(), on.right());
        let from = self
            .columns
            .first()
            .map_or(margin, |column| margin + column.x);
        // Continued on a new page, the heads stand there again.
        let heads = first || on.is_at_top();
        let top = on.y + if heads { HEAD } else { 0.0 };

        on.part(Meaning::Table(self.about.clone()), |on| {
            if heads {
                on.part(Meaning::Row, |on| {
                    for column in &self.columns {
                        on.part(Meaning::ColumnHead, |on| {
                            let of = Type::label(NOTE).anchor(column.anchor);
                            let _ = on.write(&column.head, margin + column.x, top - 8.0, of);
                        });
                    }
                });
                on.rule(from, right, top, 1.0, Ink::Quiet);
            }
            let height = if self.notes.is_empty() {
                ROW
            } else {
                ROW + UNDER
            };
            for (place, row) in self.rows[rows.clone()].iter().enumerate() {
                let y = top + 15.0 + place as f32 * height;
                let note = self.notes.get(rows.start + place);
                on.part(Meaning::Row, |on| {
                    for (at, (cell, column)) in row.iter().zip(&self.columns).enumerate() {
                        let meaning = if at == 0 {
                            Meaning::RowHead
                        } else {
                            Meaning::Cell
                        };
                        let face = if cell.bold { Face::Bold } else { Face::Regular };
                        let of = Type::of(TEXT).face(face).anchor(column.anchor);
                        let text = fitted(&cell.text, face, column.room);
                        on.part(meaning, |on| {
                            let _ = on.write(&text, margin + column.x, y, of);
                            if let Some(note) = note.filter(|_| at == 0) {
                                let small = Type::of(NOTE).quiet();
                                let _ = on.write(note, margin + column.x, y + UNDER, small);
                            }
                        });
                    }
                });
                let is_end = last && place + 1 == rows.len();
                let ink = if is_end { Ink::Quiet } else { Ink::Rule };
                on.rule(from, right, top + (place + 1) as f32 * height, 1.0, ink);
            }
        });
        let note = if self.notes.is_empty() { 0.0 } else { UNDER };
        on.y = top + rows.len() as f32 * (ROW + note) + 1.0;
    }
}

/// A text, cut short with a sign where it has no room.
fn fitted(text: &str, face: Face, room: f32) -> String {
    if width(text, face, TEXT) <= room {
        return text.to_owned();
    }
    let mut short = text.to_owned();
    while !short.is_empty() && width(&format!("{short}…"), face, TEXT) > room {
        let _ = short.pop();
    }

    format!("{}…", short.trim_end())
}
