//! A section's first page.

use super::detail::Line;
use super::flow::{Flow, rise};
use super::foot;
use crate::engraving::Ink;
use crate::exam::script::Kind;
use crate::kiosk::act::Act;
use crate::kiosk::model::Kiosk;
use crate::kiosk::paper::Role;
use crate::kiosk::seat::Seat;
use crate::kiosk::sheet::{Button, Sheet, Type};
use crate::kiosk::shelf::{self, Planned};
use crate::kiosk::words::number::{counted, figured};
use crate::kiosk::words::{Words, fill};

const TEXT: Type = Type::of(Role::Text);

pub(super) fn draw(sheet: &mut Sheet<Act>, kiosk: &Kiosk, seat: &Seat, section: Option<usize>) {
    let paper = sheet.paper;
    let words = kiosk.setup.words;
    let sitting = seat.sitting();
    let exam = sitting.exam();
    sheet.header(&exam.title, &fill(words.candidate, &[&kiosk.candidate]));
    let Some(section) = section.and_then(|place| exam.sections.get(place)) else {
        return;
    };
    let plan = shelf::plan(exam, sitting.form(), sitting.allowance().factor.max(1));
    let planned = plan.iter().find(|planned| planned.id == section.id);
    let (imperative, rule) = match &section.kind {
        Kind::Voicing(_) => (words.play, words.rule_time),
        Kind::Run(_) => (words.play_on, words.run_text),
        Kind::Ear(of) if of.is_played() => (words.listen, words.back_text),
        Kind::Ear(of) if of.is_dictation() => (words.listen, words.dictation_text),
        Kind::Ear(_) => (words.listen, words.ear_text),
        Kind::Spell(_) => (words.write, words.rule_wrong),
        Kind::Rest { .. } => (words.rest, words.rest_text),
        Kind::Panel(_) => ("", ""),
    };
    let is_rest = matches!(section.kind, Kind::Rest { .. });
    let title = if is_rest {
        section.title.clone()
    } else {
        format!(
            "{} · {}",
            fill(words.section, &[&section.id]),
            section.title
        )
    };

    let mut flow = Flow::new();
    flow.title(sheet, imperative, &title, Role::Title);
    flow.space(paper.y(20.0));
    if let Some(planned) = planned.filter(|_| !is_rest) {
        flow.block(paper.line(Role::Lead), {
            let line = Line::new(words, &planned.detail);
            move |sheet: &mut Sheet<Act>, top| {
                let lead = Type::of(Role::Lead);
                let of = if line.width(&paper, lead) <= paper.x(super::KEYS) - paper.left() {
                    lead
                } else {
                    TEXT
                };
                let _ = line.write(sheet, paper.left(), top + rise(sheet, of.role), of);
            }
        });
        flow.words(sheet, &brings(words, planned), TEXT);
        flow.space(paper.y(32.0));
    }
    flow.labelled(sheet, words.remember, rule, TEXT);
    match &section.kind {
        Kind::Voicing(_) => {
            let tries = counted(words, words.attempts_at_most, i64::from(exam.rules.tries));
            flow.words(sheet, &tries, TEXT);
        }
        Kind::Ear(_) => flow.words(sheet, words.rule_wrong, TEXT),
        _ => {}
    }
    if !is_rest && !exam.rules.feedback {
        flow.words(sheet, words.rule_hidden, TEXT);
    }
    flow.space(paper.y(32.0));
    flow.optional(paper.line(Role::Text), move |sheet, top| {
        let y = top + rise(sheet, Role::Text);
        let _ = sheet.write(words.stop_hint, paper.left(), y, TEXT.ink(Ink::Quiet));
    });

    let _ = flow.draw(sheet, 0, paper.y(164.0), paper.y(944.0));
    let go_on = Button::at_foot(&paper, words.go_on, words.enter);
    let after = sitting
        .next_item()
        .and_then(|number| sitting.form().item(number))
        .and_then(|item| exam.sections.get(item.section));
    let next = match (&section.kind, after) {
        (Kind::Rest { .. }, Some(after)) => fill(words.rest_goes_on, &[&after.id, &after.title]),
        (Kind::Voicing(_), _) => words.next_by_itself.to_owned(),
        _ => words.next_handed_in.to_owned(),
    };
    foot::draw(sheet, words, &next, &[(go_on, Act::Go)]);
}

/// What a section brings, and what it needs.
fn brings(words: &Words, planned: &Planned) -> String {
    let marks = figured(words.marks_figures, i64::from(planned.marks));

    let hurdle = planned
        .hurdle
        .map(|least| fill(words.hurdle, &[&least.to_string()]));
    let each = planned
        .each
        .map(|each| fill(words.each_needed, &[&words.each(each)]));

    std::iter::once(marks)
        .chain(hurdle)
        .chain(each)
        .collect::<Vec<_>>()
        .join("; ")
}
