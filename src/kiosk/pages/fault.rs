//! Something has broken down: the clock stands, in plain words.

use crate::engraving::{Face, Glyph, Ink, Mark, Point};
use crate::exam::form::Task;
use crate::kiosk::act::Act;
use crate::kiosk::invigilator::SUSPENDED;
use crate::kiosk::model::Kiosk;
use crate::kiosk::paper::{KEYS, Role};
use crate::kiosk::seat::{Phase, Seat};
use crate::kiosk::sheet::{Button, Sheet, Type, wrapped};
use crate::kiosk::words::{Words, fill};
use crate::sitting::Prompt;
use crate::time::Time;

/// The size of the fermata, as on a page of 1,080 pixels.
const FERMATA: f32 = 72.0;
/// The width of a title in keys, where two lines of it are enough.
const NARROW: f32 = 26.0;

/// The clock stands still.
pub(super) fn stopped(sheet: &mut Sheet<Act>, kiosk: &Kiosk, seat: &Seat, by_person: bool) {
    let words = kiosk.setup.words;
    let room = seat.room();
    let (imperative, title, text) = if is_suspended(seat) {
        ("", words.suspended_title, words.suspended_text)
    } else if by_person {
        (words.wait, words.paused_title, words.paused_text)
    } else if room.has_keyboard() {
        (words.check_sound, words.no_sound, words.no_sound_text)
    } else {
        (words.check_cable, words.no_keyboard, words.no_keyboard_text)
    };

    held(sheet, kiosk, seat);
    let y = display(sheet, imperative, title, text);
    let paper = sheet.paper;
    if !by_person && !paper.is_folded() {
        let quiet = Type::of(Role::Text).ink(Ink::Quiet);
        let y = y + paper.y(16.0);
        let width = paper.x(KEYS) - paper.left();
        let _ = sheet.wrap(words.raise_hand, paper.left(), y, width, quiet);
    }
    let top = paper.y(if paper.is_folded() { 800.0 } else { 790.0 });
    if !room.has_keyboard() && y < top {
        super::strip::draw(sheet, kiosk, top, false);
    }
    let next = match seat.held.map(|held| held.prompt) {
        Some(prompt) => match (seat.sitting().item(prompt).map(|item| &item.task), prompt) {
            (Some(Task::Run(_)), _) => words.next_run_again,
            (_, Prompt::Item(_)) => words.next_replaced,
            _ => words.next_same,
        },
        None => words.next_same,
    };
    sheet.foot(words.next, next);
    if is_suspended(seat) {
        let button = Button::at_foot(&sheet.paper, words.go_on, words.enter);
        let _ = sheet.button(button, Act::Go);
    }
}

/// Tells whether the clock stands still because the computer was suspended.
pub(super) fn is_suspended(seat: &Seat) -> bool {
    matches!(&seat.phase, Phase::Stopped { reason, .. } if reason == SUSPENDED)
}

/// Nothing can be kept any more.
pub(super) fn not_kept(sheet: &mut Sheet<Act>, words: &Words, why: &str) {
    sheet.header("", "");
    let y = display(sheet, words.wait, words.not_kept, words.not_kept_text);
    reason(sheet, y, why);
}

/// Something keeps the exam from beginning.
pub(super) fn trouble(sheet: &mut Sheet<Act>, words: &Words, why: &str) {
    sheet.header("", "");
    let y = display(sheet, words.wait, words.not_kept, words.raise_hand);
    reason(sheet, y, why);
    sheet.foot("", "");
    let _ = sheet.button(
        Button::at_foot(&sheet.paper, words.close, words.enter),
        Act::Go,
    );
}

/// For whoever mends it: why, as far as there is room.
fn reason(sheet: &mut Sheet<Act>, y: f32, why: &str) {
    let paper = sheet.paper;
    let quiet = Type::of(Role::Text).ink(Ink::Quiet);
    let width = paper.x(KEYS) - paper.left();
    let size = paper.size(Role::Text);
    let step = paper.line(Role::Text);
    let lines = wrapped(why, quiet.face, size, width);

    sheet.say(why);
    for (place, line) in lines.iter().enumerate() {
        let y = y + paper.y(16.0) + place as f32 * step;
        if y + size * 0.3 < paper.y(940.0) {
            let _ = sheet.write_unsaid(line, paper.left(), y, quiet);
        }
    }
}

/// The header of what was open, its time held: a fermata stands on the end of the rule.
fn held(sheet: &mut Sheet<Act>, kiosk: &Kiosk, seat: &Seat) {
    let paper = sheet.paper;
    let words = kiosk.setup.words;
    let open = seat
        .held
        .and_then(|held| Some((held, seat.sitting().item(held.prompt)?)));

    match open {
        Some((held, item)) => super::heading(sheet, kiosk, seat, held.prompt, item),
        None => super::header(sheet, kiosk, &seat.sitting().exam().title),
    }
    let left = open.and_then(|(held, _)| held.left);
    let share = match left {
        Some((left, of)) if of > Time::ZERO => {
            (left.tenths().max(0) as f32 / of.tenths() as f32).clamp(0.0, 1.0)
        }
        _ => 1.0,
    };
    if let Some((left, _)) = left {
        sheet.time(share);
        let whole = (left.tenths().max(0) + 9_999) / 10_000;
        let time = match whole {
            1 => words.second_left.to_owned(),
            whole => fill(words.seconds_left, &[&whole.to_string()]),
        };
        sheet.time_words(&fill(words.held_at, &[&time]));
    }
    let glyph = Glyph::Fermata;
    let size = paper.y(FERMATA);
    let ink = glyph.bounds();
    let middle = (ink.left + ink.right) / 2.0 * size;
    let half = (ink.right - ink.left) / 2.0 * size;
    let (from, to) = (paper.x(0.0), paper.x(KEYS));
    let x = (from + (to - from) * share).clamp(from + half, to - half) - middle;
    sheet.marks.push(Mark::Glyph {
        glyph,
        at: Point::new(x, paper.y(96.0) - paper.y(8.0) - ink.bottom * size),
        size,
        stretch: 1.0,
        stroke: 0.0,
        ink: Ink::Plain,
    });
}

fn display(sheet: &mut Sheet<Act>, imperative: &str, title: &str, text: &str) -> f32 {
    let paper = sheet.paper;
    let wide = paper.right() - paper.left();
    // Two even lines are read more easily than a long and a short one.
    let narrow = NARROW * paper.key();
    let size = paper.size(Role::Display);
    let lines = wrapped(title, Face::Regular, size, narrow).len();
    let width = if lines <= 2 && !paper.is_folded() {
        narrow
    } else {
        wide
    };
    let y = paper.y(if paper.is_folded() { 350.0 } else { 340.0 });

    sheet.imperative(imperative, y);
    let y = sheet.wrap(title, paper.left(), y, width, Type::of(Role::Display));
    let lead = paper.line(Role::Lead) * if paper.is_folded() { 1.2 } else { 1.6 };
    let y = y - paper.line(Role::Display) + lead;
    sheet.wrap(text, paper.left(), y, width, Type::of(Role::Lead))
}
