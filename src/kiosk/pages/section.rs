//! A section's first page.

use crate::exam::script::Kind;
use crate::kiosk::act::Act;
use crate::kiosk::model::Kiosk;
use crate::kiosk::seat::Seat;
use crate::kiosk::sheet::{Button, Sheet};
use crate::kiosk::words::fill;

pub(super) fn draw(sheet: &mut Sheet<Act>, kiosk: &Kiosk, seat: &Seat, section: Option<usize>) {
    let words = kiosk.setup.words;
    let sitting = seat.sitting();
    let exam = sitting.exam();
    sheet.header(&exam.title, &fill(words.candidate, &[&kiosk.candidate]));
    let Some(section) = section.and_then(|place| exam.sections.get(place).map(|it| (place, it)))
    else {
        return;
    };
    let (place, section) = section;
    let count = sitting
        .form()
        .items
        .iter()
        .filter(|item| item.section == place)
        .count();
    let items = fill(words.items, &[&count.to_string()]);
    let marks = fill(words.marks, &[&(section.points / 100).to_string()]);
    let (imperative, text) = match section.kind {
        Kind::Voicing(_) => (words.play, format!("{items}, {marks}. {}", words.rule_time)),
        Kind::Run(_) => (
            words.play_on,
            format!("{items}, {marks}. {}", words.run_text),
        ),
        Kind::Ear(_) => (
            words.listen,
            format!("{items}, {marks}. {}", words.rule_wrong),
        ),
        Kind::Spell(_) => (
            words.write,
            format!("{items}, {marks}. {}", words.rule_wrong),
        ),
        Kind::Rest { .. } => (words.rest, words.rest_text.to_owned()),
        Kind::Panel(_) => ("", String::new()),
    };
    let title = match section.kind {
        Kind::Rest { .. } => section.title.clone(),
        _ => format!(
            "{} · {}",
            fill(words.section, &[&section.id]),
            section.title
        ),
    };

    let _ = super::title(sheet, imperative, &title, &text);
    sheet.foot(words.next, words.next_by_itself);
    let button = Button::at_foot(&sheet.paper, words.go_on, words.enter);
    let _ = sheet.button(button, Act::Go);
}
