//! Writes a document: places by hand, pages one after the other, meanings opened and closed.
//!
//! The grid is that of the mark sheet: a margin of 64 pixels, a column of labels to 168, the text
//! from 184 to 730; on wider paper it stands in the middle.

use super::page::{Document, Kind, Meaning, Node, Page, Piece, Size};
use crate::engraving::text::{self, wrapped};
use crate::engraving::{Anchor, Drawing, Face, Ink, Mark, Point, symbol};
use crate::theory::{Chord, Quality};

/// Sizes of type in pixels: notes, text, leads, titles and the grade.
pub const NOTE: f32 = 11.0;
/// See [`NOTE`].
pub const TEXT: f32 = 13.5;
/// See [`NOTE`].
pub const LEAD: f32 = 18.0;
/// See [`NOTE`].
pub const GRADE: f32 = 44.0;
/// The distance of the lines of a paragraph.
pub const LINE: f32 = 18.0;
/// The height of a row of a table.
pub const ROW: f32 = 20.0;

/// The width of the printed area.
const WIDTH: f32 = 666.0;
/// Where the text begins, from the left edge of the printed area.
pub const INDENT: f32 = 120.0;
/// The top of the printed area.
pub const TOP: f32 = 57.0;
/// The room under the printed area, foot included.
const BOTTOM: f32 = 59.0;

/// How a line of text stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Type {
    /// Its size in pixels.
    pub size: f32,
    /// The cut.
    pub face: Face,
    /// The ink.
    pub ink: Ink,
    /// Which point of it stands at its place.
    pub anchor: Anchor,
}

impl Type {
    /// Upright in plain ink, from the left.
    pub const fn of(size: f32) -> Self {
        Self {
            size,
            face: Face::Regular,
            ink: Ink::Plain,
            anchor: Anchor::Start,
        }
    }

    /// In another cut.
    #[must_use]
    pub const fn face(self, face: Face) -> Self {
        Self { face, ..self }
    }

    /// In quiet ink.
    #[must_use]
    pub const fn quiet(self) -> Self {
        Self {
            ink: Ink::Quiet,
            ..self
        }
    }

    /// Standing otherwise.
    #[must_use]
    pub const fn anchor(self, anchor: Anchor) -> Self {
        Self { anchor, ..self }
    }

    /// A label: italic, quiet.
    pub const fn label(size: f32) -> Self {
        Self::of(size).face(Face::Italic).quiet()
    }
}

/// A document in the making.
#[derive(Debug)]
pub struct Writer {
    document: Document,
    /// The parts that are open, the innermost last.
    open: Vec<(Meaning, Vec<Node>)>,
    /// Where the next thing goes, from the top of the page.
    pub y: f32,
}

impl Writer {
    /// Begins a document with its first page.
    pub fn new(size: Size, title: &str, subject: &str) -> Self {
        Self {
            document: Document {
                title: title.to_owned(),
                subject: subject.to_owned(),
                size,
                pages: vec![Page::default()],
                tree: Vec::new(),
            },
            open: Vec::new(),
            y: TOP,
        }
    }

    /// Returns the left edge of the printed area: where labels begin.
    pub fn margin(&self) -> f32 {
        (self.document.size.width() - WIDTH) / 2.0
    }

    /// Returns where the text begins.
    pub fn left(&self) -> f32 {
        self.margin() + INDENT
    }

    /// Returns the right edge of the printed area.
    pub fn right(&self) -> f32 {
        self.margin() + WIDTH
    }

    /// Returns the lowest place of the printed area: the rule of the foot.
    pub fn bottom(&self) -> f32 {
        self.document.size.height() - BOTTOM
    }

    /// Returns the room left above the foot.
    pub fn room(&self) -> f32 {
        self.bottom() - self.y
    }

    /// Tells whether nothing has been written under the head of this page yet.
    pub fn is_at_top(&self) -> bool {
        self.y == super::head::UNDER
    }

    /// Returns the number of pages so far.
    pub fn pages(&self) -> usize {
        self.document.pages.len()
    }

    /// Begins a new page.
    pub fn page(&mut self) {
        self.document.pages.push(Page::default());
        self.y = TOP;
    }

    /// Opens a part; what follows belongs to it until it is closed.
    pub fn open(&mut self, meaning: Meaning) {
        self.open.push((meaning, Vec::new()));
    }

    /// Closes the part opened last. One without anything in it is left out.
    pub fn close(&mut self) {
        if let Some((meaning, nodes)) = self.open.pop()
            && !nodes.is_empty()
        {
            self.push(Node::Part(meaning, nodes));
        }
    }

    /// Writes a part in one go.
    pub fn part(&mut self, meaning: Meaning, write: impl FnOnce(&mut Self)) {
        self.open(meaning);
        write(self);
        self.close();
    }

    fn push(&mut self, node: Node) {
        match self.open.last_mut() {
            Some((_, nodes)) => nodes.push(node),
            None => self.document.tree.push(node),
        }
    }

    fn add(&mut self, kind: Kind, marks: Vec<Mark>) {
        if marks.is_empty() {
            return;
        }
        let page = self.document.pages.len() - 1;
        let pieces = &mut self.document.pages[page].pieces;
        let piece = pieces.len();
        let is_told = !matches!(kind, Kind::Decoration | Kind::Running);
        pieces.push(Piece { kind, marks });
        if is_told {
            self.push(Node::Piece { page, piece });
        }
    }

    /// Writes a line with its baseline at a place; returns where it ends.
    pub fn write(&mut self, words: &str, x: f32, y: f32, of: Type) -> f32 {
        let width = text::width(words, of.face, of.size);
        self.add(Kind::Line, set(words, x, y, of));

        of.anchor.left(x, width) + width
    }

    /// Writes a paragraph with the baseline of its first line at a place, its lines so far apart;
    /// returns the baseline of its last line. Must be inside a part that takes text.
    pub fn wrap(
        &mut self,
        words: &str,
        x: f32,
        y: f32,
        width: f32,
        (of, line): (Type, f32),
    ) -> f32 {
        let lines = wrapped(words, of.face, of.size, width);
        let last = lines.len().saturating_sub(1);
        for (place, words) in lines.iter().enumerate() {
            // The space between two words stands at the end of the line, so that it is not lost.
            let words = if place < last {
                format!("{words} ")
            } else {
                words.clone()
            };
            let _ = self.write(&words, x, y + place as f32 * line, of);
        }

        y + last as f32 * line
    }

    /// Puts a drawing with its origin at a place, so much enlarged; it is read as its words.
    ///
    /// Inside a [`Meaning::Figure`] it is part of the picture.
    pub fn draw(&mut self, drawing: &Drawing, x: f32, y: f32, by: f32) {
        let kind = match self.open.last() {
            Some((Meaning::Figure(_), _)) => Kind::Picture,
            _ => Kind::Words(drawing.words.clone()),
        };
        self.add(kind, drawing.placed(Point::new(x, y), by));
    }

    /// Puts marks that are read as these words.
    pub fn told(&mut self, words: &str, marks: Vec<Mark>) {
        self.add(Kind::Words(words.to_owned()), marks);
    }

    /// Sets a chord symbol with its baseline at a place.
    pub fn symbol(&mut self, chord: Chord, setting: symbol::Setting, x: f32, y: f32) {
        let drawing = symbol::layout(chord, setting);
        self.add(Kind::Line, drawing.placed(Point::new(x, y), 1.0));
    }

    /// Sets a quality as a symbol has it, its anchor on the baseline at a place.
    pub fn quality(
        &mut self,
        quality: Quality,
        setting: symbol::Setting,
        (x, y): (f32, f32),
        anchor: Anchor,
    ) {
        let drawing = symbol::quality(quality, setting);
        let left = anchor.left(x, drawing.width) + drawing.origin.x;
        self.add(Kind::Line, drawing.placed(Point::new(left, y), 1.0));
    }

    /// Puts marks of a figure.
    pub fn picture(&mut self, marks: Vec<Mark>) {
        self.add(Kind::Picture, marks);
    }

    /// Draws a level rule: nothing to be told.
    pub fn rule(&mut self, from: f32, to: f32, y: f32, thickness: f32, ink: Ink) {
        self.decorate(vec![Mark::Line {
            from: Point::new(from, y),
            to: Point::new(to, y),
            thickness,
            ink,
        }]);
    }

    /// Draws an upright rule: nothing to be told.
    pub fn upright(&mut self, x: f32, from: f32, to: f32, thickness: f32, ink: Ink) {
        self.decorate(vec![Mark::Line {
            from: Point::new(x, from),
            to: Point::new(x, to),
            thickness,
            ink,
        }]);
    }

    /// Puts marks that tell nothing.
    pub fn decorate(&mut self, marks: Vec<Mark>) {
        self.add(Kind::Decoration, marks);
    }

    /// Ends the document. `running` writes head and foot of each page, given its number from 1 and
    /// how many there are; they are told to nobody who hears the document.
    pub fn finish(mut self, running: impl Fn(&mut Running<'_>, usize, usize)) -> Document {
        while !self.open.is_empty() {
            self.close();
        }
        let count = self.document.pages.len();
        let (margin, right, bottom) = (self.margin(), self.right(), self.bottom());
        for (place, page) in self.document.pages.iter_mut().enumerate() {
            let mut on = Running {
                page,
                margin,
                right,
                bottom,
            };
            running(&mut on, place + 1, count);
        }

        self.document
    }
}

/// The head and foot of a page in the making.
#[derive(Debug)]
pub struct Running<'a> {
    page: &'a mut Page,
    /// The left edge of the printed area.
    pub margin: f32,
    /// Its right edge.
    pub right: f32,
    /// Its lowest place.
    pub bottom: f32,
}

impl Running<'_> {
    /// Writes a line with its baseline at a place.
    pub fn write(&mut self, words: &str, x: f32, y: f32, of: Type) {
        self.page.pieces.push(Piece {
            kind: Kind::Running,
            marks: set(words, x, y, of),
        });
    }

    /// Draws a level rule from a place to another.
    pub fn line(&mut self, (from, to): (f32, f32), y: f32, thickness: f32, ink: Ink) {
        self.page.pieces.push(Piece {
            kind: Kind::Running,
            marks: vec![Mark::Line {
                from: Point::new(from, y),
                to: Point::new(to, y),
                thickness,
                ink,
            }],
        });
    }

    /// Draws a level rule over the printed area.
    pub fn rule(&mut self, y: f32, thickness: f32, ink: Ink) {
        self.page.pieces.push(Piece {
            kind: Kind::Running,
            marks: vec![Mark::Line {
                from: Point::new(self.margin, y),
                to: Point::new(self.right, y),
                thickness,
                ink,
            }],
        });
    }
}

fn set(words: &str, x: f32, y: f32, of: Type) -> Vec<Mark> {
    let hand = text::Hand {
        face: of.face,
        size: of.size,
        anchor: of.anchor,
        ink: of.ink,
    };

    text::marks(words, hand, Point::new(x, y))
}
