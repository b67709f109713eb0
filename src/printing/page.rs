//! A printed document as data: pages of marks, and the tree of what they mean.

use crate::engraving::Mark;

/// A size of paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Size {
    /// ISO 216 A4, 210 × 297 mm.
    #[default]
    A4,
    /// US Letter, 8½ × 11 inches.
    Letter,
}

impl Size {
    /// Returns the width in pixels of 1/96 inch.
    pub const fn width(self) -> f32 {
        match self {
            Self::A4 => 793.7,
            Self::Letter => 816.0,
        }
    }

    /// Returns the height in pixels of 1/96 inch.
    pub const fn height(self) -> f32 {
        match self {
            Self::A4 => 1122.5,
            Self::Letter => 1056.0,
        }
    }
}

/// What a part of a document is, for those who hear it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Meaning {
    /// A part with a heading of its own.
    Section,
    /// A heading of a level, 1 for the title.
    Heading(u16),
    /// A paragraph.
    Paragraph,
    /// A figure and what is to be seen on it.
    Figure(String),
    /// A table and what it shows.
    Table(String),
    /// A row of a table.
    Row,
    /// A cell that heads its column.
    ColumnHead,
    /// A cell that heads its row.
    RowHead,
    /// A cell.
    Cell,
}

/// A node of the tree of meanings.
#[derive(Debug, Clone, PartialEq)]
pub enum Node {
    /// A part of other parts.
    Part(Meaning, Vec<Node>),
    /// A piece of a page.
    Piece {
        /// The page, from 0.
        page: usize,
        /// Its place among the page's pieces.
        piece: usize,
    },
}

/// What a piece is to those who hear it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Kind {
    /// A line of text as its marks have it.
    Line,
    /// Marks that are read as these words.
    Words(String),
    /// Part of a figure; the figure has the words.
    Picture,
    /// Rules and the like: nothing to be told.
    Decoration,
    /// The head or foot of a page, the same on each.
    Running,
}

/// Some marks that belong together, on one page.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece {
    /// What it is.
    pub kind: Kind,
    /// The marks; places are in pixels from the page's upper left corner.
    pub marks: Vec<Mark>,
}

/// A page.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Page {
    /// What is on it.
    pub pieces: Vec<Piece>,
}

/// A printed document.
#[derive(Debug, Clone, PartialEq)]
pub struct Document {
    /// Its title, which a reader's window shows.
    pub title: String,
    /// What it is about.
    pub subject: String,
    /// The paper.
    pub size: Size,
    /// The pages.
    pub pages: Vec<Page>,
    /// What stands on them, in the order in which it is read.
    pub tree: Vec<Node>,
}

impl Document {
    /// Returns all that is to be read, a line a piece, in the order of the tree; for figures their
    /// words.
    pub fn said(&self) -> Vec<String> {
        let mut said = Vec::new();
        for node in &self.tree {
            self.say(node, &mut said);
        }

        said
    }

    /// Returns what a part says, in one line.
    pub(super) fn words(&self, node: &Node) -> String {
        let mut said = Vec::new();
        self.say(node, &mut said);

        said.concat()
    }

    /// Returns the headings with their page, from 0, and their place on it.
    pub(super) fn headings(&self) -> Vec<(String, usize, f32)> {
        fn first(node: &Node) -> Option<(usize, usize)> {
            match node {
                Node::Piece { page, piece } => Some((*page, *piece)),
                Node::Part(_, nodes) => nodes.iter().find_map(first),
            }
        }
        fn walk(document: &Document, nodes: &[Node], found: &mut Vec<(String, usize, f32)>) {
            for node in nodes {
                match node {
                    Node::Part(Meaning::Heading(_), _) => {
                        let Some((page, piece)) = first(node) else {
                            continue;
                        };
                        let marks = &document.pages[page].pieces[piece].marks;
                        let top = marks.iter().map(|mark| mark.bounds().top);
                        let top = top.fold(f32::INFINITY, f32::min);
                        found.push((document.words(node), page, top.max(0.0)));
                    }
                    Node::Part(_, nodes) => walk(document, nodes, found),
                    Node::Piece { .. } => {}
                }
            }
        }
        let mut found = Vec::new();
        walk(self, &self.tree, &mut found);

        found
    }

    fn say(&self, node: &Node, said: &mut Vec<String>) {
        match node {
            Node::Part(Meaning::Figure(words), _) => said.push(words.clone()),
            Node::Part(_, nodes) => {
                for node in nodes {
                    self.say(node, said);
                }
            }
            Node::Piece { page, piece } => {
                let piece = &self.pages[*page].pieces[*piece];
                match &piece.kind {
                    Kind::Line => said.push(text(&piece.marks)),
                    Kind::Words(words) => said.push(words.clone()),
                    Kind::Picture | Kind::Decoration | Kind::Running => {}
                }
            }
        }
    }
}

/// Reads the text of marks.
pub(super) fn text(marks: &[Mark]) -> String {
    marks
        .iter()
        .map(|mark| match mark {
            Mark::Text { text, .. } => text.as_str(),
            Mark::Glyph { glyph, .. } => glyph.unicode().unwrap_or_default(),
            Mark::Line { .. } | Mark::Rect { .. } => "",
        })
        .collect()
}
