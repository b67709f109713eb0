//! The embedded fonts: their bytes, and the measures and outlines read from them.

use std::collections::HashMap;
use std::sync::{LazyLock, PoisonError, RwLock};

use ttf_parser::gpos::{PairAdjustment, PositioningSubtable};
use ttf_parser::{GlyphId, Tag};

use super::{Bounds, Point};

/// A font of the program.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Face {
    /// Bravura, the music font.
    Music,
    /// TeX Gyre Pagella.
    Regular,
    /// TeX Gyre Pagella Italic: labels and imperatives.
    Italic,
    /// TeX Gyre Pagella Bold: what is chosen or current.
    Bold,
}

impl Face {
    /// All fonts.
    pub const ALL: [Self; 4] = [Self::Music, Self::Regular, Self::Italic, Self::Bold];

    /// Returns the font file, for painters that load fonts.
    pub const fn bytes(self) -> &'static [u8] {
        match self {
            Self::Music => include_bytes!("../../assets/fonts/bravura.otf"),
            Self::Regular => include_bytes!("../../assets/fonts/texgyrepagella-regular.otf"),
            Self::Italic => include_bytes!("../../assets/fonts/texgyrepagella-italic.otf"),
            Self::Bold => include_bytes!("../../assets/fonts/texgyrepagella-bold.otf"),
        }
    }

    fn parsed(self) -> &'static ttf_parser::Face<'static> {
        &PARSED[self as usize]
    }
}

static PARSED: LazyLock<[ttf_parser::Face<'static>; 4]> = LazyLock::new(|| {
    Face::ALL.map(|face| {
        ttf_parser::Face::parse(face.bytes(), 0).expect("a test reads every embedded font")
    })
});

/// A piece of an outline; places are in ems from the sign's origin, y down.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Segment {
    /// Begins a contour.
    Move(Point),
    /// A straight line.
    Line(Point),
    /// A cubic curve with its two handles and its end.
    Curve(Point, Point, Point),
    /// Ends the contour where it began.
    Close,
}

/// Returns the outline of a sign, to be filled by the nonzero rule; `None` where the font lacks it.
pub fn outline(face: Face, sign: char) -> Option<Vec<Segment>> {
    let font = face.parsed();
    let mut pen = Pen {
        scale: 1.0 / f32::from(font.units_per_em()),
        at: Point::new(0.0, 0.0),
        segments: Vec::new(),
    };

    let _ = font.outline_glyph(font.glyph_index(sign)?, &mut pen);
    Some(pen.segments)
}

/// Returns the box of a sign's ink in ems; `None` where the font lacks it or it has no ink.
pub fn bounds(face: Face, sign: char) -> Option<Bounds> {
    let font = face.parsed();
    let scale = 1.0 / f32::from(font.units_per_em());
    let ink = font.glyph_bounding_box(font.glyph_index(sign)?)?;

    Some(Bounds {
        left: f32::from(ink.x_min) * scale,
        top: -f32::from(ink.y_max) * scale,
        right: f32::from(ink.x_max) * scale,
        bottom: -f32::from(ink.y_min) * scale,
    })
}

/// Returns how far the next sign stands from this one in ems, without kerning; 0 where it lacks.
pub fn advance(face: Face, sign: char) -> f32 {
    let font = face.parsed();

    font.glyph_index(sign)
        .and_then(|id| font.glyph_hor_advance(id))
        .map_or(0.0, |units| {
            f32::from(units) / f32::from(font.units_per_em())
        })
}

/// What has been measured.
type Known<Of> = RwLock<HashMap<Of, f32>>;

/// Pairs that have been looked up: a page measures the same few hundred again and again, and the
/// font's own tables are slow to search.
static KERNED: LazyLock<Known<(u8, char, char)>> = LazyLock::new(RwLock::default);

/// Returns by how much two signs are moved apart in ems; mostly 0 or less.
pub fn kern(face: Face, left: char, right: char) -> f32 {
    let pair = (face as u8, left, right);
    let known = KERNED.read().unwrap_or_else(PoisonError::into_inner);
    if let Some(kern) = known.get(&pair) {
        return *kern;
    }
    drop(known);

    let kern = looked_up(face, left, right);
    let mut known = KERNED.write().unwrap_or_else(PoisonError::into_inner);
    let _ = known.insert(pair, kern);
    kern
}

fn looked_up(face: Face, left: char, right: char) -> f32 {
    let font = face.parsed();

    font.glyph_index(left)
        .zip(font.glyph_index(right))
        .and_then(|(left, right)| pair(font, left, right))
        .map_or(0.0, |units| {
            f32::from(units) / f32::from(font.units_per_em())
        })
}

/// Widths of texts that have been measured, by font: a page that is drawn again measures the same
/// words.
static WIDTHS: [LazyLock<Known<Box<str>>>; 4] = [const { LazyLock::new(RwLock::default) }; 4];
/// Texts that are remembered at most; then all are forgotten.
const MOST: usize = 4_096;

/// Returns the width of a text in ems, kerned.
pub fn width(face: Face, text: &str) -> f32 {
    let known = WIDTHS[face as usize]
        .read()
        .unwrap_or_else(PoisonError::into_inner);
    if let Some(width) = known.get(text) {
        return *width;
    }
    drop(known);

    let width = places(face, text).last().map_or(0.0, |(_, _, end)| end);
    let mut known = WIDTHS[face as usize]
        .write()
        .unwrap_or_else(PoisonError::into_inner);
    if known.len() >= MOST {
        known.clear();
    }
    let _ = known.insert(text.into(), width);
    width
}

/// Returns each sign of a text with its start and its end in ems, kerned.
pub fn places(face: Face, text: &str) -> impl Iterator<Item = (char, f32, f32)> {
    let mut end = 0.0;
    let mut last = None;

    text.chars().map(move |sign| {
        let start = end + last.map_or(0.0, |last| kern(face, last, sign));
        end = start + advance(face, sign);
        last = Some(sign);
        (sign, start, end)
    })
}

/// Returns a sign's number in a font, for painters that embed it; `None` where the font lacks it.
pub fn number(face: Face, sign: char) -> Option<u16> {
    face.parsed().glyph_index(sign).map(|id| id.0)
}

/// Tells whether a font has a sign.
pub fn has(face: Face, sign: char) -> bool {
    face.parsed().glyph_index(sign).is_some()
}

/// Looks a pair up in the font's `kern` feature; the first subtable that covers it decides.
fn pair(font: &ttf_parser::Face<'_>, left: GlyphId, right: GlyphId) -> Option<i16> {
    let table = font.tables().gpos?;
    let feature = table.features.find(Tag::from_bytes(b"kern"))?;

    feature
        .lookup_indices
        .into_iter()
        .filter_map(|index| table.lookups.get(index))
        .flat_map(|lookup| lookup.subtables.into_iter::<PositioningSubtable<'_>>())
        .find_map(|subtable| match subtable {
            PositioningSubtable::Pair(PairAdjustment::Format1 { coverage, sets }) => {
                let (first, _) = sets.get(coverage.get(left)?)?.get(right)?;
                Some(first.x_advance)
            }
            PositioningSubtable::Pair(PairAdjustment::Format2 {
                coverage,
                classes,
                matrix,
            }) => {
                let _ = coverage.get(left)?;
                let (first, _) = matrix.get((classes.0.get(left), classes.1.get(right)))?;
                Some(first.x_advance)
            }
            _ => None,
        })
}

/// Takes an outline down with its y turned round.
struct Pen {
    scale: f32,
    at: Point,
    segments: Vec<Segment>,
}

impl Pen {
    fn point(&self, x: f32, y: f32) -> Point {
        Point::new(x * self.scale, -y * self.scale)
    }
}

impl ttf_parser::OutlineBuilder for Pen {
    fn move_to(&mut self, x: f32, y: f32) {
        self.at = self.point(x, y);
        self.segments.push(Segment::Move(self.at));
    }

    fn line_to(&mut self, x: f32, y: f32) {
        self.at = self.point(x, y);
        self.segments.push(Segment::Line(self.at));
    }

    fn quad_to(&mut self, x1: f32, y1: f32, x: f32, y: f32) {
        // The same curve with two handles.
        let (from, handle, to) = (self.at, self.point(x1, y1), self.point(x, y));
        let near = |end: Point| {
            Point::new(
                end.x + (handle.x - end.x) * 2.0 / 3.0,
                end.y + (handle.y - end.y) * 2.0 / 3.0,
            )
        };
        self.segments.push(Segment::Curve(near(from), near(to), to));
        self.at = to;
    }

    fn curve_to(&mut self, x1: f32, y1: f32, x2: f32, y2: f32, x: f32, y: f32) {
        let end = self.point(x, y);
        self.segments
            .push(Segment::Curve(self.point(x1, y1), self.point(x2, y2), end));
        self.at = end;
    }

    fn close(&mut self) {
        self.segments.push(Segment::Close);
    }
}
