//! Marks painted as SVG, with outlines alone, so that no font need be installed.

use std::fmt::Write as _;

use viva_voicing::engraving::font;
use viva_voicing::engraving::{Ink, Mark, Segment};

/// Paints marks, each in the colour of its ink.
pub(crate) fn marks<'a>(
    marks: impl IntoIterator<Item = &'a Mark>,
    colour: impl Fn(Ink) -> String,
) -> String {
    let mut out = String::new();

    for mark in marks {
        let _ = match mark {
            Mark::Line {
                from,
                to,
                thickness,
                ink,
            } => writeln!(
                out,
                "<path d=\"M{} {}L{} {}\" stroke-width=\"{thickness}\" stroke=\"{}\"/>",
                from.x,
                from.y,
                to.x,
                to.y,
                colour(*ink)
            ),
            Mark::Rect {
                at,
                width,
                height,
                ink,
            } => writeln!(
                out,
                "<rect x=\"{}\" y=\"{}\" width=\"{width}\" height=\"{height}\" fill=\"{}\"/>",
                at.x,
                at.y,
                colour(*ink)
            ),
            Mark::Glyph { stroke, ink, .. } => writeln!(
                out,
                "<path d=\"{}\" fill=\"{1}\" stroke=\"{1}\" stroke-width=\"{stroke}\"/>",
                path(mark),
                colour(*ink)
            ),
            Mark::Text {
                text, face, ink, ..
            } => {
                for sign in text.chars() {
                    assert!(font::has(*face, sign), "{face:?} has no {sign:?}");
                }
                writeln!(
                    out,
                    "<path d=\"{}\" fill=\"{}\"/>",
                    path(mark),
                    colour(*ink)
                )
            }
        };
    }

    out
}

fn path(mark: &Mark) -> String {
    mark.outline()
        .into_iter()
        .map(|segment| match segment {
            Segment::Move(to) => format!("M{:.3} {:.3}", to.x, to.y),
            Segment::Line(to) => format!("L{:.3} {:.3}", to.x, to.y),
            Segment::Curve(a, b, to) => format!(
                "C{:.3} {:.3} {:.3} {:.3} {:.3} {:.3}",
                a.x, a.y, b.x, b.y, to.x, to.y
            ),
            Segment::Close => "Z".to_owned(),
        })
        .collect()
}
