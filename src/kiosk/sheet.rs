//! A sheet: what is printed on a page, and what on it can be pressed.

use super::paper::{KEYS, Paper, Role};
use crate::engraving::text;
pub use crate::engraving::text::wrapped;
use crate::engraving::{Anchor, Bounds, Drawing, Face, Ink, Mark, Point};
use crate::theory::Key;

/// The least side of a target, in pixels (WCAG 2.2, 2.5.5 Target Size, enhanced).
pub const TARGET: f32 = 44.0;

/// Something that can be pressed.
#[derive(Debug, Clone, PartialEq)]
pub struct Target<A> {
    /// Where.
    pub bounds: Bounds,
    /// What it does.
    pub act: A,
    /// What it says.
    pub name: String,
}

/// A page with what can be pressed on it.
#[derive(Debug, Clone, PartialEq)]
pub struct Sheet<A> {
    /// The paper.
    pub paper: Paper,
    /// What stands still, in this order.
    pub marks: Vec<Mark>,
    /// What moves: time, held keys, the bar that is played.
    pub moving: Vec<Mark>,
    /// What can be pressed, in the order of the focus.
    pub targets: Vec<Target<A>>,
    /// Piano keys that can be played with the pointer; the first that fits is meant.
    pub keys: Vec<(Key, Bounds)>,
    /// All that is to be read, line by line, for those who hear it and for tests.
    pub said: Vec<String>,
}

/// How a line of text stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Type {
    /// What it is for.
    pub role: Role,
    /// The cut.
    pub face: Face,
    /// The ink.
    pub ink: Ink,
    /// Which point of it stands at its place.
    pub anchor: Anchor,
}

impl Type {
    /// Upright in plain ink, from the left.
    pub const fn of(role: Role) -> Self {
        Self {
            role,
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

    /// In another ink.
    #[must_use]
    pub const fn ink(self, ink: Ink) -> Self {
        Self { ink, ..self }
    }

    /// Standing otherwise.
    #[must_use]
    pub const fn anchor(self, anchor: Anchor) -> Self {
        Self { anchor, ..self }
    }
}

impl<A: Clone> Sheet<A> {
    /// Begins an empty sheet.
    pub const fn new(paper: Paper) -> Self {
        Self {
            paper,
            marks: Vec::new(),
            moving: Vec::new(),
            targets: Vec::new(),
            keys: Vec::new(),
            said: Vec::new(),
        }
    }

    /// Returns whether a text can be read on the sheet.
    pub fn says(&self, text: &str) -> bool {
        self.said.iter().any(|said| said.contains(text))
            || self.targets.iter().any(|target| target.name.contains(text))
    }

    /// Returns the place in the order of the focus of what is under a point; the nearest centre
    /// where targets overlap.
    pub fn hit(&self, at: Point) -> Option<usize> {
        self.targets
            .iter()
            .position(|target| holds(target.bounds, at))
    }

    /// Returns the piano key under a point.
    pub fn key_at(&self, at: Point) -> Option<Key> {
        let (key, _) = self.keys.iter().find(|(_, bounds)| holds(*bounds, at))?;

        Some(*key)
    }

    /// Writes a line with its baseline at a place.
    pub fn write(&mut self, words: &str, x: f32, y: f32, of: Type) -> f32 {
        self.say(words);
        self.write_unsaid(words, x, y, of)
    }

    /// Writes a line that says what another one says already. Returns where it ends.
    pub fn write_unsaid(&mut self, words: &str, x: f32, y: f32, of: Type) -> f32 {
        let size = self.paper.size(of.role);
        let width = text::width(words, of.face, size);
        let left = of.anchor.left(x, width);
        let mut drawing = text::layout(words, of.face, size);
        inked(&mut drawing.marks, of.ink);
        self.put(&drawing, Point::new(left, y), 1.0);

        left + width
    }

    /// Writes words in lines no wider than asked; returns the baseline after the last.
    pub fn wrap(&mut self, words: &str, x: f32, y: f32, width: f32, of: Type) -> f32 {
        let size = self.paper.size(of.role);
        let step = self.paper.line(of.role);
        let mut y = y;
        self.say(words);

        for line in wrapped(words, of.face, size, width) {
            let _ = self.write_unsaid(&line, x, y, of);
            y += step;
        }

        y
    }

    /// Says something that is drawn, not written.
    pub fn say(&mut self, words: &str) {
        if !words.is_empty() {
            self.said.push(words.to_owned());
        }
    }

    /// Puts a drawing with its origin at a place, so much enlarged.
    pub fn put(&mut self, drawing: &Drawing, at: Point, scale: f32) {
        let marks = drawing.placed(at, scale);
        self.marks.extend(marks);
    }

    /// The same for what moves.
    pub fn put_moving(&mut self, drawing: &Drawing, at: Point, scale: f32) {
        let marks = drawing.placed(at, scale);
        self.moving.extend(marks);
    }

    /// Draws a filled rectangle.
    pub fn rect(&mut self, x: f32, y: f32, width: f32, height: f32, ink: Ink) {
        self.marks.push(Mark::Rect {
            at: Point::new(x, y),
            width,
            height,
            ink,
        });
    }

    /// Draws a level rule.
    pub fn rule(&mut self, from: f32, to: f32, y: f32, thickness: f32, ink: Ink) {
        self.rect(from, y, to - from, thickness, ink);
    }

    /// Draws an outline.
    pub fn outline(&mut self, of: Bounds, thickness: f32, ink: Ink) {
        let (width, height) = (of.right - of.left, of.bottom - of.top);

        self.rect(of.left, of.top, width, thickness, ink);
        self.rect(of.left, of.bottom - thickness, width, thickness, ink);
        self.rect(of.left, of.top, thickness, height, ink);
        self.rect(of.right - thickness, of.top, thickness, height, ink);
    }

    /// Makes a place pressable.
    pub fn target(&mut self, bounds: Bounds, act: A, name: &str) {
        self.targets.push(Target {
            bounds,
            act,
            name: name.to_owned(),
        });
    }

    /// Draws a box to press, with its label and the key that does the same; returns its right
    /// edge. The first one of a page is the one to press, the others stand back.
    pub fn button(&mut self, at: Button<'_>, act: A) -> f32 {
        let paper = self.paper;
        let size = paper.size(Role::Text);
        let pad = (size * 0.85).round();
        let label = text::width(at.label, Face::Bold, size);
        let hint = text::width(at.hint, Face::Italic, size);
        let apart = if at.hint.is_empty() { 0.0 } else { 2.0 * pad };
        let width = (label + hint + apart + 2.0 * pad).max(at.least);
        let height = paper.y(64.0).max(TARGET).max(size * 1.9);
        let left = at.anchor.left(at.x, width);
        let bounds = Bounds {
            left,
            top: at.y,
            right: left + width,
            bottom: at.y + height,
        };
        let (ink, thickness) = if at.is_first {
            (Ink::Accent, 3.0)
        } else {
            (Ink::Quiet, 1.5)
        };
        let baseline = at.y + height / 2.0 + 0.34 * size;

        self.outline(bounds, thickness, ink);
        let words = Type::of(Role::Text).face(Face::Bold).ink(if at.is_first {
            Ink::Accent
        } else {
            Ink::Plain
        });
        let _ = self.write_unsaid(at.label, left + pad, baseline, words);
        let hint = Type::of(Role::Text)
            .face(Face::Italic)
            .ink(Ink::Quiet)
            .anchor(Anchor::End);
        let _ = self.write_unsaid(at.hint, bounds.right - pad, baseline, hint);
        self.target(bounds, act, at.label);

        bounds.right
    }

    /// Writes the header: what this is on the left, who on the right, and the rule below.
    pub fn header(&mut self, left: &str, right: &str) {
        let paper = self.paper;
        let y = paper.y(72.0);
        let text = Type::of(Role::Text);

        let _ = self.write(left, paper.x(0.0), y, text);
        if !paper.is_folded() {
            let _ = self.write(right, paper.x(KEYS), y, text.anchor(Anchor::End));
        }
        self.rule(paper.x(0.0), paper.x(KEYS), paper.y(96.0), 1.0, Ink::Quiet);
    }

    /// Draws what is left of a time over the header's rule, 0 to 1.
    pub fn time(&mut self, left: f32) {
        let paper = self.paper;
        let (from, to) = (paper.x(0.0), paper.x(KEYS));
        let thick = paper.y(6.0).max(4.0);
        // Whole pixels, so that the page is painted no more often than it changes.
        let width = ((to - from) * left.clamp(0.0, 1.0)).round();

        self.rect(to - 1.0, paper.y(96.0) - 3.0, 1.0, 7.0, Ink::Quiet);
        self.moving.push(Mark::Rect {
            at: Point::new(from, paper.y(96.0) - (thick / 2.0).floor()),
            width,
            height: thick,
            ink: Ink::Plain,
        });
    }

    /// Writes what is left of a time in words, below the rule on the right.
    pub fn time_words(&mut self, words: &str) {
        let paper = self.paper;
        let of = Type::of(Role::Lead).anchor(Anchor::End);
        let size = paper.size(Role::Lead);
        let y = paper.y(96.0) + size * 1.35;
        let x = paper.x(KEYS) - text::width(words, Face::Regular, size);
        let drawing = text::layout(words, of.face, size);

        self.say(words);
        self.put_moving(&drawing, Point::new(x, y), 1.0);
    }

    /// Writes the foot: what comes next.
    pub fn foot(&mut self, label: &str, words: &str) {
        let paper = self.paper;
        let y = paper.y(1016.0);

        self.rule(paper.x(0.0), paper.x(KEYS), paper.y(952.0), 1.0, Ink::Quiet);
        let quiet = Type::of(Role::Text).face(Face::Italic).ink(Ink::Quiet);
        let end = self.write(label, paper.x(0.0), y, quiet);
        let x = paper.left().max(end + paper.key());
        let _ = self.write(words, x, y, Type::of(Role::Text));
    }

    /// Writes the imperative in the margin at a baseline; above the measure where it is folded.
    pub fn imperative(&mut self, words: &str, y: f32) {
        let of = Type::of(Role::Lead).face(Face::Italic).ink(Ink::Accent);

        if !self.paper.is_folded() {
            let _ = self.write(words, self.paper.x(0.0), y, of);
        }
    }

    /// Writes a quiet label in the margin at a baseline.
    pub fn label(&mut self, words: &str, y: f32) {
        let of = Type::of(Role::Text).face(Face::Italic).ink(Ink::Quiet);

        if !self.paper.is_folded() {
            let _ = self.write(words, self.paper.x(0.0), y, of);
        }
    }
}

/// A box to press.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Button<'a> {
    /// What it says.
    pub label: &'a str,
    /// The key that does the same; empty for none.
    pub hint: &'a str,
    /// Where it stands.
    pub x: f32,
    /// Its upper edge.
    pub y: f32,
    /// Which of its points stands there.
    pub anchor: Anchor,
    /// The least width.
    pub least: f32,
    /// Whether it is the one to press.
    pub is_first: bool,
}

impl<'a> Button<'a> {
    /// The one to press, at the foot of the page on the right.
    pub fn at_foot(paper: &Paper, label: &'a str, hint: &'a str) -> Self {
        let size = paper.size(Role::Text);
        let height = paper.y(64.0).max(TARGET).max(size * 1.9);

        Self {
            label,
            hint,
            x: paper.x(KEYS),
            // Large text stands in the middle between the foot's rule and the edge.
            y: paper.y(if paper.is_folded() { 1017.0 } else { 1008.0 }) - height / 2.0,
            anchor: Anchor::End,
            least: 9.0 * paper.key(),
            is_first: true,
        }
    }
}

fn inked(marks: &mut [Mark], with: Ink) {
    for mark in marks {
        match mark {
            Mark::Line { ink, .. }
            | Mark::Rect { ink, .. }
            | Mark::Glyph { ink, .. }
            | Mark::Text { ink, .. } => {
                if *ink == Ink::Plain {
                    *ink = with;
                }
            }
        }
    }
}

fn holds(bounds: Bounds, at: Point) -> bool {
    (bounds.left..bounds.right).contains(&at.x) && (bounds.top..bounds.bottom).contains(&at.y)
}
