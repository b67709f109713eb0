//! Playing back: where it begins, how many steps have been taken, the strip of keys.

use crate::engraving::{Face, Ink};
use crate::exam::form::{EarTask, Item};
use crate::kiosk::act::Act;
use crate::kiosk::model::Kiosk;
use crate::kiosk::pages::{self, strip};
use crate::kiosk::paper::{KEYS, Role};
use crate::kiosk::seat::Seat;
use crate::kiosk::sheet::{Sheet, Type};
use crate::kiosk::words::fill;

/// Draws it; returns where the margin may go on.
pub(super) fn draw(
    sheet: &mut Sheet<Act>,
    kiosk: &Kiosk,
    seat: &Seat,
    item: &Item,
    task: &EarTask,
) -> f32 {
    let paper = sheet.paper;
    let words = kiosk.setup.words;
    let width = paper.x(KEYS) - paper.left();
    let top = if paper.is_folded() {
        let y = paper.y(96.0) + paper.size(Role::Lead) * 1.35;
        pages::lead(sheet, "", &item.prompt, y) - paper.line(Role::Lead) * 0.2
    } else {
        sheet.imperative(words.listen, paper.y(206.0));
        let lead = Type::of(Role::Lead);
        sheet.wrap(&item.prompt, paper.left(), paper.y(206.0), width, lead)
    };
    let quiet = Type::of(Role::Text).ink(Ink::Quiet);
    let below = if paper.is_folded() {
        sheet.say(words.back_text);
        top
    } else {
        sheet.wrap(words.back_text, paper.left(), top, width, quiet)
    };

    // How many have been taken, never which: nothing here tells right from wrong.
    let asked = task.sound.strikes.len();
    let taken = seat.taken(task);
    let text = fill(words.back_taken, &[&taken.to_string(), &asked.to_string()]);
    let y = below + paper.size(Role::Lead) * 1.3;
    let of = Type::of(Role::Lead).face(Face::Bold);
    let _ = sheet.write(&text, paper.left(), y, of);
    let y = y + paper.line(Role::Text) * 1.3;
    if !paper.is_folded() {
        let _ = sheet.wrap(words.back_again, paper.left(), y, width, quiet);
    }

    // With the pointer it is played on the strip.
    if seat.sitting().exam().rules.echo || kiosk.on_computer {
        let at = if paper.is_folded() { 760.0 } else { 820.0 };
        strip::draw(sheet, kiosk, paper.y(at), true);
    }

    paper.y(206.0) + paper.line(Role::Lead) * 1.2
}
