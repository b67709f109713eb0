//! The marks of a class as points on a scale, one for each sitting.

use crate::cohort::Exam;
use crate::engraving::text::{self, Hand};
use crate::engraving::{Anchor, Face, Ink, Mark, Point};
use crate::printing::page::Meaning;
use crate::printing::plan::Block;
use crate::printing::writer::{NOTE, Writer};

/// The side of a point and the room round it.
const SIDE: f32 = 4.0;
const STEP: f32 = 5.0;
/// The most points above each other before they are drawn smaller.
const MOST: usize = 16;
/// So many classes of marks has the scale: one a whole percent.
const CLASSES: usize = 101;

pub(super) fn marks<'a>(exam: &'a Exam, all: &mut Vec<Block<'a>>) {
    let counted: Vec<i64> = exam
        .rows
        .iter()
        .filter(|row| !row.void && !row.provisional)
        .filter_map(|row| row.percent)
        .collect();

    if counted.len() > 1 {
        all.push(Block::new(move |on| draw(on, &counted)));
    }
}

fn draw(on: &mut Writer, percents: &[i64]) {
    let (left, right) = (on.left(), on.right());
    let mut stacks = [0_usize; CLASSES];
    for percent in percents {
        stacks[usize::try_from(*percent).unwrap_or(0).min(CLASSES - 1)] += 1;
    }
    let highest = stacks.iter().copied().max().unwrap_or(0).max(1);
    let scale = (MOST as f32 / highest as f32).min(1.0);
    let height = STEP * scale * highest as f32 + 4.0;
    let bottom = on.y + height;
    let x = |percent: f32| left + (right - left) * percent / 100.0;
    let mut marks = vec![Mark::Line {
        from: Point::new(left, bottom),
        to: Point::new(right, bottom),
        thickness: 1.0,
        ink: Ink::Quiet,
    }];

    for tick in 0..=10 {
        let at = x(tick as f32 * 10.0);
        marks.push(Mark::Line {
            from: Point::new(at, bottom),
            to: Point::new(at, bottom + 4.0),
            thickness: 1.0,
            ink: Ink::Quiet,
        });
        if tick % 2 == 0 {
            let hand = Hand {
                face: Face::Regular,
                size: NOTE,
                anchor: Anchor::Middle,
                ink: Ink::Quiet,
            };
            let words = format!("{} %", tick * 10);
            marks.extend(text::marks(&words, hand, Point::new(at, bottom + 16.0)));
        }
    }
    for (percent, count) in stacks.iter().enumerate() {
        for place in 0..*count {
            let side = SIDE * scale;
            marks.push(Mark::Rect {
                at: Point::new(
                    x(percent as f32) - SIDE / 2.0,
                    bottom - 3.0 - side - place as f32 * STEP * scale,
                ),
                width: SIDE,
                height: side,
                ink: Ink::Plain,
            });
        }
    }
    let (least, most) = (percents.iter().min(), percents.iter().max());
    let said = format!(
        "{} marks on a scale, a point for each sitting, from {} to {} percent",
        percents.len(),
        least.copied().unwrap_or(0),
        most.copied().unwrap_or(0)
    );
    on.part(Meaning::Figure(said), |on| on.picture(marks));
    on.y = bottom + 20.0;
}
