//! A painter of drawings as SVG and as plain text, for eyes and for golden files.

use std::fmt::Write as _;

use viva_voicing::engraving::font::{self, Face, Segment};
use viva_voicing::engraving::{Anchor, Drawing, Ink, Mark, Point};

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

    for mark in &drawing.marks {
        paint(&mut out, mark);
    }
    out.push_str("</g>\n</svg>\n");
    out
}

fn colour(ink: Ink) -> &'static str {
    match ink {
        Ink::Plain => "#1D1B18",
        Ink::Quiet => "#5E584F",
        Ink::Accent => "#0F5257",
        Ink::Rule => "#CFC7B8",
        Ink::Paper => "#FAF7F0",
    }
}

fn paint(out: &mut String, mark: &Mark) {
    match mark {
        Mark::Line {
            from,
            to,
            thickness,
            ink,
        } => {
            let _ = writeln!(
                out,
                "<path d=\"M{} {}L{} {}\" stroke-width=\"{thickness}\" stroke=\"{}\"/>",
                from.x,
                from.y,
                to.x,
                to.y,
                colour(*ink)
            );
        }
        Mark::Rect {
            at,
            width,
            height,
            ink,
        } => {
            let _ = writeln!(
                out,
                "<rect x=\"{}\" y=\"{}\" width=\"{width}\" height=\"{height}\" fill=\"{}\"/>",
                at.x,
                at.y,
                colour(*ink)
            );
        }
        Mark::Glyph {
            glyph,
            at,
            size,
            stretch,
            stroke,
            ink,
        } => {
            let path = path(Face::Music, glyph.codepoint(), *at, (size * stretch, *size));
            let _ = writeln!(
                out,
                "<path d=\"{path}\" fill=\"{0}\" stroke=\"{0}\" stroke-width=\"{stroke}\"/>",
                colour(*ink)
            );
        }
        Mark::Text {
            text,
            face,
            at,
            size,
            anchor,
            ink,
        } => {
            let width = font::width(*face, text) * size;
            let left = at.x
                - match anchor {
                    Anchor::Start => 0.0,
                    Anchor::Middle => width / 2.0,
                    Anchor::End => width,
                };
            for (sign, start, _) in font::places(*face, text) {
                let at = Point::new(left + start * size, at.y);
                let path = path(*face, sign, at, (*size, *size));
                let _ = writeln!(out, "<path d=\"{path}\" fill=\"{}\"/>", colour(*ink));
            }
        }
    }
}

fn path(face: Face, sign: char, at: Point, size: (f32, f32)) -> String {
    let point = |p: Point| format!("{} {}", at.x + p.x * size.0, at.y + p.y * size.1);

    font::outline(face, sign)
        .unwrap_or_else(|| panic!("{face:?} has {sign}"))
        .into_iter()
        .map(|segment| match segment {
            Segment::Move(to) => format!("M{}", point(to)),
            Segment::Line(to) => format!("L{}", point(to)),
            Segment::Curve(a, b, to) => format!("C{} {} {}", point(a), point(b), point(to)),
            Segment::Close => "Z".to_owned(),
        })
        .collect()
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
