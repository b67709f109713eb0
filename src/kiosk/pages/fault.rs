//! Something has broken down: the clock stands, in plain words.

use crate::engraving::{Glyph, Ink, Mark, Point};
use crate::kiosk::act::Act;
use crate::kiosk::invigilator::SUSPENDED;
use crate::kiosk::model::Kiosk;
use crate::kiosk::paper::{KEYS, Role};
use crate::kiosk::seat::{Phase, Seat};
use crate::kiosk::sheet::{Button, Sheet, Type};
use crate::kiosk::words::{Words, fill};

/// The clock stands still.
pub(super) fn stopped(sheet: &mut Sheet<Act>, kiosk: &Kiosk, seat: &Seat, by_person: bool) {
    let words = kiosk.setup.words;
    let room = seat.room();
    let (title, text) = if is_suspended(seat) {
        (words.suspended_title, words.suspended_text)
    } else if by_person {
        (words.paused_title, words.paused_text)
    } else if room.has_keyboard() {
        (words.no_sound, words.no_sound_text)
    } else {
        (words.no_keyboard, words.no_keyboard_text)
    };
    let header = seat.sitting().exam().title.clone();

    sheet.header(&header, &fill(words.candidate, &[&kiosk.candidate]));
    held(sheet);
    let imperative = if by_person || room.has_keyboard() {
        ""
    } else {
        words.check_cable
    };
    let y = display(sheet, imperative, title, text);
    if !by_person {
        let quiet = Type::of(Role::Text).ink(Ink::Quiet);
        let y = y + sheet.paper.y(16.0);
        let _ = sheet.write(words.raise_hand, sheet.paper.left(), y, quiet);
    }
    if !room.has_keyboard() {
        super::strip::draw(sheet, kiosk, sheet.paper.y(760.0), false);
    }
    sheet.foot(words.next, words.next_replaced);
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
    let y = display(sheet, "", words.not_kept, words.not_kept_text);
    let quiet = Type::of(Role::Text).ink(Ink::Quiet);
    let width = sheet.paper.x(KEYS) - sheet.paper.left();
    let _ = sheet.wrap(why, sheet.paper.left(), y, width, quiet);
}

/// Something keeps the exam from beginning.
pub(super) fn trouble(sheet: &mut Sheet<Act>, words: &Words, why: &str) {
    sheet.header("", "");
    let y = display(sheet, "", words.not_kept, words.raise_hand);
    let quiet = Type::of(Role::Text).ink(Ink::Quiet);
    let width = sheet.paper.x(KEYS) - sheet.paper.left();
    let _ = sheet.wrap(why, sheet.paper.left(), y, width, quiet);
    sheet.foot("", "");
    let _ = sheet.button(
        Button::at_foot(&sheet.paper, words.close, words.enter),
        Act::Go,
    );
}

/// A fermata on the end of the rule: it is held.
fn held(sheet: &mut Sheet<Act>) {
    let paper = sheet.paper;

    sheet.marks.push(Mark::Glyph {
        glyph: Glyph::Fermata,
        at: Point::new(paper.x(KEYS) - 2.5 * paper.key(), paper.y(90.0)),
        size: paper.y(72.0),
        stretch: 1.0,
        stroke: 0.0,
        ink: Ink::Plain,
    });
}

fn display(sheet: &mut Sheet<Act>, imperative: &str, title: &str, text: &str) -> f32 {
    let paper = sheet.paper;
    let width = paper.x(KEYS) - paper.left();
    let y = paper.y(370.0);

    sheet.imperative(imperative, y);
    let y = sheet.wrap(title, paper.left(), y, width, Type::of(Role::Display));
    let y = y - paper.line(Role::Display) + paper.line(Role::Lead) * 1.6;
    sheet.wrap(text, paper.left(), y, width, Type::of(Role::Lead))
}
