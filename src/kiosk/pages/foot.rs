//! The foot of a page: what comes next, and the box to press, which never meet.

use crate::engraving::{Face, Ink, Point, text};
use crate::kiosk::act::Act;
use crate::kiosk::paper::{KEYS, Role};
use crate::kiosk::sheet::{Button, Sheet, Type};
use crate::kiosk::words::Words;

/// Writes what comes next, as much of it as there is room for beside the boxes.
pub(super) fn draw(sheet: &mut Sheet<Act>, words: &Words, next: &str, boxes: &[(Button<'_>, Act)]) {
    let paper = sheet.paper;
    let size = paper.size(Role::Text);
    let mut right = paper.x(KEYS);
    let first = sheet.targets.len();

    for (button, act) in boxes {
        let button = Button {
            x: right,
            ..*button
        };
        let _ = sheet.button(button, *act);
        if let Some(drawn) = sheet.targets.last() {
            right = drawn.bounds.left - 0.75 * paper.key();
        }
    }
    // The focus goes from left to right.
    sheet.targets[first..].reverse();

    sheet.rule(paper.x(0.0), paper.x(KEYS), paper.y(952.0), 1.0, Ink::Quiet);
    if next.is_empty() {
        return;
    }
    // Large text stands on the line of the boxes.
    let y = if paper.is_folded() {
        paper.y(1017.0) + 0.34 * size
    } else {
        paper.y(1016.0)
    };
    let quiet = Type::of(Role::Text).face(Face::Italic).ink(Ink::Quiet);
    let label = text::width(words.next, quiet.face, size);
    let mut x = paper.left().max(paper.x(0.0) + label + paper.key());
    let width = |next: &str| text::width(next, Face::Regular, size);
    let mut next = next;

    // What follows a semicolon or a comma is the first to go, then the label.
    for end in ["; ", ", "] {
        if x + width(next) > right {
            next = next.split_once(end).map_or(next, |(first, _)| first);
        }
    }
    if x + width(next) > right {
        x = paper.x(0.0);
    } else {
        let _ = sheet.write(words.next, paper.x(0.0), y, quiet);
    }
    let scale = ((right - x) / width(next)).min(1.0);
    if scale < 0.6 {
        return;
    }
    let drawing = text::layout(next, Face::Regular, size);
    sheet.say(next);
    sheet.put(&drawing, Point::new(x, y), scale);
}

/// The foot of a leaf: on to the next one, and to what comes after the last, and other boxes beside it
/// where there are some.
pub(super) fn leaf(
    sheet: &mut Sheet<Act>,
    words: &Words,
    (leaf, count): (usize, usize),
    next: &str,
    last: (Button<'_>, Act),
    beside: &[(Button<'_>, Act)],
) {
    let paper = sheet.paper;
    let earlier = Button {
        is_first: false,
        least: 0.0,
        ..Button::at_foot(&paper, words.earlier, "")
    };
    let on = Button::at_foot(&paper, words.go_on, words.enter);
    let back = (earlier, Act::Turn(leaf.saturating_sub(1)));

    let ahead = if leaf + 1 < count {
        (on, Act::Turn(leaf + 1))
    } else {
        last
    };
    let back = (leaf > 0).then_some(back);
    let boxes: Vec<_> = std::iter::once(ahead)
        .chain(beside.iter().copied())
        .chain(back)
        .collect();

    draw(sheet, words, next, &boxes);
}
