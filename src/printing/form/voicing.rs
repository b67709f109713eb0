//! Single chords: the symbol, what is asked, the answer on a grand staff, and the level.

use std::rc::Rc;

use super::boxes;
use super::group::{Group, ROOM, SYMBOL, rows, small, under};
use crate::engraving::staff::Options;
use crate::engraving::text::wrapped;
use crate::engraving::{Anchor, Face, grand};
use crate::exam::form::{Item, Task, VoicingTask};
use crate::printing::answers;
use crate::printing::columns::INDENT;
use crate::printing::page::Meaning;
use crate::printing::plan::Block;
use crate::printing::words::{list, sentence};
use crate::printing::writer::{LINE, TEXT, Type, Writer};
use crate::theory::voicing::{Hands, Voicing};

/// The distance of two staff lines, and the width of a staff in pixels.
const SPACE: f32 = 4.8;
const STAFF: f32 = 120.0;
/// Where the staff begins, from the margin.
const ASKED: f32 = 214.0;
/// The room of what is asked under the symbol, where the answer stands beside it.
const WORDS: f32 = 162.0;
/// Widths of the columns at the right, and what lies between them.
const SECONDS: f32 = 44.0;
const APART: f32 = 18.0;
/// More attempts than so many are written in figures.
const TRIES: usize = 3;
/// The height of a row without its answer, at least.
const ROW: f32 = 37.0;

pub(super) fn blocks<'a>(group: &Rc<Group<'a>>, all: &mut Vec<Block<'a>>) {
    if group.paper.key {
        rows(group, 1, (heads, keyed), all);
    } else {
        rows(group, 4, (heads, plain), all);
    }
}

/// Where the columns to be marked begin: tries, seconds, levels.
struct Columns {
    tries: f32,
    tries_width: f32,
    seconds: f32,
    levels: f32,
}

impl Columns {
    fn of(on: &Writer, group: &Group<'_>) -> Self {
        let tries = usize::from(group.paper.exam.rules.tries);
        let levels = on.right() - boxes::width(5);
        let seconds = levels - APART - SECONDS;
        let tries_width = boxes::width(tries.min(TRIES)).max(26.0);

        Self {
            tries: seconds - APART - tries_width,
            tries_width,
            seconds,
            levels,
        }
    }
}

fn heads(on: &mut Writer, group: &Group<'_>) {
    let y = on.y + 12.0;

    if group.is_marked() {
        let columns = Columns::of(on, group);
        boxes::head(on, "tries", columns.tries, y, Anchor::Start);
        boxes::head(on, "seconds", columns.seconds, y, Anchor::Start);
        boxes::head(on, "level", columns.levels, y, Anchor::Start);
        on.y += 18.0;
    }
    under(on);
}

fn marks(on: &mut Writer, group: &Group<'_>, y: f32) {
    if !group.is_marked() {
        return;
    }
    let columns = Columns::of(on, group);
    let tries = usize::from(group.paper.exam.rules.tries);

    if tries <= TRIES {
        let figures: Vec<String> = (1..=tries).map(|of| of.to_string()).collect();
        boxes::figures(on, &figures, "Tries", columns.tries, y);
    } else {
        let end = columns.tries + columns.tries_width;
        boxes::blank(on, columns.tries, end, y);
    }
    boxes::blank(on, columns.seconds, columns.seconds + SECONDS, y);
    boxes::figures(on, &boxes::down(4, 0), "Level", columns.levels, y);
}

fn request(item: &Item) -> &str {
    item.prompt
        .split_once(": ")
        .map_or(item.prompt.as_str(), |(_, request)| request)
}

fn plain(on: &mut Writer, group: &Group<'_>, items: &[&Item]) {
    let margin = on.margin();
    let columns = Columns::of(on, group);
    let end = if group.is_marked() {
        columns.tries - APART
    } else {
        on.right()
    };
    let room = end - margin - INDENT;

    for item in items {
        let Task::Voicing(task) = &item.task else {
            continue;
        };
        let top = on.y;
        let asked = sentence(request(item));
        let lines = wrapped(&asked, Face::Regular, TEXT, room).len();
        let room = balanced(&asked, lines, room);
        let height = ROW.max(lines as f32 * LINE + 14.0);
        let middle = top + height / 2.0;
        on.part(Meaning::Section, |on| {
            group.number(on, item, margin, middle + 5.0);
            group.symbol(on, task.chord, ROOM, (margin + SYMBOL, middle + 7.0));
            on.part(Meaning::Paragraph, |on| {
                let first = middle + 5.0 - (lines as f32 - 1.0) * LINE / 2.0;
                let of = (Type::of(TEXT), LINE);
                let _ = on.wrap(&asked, margin + INDENT, first, room, of);
            });
            marks(on, group, middle + 5.0);
        });
        on.y = top + height;
        under(on);
    }
}

/// The least room in which a text has as many lines: so they are of like length.
fn balanced(text: &str, lines: usize, room: f32) -> f32 {
    let mut least = room;
    while least > 60.0 && wrapped(text, Face::Regular, TEXT, least - 6.0).len() == lines {
        least -= 6.0;
    }

    least
}

fn keyed(on: &mut Writer, group: &Group<'_>, items: &[&Item]) {
    let (margin, right) = (on.margin(), on.right());

    for item in items {
        let Task::Voicing(task) = &item.task else {
            continue;
        };
        let hands = answers::voicing(task);
        let drawing = grand::layout(
            &hands,
            &Options {
                width: STAFF / SPACE,
                ..Options::default()
            },
        );
        let top = on.y;
        let over = drawing.origin.y * SPACE;
        let height = drawing.height * SPACE;
        let staff = top + 10.0 + over;
        let mut bottom = top + 10.0 + height;
        on.part(Meaning::Section, |on| {
            let first = top + 34.0;
            group.number(on, item, margin, first);
            group.symbol(on, task.chord, WORDS, (margin + SYMBOL, first));
            let at = (margin + SYMBOL, first + 20.0);
            bottom = bottom.max(small(on, &sentence(request(item)), at, WORDS));
            let said = format!("Asked: {}", drawing.words);
            on.part(Meaning::Figure(said), |on| {
                on.draw(&drawing, margin + ASKED, staff, SPACE);
            });
            marks(on, group, first);
            let also = also(task);
            if !also.is_empty() {
                let x = margin + ASKED + drawing.width * SPACE + 14.0;
                bottom = bottom.max(small(on, &also, (x, first + 26.0), right - x));
            }
        });
        on.y = bottom + 10.0;
        under(on);
    }
}

/// What is right too, in words.
fn also(task: &VoicingTask) -> String {
    let Voicing {
        equal,
        optional,
        open,
        doubling,
        ..
    } = &task.voicing;
    let mut out = Vec::new();

    if !equal.is_empty() {
        let shown: Vec<String> = equal.iter().take(4).map(degrees).collect();
        out.push(format!("Right too: {}", shown.join("; ")));
    }
    if !optional.is_empty() {
        let names: Vec<&str> = optional.iter().map(|degree| degree.words()).collect();
        out.push(format!("May be left out: {}", list(&names)));
    }
    if *open {
        out.push("Notes may lie further apart".to_owned());
    }
    if *doubling {
        out.push("The left hand may double at the octave".to_owned());
    }

    crate::printing::words::sentences(&out)
}

fn degrees(hands: &Hands) -> String {
    let hand = |degrees: &[crate::theory::Degree]| {
        let names: Vec<String> = degrees.iter().map(ToString::to_string).collect();
        names.join("\u{a0}")
    };

    match (hands.left.as_slice(), hands.right.as_slice()) {
        (left, []) => format!("left\u{a0}{}", hand(left)),
        ([], right) => format!("right\u{a0}{}", hand(right)),
        (left, right) => format!("left\u{a0}{}, right\u{a0}{}", hand(left), hand(right)),
    }
}
