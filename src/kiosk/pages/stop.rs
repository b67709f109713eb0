//! Why to stop: pain and distress void a sitting, never fail it.

use super::flow::{Flow, rise};
use super::foot;
use crate::engraving::{Anchor, Face, Ink, text};
use crate::kiosk::act::{Act, Reason};
use crate::kiosk::model::Kiosk;
use crate::kiosk::paper::{KEYS, Role};
use crate::kiosk::sheet::{Button, Sheet, TARGET, Type};
use crate::kiosk::words::{Words, fill};

pub(super) fn draw(sheet: &mut Sheet<Act>, kiosk: &Kiosk, words: &Words) {
    let paper = sheet.paper;
    let header = &kiosk.shelved().exam.title;

    sheet.header(header, &fill(words.candidate, &[&kiosk.candidate]));
    let mut flow = Flow::new();
    flow.title(sheet, words.stop, words.stop_title, Role::Title);
    flow.space(paper.y(12.0));
    flow.words(sheet, words.stop_text, Type::of(Role::Text));
    flow.space(paper.y(32.0));
    let height = paper.y(64.0).max(TARGET).max(paper.size(Role::Text) * 1.9);
    for (label, note, reason) in [
        (words.stop_pain, words.stop_void, Reason::Pain),
        (words.stop_distress, words.stop_void, Reason::Distress),
        (words.stop_other, words.stop_marked, Reason::Done),
    ] {
        flow.block(height, move |sheet, top| {
            let button = Button {
                label,
                hint: "",
                x: paper.left(),
                y: top,
                anchor: Anchor::Start,
                least: 16.0 * paper.key(),
                is_first: false,
            };
            let end = sheet.button(button, Act::Stop(reason)) + paper.key();
            let quiet = Type::of(Role::Text).face(Face::Italic).ink(Ink::Quiet);
            if end + text::width(note, quiet.face, paper.size(Role::Text)) <= paper.x(KEYS) {
                let line = paper.line(Role::Text);
                let y = top + (height - line) / 2.0 + rise(sheet, Role::Text);
                let _ = sheet.write(note, end, y, quiet);
            } else {
                sheet.say(note);
            }
        });
        flow.space(paper.y(24.0));
    }
    let _ = flow.draw(sheet, 0, paper.y(164.0), paper.y(944.0));
    let back = Button::at_foot(&paper, words.back, words.enter);
    foot::draw(sheet, words, words.stop_meanwhile, &[(back, Act::Back)]);
}
