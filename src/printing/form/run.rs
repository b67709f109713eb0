//! Runs: the symbols over their bars, or with the key the notes of both hands, and the criteria.

use std::rc::Rc;

use super::boxes;
use super::group::{Group, Opening};
use super::systems::parted;
use crate::engraving::line::{self, Line};
use crate::engraving::{Anchor, Drawing};
use crate::exam::form::{Item, RunTask, Task};
use crate::exam::script::{Pace, Weights};
use crate::printing::answers;
use crate::printing::columns::{FALL, MEASURE, RISE};
use crate::printing::page::Meaning;
use crate::printing::plan::Block;
use crate::printing::words::{counted, hundredths, plain_seconds, sentences};
use crate::printing::writer::{LINE, NOTE, TEXT, Type, Writer};

/// The distance of two staff lines: of a line of beats, and of one with notes.
const SPACE: f32 = 6.4;
const NOTED: f32 = 5.0;
/// The least of either: where the line would not fit its page otherwise.
const LEAST: f32 = 4.0;
/// The size of symbols in staff spaces.
const SYMBOL: f32 = 3.9;
/// So high may one system be.
const HIGHEST: f32 = 220.0;
/// A line no higher than this is not parted.
const SHORT: f32 = 430.0;
/// From a system to the next.
const BETWEEN: f32 = 10.0;
/// The width of a line to write a count on.
const COUNT: f32 = 30.0;

pub(super) fn blocks<'a>(group: &Rc<Group<'a>>, weights: Weights, all: &mut Vec<Block<'a>>) {
    for (place, item) in group.items.iter().copied().enumerate() {
        let Task::Run(task) = &item.task else {
            continue;
        };
        let task: &RunTask = task;
        run(group, (place == 0, item, task), weights, all);
    }
}

fn run<'a>(
    group: &Rc<Group<'a>>,
    (is_first, item, task): (bool, &'a Item, &'a RunTask),
    weights: Weights,
    all: &mut Vec<Block<'a>>,
) {
    let (systems, space) = engraved(group, task);
    let parts = together(systems, space);
    let last = parts.len().saturating_sub(1);

    for (place, systems) in parts.into_iter().enumerate() {
        let group = Rc::clone(group);
        let block = Block::new(move |on: &mut Writer| {
            on.part(Meaning::Section, |on| {
                if place == 0 && is_first {
                    group.open(on);
                }
                if place == 0 {
                    asked(on, &group, item, task);
                }
                for system in &systems {
                    draw(on, system, space);
                }
                if place == last && group.is_marked() {
                    marks(on, task, weights);
                }
            });
        });
        all.push(if place == 0 { block } else { block.tight() });
    }
}

/// Systems that stand on one page together: all of a short line, of a long one each by itself.
fn together(systems: Vec<Drawing>, space: f32) -> Vec<Vec<Drawing>> {
    let height: f32 = systems
        .iter()
        .map(|system| system.height * space + BETWEEN)
        .sum();

    if height <= SHORT {
        vec![systems]
    } else {
        systems.into_iter().map(|system| vec![system]).collect()
    }
}

/// The item's name and what is asked, in sentences.
fn asked(on: &mut Writer, group: &Group<'_>, item: &Item, task: &RunTask) {
    let (margin, left) = (on.margin(), on.left());
    let baseline = on.y + RISE;
    let id = match group.opening {
        Opening::Unmarked => "not marked".to_owned(),
        Opening::Section | Opening::Spare => item.number.to_string(),
    };

    on.part(Meaning::Paragraph, |on| {
        let _ = on.write(&id, margin, baseline, Type::of(TEXT).quiet());
    });
    on.part(Meaning::Paragraph, |on| {
        let of = (Type::of(TEXT), LINE);
        on.y = on.wrap(&words(item, task), left, baseline, MEASURE, of) + FALL;
    });
}

/// What is asked of the hands and how fast; the chords stand in the line.
fn words(item: &Item, task: &RunTask) -> String {
    let asked = item.prompt.split_once(": ").map_or("", |(_, asked)| asked);
    let form = asked.rsplit_once("; ").map_or(asked, |(form, _)| form);
    let look = |look: crate::time::Time| match look.tenths() {
        0 => String::new(),
        _ => format!("{} seconds to look first", plain_seconds(look)),
    };
    let (pace, look) = match task.pace {
        Pace::Tempo {
            tempo,
            bars_in,
            metronome,
            look: before,
        } => (
            format!(
                "In tempo, {} beats a minute; {} counted in{}",
                hundredths(i64::from(tempo)),
                counted(bars_in as usize, "bar", "bars"),
                if metronome {
                    ", and the metronome goes on"
                } else {
                    ", then no metronome"
                }
            ),
            look(before),
        ),
        Pace::Free {
            limit,
            look: before,
        } => (
            format!(
                "In the candidate’s own time, {} seconds a chord at most",
                plain_seconds(limit)
            ),
            look(before),
        ),
    };

    let bass = if task.with_bass {
        "The examiner plays the root of each chord in the bass on its beat".to_owned()
    } else {
        String::new()
    };

    sentences(&[form.to_owned(), pace, bass, look])
}

/// Engraves a line as large as each of its systems has room, and parts it.
fn engraved(group: &Group<'_>, task: &RunTask) -> (Vec<Drawing>, f32) {
    let placed = answers::placed(task);
    let hands = if group.paper.key {
        answers::run(task)
    } else {
        Vec::new()
    };
    let tempo = match task.pace {
        Pace::Tempo { tempo, .. } if tempo % 100 == 0 => u16::try_from(tempo / 100).ok(),
        _ => None,
    };
    let mut space = if hands.is_empty() { SPACE } else { NOTED };

    loop {
        let systems = parted(&line::layout(&Line {
            chords: &placed,
            hands: &hands,
            bars: answers::bars(task),
            beats: 4,
            signature: 0,
            tempo,
            style: group.paper.exam.style,
            symbol: SYMBOL,
            width: MEASURE / space,
            current: None,
        }));
        let fits = systems.iter().all(|of| of.height * space <= HIGHEST);
        if fits || space <= LEAST {
            return (systems, space);
        }
        space = (space * 0.94).max(LEAST);
    }
}

fn draw(on: &mut Writer, system: &Drawing, space: f32) {
    let left = on.left();
    let staff = on.y + BETWEEN + system.origin.y * space;

    on.part(Meaning::Figure(system.words.clone()), |on| {
        on.draw(system, left, staff, space);
    });
    on.y = staff + (system.height - system.origin.y) * space + 2.0;
}

/// Lines and boxes for the criteria that count.
fn marks(on: &mut Writer, task: &RunTask, weights: Weights) {
    let mut x = on.left();
    let y = on.y + 28.0;
    let chords = task.chords.len();
    let is_free = matches!(task.pace, Pace::Free { .. });
    // Where any voicing will do, neither the form nor the way to it is marked.
    let asked = |weight: u32| if task.lines.is_empty() { 0 } else { weight };
    let counts = [
        ("harmony", weights.harmony),
        ("voicing", asked(weights.voicing)),
    ];
    let leading = asked(weights.leading);
    let steps = [
        ("leading", leading),
        ("readiness", if is_free { weights.readiness } else { 0 }),
        ("time", if is_free { 0 } else { weights.time }),
    ];

    for (name, _) in counts.into_iter().filter(|(_, weight)| *weight > 0) {
        boxes::head(on, name, x, y, Anchor::Start);
        x += width(name) + 6.0;
        boxes::blank(on, x, x + COUNT, y);
        x += COUNT + 5.0;
        let of = format!("of {chords}");
        on.part(Meaning::Paragraph, |on| {
            x = on.write(&of, x, y, Type::of(NOTE).quiet()) + 20.0;
        });
    }
    for (name, _) in steps.into_iter().filter(|(_, weight)| *weight > 0) {
        boxes::head(on, name, x, y, Anchor::Start);
        x += width(name) + 6.0;
        boxes::figures(on, &boxes::down(4, 1), "Step", x, y);
        x += boxes::width(4) + 20.0;
    }
    on.y = y + 10.0;
}

fn width(name: &str) -> f32 {
    crate::engraving::text::width(name, crate::engraving::Face::Italic, NOTE)
}
