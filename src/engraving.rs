//! Music and chord symbols as drawings: pure data that a screen and a printer paint alike.
//!
//! A [`Drawing`] is a box with marks in it. Places are in the drawing's own unit, with x to the
//! right and y down from the box's upper left corner: staff spaces for music (the distance of two
//! staff lines), the caller's unit for chord symbols and text, white keys for the [`strip`]. A
//! painter multiplies them and draws; it decides nothing but colours and pixels.
#![deny(clippy::disallowed_methods)]

pub mod accidental;
pub mod cluster;
pub mod font;
pub mod glyph;
pub mod grand;
pub mod line;
pub mod measure;
pub mod pair;
mod shape;
pub mod staff;
pub mod strip;
pub mod symbol;
#[cfg(test)]
mod tests;
pub mod text;
pub mod words;

pub use font::{Face, Segment};
pub use glyph::Glyph;

/// A place, in the drawing's unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// To the right.
    pub x: f32,
    /// Down.
    pub y: f32,
}

impl Point {
    /// Makes a place.
    pub const fn new(x: f32, y: f32) -> Self {
        Self { x, y }
    }

    fn moved(self, by: Self) -> Self {
        Self::new(self.x + by.x, self.y + by.y)
    }
}

/// What a mark is painted with; the colours are the page's.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ink {
    /// What is to be read.
    Plain,
    /// What stands back: lines under an echo, captions.
    Quiet,
    /// What is to be done or has been chosen.
    Accent,
    /// Decoration that carries no meaning.
    Rule,
    /// The page itself, to part two inked shapes.
    Paper,
}

/// Which point of a text stands at its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Anchor {
    /// Its left end.
    Start,
    /// Its middle.
    Middle,
    /// Its right end.
    End,
}

impl Anchor {
    /// Returns where a text of a width begins that has this point of it at a place.
    pub fn left(self, x: f32, width: f32) -> f32 {
        match self {
            Self::Start => x,
            Self::Middle => x - width / 2.0,
            Self::End => x - width,
        }
    }
}

/// Something to paint.
#[derive(Debug, Clone, PartialEq)]
pub enum Mark {
    /// A straight line with flat ends.
    Line {
        /// One end.
        from: Point,
        /// The other.
        to: Point,
        /// Its thickness.
        thickness: f32,
        /// What it is painted with.
        ink: Ink,
    },
    /// A filled upright rectangle.
    Rect {
        /// Its upper left corner.
        at: Point,
        /// Its width.
        width: f32,
        /// Its height.
        height: f32,
        /// What it is painted with.
        ink: Ink,
    },
    /// A sign of the music font.
    Glyph {
        /// The sign.
        glyph: Glyph,
        /// Its SMuFL origin: the left end of its baseline.
        at: Point,
        /// The size of the font: four units where one unit is a staff space.
        size: f32,
        /// How much wider it is than the font has it; 1 for all but the brace.
        stretch: f32,
        /// The width of a stroke round its outline that makes it bold; mostly 0.
        stroke: f32,
        /// What it is painted with.
        ink: Ink,
    },
    /// Words in the text font, kerned.
    Text {
        /// The words.
        text: String,
        /// The cut of the font.
        face: Face,
        /// The place of its anchor, on the baseline.
        at: Point,
        /// The size of the font.
        size: f32,
        /// Which of its points stands there.
        anchor: Anchor,
        /// What it is painted with.
        ink: Ink,
    },
}

/// An upright box by its edges.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bounds {
    /// The left edge.
    pub left: f32,
    /// The upper edge.
    pub top: f32,
    /// The right edge.
    pub right: f32,
    /// The lower edge.
    pub bottom: f32,
}

impl Bounds {
    /// Returns the box that holds both.
    pub fn with(self, other: Self) -> Self {
        Self {
            left: self.left.min(other.left),
            top: self.top.min(other.top),
            right: self.right.max(other.right),
            bottom: self.bottom.max(other.bottom),
        }
    }

    fn around(points: [Point; 2], by: f32) -> Self {
        let [a, b] = points;

        Self {
            left: a.x.min(b.x) - by,
            top: a.y.min(b.y) - by,
            right: a.x.max(b.x) + by,
            bottom: a.y.max(b.y) + by,
        }
    }
}

impl Mark {
    /// Returns the box that the mark needs; for text its nominal height.
    pub fn bounds(&self) -> Bounds {
        match self {
            Self::Line {
                from,
                to,
                thickness,
                ..
            } => {
                // A flat end does not reach past the end of its line.
                let mut bounds = Bounds::around([*from, *to], 0.0);
                let half = thickness / 2.0;
                if from.y != to.y {
                    bounds.left -= half;
                    bounds.right += half;
                }
                if from.x != to.x {
                    bounds.top -= half;
                    bounds.bottom += half;
                }
                bounds
            }
            Self::Rect {
                at, width, height, ..
            } => Bounds::around([*at, Point::new(at.x + width, at.y + height)], 0.0),
            Self::Glyph {
                glyph,
                at,
                size,
                stretch,
                stroke,
                ..
            } => {
                let ink = glyph.bounds();
                Bounds::around(
                    [
                        Point::new(at.x + ink.left * size * stretch, at.y + ink.top * size),
                        Point::new(at.x + ink.right * size * stretch, at.y + ink.bottom * size),
                    ],
                    stroke / 2.0,
                )
            }
            Self::Text {
                text,
                face,
                at,
                size,
                anchor,
                ..
            } => {
                let width = font::width(*face, text) * size;
                let left = anchor.left(at.x, width);
                Bounds {
                    left,
                    top: at.y - measure::ASCENT * size,
                    right: left + width,
                    bottom: at.y + measure::DESCENT * size,
                }
            }
        }
    }

    /// Returns the outline of a sign or of words, in the drawing's unit, to be filled by the nonzero
    /// rule; empty for lines and rectangles. Signs that the font lacks are left out.
    pub fn outline(&self) -> Vec<Segment> {
        match self {
            Self::Line { .. } | Self::Rect { .. } => Vec::new(),
            Self::Glyph {
                glyph,
                at,
                size,
                stretch,
                ..
            } => placed(Face::Music, glyph.codepoint(), *at, (size * stretch, *size)).collect(),
            Self::Text {
                text,
                face,
                at,
                size,
                anchor,
                ..
            } => {
                let left = anchor.left(at.x, font::width(*face, text) * size);

                font::places(*face, text)
                    .flat_map(|(sign, start, _)| {
                        let at = Point::new(left + start * size, at.y);
                        placed(*face, sign, at, (*size, *size))
                    })
                    .collect()
            }
        }
    }

    /// Paints it with another ink.
    pub const fn set_ink(&mut self, with: Ink) {
        match self {
            Self::Line { ink, .. }
            | Self::Rect { ink, .. }
            | Self::Glyph { ink, .. }
            | Self::Text { ink, .. } => *ink = with,
        }
    }

    /// Returns the mark so far away.
    #[must_use]
    pub fn moved(mut self, by: Point) -> Self {
        self.shift(by);
        self
    }

    fn shift(&mut self, by: Point) {
        match self {
            Self::Line { from, to, .. } => {
                *from = from.moved(by);
                *to = to.moved(by);
            }
            Self::Rect { at, .. } | Self::Glyph { at, .. } | Self::Text { at, .. } => {
                *at = at.moved(by);
            }
        }
    }
}

/// Returns the outline of a sign at a place, so wide and so high an em.
fn placed(
    face: Face,
    sign: char,
    at: Point,
    (width, height): (f32, f32),
) -> impl Iterator<Item = Segment> {
    let point = move |point: Point| Point::new(at.x + point.x * width, at.y + point.y * height);

    font::outline(face, sign)
        .into_iter()
        .flatten()
        .map(move |segment| match segment {
            Segment::Move(to) => Segment::Move(point(to)),
            Segment::Line(to) => Segment::Line(point(to)),
            Segment::Curve(one, other, to) => Segment::Curve(point(one), point(other), point(to)),
            Segment::Close => Segment::Close,
        })
}

/// Marks in a box, with what they say in words.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawing {
    /// The width of the box.
    pub width: f32,
    /// The height of the box.
    pub height: f32,
    /// The place that a page lines up: the left end of the first staff's top line, or the left end
    /// of a symbol's baseline.
    pub origin: Point,
    /// What is to be painted, in this order.
    pub marks: Vec<Mark>,
    /// What is to be seen, for those who hear it.
    pub words: String,
}

impl Drawing {
    /// Returns the marks with its origin at a place, so much enlarged.
    pub fn placed(&self, at: Point, by: f32) -> Vec<Mark> {
        let point = |point: Point| {
            Point::new(
                at.x + (point.x - self.origin.x) * by,
                at.y + (point.y - self.origin.y) * by,
            )
        };

        self.marks
            .iter()
            .cloned()
            .map(|mut mark| {
                match &mut mark {
                    Mark::Line {
                        from,
                        to,
                        thickness,
                        ..
                    } => {
                        *from = point(*from);
                        *to = point(*to);
                        *thickness *= by;
                    }
                    Mark::Rect {
                        at, width, height, ..
                    } => {
                        *at = point(*at);
                        *width *= by;
                        *height *= by;
                    }
                    Mark::Glyph {
                        at, size, stroke, ..
                    } => {
                        *at = point(*at);
                        *size *= by;
                        *stroke *= by;
                    }
                    Mark::Text { at, size, .. } => {
                        *at = point(*at);
                        *size *= by;
                    }
                }
                mark
            })
            .collect()
    }

    /// Boxes marks whose places count from the origin.
    fn boxed(sketch: Sketch, words: String) -> Self {
        let mut marks = sketch.0;
        let bounds = marks
            .iter()
            .map(Mark::bounds)
            .reduce(Bounds::with)
            .unwrap_or(Bounds::around([Point::new(0.0, 0.0); 2], 0.0));
        let origin = Point::new(-bounds.left, -bounds.top);
        for mark in &mut marks {
            mark.shift(origin);
        }

        Self {
            width: bounds.right - bounds.left,
            height: bounds.bottom - bounds.top,
            origin,
            marks,
            words,
        }
    }
}

/// Marks whose places count from an origin, before they are boxed.
#[derive(Debug, Default)]
struct Sketch(Vec<Mark>);

impl Sketch {
    fn line(&mut self, from: (f32, f32), to: (f32, f32), thickness: f32, ink: Ink) {
        self.0.push(Mark::Line {
            from: Point::new(from.0, from.1),
            to: Point::new(to.0, to.1),
            thickness,
            ink,
        });
    }

    fn rect(&mut self, x: f32, y: f32, width: f32, height: f32, ink: Ink) {
        self.0.push(Mark::Rect {
            at: Point::new(x, y),
            width,
            height,
            ink,
        });
    }

    /// Puts a sign at the size that one staff space a unit gives it.
    fn glyph(&mut self, glyph: Glyph, x: f32, y: f32, ink: Ink) {
        self.sized(glyph, x, y, measure::MUSIC_SIZE, ink);
    }

    fn sized(&mut self, glyph: Glyph, x: f32, y: f32, size: f32, ink: Ink) {
        self.0.push(Mark::Glyph {
            glyph,
            at: Point::new(x, y),
            size,
            stretch: 1.0,
            stroke: 0.0,
            ink,
        });
    }

    fn text(&mut self, text: &str, x: f32, y: f32, hand: text::Hand) {
        self.0.extend(text::run(text, hand, Point::new(x, y)).0);
    }

    /// Adds a drawing so that its origin stands at a place.
    fn place(&mut self, drawing: Drawing, x: f32, y: f32) {
        let by = Point::new(x - drawing.origin.x, y - drawing.origin.y);

        self.0.extend(drawing.marks.into_iter().map(|mut mark| {
            mark.shift(by);
            mark
        }));
    }
}
