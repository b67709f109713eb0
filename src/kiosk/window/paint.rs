//! Paints marks on a canvas: every letter and sign as an outline of the embedded fonts.

use iced::widget::canvas::{self, Frame, Path, Stroke};
use iced::{Color, Point, Size};

use crate::engraving::{self, Ink, Mark, Segment};
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
        Mark::Glyph { stroke, ink, .. } => {
            let path = path(mark);
            frame.fill(&path, colour(paper, *ink));
            if *stroke > 0.0 {
                let bold = Stroke::default()
                    .with_width(*stroke)
                    .with_color(colour(paper, *ink));
                frame.stroke(&path, bold);
            }
        }
        Mark::Text { ink, .. } => frame.fill(&path(mark), colour(paper, *ink)),
    }
}

fn path(mark: &Mark) -> Path {
    let place = |point: engraving::Point| Point::new(point.x, point.y);
    let mut builder = canvas::path::Builder::new();

    for segment in mark.outline() {
        match segment {
            Segment::Move(to) => builder.move_to(place(to)),
            Segment::Line(to) => builder.line_to(place(to)),
            Segment::Curve(one, other, to) => {
                builder.bezier_curve_to(place(one), place(other), place(to));
            }
            Segment::Close => builder.close(),
        }
    }

    builder.build()
}
