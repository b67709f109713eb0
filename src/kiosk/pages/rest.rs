//! A rest that ends by itself.

use crate::kiosk::act::Act;
use crate::kiosk::model::Kiosk;
use crate::kiosk::seat::Seat;
use crate::kiosk::sheet::{Button, Sheet};
use crate::kiosk::words::fill;
use crate::time::Time;

pub(super) fn draw(sheet: &mut Sheet<Act>, kiosk: &Kiosk, seat: &Seat, until: Time) {
    let words = kiosk.setup.words;
    let left = until - seat.time(kiosk.now);
    let seconds = (left.tenths() / 10_000).max(0);
    let clock = format!("{}:{:02}", seconds / 60, seconds % 60);

    sheet.header(
        &seat.sitting().exam().title,
        &fill(words.candidate, &[&kiosk.candidate]),
    );
    sheet.time_words(&clock);
    let _ = super::title(sheet, words.rest, words.rest_title, words.rest_text);
    sheet.foot(words.next, words.next_by_itself);
    let button = Button {
        is_first: false,
        ..Button::at_foot(&sheet.paper, words.go_on, words.enter)
    };
    let _ = sheet.button(button, Act::Go);
}
