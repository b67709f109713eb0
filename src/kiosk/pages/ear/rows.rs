//! The answers of one question as rows, in as many columns as their room asks for.

use super::figure;
use crate::engraving::symbol::{self, Setting};
use crate::engraving::text;
use crate::engraving::{Anchor, Bounds, Drawing, Face, Ink, Point};
use crate::exam::form::EarTask;
use crate::exam::script::Ask;
use crate::kiosk::act::Act;
use crate::kiosk::model::Kiosk;
use crate::kiosk::paper::{Paper, Role};
use crate::kiosk::seat::Seat;
use crate::kiosk::sheet::{Sheet, TARGET, Type};
use crate::theory::interval::Interval;
use crate::theory::progression::{degree, numeral, parse_degree};
use crate::theory::symbol::{self as symbols, Style};
use crate::theory::{Degree, Quality};

/// Columns at most, and rows at their highest.
const COLUMNS: usize = 3;
const HIGHEST: f32 = 104.0;
/// The least height of a row as a share of its text, and how much larger a symbol is.
const LEAST: f32 = 1.25;
const SYMBOL: f32 = 1.5;

/// The answers of a question.
pub(super) struct Rows<'a> {
    part: usize,
    options: &'a [String],
    ask: Option<Ask>,
    chosen: Option<usize>,
    room: Bounds,
    is_ruled: bool,
}

/// How the names of all rows are set.
#[derive(Debug, Clone, Copy)]
struct Names {
    /// The size of the text.
    size: f32,
    /// Where the first name begins in its row.
    first: f32,
    /// Where the name in words begins; nowhere, where one row has no room for it.
    long: Option<f32>,
}

impl<'a> Rows<'a> {
    pub(super) fn of(
        seat: &Seat,
        task: &'a EarTask,
        part: usize,
        room: Bounds,
        is_ruled: bool,
    ) -> Self {
        Self {
            part,
            options: task.options.get(part).map_or(&[], Vec::as_slice),
            ask: task.asks.get(part).copied(),
            chosen: seat.answer.options.get(part).copied().flatten(),
            room,
            is_ruled,
        }
    }

    /// Finds room for the names of all rows alike, as wide as they are in bold.
    fn names(&self, kiosk: &Kiosk, paper: &Paper, size: f32, width: f32) -> Names {
        let style = kiosk.shelved().exam.style;
        let first = paper.key() + 2.0 * paper.key().max(size * 0.45);
        let both: Vec<(f32, f32)> = self
            .options
            .iter()
            .map(|option| {
                let (short, long) = named(self.ask, option);
                let drawing = short_drawing(self.ask, option, &short, style, size, true);
                let long = long.map_or(0.0, |long| text::width(&long, Face::Bold, size));
                (drawing.width, long)
            })
            .collect();
        let widest = |of: fn(&(f32, f32)) -> f32| both.iter().map(of).fold(0.0, f32::max);
        let (short, long) = (widest(|both| both.0), widest(|both| both.1));
        let usual = first + 8.0 * paper.key();
        let least = first + short + size * 0.6;
        let long = [usual.max(least), least]
            .into_iter()
            .find(|at| at + long <= width - 4.0);

        Names { size, first, long }
    }

    pub(super) fn draw(&self, sheet: &mut Sheet<Act>, kiosk: &Kiosk) {
        let paper = sheet.paper;
        let count = self.options.len().max(1);
        let height = self.room.bottom - self.room.top;
        let least = (paper.size(Role::Lead) * LEAST).max(TARGET);
        let fit = ((height / least).floor() as usize).max(1);
        let columns = count.div_ceil(fit).min(COLUMNS);
        let rows = count.div_ceil(columns);
        let row = (height / rows as f32).min(paper.y(HIGHEST));
        let gap = paper.key();
        let width =
            (self.room.right - self.room.left - gap * (columns as f32 - 1.0)) / columns as f32;
        // Where even three columns are too many rows, text gives way.
        let size = paper.size(Role::Lead).min(row / LEAST);

        let names = self.names(kiosk, &paper, size, width);
        for (place, option) in self.options.iter().enumerate() {
            let left = self.room.left + (place / rows) as f32 * (width + gap);
            let top = self.room.top + (place % rows) as f32 * row;
            let is_last = place % rows + 1 == rows || place + 1 == count;
            if place % rows == 0 && self.is_ruled {
                sheet.rule(left, left + width, top, 1.0, Ink::Quiet);
            }
            let ink = if is_last { Ink::Quiet } else { Ink::Rule };
            sheet.rule(left, left + width, top + row, 1.0, ink);
            let bounds = Bounds {
                left,
                top,
                right: left + width,
                bottom: top + row,
            };
            self.row(sheet, kiosk, place, option, bounds, names);
        }
    }

    fn row(
        &self,
        sheet: &mut Sheet<Act>,
        kiosk: &Kiosk,
        place: usize,
        option: &str,
        bounds: Bounds,
        Names { size, first, long }: Names,
    ) {
        let paper = sheet.paper;
        let is_chosen = self.chosen == Some(place);
        let ink = if is_chosen { Ink::Accent } else { Ink::Plain };
        let face = if is_chosen { Face::Bold } else { Face::Regular };
        let baseline = (bounds.top + bounds.bottom) / 2.0 + 0.34 * size;
        let style = kiosk.shelved().exam.style;
        let (short, long_name) = named(self.ask, option);
        let text = long_name.as_deref().unwrap_or(&short).to_owned();

        if is_chosen {
            let bar = 12.0;
            sheet.rect(
                bounds.left,
                bounds.top,
                bar,
                bounds.bottom - bounds.top,
                ink,
            );
        }
        let sign = Point::new(bounds.left + paper.key(), baseline);
        sized(sheet, figure(place), face, ink, size, sign);
        let drawing = short_drawing(self.ask, option, &short, style, size, is_chosen);
        let x = bounds.left + first;
        // Of the two names the short one stays where there is room for one.
        sheet.put(&drawing, Point::new(x, baseline), 1.0);
        sheet.say(&text);
        let mut end = x + drawing.width;
        if let Some((words, at)) = long_name.as_deref().zip(long) {
            let at = bounds.left + at;
            sized(sheet, words, face, ink, size, Point::new(at, baseline));
            end = at + text::width(words, face, size);
        }
        if is_chosen {
            yours(sheet, kiosk, &paper, bounds, baseline, end);
        }
        sheet.target(bounds, Act::Answer(self.part, place), &text);
    }
}

/// Writes that this is the answer, where there is room for it.
fn yours(
    sheet: &mut Sheet<Act>,
    kiosk: &Kiosk,
    paper: &Paper,
    bounds: Bounds,
    baseline: f32,
    end: f32,
) {
    let words = kiosk.setup.words.your_answer;
    let width = text::width(words, Face::Italic, paper.size(Role::Text));
    let of = Type::of(Role::Text)
        .face(Face::Italic)
        .ink(Ink::Accent)
        .anchor(Anchor::End);

    if end + paper.key() + width <= bounds.right {
        let _ = sheet.write_unsaid(words, bounds.right - 8.0, baseline, of);
    }
    sheet.say(words);
}

fn sized(sheet: &mut Sheet<Act>, words: &str, face: Face, ink: Ink, size: f32, at: Point) {
    let mut drawing = text::layout(words, face, size);
    for mark in &mut drawing.marks {
        mark.set_ink(ink);
    }
    sheet.put(&drawing, at, 1.0);
}

/// What is printed first in a row: a symbol, or a short name.
fn short_drawing(
    ask: Option<Ask>,
    option: &str,
    short: &str,
    style: Style,
    size: f32,
    is_chosen: bool,
) -> Drawing {
    let (ink, face) = if is_chosen {
        (Ink::Accent, Face::Bold)
    } else {
        (Ink::Plain, Face::Regular)
    };

    if let Some(quality) = quality(ask, option) {
        let setting = Setting {
            bold: is_chosen,
            ink,
            ..Setting::new(style, size * SYMBOL)
        };
        // A major triad is written without any sign.
        let drawing = symbol::quality(quality, setting);
        if !drawing.marks.is_empty() {
            return drawing;
        }
    }
    let mut drawing = text::layout(short, face, size);
    for mark in &mut drawing.marks {
        mark.set_ink(ink);
    }
    drawing
}

fn quality(ask: Option<Ask>, option: &str) -> Option<Quality> {
    ask.filter(|ask| matches!(ask, Ask::Quality))
        .and_then(|_| symbols::parse_quality(option).ok())
}

/// Returns the short name of an option as printed, and its name in words where it has another.
pub(in crate::kiosk::pages) fn named(ask: Option<Ask>, option: &str) -> (String, Option<String>) {
    let both = match ask {
        Some(Ask::Quality) => quality(ask, option).and_then(symbols::words).map(|words| {
            let short = if option == words { "" } else { option };
            (short.to_owned(), words.to_owned())
        }),
        Some(Ask::Interval) => {
            Interval::parse(option).map(|of| (of.short().to_owned(), of.words().to_owned()))
        }
        Some(Ask::Tension) => Degree::parse(option)
            .ok()
            .map(|of| (of.to_string(), of.words().to_owned())),
        Some(Ask::Bass) => parse_degree(option).map(|above| {
            let (.., words) = degree(above);
            // An option in words has no numeral before them.
            let short = if option == words { "" } else { option };
            (numeral(short), words.to_owned())
        }),
        _ => None,
    };

    both.map_or_else(
        || (option.to_owned(), None),
        |(short, long)| (short, Some(long)),
    )
}
