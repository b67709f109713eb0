//! Bands across the page that are painted by themselves: what moves, row by row.

use iced::widget::canvas::{self, Canvas};
use iced::widget::pin;
use iced::{Element, Length, Rectangle, Renderer, Theme, Vector, mouse};

use super::{Message, paint};
use crate::engraving::Mark;
use crate::kiosk::paper::Paper;

/// A band with what moves in it.
pub(super) struct Band {
    top: f32,
    bottom: f32,
    marks: Vec<Mark>,
    cache: canvas::Cache,
}

/// Puts what moves into bands, and keeps those that are as they were.
pub(super) fn update(bands: &mut Vec<Band>, moving: &[Mark]) {
    let mut old = std::mem::take(bands);

    for (top, bottom) in rows(moving) {
        let marks: Vec<Mark> = moving
            .iter()
            .filter(|mark| {
                let bounds = mark.bounds();
                bounds.top >= top && bounds.bottom <= bottom
            })
            .cloned()
            .collect();
        // A band that is already there and wide enough stays where it is.
        let known = old
            .iter()
            .position(|band| band.top <= top && band.bottom >= bottom);
        match known.map(|place| old.swap_remove(place)) {
            Some(mut band) => {
                if band.marks != marks {
                    band.marks = marks;
                    band.cache.clear();
                }
                bands.push(band);
            }
            None => bands.push(Band {
                top,
                bottom,
                marks,
                cache: canvas::Cache::new(),
            }),
        }
    }
}

/// The rows that marks stand in, on whole pixels, each apart from the next.
fn rows(marks: &[Mark]) -> Vec<(f32, f32)> {
    let mut rows: Vec<(f32, f32)> = marks
        .iter()
        .map(Mark::bounds)
        .map(|bounds| ((bounds.top - 1.0).floor(), (bounds.bottom + 1.0).ceil()))
        .collect();
    rows.sort_by(|one, other| one.0.total_cmp(&other.0));
    let mut apart: Vec<(f32, f32)> = Vec::new();

    for (top, bottom) in rows {
        match apart.last_mut() {
            Some(last) if top <= last.1 => last.1 = last.1.max(bottom),
            _ => apart.push((top, bottom)),
        }
    }

    apart
}

impl Band {
    /// Shows the band in its place.
    pub(super) fn view<'a>(&'a self, paper: &'a Paper) -> Element<'a, Message> {
        let strip = Canvas::new(Strip { band: self, paper })
            .width(Length::Fill)
            .height(self.bottom - self.top);

        pin(strip).y(self.top).into()
    }
}

struct Strip<'a> {
    band: &'a Band,
    paper: &'a Paper,
}

impl canvas::Program<Message> for Strip<'_> {
    type State = ();

    fn draw(
        &self,
        (): &(),
        renderer: &Renderer,
        _: &Theme,
        bounds: Rectangle,
        _: mouse::Cursor,
    ) -> Vec<canvas::Geometry> {
        let painted = self.band.cache.draw(renderer, bounds.size(), |frame| {
            frame.translate(Vector::new(0.0, -self.band.top));
            paint::marks(frame, self.paper, &self.band.marks);
        });

        vec![painted]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engraving::{Ink, Point};

    fn rect(top: f32, bottom: f32, width: f32) -> Mark {
        Mark::Rect {
            at: Point::new(10.0, top),
            width,
            height: bottom - top,
            ink: Ink::Plain,
        }
    }

    #[test]
    fn rows_that_touch_are_one() {
        let marks = [
            rect(10.0, 20.0, 5.0),
            rect(400.0, 440.0, 5.0),
            rect(15.0, 30.0, 5.0),
        ];
        assert_eq!(rows(&marks), [(9.0, 31.0), (399.0, 441.0)]);
    }

    #[test]
    fn a_band_stays_where_only_its_marks_change() {
        let mut bands = Vec::new();
        update(
            &mut bands,
            &[rect(10.0, 20.0, 5.0), rect(400.0, 440.0, 5.0)],
        );
        update(&mut bands, &[rect(10.0, 20.0, 4.0)]);
        assert_eq!(bands.len(), 1);
        assert_eq!(bands[0].marks, [rect(10.0, 20.0, 4.0)]);
        update(&mut bands, &[]);
        assert!(bands.is_empty());
    }
}
