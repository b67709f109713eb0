//! A rest that ends by itself.

use super::flow::{Flow, rise};
use super::foot;
use crate::engraving::{Point, text};
use crate::kiosk::act::Act;
use crate::kiosk::model::Kiosk;
use crate::kiosk::paper::Role;
use crate::kiosk::seat::Seat;
use crate::kiosk::sheet::{Button, Sheet, Type};
use crate::kiosk::words::fill;
use crate::time::Time;

pub(super) fn draw(sheet: &mut Sheet<Act>, kiosk: &Kiosk, seat: &Seat, until: Time) {
    let paper = sheet.paper;
    let words = kiosk.setup.words;
    let sitting = seat.sitting();
    let left = until - seat.time(kiosk.now);
    let seconds = ((left.tenths() + 9_999) / 10_000).max(0);
    let clock = format!("{}:{:02}", seconds / 60, seconds % 60);

    sheet.header(
        &sitting.exam().title,
        &fill(words.candidate, &[&kiosk.candidate]),
    );
    let mut flow = Flow::new();
    flow.title(sheet, words.rest, words.rest_title, Role::Title);
    flow.space(paper.y(12.0));
    flow.words(sheet, words.rest_text, Type::of(Role::Text));
    flow.space(paper.y(56.0));
    flow.optional(paper.line(Role::Display), |sheet, top| {
        // Only the figures change, so that the page is painted once.
        let y = top + rise(sheet, Role::Display);
        let of = Type::of(Role::Display);
        let drawing = text::layout(&clock, of.face, paper.size(of.role));
        sheet.say(&clock);
        sheet.put_moving(&drawing, Point::new(paper.left(), y), 1.0);
    });
    let _ = flow.draw(sheet, 0, paper.y(164.0), paper.y(944.0));

    let after = sitting
        .next_item()
        .and_then(|number| sitting.form().item(number))
        .and_then(|item| sitting.exam().sections.get(item.section));
    let next = after.map_or_else(
        || words.next_by_itself.to_owned(),
        |section| fill(words.rest_goes_on, &[&section.id, &section.title]),
    );
    let button = Button {
        is_first: false,
        ..Button::at_foot(&paper, words.go_on, words.enter)
    };
    foot::draw(sheet, words, &next, &[(button, Act::Go)]);
}
