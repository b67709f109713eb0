//! Paints a document as PDF 1.7, tagged after PDF/UA-1, with its fonts inside.

use std::num::NonZeroU16;
use std::sync::LazyLock;

use krilla::color::rgb;
use krilla::configure::{Accessibility, ConfigurationBuilder};
use krilla::destination::XyzDestination;
use krilla::geom::{PathBuilder, Point as At, Rect, Transform};
use krilla::metadata::Metadata;
use krilla::outline::{Outline, OutlineNode};
use krilla::page::PageSettings;
use krilla::paint::{Fill, FillRule, Stroke};
use krilla::surface::Surface;
use krilla::tagging::{
    Artifact, ArtifactType, ContentTag, Identifier, SpanTag, TableHeaderScope, Tag, TagGroup,
    TagTree,
};
use krilla::text::{Font, GlyphId, KrillaGlyph};
use krilla::{Document as Pdf, SerializeSettings};
use thiserror::Error;

use super::page::{Document, Kind, Meaning, Node, Piece};
use crate::engraving::{Face, Glyph, Ink, Mark, Segment, font};

/// Points of PDF (1/72 inch) in a pixel (1/96 inch).
const POINT: f32 = 0.75;

/// Why a document cannot be painted.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum Error {
    /// It is not what the standard for readable documents asks.
    #[error("the page cannot be made as PDF/UA: {0}")]
    Standard(String),
}

static FONTS: LazyLock<[Font; 4]> = LazyLock::new(|| {
    Face::ALL
        .map(|face| Font::new(face.bytes().into(), 0).expect("a test reads every embedded font"))
});

/// Paints a document. The same document gives the same bytes.
///
/// # Errors
/// When the document breaks a rule of the standard; that is a fault of this program.
pub fn write(document: &Document) -> Result<Vec<u8>, Error> {
    let standard = |error: &dyn std::fmt::Debug| Error::Standard(format!("{error:?}"));
    let configuration = ConfigurationBuilder::new()
        .with_accessibility_validator(Accessibility::UA1)
        .finish()
        .map_err(|error| standard(&error))?;
    let mut pdf = Pdf::new_with(SerializeSettings {
        configuration,
        ..SerializeSettings::default()
    });
    let size = document.size;
    let mut identifiers: Vec<Vec<Option<Identifier>>> = Vec::with_capacity(document.pages.len());

    for page in &document.pages {
        let settings = PageSettings::from_wh(size.width() * POINT, size.height() * POINT)
            .ok_or_else(|| Error::Standard("a page has no size".to_owned()))?;
        let mut on = pdf.start_page_with(settings);
        let mut surface = on.surface();
        surface.push_transform(&Transform::from_scale(POINT, POINT));
        identifiers.push(
            page.pieces
                .iter()
                .map(|piece| paint(&mut surface, piece))
                .collect(),
        );
        surface.pop();
        surface.finish();
        on.finish();
    }

    let mut tree = TagTree::new().with_lang(Some("en-GB".to_owned()));
    for node in &document.tree {
        if let Some(node) = tagged(document, node, &mut identifiers) {
            tree.push(node);
        }
    }
    pdf.set_tag_tree(tree);
    pdf.set_metadata(
        Metadata::new()
            .title(document.title.clone())
            .description(document.subject.clone())
            .creator(concat!("Viva Voicing ", env!("CARGO_PKG_VERSION")).to_owned())
            .language("en-GB".to_owned()),
    );
    pdf.set_outline(outline(document));
    pdf.finish().map_err(|error| standard(&error))
}

/// Paints a piece; returns what the tree calls it by.
fn paint(surface: &mut Surface<'_>, piece: &Piece) -> Option<Identifier> {
    let artifact = |kind| ContentTag::Artifact(Artifact::with_kind(kind));
    let tag = match &piece.kind {
        Kind::Line => ContentTag::Span(SpanTag::empty()),
        Kind::Words(words) => {
            ContentTag::Span(SpanTag::empty().with_actual_text(Some(words.as_str())))
        }
        Kind::Picture => ContentTag::Other,
        Kind::Decoration => artifact(ArtifactType::Layout),
        Kind::Running => artifact(ArtifactType::PaginationOther),
    };
    let is_told = !matches!(piece.kind, Kind::Decoration | Kind::Running);
    let identifier = surface.start_tagged(tag);

    if matches!(piece.kind, Kind::Line | Kind::Running) {
        let mut line = Line::default();
        for mark in &piece.marks {
            line.add(surface, mark);
        }
        line.end(surface);
    } else {
        // Letters of a picture are its lines, not words to be read.
        for mark in &piece.marks {
            self::mark(surface, mark);
        }
    }
    surface.end_tagged();
    is_told.then_some(identifier)
}

/// A line of text in the making. Signs of the music font are painted as outlines, and a blank of
/// the text font about as wide carries what they are, so that `A♭7` is one word of one font to
/// whoever copies it, searches it or hears it.
#[derive(Default)]
struct Line {
    text: String,
    glyphs: Vec<KrillaGlyph>,
    /// The font, its size, the ink and the place of the letters so far.
    of: Option<(Face, f32, Ink, At)>,
    /// Where the last letter ends.
    end: f32,
}

impl Line {
    fn add(&mut self, surface: &mut Surface<'_>, of: &Mark) {
        match of {
            Mark::Text {
                text,
                face,
                at,
                size,
                anchor,
                ink,
            } => {
                let left = anchor.left(at.x, font::width(*face, text) * size);
                let follows = self.of.is_some_and(|(before, other, of, place)| {
                    (before, other, of, place.y) == (*face, *size, *ink, at.y)
                });
                if follows {
                    // What stands between is part of the letter before.
                    if let Some(last) = self.glyphs.last_mut() {
                        last.x_advance += (left - self.end) / size;
                    }
                } else {
                    let pending = self.of.is_none().then(|| std::mem::take(&mut self.text));
                    self.end(surface);
                    self.text = pending.unwrap_or_default();
                    self.of = Some((*face, *size, *ink, At::from_xy(left, at.y)));
                }
                self.letters(*face, text);
                self.end = left + font::width(*face, text) * size;
            }
            Mark::Glyph { glyph, .. } => {
                mark(surface, of);
                if let Some(sign) = glyph.unicode() {
                    let from = self.text.len();
                    self.text.push_str(sign);
                    self.carry(*glyph, from);
                }
            }
            Mark::Line { .. } | Mark::Rect { .. } => mark(surface, of),
        }
    }

    /// Adds the blank that carries a sign; a sign without one is told with the letter before it.
    fn carry(&mut self, glyph: Glyph, from: usize) {
        let Some((face, ..)) = self.of else {
            return;
        };

        match (blank(glyph), self.glyphs.last_mut()) {
            (Some(blank), _) => self.glyphs.push(KrillaGlyph {
                glyph_id: id(face, blank),
                text_range: from..self.text.len(),
                // As long as nothing follows; letters that do say where they begin.
                x_advance: 0.0,
                x_offset: 0.0,
                y_offset: 0.0,
                y_advance: 0.0,
                location: None,
            }),
            (None, Some(last)) => last.text_range.end = self.text.len(),
            (None, None) => {}
        }
    }

    /// Adds the letters of a text, each at its kerned place.
    fn letters(&mut self, face: Face, text: &str) {
        let places: Vec<_> = font::places(face, text).collect();
        // Signs before the first letter are told with it.
        let mut from = if self.glyphs.is_empty() {
            0
        } else {
            self.text.len()
        };

        for (place, (sign, start, end)) in places.iter().enumerate() {
            let next = places.get(place + 1).map_or(*end, |(_, start, _)| *start);
            self.text.push(*sign);
            self.glyphs.push(KrillaGlyph {
                glyph_id: id(face, *sign),
                text_range: from..self.text.len(),
                x_advance: next - start,
                x_offset: 0.0,
                y_offset: 0.0,
                y_advance: 0.0,
                location: None,
            });
            from = self.text.len();
        }
    }

    /// Paints the letters so far.
    fn end(&mut self, surface: &mut Surface<'_>) {
        let Self {
            text, glyphs, of, ..
        } = std::mem::take(self);
        if let Some((face, size, ink, at)) = of {
            surface.set_stroke(None);
            surface.set_fill(Some(fill(ink)));
            let font = FONTS[face as usize].clone();
            surface.draw_glyphs(at, &glyphs, font, &text, size, false);
        }
    }
}

/// Paints a mark with lines and outlines alone.
fn mark(surface: &mut Surface<'_>, mark: &Mark) {
    match mark {
        Mark::Line {
            from,
            to,
            thickness,
            ink,
        } => {
            let mut path = PathBuilder::new();
            path.move_to(from.x, from.y);
            path.line_to(to.x, to.y);
            if let Some(path) = path.finish() {
                surface.set_fill(None);
                surface.set_stroke(Some(stroke(*ink, *thickness)));
                surface.draw_path(&path);
            }
        }
        Mark::Rect {
            at,
            width,
            height,
            ink,
        } => {
            let mut path = PathBuilder::new();
            if let Some(rect) = Rect::from_xywh(at.x, at.y, *width, *height) {
                path.push_rect(rect);
            }
            if let Some(path) = path.finish() {
                surface.set_stroke(None);
                surface.set_fill(Some(fill(*ink)));
                surface.draw_path(&path);
            }
        }
        Mark::Text { ink, .. } => outlined(surface, &mark.outline(), *ink, 0.0),
        Mark::Glyph { ink, stroke, .. } => outlined(surface, &mark.outline(), *ink, *stroke),
    }
}

/// The blank of the text font that carries a sign; no other text uses these.
const fn blank(glyph: Glyph) -> Option<char> {
    Some(match glyph {
        Glyph::SymbolFlat => '\u{2004}',
        Glyph::SymbolSharp => '\u{2005}',
        Glyph::SymbolNatural => '\u{205F}',
        Glyph::SymbolDoubleSharp => '\u{2000}',
        Glyph::SymbolDoubleFlat => '\u{2002}',
        _ => return None,
    })
}

fn id(face: Face, sign: char) -> GlyphId {
    // A sign that the font lacks shows as the font's empty box, and is read as itself.
    GlyphId::new(u32::from(font::number(face, sign).unwrap_or(0)))
}

fn outlined(surface: &mut Surface<'_>, segments: &[Segment], ink: Ink, bold: f32) {
    let mut path = PathBuilder::new();

    for segment in segments {
        match segment {
            Segment::Move(to) => path.move_to(to.x, to.y),
            Segment::Line(to) => path.line_to(to.x, to.y),
            Segment::Curve(one, other, to) => {
                path.cubic_to(one.x, one.y, other.x, other.y, to.x, to.y);
            }
            Segment::Close => path.close(),
        }
    }
    if let Some(path) = path.finish() {
        surface.set_stroke((bold > 0.0).then(|| stroke(ink, bold)));
        surface.set_fill(Some(fill(ink)));
        surface.draw_path(&path);
    }
}

/// The colours on white paper; their contrast stands at the drawn pages: 17.2, 7.0 and 1.7.
fn colour(ink: Ink) -> rgb::Color {
    match ink {
        Ink::Plain | Ink::Accent => rgb::Color::new(0x1D, 0x1B, 0x18),
        Ink::Quiet => rgb::Color::new(0x5E, 0x58, 0x4F),
        Ink::Rule => rgb::Color::new(0xCF, 0xC7, 0xB8),
        Ink::Paper => rgb::Color::white(),
    }
}

fn fill(ink: Ink) -> Fill {
    Fill {
        paint: colour(ink).into(),
        rule: FillRule::NonZero,
        ..Fill::default()
    }
}

fn stroke(ink: Ink, width: f32) -> Stroke {
    Stroke {
        paint: colour(ink).into(),
        width,
        ..Stroke::default()
    }
}

/// The headings, for a reader's list of contents.
fn outline(document: &Document) -> Outline {
    let mut outline = Outline::new();

    for (words, page, top) in document.headings() {
        let to = XyzDestination::new(page, At::from_xy(0.0, top * POINT));
        outline.push_child(OutlineNode::new(words, to));
    }

    outline
}

/// Turns a node of the tree into a tag; `None` where nothing of it is told.
fn tagged(
    document: &Document,
    node: &Node,
    identifiers: &mut [Vec<Option<Identifier>>],
) -> Option<krilla::tagging::Node> {
    match node {
        Node::Piece { page, piece } => {
            Some(identifiers.get_mut(*page)?.get_mut(*piece)?.take()?.into())
        }
        Node::Part(meaning, nodes) => {
            let children: Vec<_> = nodes
                .iter()
                .filter_map(|node| tagged(document, node, identifiers))
                .collect();
            let group = match meaning {
                Meaning::Section => TagGroup::with_children(Tag::Section, children),
                Meaning::Heading(level) => {
                    let level = NonZeroU16::new(*level).unwrap_or(NonZeroU16::MIN);
                    TagGroup::with_children(Tag::Hn(level, Some(document.words(node))), children)
                }
                Meaning::Paragraph => TagGroup::with_children(Tag::P, children),
                Meaning::Figure(words) => {
                    TagGroup::with_children(Tag::Figure(Some(words.clone())), children)
                }
                Meaning::Table(words) => {
                    TagGroup::with_children(Tag::Table.with_summary(Some(words.clone())), children)
                }
                Meaning::Row => TagGroup::with_children(Tag::TR, children),
                Meaning::ColumnHead => {
                    TagGroup::with_children(Tag::TH(TableHeaderScope::Column), children)
                }
                Meaning::RowHead => {
                    TagGroup::with_children(Tag::TH(TableHeaderScope::Row), children)
                }
                Meaning::Cell => TagGroup::with_children(Tag::TD, children),
            };
            Some(group.into())
        }
    }
}
