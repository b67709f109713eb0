//! Ear items with their key: what the examiner plays, as notes, and what is right.

use std::rc::Rc;

use super::ear::{Label, printed};
use super::group::{Group, SYMBOL, rows, small, under};
use super::{boxes, dictation};
use crate::engraving::grand::{self, Hands};
use crate::engraving::line::{self, Line};
use crate::engraving::staff::Options;
use crate::engraving::symbol::Setting;
use crate::engraving::{Anchor, Drawing, Face, words};
use crate::exam::form::{EarTask, Item, Task};
use crate::exam::script::{Ask, Kind, Motion, Stimulus};
use crate::marking::hearing::played;
use crate::printing::answers::{self, Strike};
use crate::printing::page::Meaning;
use crate::printing::plan::Block;
use crate::printing::words::{list, sentences};
use crate::printing::writer::{LINE, TEXT, Type, Writer};
use crate::theory::pitch::Pitch;
use crate::theory::progression::Placed;
use crate::theory::{Chord, Quality, symbol};

/// The distance of two staff lines.
const SPACE: f32 = 4.6;
/// The width of a staff with one chord, and the room of a line.
const STAFF: f32 = 104.0;
const LONG: f32 = 428.0;
/// The room of a chord of a line.
const CHORD: f32 = 68.0;
/// The size of symbols over a line, in staff spaces.
const SYMBOLS: f32 = 3.4;
/// The width of half a page, and what lies between the halves.
const HALF: f32 = 325.0;
const BETWEEN: f32 = 16.0;
/// The size of a symbol whose quality is as high as text.
const SETTING: f32 = 22.0;

pub(super) fn blocks<'a>(group: &Rc<Group<'a>>, all: &mut Vec<Block<'a>>) {
    let is_long = group.items.iter().any(|item| match &item.task {
        Task::Ear(task) => {
            task.is_played() || is_line(&answers::sounded(group.paper.exam, item, task))
        }
        _ => false,
    });
    let chunk = if is_long { 1 } else { 2 };

    rows(group, chunk, (heads, draw), all);
}

/// Tells whether several chords follow one another.
fn is_line(strikes: &[Strike]) -> bool {
    strikes
        .iter()
        .filter(|strike| strike.chord.is_some())
        .count()
        > 1
}

fn heads(on: &mut Writer, _: &Group<'_>) {
    under(on);
}

fn draw(on: &mut Writer, group: &Group<'_>, items: &[&Item]) {
    let (top, margin) = (on.y, on.margin());
    let mut bottom = top;

    for (place, item) in items.iter().enumerate() {
        on.y = top;
        let x = margin + place as f32 * (HALF + BETWEEN);
        on.part(Meaning::Section, |on| one(on, group, item, x));
        bottom = bottom.max(on.y);
    }
    on.y = bottom;
    under(on);
}

fn one(on: &mut Writer, group: &Group<'_>, item: &Item, x: f32) {
    let Task::Ear(task) = &item.task else {
        return;
    };
    let strikes = answers::sounded(group.paper.exam, item, task);
    let is_line = is_line(&strikes);
    let (drawing, width) = engraved(group, &strikes);
    let right = if is_line || task.is_played() {
        on.right()
    } else {
        x + HALF
    };
    let top = on.y;
    let staff = top + 10.0 + drawing.origin.y * SPACE;
    let text = x + SYMBOL + width + 16.0;
    let room = right - text;
    let first = top + 26.0;

    group.number(on, item, x, first);
    let said = format!("Sounded: {}", spoken(&strikes, &drawing));
    on.part(Meaning::Figure(said), |on| {
        on.draw(&drawing, x + SYMBOL, staff, SPACE);
    });
    let mut y = first;
    if let Some(chord) = printed(group, item) {
        group.symbol(on, chord, room, (text, y));
        y += LINE + 2.0;
    }
    y = answer(on, group, task, (text, y), room);
    let notes = sentences(&notes(group, item, task, &strikes));
    if !notes.is_empty() {
        y = small(on, &notes, (text, y + 15.0), room);
    }
    if group.is_marked() {
        y += 24.0;
        if task.is_played() {
            dictation::score(on, task.sound.strikes.len(), text, y);
        } else {
            score(on, task.asks.len().max(1), text, y);
        }
    }
    let under = staff + (drawing.height - drawing.origin.y) * SPACE;
    on.y = under.max(y + 5.0) + 9.0;
}

/// Where the examiner marks how many parts are right, and how often it was heard.
fn score(on: &mut Writer, parts: usize, x: f32, y: f32) {
    if parts > 2 {
        return dictation::score(on, parts, x, y);
    }
    boxes::figures(on, &boxes::down(parts, 0), "Right", x, y);
    let head = x + boxes::width(parts + 1) + 6.0;
    boxes::head(on, "right", head, y, Anchor::Start);
    let heard = head + 44.0;
    boxes::blank(on, heard, heard + 24.0, y);
    boxes::head(on, "heard", heard + 29.0, y, Anchor::Start);
}

/// The right options, bold; returns the baseline of the last.
fn answer(
    on: &mut Writer,
    group: &Group<'_>,
    task: &EarTask,
    (x, y): (f32, f32),
    room: f32,
) -> f32 {
    let style = group.paper.exam.style;
    let mut y = y;
    if task.right.len() > 2 || task.is_played() {
        let text = if task.is_played() {
            played::words(task, &task.steps())
        } else {
            dictated(task, style)
        };
        on.part(Meaning::Paragraph, |on| {
            let of = (Type::of(TEXT).face(Face::Bold), LINE);
            y = on.wrap(&text, x, y, room, of);
        });
        return y;
    }

    for (part, right) in task.right.iter().enumerate() {
        let Some(option) = task.options.get(part).and_then(|of| of.get(*right)) else {
            continue;
        };
        if part > 0 {
            y += LINE;
        }
        on.part(Meaning::Paragraph, |on| {
            match Label::of(task.asks.get(part).copied(), option, style) {
                Label::Quality(quality) => {
                    let setting = Setting {
                        bold: true,
                        ..Setting::new(style, SETTING)
                    };
                    on.quality(quality, setting, (x, y), Anchor::Start);
                }
                Label::Text(text) => {
                    let of = (Type::of(TEXT).face(Face::Bold), LINE);
                    y = on.wrap(&text, x, y, room, of);
                }
            }
        });
    }

    y
}

/// Bass and quality of each chord, in one line.
fn dictated(task: &EarTask, style: symbol::Style) -> String {
    let words = |part: usize| {
        let option = task.options.get(part)?.get(*task.right.get(part)?)?;
        Some(Label::of(task.asks.get(part).copied(), option, style).words(style))
    };
    let chords: Vec<String> = (0..task.right.len() / 2)
        .map(|chord| {
            let both: Vec<String> = [2 * chord, 2 * chord + 1]
                .into_iter()
                .filter_map(words)
                .collect();
            both.join("\u{a0}")
        })
        .collect();

    chords.join(", ")
}

/// What else is right, what the chord is, and how it is sounded.
fn notes(group: &Group<'_>, item: &Item, task: &EarTask, strikes: &[Strike]) -> Vec<String> {
    let style = group.paper.exam.style;
    let mut out = Vec::new();

    if task.is_played() {
        let motive = matches!(stimulus(group, item), Some(Stimulus::Motive { .. }));
        let how = if motive {
            "one after the other"
        } else {
            "as written"
        };
        return vec![format!("{how}; right in any octave")];
    }
    if task.asks.contains(&Ask::Quality)
        && let Some(chord) = strikes.last().and_then(|strike| strike.chord)
        && !is_line(strikes)
    {
        let name = symbol::words(chord.quality).unwrap_or_default();
        let comma = if name.is_empty() { "" } else { ", " };
        out.push(format!("{}{comma}{name}", symbol::print(chord, style)));
    }
    if strikes.len() > 1
        && strikes
            .first()
            .is_some_and(|first| first.pitches.len() == 1)
    {
        let first = strikes.first().and_then(|of| of.pitches.first());
        let name = first
            .map(|pitch| pitch.name.to_string())
            .unwrap_or_default();
        match stimulus(group, item) {
            Some(Stimulus::Interval { motion, .. }) => out.push(
                match motion {
                    Motion::Harmonic => "both at once",
                    Motion::Rising => "one after the other, the lower first",
                    Motion::Falling => "one after the other, the upper first",
                }
                .to_owned(),
            ),
            _ => out.push(format!("{name} alone first, then the chord")),
        }
    } else if let Some(Stimulus::Interval { .. }) = stimulus(group, item) {
        out.push("both at once".to_owned());
    }
    if let Some(Stimulus::Progression { .. }) = stimulus(group, item) {
        out.push("the tonic first, then a chord a second".to_owned());
    }
    let others: Vec<&String> = task
        .answers
        .iter()
        .zip(task.right.iter().zip(task.options.iter()))
        .flat_map(|(accepted, (right, options))| {
            let shown = options.get(*right);
            accepted
                .iter()
                .filter(move |text| Some(*text) != shown && text.chars().count() > 3)
        })
        .collect();
    let has_one_name = [Ask::Quality, Ask::Cadence]
        .iter()
        .any(|ask| task.asks.contains(ask));
    if !others.is_empty() && !has_one_name {
        out.push(list(&others));
    }

    out
}

fn stimulus<'a>(group: &Group<'a>, item: &Item) -> Option<&'a Stimulus> {
    match &group.section.kind {
        Kind::Ear(of) => of.cells.get(item.cell).map(|cell| &cell.stimulus),
        _ => None,
    }
}

/// Engraves what sounds; returns the drawing and the width of its staff in pixels.
fn engraved(group: &Group<'_>, strikes: &[Strike]) -> (Drawing, f32) {
    if is_melody(strikes) {
        return melody(group, strikes);
    }
    if !is_line(strikes) {
        // A root that sounds alone before its chord stands with it; that is told beside them.
        let mut pitches: Vec<Pitch> = Vec::new();
        for pitch in strikes.iter().flat_map(|strike| &strike.pitches) {
            if !pitches.contains(pitch) {
                pitches.push(*pitch);
            }
        }
        pitches.sort_by_key(|pitch| pitch.key);
        let options = Options {
            width: STAFF / SPACE,
            ..Options::default()
        };
        let drawing = grand::layout(&Hands::split(&pitches), &options);
        let width = (drawing.width - drawing.origin.x) * SPACE;
        return (drawing, width);
    }

    let mut placed = Vec::new();
    let mut hands = Vec::new();
    for strike in strikes {
        let Some(chord) = strike.chord else { continue };
        let bar = placed.len();
        placed.push(Placed {
            chord,
            bar,
            at_twelfths: 12 * bar as u32,
            twelfths: 12,
        });
        hands.push(Hands::split(&strike.pitches));
    }
    let width = (44.0 + CHORD * placed.len() as f32).min(LONG);
    let drawing = line::layout(&Line {
        chords: &placed,
        hands: &hands,
        bars: placed.len(),
        beats: 4,
        signature: 0,
        tempo: None,
        style: group.paper.exam.style,
        symbol: SYMBOLS,
        width: width / SPACE,
        current: None,
    })
    .drawing;

    (drawing, width)
}

/// Tells whether single notes follow one another.
fn is_melody(strikes: &[Strike]) -> bool {
    strikes.len() > 1 && strikes.iter().all(|strike| strike.pitches.len() == 1)
}

/// Engraves single notes one after the other in a bar, without symbols.
fn melody(group: &Group<'_>, strikes: &[Strike]) -> (Drawing, f32) {
    let count = strikes.len() as u32;
    let hands: Vec<Hands> = strikes
        .iter()
        .map(|strike| Hands::split(&strike.pitches))
        .collect();
    let placed: Vec<Placed> = (0..count)
        .zip(strikes)
        .map(|(place, strike)| Placed {
            chord: Chord::new(strike.pitches[0].name, Quality::MAJOR),
            bar: 0,
            at_twelfths: 12 * place / count,
            twelfths: 12 / count,
        })
        .collect();
    let width = STAFF + 22.0 * count.saturating_sub(2) as f32;
    let drawing = line::layout(&Line {
        chords: &placed,
        hands: &hands,
        bars: 1,
        beats: 4,
        signature: 0,
        tempo: None,
        style: group.paper.exam.style,
        symbol: 0.0,
        width: width / SPACE,
        current: None,
    })
    .drawing;

    (drawing, width)
}

fn spoken(strikes: &[Strike], drawing: &Drawing) -> String {
    if is_line(strikes) {
        return drawing.words.clone();
    }
    let each: Vec<String> = strikes
        .iter()
        .map(|strike| words::pitches(&strike.pitches))
        .collect();

    each.join("; then ")
}
