//! Between two items: a quiet page.

use super::foot;
use crate::kiosk::act::Act;
use crate::kiosk::model::Kiosk;
use crate::kiosk::seat::Seat;
use crate::kiosk::sheet::Sheet;
use crate::kiosk::words::fill;

pub(super) fn draw(sheet: &mut Sheet<Act>, kiosk: &Kiosk, seat: &Seat) {
    let words = kiosk.setup.words;
    let sitting = seat.sitting();
    let title = sitting
        .at_hand()
        .and_then(|prompt| sitting.item(prompt))
        .map_or(&sitting.exam().title, |item| {
            &sitting.exam().sections[item.section].title
        });

    sheet.header(title, &fill(words.candidate, &[&kiosk.candidate]));
    let next = if sitting.at_hand().is_none() {
        words.next_end
    } else {
        words.next_by_itself
    };
    foot::draw(sheet, words, next, &[]);
}
