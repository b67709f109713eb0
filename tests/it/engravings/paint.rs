//! A painter of drawings as SVG and as plain text, for eyes and for golden files.

use std::fmt::Write as _;

use viva_voicing::engraving::{Drawing, Ink, Mark};

use crate::svg;

/// Paints a drawing with outlines alone, so that no font need be installed; `scale` is pixels a
/// unit.
pub(super) fn svg(drawing: &Drawing, scale: f32) -> String {
    let margin = 1.0;
    let width = (drawing.width + 2.0 * margin) * scale;
    let height = (drawing.height + 2.0 * margin) * scale;
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}\" height=\"{height}\">\n\
         <title>{}</title>\n<rect width=\"100%\" height=\"100%\" fill=\"#FAF7F0\"/>\n\
         <g transform=\"scale({scale}) translate({margin} {margin})\">\n",
        drawing.words
    );

    out += &svg::marks(&drawing.marks, colour);
    out.push_str("</g>\n</svg>\n");
    out
}

fn colour(ink: Ink) -> String {
    match ink {
        Ink::Plain => "#1D1B18",
        Ink::Quiet => "#5E584F",
        Ink::Accent => "#0F5257",
        Ink::Rule => "#CFC7B8",
        Ink::Paper => "#FAF7F0",
    }
    .to_owned()
}

/// Writes a drawing down, a mark a line, in hundredths of a unit.
pub(super) fn text(drawing: &Drawing) -> String {
    let mut out = format!(
        "{:.2} × {:.2}, origin {:.2} {:.2}: {}\n",
        drawing.width, drawing.height, drawing.origin.x, drawing.origin.y, drawing.words
    );

    for mark in &drawing.marks {
        let _ = match mark {
            Mark::Line {
                from,
                to,
                thickness,
                ink,
            } => writeln!(
                out,
                "  line {:.2} {:.2} to {:.2} {:.2}, {thickness:.2} thick, {ink:?}",
                from.x, from.y, to.x, to.y
            ),
            Mark::Rect {
                at,
                width,
                height,
                ink,
            } => writeln!(
                out,
                "  rect {:.2} {:.2}, {width:.2} × {height:.2}, {ink:?}",
                at.x, at.y
            ),
            Mark::Glyph {
                glyph,
                at,
                size,
                stroke,
                ink,
                ..
            } => writeln!(
                out,
                "  {} {:.2} {:.2}, size {size:.2}, stroke {stroke:.2}, {ink:?}",
                glyph.name(),
                at.x,
                at.y
            ),
            Mark::Text {
                text,
                face,
                at,
                size,
                anchor,
                ink,
            } => writeln!(
                out,
                "  “{text}” {:.2} {:.2}, {face:?} {size:.2}, {anchor:?}, {ink:?}",
                at.x, at.y
            ),
        };
    }

    out
}
