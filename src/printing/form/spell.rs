//! Spelling: a staff to write on and a line for each note, or with the key what is right.

use std::rc::Rc;

use super::boxes;
use super::group::{Group, ROOM, SYMBOL, out_of, rows, under};
use crate::engraving::staff::{self, Clef, Options};
use crate::engraving::text::width;
use crate::engraving::{Anchor, Face};
use crate::exam::form::{Item, SpellTask, Task};
use crate::printing::answers;
use crate::printing::columns::INDENT;
use crate::printing::page::Meaning;
use crate::printing::plan::Block;
use crate::printing::writer::{NOTE, TEXT, Type, Writer};

/// The distance of two staff lines, and the width of the staff in pixels.
const SPACE: f32 = 5.4;
const STAFF: f32 = 146.0;
/// From the staff to the lines, and a line's room at most.
const APART: f32 = 20.0;
const TONE: f32 = 62.0;
/// The room of the mark: a line and what it is out of.
const MARK: f32 = 84.0;
/// The least height of a row.
const ROW: f32 = 62.0;

pub(super) fn blocks<'a>(group: &Rc<Group<'a>>, all: &mut Vec<Block<'a>>) {
    rows(group, 2, (heads, draw), all);
}

fn heads(on: &mut Writer, group: &Group<'_>) {
    if group.is_marked() {
        let (x, y) = (on.right() - MARK + 8.0, on.y + 12.0);
        boxes::head(on, "right", x, y, Anchor::Start);
        on.y += 18.0;
    }
    under(on);
}

fn draw(on: &mut Writer, group: &Group<'_>, items: &[&Item]) {
    for item in items {
        if let Task::Spell(task) = &item.task {
            on.part(Meaning::Section, |on| one(on, group, item, task));
            under(on);
        }
    }
}

fn one(on: &mut Writer, group: &Group<'_>, item: &Item, task: &SpellTask) {
    let (margin, right, top) = (on.margin(), on.right(), on.y);
    let all = answers::tones(task);
    // The root is given; it stands there for all.
    let shown = if group.paper.key { all.len() } else { 1 };
    let drawing = staff::layout(
        &all[..shown.min(all.len())],
        Clef::Treble,
        &Options {
            width: STAFF / SPACE,
            ..Options::default()
        },
    );
    let height = ROW.max(drawing.height * SPACE + 18.0);
    let staff_top = top + (height - drawing.height * SPACE) / 2.0 + drawing.origin.y * SPACE;
    let baseline = staff_top + 2.0 * SPACE + 7.0;

    group.number(on, item, margin, baseline);
    group.symbol(on, task.chord, ROOM, (margin + SYMBOL, baseline));
    let said = if group.paper.key {
        format!("Right: {}", drawing.words)
    } else {
        format!("A staff to write on; given is {}", drawing.words)
    };
    on.part(Meaning::Figure(said), |on| {
        on.draw(&drawing, margin + INDENT, staff_top, SPACE);
    });
    let start = margin + INDENT + STAFF + APART;
    let tones = task.tones.len().max(1) as f32;
    let column = ((right - MARK - start) / tones).min(TONE);
    for (place, (degree, names)) in task.tones.iter().enumerate() {
        let x = start + place as f32 * column;
        let end = x + column - 10.0;
        let middle = f32::midpoint(x, end);
        if group.paper.key || place == 0 {
            let names: Vec<String> = names.iter().map(ToString::to_string).collect();
            accepted(on, &names, (middle, baseline), column - 8.0);
        }
        if place > 0 {
            boxes::blank(on, x, end, baseline);
        }
        let words = degree.words();
        let size = NOTE * ((column - 4.0) / width(words, Face::Italic, NOTE)).min(1.0);
        on.part(Meaning::Paragraph, |on| {
            let of = Type::label(size).anchor(Anchor::Middle);
            let _ = on.write(words, middle, baseline + 17.0, of);
        });
    }
    if group.is_marked() {
        let x = right - MARK + 8.0;
        boxes::blank(on, x, x + 30.0, baseline);
        let of = out_of(task.tones.len().saturating_sub(1));
        on.part(Meaning::Paragraph, |on| {
            let _ = on.write(&of, x + 35.0, baseline, Type::of(NOTE).quiet());
        });
    }
    on.y = top + height;
}

/// The names that are right, the strict one first; smaller where there are several.
fn accepted(on: &mut Writer, names: &[String], (x, y): (f32, f32), room: f32) {
    let text = names.join(" or ");
    let size = TEXT * (room / width(&text, Face::Regular, TEXT)).min(1.0);

    on.part(Meaning::Paragraph, |on| {
        let _ = on.write(&text, x, y, Type::of(size).anchor(Anchor::Middle));
    });
}
