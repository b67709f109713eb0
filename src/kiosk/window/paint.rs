//! Paints marks on a canvas: every letter and sign as an outline of the embedded fonts.

use iced::widget::canvas::{self, Frame, Path, Stroke};
use iced::{Color, Point, Size, Vector};

use crate::engraving::font::{self, Segment};
use crate::engraving::{Anchor, Face, Ink, Mark};
use crate::kiosk::paper::Paper;

/// Paints marks in their order.
pub(super) fn marks(frame: &mut Frame, paper: &Paper, marks: &[Mark]) {
    for mark in marks {
        paint(frame, paper, mark);
    }
}

/// Returns the colour of an ink.
pub(super) fn colour(paper: &Paper, ink: Ink) -> Color {
    let [red, green, blue] = paper.colour(ink);

    Color::from_rgb8(red, green, blue)
}

fn paint(frame: &mut Frame, paper: &Paper, mark: &Mark) {
    match mark {
        Mark::Line {
            from,
            to,
            thickness,
            ink,
        } => {
            let path = Path::line(Point::new(from.x, from.y), Point::new(to.x, to.y));
            let stroke = Stroke::default()
                .with_width(*thickness)
                .with_color(colour(paper, *ink));
            frame.stroke(&path, stroke);
        }
        Mark::Rect {
            at,
            width,
            height,
            ink,
        } => {
            // Edges on whole pixels, so that rules are crisp.
            let (left, top) = (at.x.round(), at.y.round());
            let right = (at.x + width).round().max(left + 1.0_f32.min(*width));
            let bottom = (at.y + height).round().max(top + 1.0_f32.min(*height));
            if right > left && bottom > top {
                frame.fill_rectangle(
                    Point::new(left, top),
                    Size::new((right - left).max(1.0), (bottom - top).max(1.0)),
                    colour(paper, *ink),
                );
            }
        }
        Mark::Glyph {
            glyph,
            at,
            size,
            stretch,
            stroke,
            ink,
        } => {
            let Some(segments) = font::outline(Face::Music, glyph.codepoint()) else {
                return;
            };
            let path = path(&segments, Vector::new(at.x, at.y), (size * stretch, *size));
            frame.fill(&path, colour(paper, *ink));
            if *stroke > 0.0 {
                let bold = Stroke::default()
                    .with_width(*stroke)
                    .with_color(colour(paper, *ink));
                frame.stroke(&path, bold);
            }
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
            let left = match anchor {
                Anchor::Start => at.x,
                Anchor::Middle => at.x - width / 2.0,
                Anchor::End => at.x - width,
            };
            let mut builder = canvas::path::Builder::new();
            for (sign, start, _) in font::places(*face, text) {
                if let Some(segments) = font::outline(*face, sign) {
                    let at = Vector::new(left + start * size, at.y);
                    draw(&mut builder, &segments, at, (*size, *size));
                }
            }
            frame.fill(&builder.build(), colour(paper, *ink));
        }
    }
}

fn path(segments: &[Segment], at: Vector, size: (f32, f32)) -> Path {
    let mut builder = canvas::path::Builder::new();
    draw(&mut builder, segments, at, size);

    builder.build()
}

fn draw(
    builder: &mut canvas::path::Builder,
    segments: &[Segment],
    at: Vector,
    (width, height): (f32, f32),
) {
    let place = |point: &crate::engraving::Point| {
        Point::new(at.x + point.x * width, at.y + point.y * height)
    };

    for segment in segments {
        match segment {
            Segment::Move(to) => builder.move_to(place(to)),
            Segment::Line(to) => builder.line_to(place(to)),
            Segment::Curve(one, other, to) => {
                builder.bezier_curve_to(place(one), place(other), place(to));
            }
            Segment::Close => builder.close(),
        }
    }
}
