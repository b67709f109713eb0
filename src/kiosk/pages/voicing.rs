//! A voicing item: the symbol as in print, what is asked, the time, the held keys.

use crate::engraving::symbol::{self, Setting};
use crate::engraving::{Ink, Point};
use crate::exam::form::{Item, VoicingTask};
use crate::kiosk::act::Act;
use crate::kiosk::model::Kiosk;
use crate::kiosk::paper::{KEYS, Role};
use crate::kiosk::seat::Seat;
use crate::kiosk::sheet::{Sheet, Type};
use crate::kiosk::words::fill;
use crate::time::Time;

pub(super) fn draw(
    sheet: &mut Sheet<Act>,
    kiosk: &Kiosk,
    seat: &Seat,
    item: &Item,
    task: &VoicingTask,
) {
    let paper = sheet.paper;
    let words = kiosk.setup.words;
    let exam = seat.sitting().exam();
    let factor = i64::from(seat.sitting().allowance().factor);
    let limit = task.limit.scaled(factor, 100);

    if let Some(zero) = seat.sitting().zero() {
        let left = limit - (seat.time(kiosk.now) - zero);
        if left > Time::ZERO {
            super::time_left(sheet, words, left, limit);
        } else {
            sheet.time(0.0);
            sheet.time_words(words.late);
        }
    }

    // The symbol is as large as the page lets it be.
    let width = paper.x(KEYS) - paper.left();
    let mut size = paper.size(Role::Prompt);
    let mut drawing = symbol::layout(task.chord, Setting::new(exam.style, size));
    if drawing.width > width {
        size *= width / drawing.width;
        drawing = symbol::layout(task.chord, Setting::new(exam.style, size));
    }
    let baseline = paper.y(if paper.is_folded() { 380.0 } else { 480.0 });
    sheet.imperative(words.play, baseline);
    sheet.say(&drawing.words);
    sheet.put(&drawing, Point::new(paper.left(), baseline), 1.0);

    let y = baseline + paper.line(Role::Lead) * 1.55;
    let y = sheet.wrap(
        &super::asked(item),
        paper.left(),
        y,
        width,
        Type::of(Role::Lead),
    );
    if !paper.is_folded() {
        let text = match exam.rules.tries {
            1 => words.attempts_one.to_owned(),
            tries => fill(words.attempts_two, &[&tries.to_string()]),
        };
        let quiet = Type::of(Role::Text).ink(Ink::Quiet);
        let _ = sheet.write(&text, paper.left(), y + paper.y(4.0), quiet);
    }
    if exam.rules.echo {
        super::strip::draw(sheet, kiosk, paper.y(880.0), true);
    }
}
