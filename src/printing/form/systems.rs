//! A line of chords parted into its systems, so that a page may end between two of them.

use crate::engraving::line::Engraved;
use crate::engraving::{Bounds, Drawing, Mark, Point};

/// Parts a line; each system's origin is the left end of its first top line.
pub(super) fn parted(engraved: &Engraved) -> Vec<Drawing> {
    let Engraved { drawing, bars } = engraved;
    let mut staves: Vec<(f32, f32, usize)> = Vec::new();
    for bar in bars {
        match staves.last_mut() {
            Some((top, _, count)) if (*top - bar.top).abs() < 0.5 => *count += 1,
            _ => staves.push((bar.top, bar.bottom, 1)),
        }
    }

    // A system ends in the middle of the widest room between its staff and the next one.
    let mut ends: Vec<f32> = staves
        .windows(2)
        .map(|pair| widest(&drawing.marks, pair[0].1, pair[1].0))
        .collect();
    ends.push(f32::INFINITY);

    let mut said = drawing.words.split(". bar ").enumerate();
    let mut from = f32::NEG_INFINITY;
    staves
        .iter()
        .zip(ends)
        .map(|((top, _, count), end)| {
            let marks: Vec<Mark> = drawing
                .marks
                .iter()
                .filter(|mark| (from..end).contains(&middle(mark)))
                .cloned()
                .collect();
            let words: Vec<String> = said
                .by_ref()
                .take(*count)
                .map(|(place, words)| match place {
                    0 => words.to_owned(),
                    _ => format!("bar {words}"),
                })
                .collect();
            from = end;
            boxed(marks, (drawing.origin.x, *top), words.join(". "))
        })
        .collect()
}

fn middle(mark: &Mark) -> f32 {
    let bounds = mark.bounds();

    (bounds.top + bounds.bottom) / 2.0
}

/// The middle of the widest level strip between two heights that no mark reaches into.
fn widest(marks: &[Mark], from: f32, to: f32) -> f32 {
    let mut taken: Vec<(f32, f32)> = marks
        .iter()
        .map(Mark::bounds)
        .filter(|bounds| bounds.bottom > from && bounds.top < to)
        .map(|bounds| (bounds.top, bounds.bottom))
        .collect();
    taken.sort_by(|one, other| one.0.total_cmp(&other.0));

    let mut reached = from;
    let mut best = (0.0, (from + to) / 2.0);
    for (top, bottom) in taken.into_iter().chain([(to, to)]) {
        if top - reached > best.0 {
            best = (top - reached, (reached + top) / 2.0);
        }
        reached = reached.max(bottom);
    }

    best.1
}

fn boxed(marks: Vec<Mark>, (left, top): (f32, f32), words: String) -> Drawing {
    let all = marks.iter().map(Mark::bounds).reduce(Bounds::with);
    let (x, y, right, bottom) = all.map_or((left, top, left, top), |all| {
        (all.left, all.top, all.right, all.bottom)
    });

    Drawing {
        width: right - x,
        height: bottom - y,
        origin: Point::new(left - x, top - y),
        marks: marks
            .into_iter()
            .map(|mark| mark.moved(Point::new(-x, -y)))
            .collect(),
        words,
    }
}
