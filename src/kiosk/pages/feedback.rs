//! Practice: what was asked beside what was done, why, and what may be heard or tried again.

pub(super) mod body;

use num_traits::ToPrimitive;

use crate::engraving::symbol::{self, Setting};
use crate::engraving::{Anchor, Face, Ink, Point, text};
use crate::exam::form::Task;
use crate::kiosk::act::Act;
use crate::kiosk::model::Kiosk;
use crate::kiosk::paper::{KEYS, Role};
use crate::kiosk::seat::Seat;
use crate::kiosk::sheet::{Button, Sheet, TARGET, Type, wrapped};
use crate::kiosk::words::{Words, fill};
use crate::marking::item::Marked;
use crate::marking::reason::capital;
use crate::sitting::review::Review;
use crate::sitting::{Prompt, Sitting};
use crate::theory::Chord;
use crate::theory::symbol::Style;
use crate::time::Time;

/// Reasons at most; a run has many.
const REASONS: usize = 3;

/// Returns what a character does.
pub fn sign(sign: char) -> Option<Act> {
    match sign {
        '1' | ' ' => Some(Act::HearAsked),
        '2' => Some(Act::HearOwn),
        '3' => Some(Act::Again),
        _ => None,
    }
}

pub(super) fn draw(sheet: &mut Sheet<Act>, kiosk: &Kiosk, seat: &Seat) {
    let paper = sheet.paper;
    let mut kept = seat.looked.borrow_mut();
    // Nothing moves on it: it is drawn once.
    if let Some(page) = kept.as_ref().filter(|page| page.paper == paper) {
        sheet.clone_from(page);
        return;
    }
    let Some(review) = seat.sitting().review() else {
        return;
    };

    page(sheet, kiosk, seat, &review);
    *kept = Some(sheet.clone());
}

fn page(sheet: &mut Sheet<Act>, kiosk: &Kiosk, seat: &Seat, review: &Review<'_>) {
    let paper = sheet.paper;
    let words = kiosk.setup.words;
    let prompt = if review.is_rehearsal {
        Prompt::Again(review.item.number)
    } else {
        Prompt::Item(review.item.number)
    };
    super::heading(sheet, kiosk, seat, prompt, review.item);

    let top = told(sheet, seat, words, review);
    let buttons = buttons(sheet, seat, words, review);
    let figures = figures(sheet, seat, words, review, buttons);
    let compare = top + paper.size(Role::Lead) * 0.6;
    let is_ear = matches!(review.item.task, Task::Ear(_));
    if !paper.is_folded() && !is_ear {
        sheet.imperative(words.compare, compare + paper.size(Role::Lead) * 0.4);
    }
    body::draw(sheet, seat.sitting(), words, review, (top, figures));
}

/// The chord in the margin, and the reasons in words; returns the height below.
fn told(sheet: &mut Sheet<Act>, seat: &Seat, words: &Words, review: &Review<'_>) -> f32 {
    let paper = sheet.paper;
    let folded = paper.is_folded();
    let reasons = review.marked.reasons();
    let is_right = credit(review) >= 1.0;
    let is_ear = matches!(review.item.task, Task::Ear(_));
    let first = reasons.first().map_or("", String::as_str);
    let role = if folded { Role::Lead } else { Role::Title };
    let size = paper.size(role);
    let width = paper.x(KEYS) - paper.left();
    let (title, rest) = match first.split_once(": ") {
        _ if is_right => (words.all_right.to_owned(), Some(first.to_owned())),
        // The rows below tell it better.
        _ if is_ear => (words.another_way.to_owned(), None),
        _ if text::width(first, Face::Regular, size) <= width => (first.to_owned(), None),
        Some((title, rest)) => (title.to_owned(), Some(capital(rest))),
        None => (words.another_way.to_owned(), Some(first.to_owned())),
    };
    let chord = match &review.item.task {
        Task::Voicing(task) => Some(task.chord),
        Task::Spell(task) => Some(task.chord),
        _ => None,
    };

    let y = if folded {
        paper.y(96.0) + size * 1.25
    } else {
        paper.y(216.0)
    };
    let mut x = paper.left();
    if let Some(chord) = chord {
        let end = margin_symbol(sheet, seat.sitting().exam().style, chord, y);
        if folded {
            x = end + size * 0.5;
        }
    }
    let lines = wrapped(&title, Face::Regular, size, paper.x(KEYS) - x);
    sheet.say(&title);
    let mut y = y;
    for line in &lines {
        let _ = sheet.write_unsaid(line, x, y, Type::of(role));
        y += paper.line(role);
    }
    y += paper.line(Role::Text) * 1.15 - paper.line(role);
    let count = if is_ear { 0 } else { REASONS };
    let more = rest.iter().chain(reasons.iter().skip(1)).take(count);
    for reason in more {
        if folded {
            sheet.say(reason);
        } else {
            y = sheet.wrap(reason, paper.left(), y, width, Type::of(Role::Text));
        }
    }

    y - paper.line(Role::Text) * if folded { 0.8 } else { 0.4 }
}

/// The symbol in the margin, or before the title where it is folded in; returns its right edge.
pub(super) fn margin_symbol(sheet: &mut Sheet<Act>, style: Style, chord: Chord, y: f32) -> f32 {
    let paper = sheet.paper;
    let folded = paper.is_folded();
    let room = if folded { 14.0 } else { 8.4 } * paper.key();
    let mut size = paper.size(Role::Title) * if folded { 1.1 } else { 1.5 };
    let mut drawing = symbol::layout(chord, Setting::new(style, size));
    if drawing.width > room {
        size *= room / drawing.width;
        drawing = symbol::layout(chord, Setting::new(style, size));
    }

    sheet.say(&drawing.words);
    sheet.put(&drawing, Point::new(paper.x(0.0), y), 1.0);
    paper.x(0.0) + drawing.width
}

/// What an exam would give, and the time used, above a height; returns the height above them.
fn figures(
    sheet: &mut Sheet<Act>,
    seat: &Seat,
    words: &Words,
    review: &Review<'_>,
    bottom: f32,
) -> f32 {
    let paper = sheet.paper;
    let exam = if review.is_rehearsal {
        words.rehearsed.to_owned()
    } else {
        credit_words(words, credit(review))
    };
    let time = time_words(seat.sitting(), words, review);
    let step = paper.line(Role::Text);

    if paper.is_folded() {
        let line = match time {
            Some(time) => format!("{} · {time}", capital(&exam)),
            None => capital(&exam),
        };
        let y = bottom - step * 0.35;
        let quiet = Type::of(Role::Text).ink(Ink::Quiet);
        let _ = sheet.write(&line, paper.x(0.0), y, quiet);
        return y - step * 0.9;
    }
    let mut rows = vec![(words.in_the_exam, exam)];
    rows.extend(time.map(|time| (words.your_time, time)));
    let mut y = bottom - paper.y(36.0) - step * 1.3 * (rows.len() as f32 - 1.0);
    let above = y - step * 1.2;
    for (label, text) in rows {
        sheet.label(label, y);
        let _ = sheet.write(&text, paper.left(), y, Type::of(Role::Text));
        y += step * 1.3;
    }

    above
}

fn credit(review: &Review<'_>) -> f64 {
    review
        .marked
        .credit()
        .and_then(|credit| credit.to_f64())
        .unwrap_or(0.0)
}

pub(super) fn credit_words(words: &Words, credit: f64) -> String {
    let named = [
        (0.0, words.no_mark),
        (0.25, words.quarter_mark),
        (0.5, words.half_mark),
        (0.75, words.three_quarters_mark),
        (1.0, words.whole_mark),
    ];

    named
        .iter()
        .find(|(of, _)| (of - credit).abs() < 0.001)
        .map_or_else(
            || fill(words.part_mark, &[&format!("{:.0}", credit * 100.0)]),
            |(_, words)| (*words).to_owned(),
        )
}

pub(super) fn time_words(sitting: &Sitting, words: &Words, review: &Review<'_>) -> Option<String> {
    let used = match &review.marked {
        Marked::Voicing(marked) => marked.facts.complete,
        Marked::Ear(marked) => marked.at,
        Marked::Spell(marked) => marked.at,
        _ => None,
    }?;
    let factor = i64::from(sitting.allowance().factor);
    let limit = review.item.task.limit().scaled(factor, 100) + review.added;
    let tenths = (used.max(Time::ZERO).tenths() + 500) / 1_000;
    let used = format!("{}.{}", tenths / 10, tenths % 10);

    Some(fill(words.time_used, &[&used, &super::seconds(limit)]))
}

/// The boxes at the foot, in as many rows as they need; returns their upper edge.
fn buttons(sheet: &mut Sheet<Act>, seat: &Seat, words: &Words, review: &Review<'_>) -> f32 {
    let first = Button::at_foot(&sheet.paper, words.go_on, words.enter);
    let has_own = super::own::own(seat.sitting(), review).is_some();
    let own = match &review.item.task {
        task if task.for_hands() => words.hear_played,
        _ => words.hear_yours,
    };
    let offered = [
        (Some(words.hear_asked), "1", Act::HearAsked),
        (has_own.then_some(own), "2", Act::HearOwn),
        (Some(words.try_again), "3", Act::Again),
    ];
    let shown: Vec<_> = offered
        .iter()
        .filter_map(|(label, key, act)| Some(((*label)?, *key, *act)))
        .collect();

    boxes(sheet, shown, (first, Act::Go))
}

/// Boxes row by row from the left, the last row before the one to press; returns their upper edge.
pub(super) fn boxes(
    sheet: &mut Sheet<Act>,
    shown: Vec<(&str, &str, Act)>,
    (first, act): (Button<'_>, Act),
) -> f32 {
    let paper = sheet.paper;
    let folded = paper.is_folded();
    let height = paper.y(64.0).max(TARGET).max(paper.size(Role::Text) * 1.9);
    let gap = paper.y(16.0).max(8.0);
    let wide_first = wide(sheet, first.label, first.hint);
    let edge = paper.x(KEYS) - first.least.max(wide_first) - gap;
    let shown: Vec<_> = shown
        .into_iter()
        .map(|(label, key, act)| (label, if folded { "" } else { key }, act))
        .collect();

    // Row by row from the left; the last row ends before the box to go on.
    let mut rows: Vec<Vec<(&str, &str, Act)>> = vec![Vec::new()];
    let mut x = paper.x(0.0);
    for (label, key, act) in shown.into_iter().rev() {
        let width = wide(sheet, label, key) + gap;
        if x + width > edge && rows.last().is_some_and(|row| !row.is_empty()) {
            rows.push(Vec::new());
            x = paper.x(0.0);
        }
        x += width;
        if let Some(row) = rows.last_mut() {
            row.insert(0, (label, key, act));
        }
    }
    let top = first.y - (rows.len() as f32 - 1.0) * (height + gap);
    if !folded {
        sheet.rule(
            paper.x(0.0),
            paper.x(KEYS),
            top - paper.y(24.0),
            1.0,
            Ink::Quiet,
        );
    }
    for (place, row) in rows.into_iter().rev().enumerate() {
        let mut x = paper.x(0.0);
        for (label, hint, act) in row {
            let button = Button {
                label,
                hint,
                x,
                y: top + place as f32 * (height + gap),
                anchor: Anchor::Start,
                least: 0.0,
                is_first: false,
            };
            x = sheet.button(button, act) + gap;
        }
    }
    let _ = sheet.button(first, act);

    top - if folded { gap } else { paper.y(24.0) }
}

/// The width of a box with a label and a hint.
fn wide(sheet: &Sheet<Act>, label: &str, hint: &str) -> f32 {
    let size = sheet.paper.size(Role::Text);
    let pad = (size * 0.85).round();
    let apart = if hint.is_empty() { 0.0 } else { 2.0 * pad };

    text::width(label, Face::Bold, size) + text::width(hint, Face::Italic, size) + apart + 2.0 * pad
}
