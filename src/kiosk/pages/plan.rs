//! The plan of the examination: sections, times, marks, and what to remember.

use crate::engraving::{Anchor, Face, Ink};
use crate::kiosk::act::Act;
use crate::kiosk::model::Kiosk;
use crate::kiosk::paper::{KEYS, Role};
use crate::kiosk::sheet::{Button, Sheet, Type};
use crate::kiosk::shelf;
use crate::kiosk::words::fill;

pub(super) fn draw(sheet: &mut Sheet<Act>, kiosk: &Kiosk) {
    let paper = sheet.paper;
    let words = kiosk.setup.words;
    let exam = &kiosk.shelved().exam;
    let Some(form) = kiosk.form() else { return };
    sheet.header(&exam.title, &fill(words.candidate, &[&kiosk.candidate]));

    let plan = shelf::plan(exam, form, 100);
    let y = paper.y(184.0);
    sheet.imperative(words.read, y);
    let _ = sheet.write(words.plan_title, paper.left(), y, Type::of(Role::Title));

    let text = Type::of(Role::Text);
    let right = text.anchor(Anchor::End);
    let rules = rules(kiosk);
    let lines = plan.len() + 1 + rules.len() + 1;
    let room = paper.y(940.0) - paper.y(220.0);
    let row = (room / lines as f32)
        .min(paper.y(56.0))
        .max(paper.size(Role::Text) * 1.25);
    let mut top = paper.y(224.0);
    sheet.rule(paper.x(0.0), paper.x(KEYS), top, 1.0, Ink::Quiet);
    let (mut minutes, mut marks) = (0, 0);

    for section in &plan {
        let y = top + row / 2.0 + 0.34 * paper.size(Role::Text);
        if !section.is_rest {
            sheet.label(&fill(words.section, &[&section.id]), y);
        }
        let of = if section.is_rest {
            text.face(Face::Italic)
        } else {
            text.face(Face::Bold)
        };
        let _ = sheet.write(&section.title, paper.left(), y, of);
        if !section.is_rest {
            let count = fill(words.items, &[&section.items.to_string()]);
            let _ = sheet.write(&count, paper.x(31.0), y, text);
            let brings = fill(words.marks, &[&section.marks.to_string()]);
            let _ = sheet.write(&brings, paper.x(KEYS), y, right);
        }
        let lasts = fill(words.minutes, &[&section.minutes.to_string()]);
        let _ = sheet.write(&lasts, paper.x(44.0), y, right);
        minutes += section.minutes;
        marks += section.marks;
        top += row;
        sheet.rule(paper.x(0.0), paper.x(KEYS), top, 1.0, Ink::Rule);
    }
    let y = top + row / 2.0 + 0.34 * paper.size(Role::Text);
    if let Some(pass) = exam.pass {
        sheet.label(words.pass_mark, y);
        let pass = (pass / 100).to_string();
        let hurdle = plan
            .iter()
            .find_map(|section| Some((section.hurdle?, &section.id)));
        let line = match hurdle {
            Some((least, id)) => fill(words.at_least_in, &[&pass, &least.to_string(), id]),
            None => fill(words.marks, &[&pass]),
        };
        let _ = sheet.write(&line, paper.left(), y, text);
    }
    let bold = right.face(Face::Bold);
    let total = fill(words.minutes, &[&minutes.to_string()]);
    let _ = sheet.write(&total, paper.x(44.0), y, bold);
    let total = fill(words.marks, &[&marks.to_string()]);
    let _ = sheet.write(&total, paper.x(KEYS), y, bold);
    top += row;
    sheet.rule(paper.x(0.0), paper.x(KEYS), top, 1.0, Ink::Quiet);

    let mut y = top + row * 0.8;
    sheet.label(words.remember, y);
    for rule in rules {
        let width = paper.x(KEYS) - paper.left();
        let of = Type::of(Role::Text);
        let _ = sheet.wrap(&rule, paper.left(), y, width, of);
        y += row.min(paper.line(Role::Text) * 1.1);
    }

    let next = match form.warm_ups.len() {
        0 => words.next_section.to_owned(),
        count => fill(words.next_warm_ups, &[&count.to_string()]),
    };
    sheet.foot(words.next, &next);
    let _ = sheet.button(Button::at_foot(&paper, words.begin, words.enter), Act::Go);
}

/// What to remember, as far as it concerns this exam.
fn rules(kiosk: &Kiosk) -> Vec<String> {
    let words = kiosk.setup.words;
    let exam = &kiosk.shelved().exam;
    let mut rules = vec![
        fill(words.rule_tries, &[&exam.rules.tries.to_string()]),
        words.rule_time.to_owned(),
        words.rule_wrong.to_owned(),
    ];

    if !exam.rules.feedback {
        rules.push(words.rule_hidden.to_owned());
    }
    rules.push(words.rule_clock.to_owned());
    rules.push(words.rule_pain.to_owned());
    rules
}
