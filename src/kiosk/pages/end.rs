//! The end: the grade where the exam shows it, and thanks.

use crate::engraving::{Anchor, Face, Ink};
use crate::fraction;
use crate::kiosk::act::Act;
use crate::kiosk::model::{Ended, Kiosk};
use crate::kiosk::paper::{KEYS, Role};
use crate::kiosk::sheet::{Button, Sheet, Type};
use crate::kiosk::words::fill;
use crate::sitting::End;
use crate::sitting::outcome::outcome;

pub(super) fn draw(sheet: &mut Sheet<Act>, kiosk: &Kiosk, ended: &Ended) {
    let paper = sheet.paper;
    let words = kiosk.setup.words;
    let exam = ended.sitting.exam();
    sheet.header(&exam.title, &fill(words.candidate, &[&kiosk.candidate]));

    let (title, text) = match ended.sitting.end() {
        Some(End::Void(_)) => (words.void_title, words.void_text),
        Some(End::Stopped(_)) => (words.stopped_title, words.leave),
        _ => (words.thank_you, words.leave),
    };
    let is_void = matches!(ended.sitting.end(), Some(End::Void(_)));
    match &ended.kept {
        Err(why) => {
            let y = super::title(sheet, "", words.not_kept, words.not_kept_text);
            let width = paper.x(KEYS) - paper.left();
            let _ = sheet.wrap(why, paper.left(), y, width, Type::of(Role::Text));
        }
        Ok(_) if exam.rules.show_marks && !is_void => marks(sheet, kiosk, ended),
        Ok(_) => {
            let _ = super::title(sheet, "", title, text);
        }
    }
    sheet.foot(words.next, words.next_closes);
    let _ = sheet.button(Button::at_foot(&paper, words.close, words.enter), Act::Go);
}

fn marks(sheet: &mut Sheet<Act>, kiosk: &Kiosk, ended: &Ended) {
    let paper = sheet.paper;
    let words = kiosk.setup.words;
    let exam = ended.sitting.exam();
    let outcome = outcome(&ended.sitting);
    let total = &outcome.grade.total;
    let whole = |mark| fraction::percent(mark, fraction::from_hundredths(10_000)).unwrap_or(0);
    let percent = whole(total.mark).to_string();
    let mut line = fill(
        words.marks_of,
        &[&percent, &whole(total.out_of).to_string()],
    );
    if let Some(pass) = exam.pass {
        line += &fill(words.pass_mark_is, &[&(pass / 100).to_string()]);
    }

    let y = paper.y(250.0);
    let label = Type::of(Role::Lead).face(Face::Italic).ink(Ink::Quiet);
    if !paper.is_folded() {
        let _ = sheet.write(words.your_grade, paper.x(0.0), y, label);
    }
    let width = paper.x(KEYS) - paper.left();
    let grade = total
        .band
        .clone()
        .unwrap_or_else(|| words.thank_you.to_owned());
    let y = sheet.wrap(
        &capital(&grade),
        paper.left(),
        y,
        width,
        Type::of(Role::Display),
    );
    let y = y - paper.line(Role::Display) + paper.line(Role::Lead) * 1.4;
    let _ = sheet.write(&line, paper.left(), y, Type::of(Role::Lead));
    let mut y = y + paper.line(Role::Text) * 1.2;
    for note in &total.notes {
        let quiet = Type::of(Role::Text).ink(Ink::Quiet);
        y = sheet.wrap(&capital(note), paper.left(), y, width, quiet);
    }

    let sections = &outcome.grade.sections;
    let room = paper.y(930.0) - y;
    let row = (room / sections.len().max(1) as f32)
        .min(paper.y(56.0))
        .max(paper.size(Role::Text) * 1.2);
    let mut top = y;
    sheet.rule(paper.x(0.0), paper.x(KEYS), top, 1.0, Ink::Quiet);
    for mark in sections {
        let section = &exam.sections[mark.section];
        let y = top + row / 2.0 + 0.34 * paper.size(Role::Text);
        sheet.label(&fill(words.section, &[&section.id]), y);
        let _ = sheet.write(&section.title, paper.left(), y, Type::of(Role::Text));
        if let Some((hurdle, passed)) = mark.hurdle {
            let text = fill(words.hurdle, &[&whole(hurdle).to_string()]);
            let face = if passed { Face::Italic } else { Face::Bold };
            let of = Type::of(Role::Text).face(face).ink(Ink::Quiet);
            let _ = sheet.write(&text, paper.x(30.0), y, of);
        }
        let right = Type::of(Role::Text).anchor(Anchor::End);
        let share = fraction::percent(mark.mark, mark.out_of).unwrap_or(0);
        let _ = sheet.write(
            &format!("{share} %"),
            paper.x(45.0),
            y,
            right.face(Face::Bold),
        );
        let of = fill(
            words.marks_of,
            &[
                &whole(mark.mark).to_string(),
                &whole(mark.out_of).to_string(),
            ],
        );
        let _ = sheet.write(&of, paper.x(KEYS), y, right);
        top += row;
        sheet.rule(paper.x(0.0), paper.x(KEYS), top, 1.0, Ink::Rule);
    }
}

fn capital(text: &str) -> String {
    let mut signs = text.chars();

    signs.next().map_or_else(String::new, |first| {
        first.to_uppercase().collect::<String>() + signs.as_str()
    })
}
