//! The sign-in: the candidate's number, typed or from the list.

use crate::engraving::{Bounds, Face, Ink};
use crate::kiosk::act::Act;
use crate::kiosk::model::Kiosk;
use crate::kiosk::paper::Role;
use crate::kiosk::sheet::{Button, Sheet, TARGET, Type};
use crate::kiosk::words::fill;

/// Columns of the list.
const COLUMNS: usize = 4;

pub(super) fn draw(sheet: &mut Sheet<Act>, kiosk: &Kiosk, typed: &str, refused: Option<&str>) {
    let paper = sheet.paper;
    let words = kiosk.setup.words;

    sheet.header(&kiosk.shelved().exam.title, "");
    let text = refused.map_or_else(
        || words.type_number.to_owned(),
        |number| fill(words.not_on_list, &[number]),
    );
    let below = super::title(sheet, words.sign_in, words.your_number, &text);

    // A box for each sign, as on the slip.
    let side = paper.y(104.0).max(TARGET);
    let top = below + paper.y(4.0);
    let boxes = typed.chars().count().max(4);
    for place in 0..boxes {
        let left = paper.left() + place as f32 * (side + paper.y(8.0));
        let is_next = place == typed.chars().count();
        let bounds = Bounds {
            left,
            top,
            right: left + side,
            bottom: top + side,
        };
        sheet.outline(
            bounds,
            if is_next { 3.0 } else { 1.5 },
            if is_next { Ink::Accent } else { Ink::Quiet },
        );
        if let Some(sign) = typed.chars().nth(place) {
            let size = paper.size(Role::Title);
            let of = Type::of(Role::Title).anchor(crate::engraving::Anchor::Middle);
            let baseline = top + side / 2.0 + 0.34 * size;
            let _ = sheet.write_unsaid(&sign.to_string(), left + side / 2.0, baseline, of);
        }
    }
    sheet.say(typed);

    list(sheet, kiosk, typed, top + side + paper.y(40.0));
    sheet.foot(words.next, words.next_check);
    let button = Button::at_foot(&paper, words.sign_in, words.enter);
    let _ = sheet.button(button, Act::Go);
}

fn list(sheet: &mut Sheet<Act>, kiosk: &Kiosk, typed: &str, top: f32) {
    let paper = sheet.paper;
    let words = kiosk.setup.words;
    let roster = &kiosk.setup.roster;
    let row = paper.y(56.0).max(TARGET).max(paper.line(Role::Text));
    let rows = roster.len().div_ceil(COLUMNS).max(1);
    let fits = ((paper.y(940.0) - top) / row).floor().max(1.0) as usize;
    let shown = rows.min(fits);
    let width = (paper.right() - paper.left()) / COLUMNS as f32;

    for (place, number) in roster.iter().enumerate().take(shown * COLUMNS) {
        let (column, line) = (place / shown, place % shown);
        let left = paper.left() + column as f32 * width;
        let y = top + line as f32 * row;
        let is_chosen = number == typed;
        let baseline = y + row / 2.0 + 0.34 * paper.size(Role::Text);
        let of = if is_chosen {
            Type::of(Role::Text).face(Face::Bold).ink(Ink::Accent)
        } else {
            Type::of(Role::Text)
        };
        let end = sheet.write(number, left + paper.key() * 0.5, baseline, of);
        if kiosk.handed_in.contains(number) {
            let quiet = Type::of(Role::Note).face(Face::Italic).ink(Ink::Quiet);
            let _ = sheet.write(words.handed_in, end + paper.key() * 0.5, baseline, quiet);
        }
        sheet.rule(
            left,
            left + width - paper.key(),
            y + row - 1.0,
            1.0,
            Ink::Rule,
        );
        let bounds = Bounds {
            left,
            top: y,
            right: left + width - paper.key(),
            bottom: y + row,
        };
        sheet.target(bounds, Act::Pick(place), number);
    }
}
