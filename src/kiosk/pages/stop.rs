//! Why to stop: pain and distress void a sitting, never fail it.

use crate::engraving::Anchor;
use crate::kiosk::act::{Act, Reason};
use crate::kiosk::model::Kiosk;
use crate::kiosk::sheet::{Button, Sheet};
use crate::kiosk::words::{Words, fill};

pub(super) fn draw(sheet: &mut Sheet<Act>, kiosk: &Kiosk, words: &Words) {
    let paper = sheet.paper;
    let header = &kiosk.shelved().exam.title;

    sheet.header(header, &fill(words.candidate, &[&kiosk.candidate]));
    let mut y = super::title(sheet, words.stop, words.stop_title, words.stop_text);
    for (label, reason) in [
        (words.stop_pain, Reason::Pain),
        (words.stop_distress, Reason::Distress),
        (words.stop_other, Reason::Done),
    ] {
        let button = Button {
            label,
            hint: "",
            x: paper.left(),
            y,
            anchor: Anchor::Start,
            least: 16.0 * paper.key(),
            is_first: false,
        };
        let _ = sheet.button(button, Act::Stop(reason));
        y += paper.y(96.0).max(60.0);
    }
    sheet.foot(words.next, "");
    let _ = sheet.button(Button::at_foot(&paper, words.back, words.enter), Act::Back);
}
