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

    if let Some((left, limit)) = seat.time_left(kiosk.now) {
        if left > Time::ZERO {
            super::time_left(sheet, words, left, limit);
        } else {
            sheet.time(0.0);
            sheet.time_words(words.late);
        }
    }

    let folded = paper.is_folded();
    let baseline = paper.y(if folded { 312.0 } else { 500.0 });
    let share = if folded { 160.0 / 192.0 } else { 1.1 };
    prompt(sheet, task.chord, exam.style, share, baseline);

    let gap = if folded { 1.3 } else { 1.6 };
    let y = baseline + paper.line(Role::Lead) * gap;
    let asked = super::asked(item);
    let y = if folded {
        super::lead(sheet, words.play, &asked, y)
    } else {
        sheet.imperative(words.play, baseline);
        let width = paper.x(KEYS) - paper.left();
        sheet.wrap(&asked, paper.left(), y, width, Type::of(Role::Lead))
    };
    let tries = super::count(words, usize::from(exam.rules.tries));
    let text = match (exam.rules.tries, folded) {
        (1, false) => words.attempts_one.to_owned(),
        (1, true) => words.attempt_short.to_owned(),
        (_, false) => fill(words.attempts_two, &[&tries]),
        (_, true) => fill(words.attempts_short, &[&tries]),
    };
    let text = if task.with_bass {
        format!("{} {text}", words.bass_root)
    } else {
        text
    };
    let quiet = Type::of(Role::Text).ink(Ink::Quiet);
    let top = paper.y(super::strip::TOP);
    let y = y + if folded {
        -paper.line(Role::Lead) * 0.25
    } else {
        paper.y(4.0)
    };
    if y + paper.size(Role::Text) * 0.4 < top {
        let _ = sheet.write(&text, paper.left(), y, quiet);
    }
    if exam.rules.echo {
        super::strip::draw(sheet, kiosk, top, true);
    }
    super::ease(sheet, words, seat);
}

/// Sets the symbol of an item at a share of its size, smaller where it needs more than the page's
/// width; where the margin is folded in, the seconds that are left need their room beside it.
pub(super) fn prompt(
    sheet: &mut Sheet<Act>,
    chord: crate::theory::Chord,
    style: crate::theory::symbol::Style,
    share: f32,
    baseline: f32,
) {
    let paper = sheet.paper;
    let seconds = if paper.is_folded() {
        paper.size(Role::Lead) * 4.6
    } else {
        0.0
    };
    let width = paper.x(KEYS) - paper.left() - seconds;
    let mut size = paper.size(Role::Prompt) * share;
    let mut drawing = symbol::layout(chord, Setting::new(style, size));
    if drawing.width > width {
        size *= width / drawing.width;
        drawing = symbol::layout(chord, Setting::new(style, size));
    }

    sheet.say(&drawing.words);
    sheet.put(&drawing, Point::new(paper.left(), baseline), 1.0);
}
