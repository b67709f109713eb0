//! The end: the grade where the exam shows it, what to practise, and thanks.

mod practise;
mod said;

use super::flow::{Flow, rise};
use super::foot;
use crate::engraving::{Anchor, Face, Ink, text};
use crate::fraction::{self, Fraction};
use crate::kiosk::act::Act;
use crate::kiosk::model::{Ended, Kiosk};
use crate::kiosk::paper::{KEYS, Role};
use crate::kiosk::sheet::{Button, Sheet, Type};
use crate::kiosk::words::fill;
use crate::kiosk::words::number::capital;
use crate::marking::grade::SectionMark;
use crate::sitting::End;
use crate::sitting::outcome::outcome;

const TEXT: Type = Type::of(Role::Text);

pub(super) fn draw(sheet: &mut Sheet<Act>, kiosk: &Kiosk, ended: &Ended) {
    let paper = sheet.paper;
    let words = kiosk.setup.words;
    let exam = ended.sitting.exam();
    sheet.header(&exam.title, &fill(words.candidate, &[&kiosk.candidate]));

    let mut flow = Flow::new();
    let is_void = matches!(ended.sitting.end(), Some(End::Void(_)));
    match &ended.kept {
        Err(why) => {
            flow.title(sheet, "", words.not_kept, Role::Title);
            flow.space(paper.y(12.0));
            flow.words(sheet, words.not_kept_text, TEXT);
            flow.words(sheet, why, TEXT.ink(Ink::Quiet));
        }
        Ok(_) if is_void => {
            flow.title(sheet, "", words.void_title, Role::Title);
            flow.space(paper.y(12.0));
            flow.words(sheet, words.void_text, TEXT);
            flow.words(sheet, words.leave, TEXT);
        }
        Ok(_) if exam.rules.show_marks => marks(&mut flow, sheet, kiosk, ended),
        Ok(_) => {
            let stopped = matches!(ended.sitting.end(), Some(End::Stopped(_) | End::Early));
            let title = if stopped {
                words.stopped_title
            } else {
                words.thank_you
            };
            flow.title(sheet, "", title, Role::Title);
            flow.space(paper.y(12.0));
            if stopped {
                flow.words(sheet, words.stopped_text, TEXT);
            }
            flow.words(sheet, words.leave, TEXT);
        }
    }

    let (leaves, _) = flow.draw(sheet, kiosk.leaf, paper.y(144.0), paper.y(944.0));
    let close = Button::at_foot(&paper, words.close, words.enter);
    let hint = if paper.is_folded() { "" } else { "P" };
    let print = Button {
        is_first: false,
        least: 0.0,
        ..Button::at_foot(&paper, words.prn_print, hint)
    };
    let hint = if paper.is_folded() { "" } else { "U" };
    let practise = Button {
        is_first: false,
        least: 0.0,
        ..Button::at_foot(&paper, words.practise_this, hint)
    };
    let beside: Vec<_> = [
        kiosk
            .can_practise(ended)
            .then_some((practise, Act::Practise)),
        kiosk.can_print(ended).then_some((print, Act::Print)),
    ]
    .into_iter()
    .flatten()
    .collect();
    foot::leaf(
        sheet,
        words,
        (kiosk.leaf.min(leaves - 1), leaves),
        words.next_closes,
        (close, Act::Go),
        &beside,
    );
}

/// The grade, the sections, and what to practise.
fn marks<'a>(flow: &mut Flow<'a>, sheet: &Sheet<Act>, kiosk: &'a Kiosk, ended: &'a Ended) {
    let paper = sheet.paper;
    let words = kiosk.setup.words;
    let exam = ended.sitting.exam();
    let outcome = outcome(&ended.sitting);
    let total = &outcome.grade.total;
    let whole = |mark: Fraction| fraction::whole(mark).to_string();
    let figures = fill(words.marks_of, &[&whole(total.mark), &whole(total.out_of)]);
    // Without grades the marks are the grade.
    let (grade, line) = match &total.band {
        Some(band) => (capital(band), figures),
        None => (fill(words.no_band, &[&whole(total.mark)]), figures),
    };
    let line = match exam.pass {
        Some(pass) => line + &fill(words.pass_mark_is, &[&(pass / 100).to_string()]),
        None => line,
    };

    if matches!(ended.sitting.end(), Some(End::Stopped(_) | End::Early)) {
        flow.words(sheet, words.stopped_title, TEXT.face(Face::Bold));
        flow.words(sheet, words.stopped_text, TEXT);
        flow.space(paper.y(8.0));
    }
    headline(flow, sheet, words.your_grade, &grade);
    flow.space(paper.y(12.0));
    flow.words(sheet, &line, Type::of(Role::Lead));
    flow.space(paper.y(4.0));
    for sentence in said::sentences(words, exam, &outcome.grade) {
        flow.words(sheet, &sentence, TEXT);
    }
    flow.space(paper.y(24.0));
    let count = outcome.grade.sections.len();
    for (place, mark) in outcome.grade.sections.iter().enumerate() {
        row(
            flow,
            sheet,
            kiosk,
            ended,
            mark,
            (place == 0, place + 1 == count),
        );
    }
    flow.space(paper.y(24.0));
    for (place, sentence) in practise::sentences(words, exam, &outcome)
        .iter()
        .enumerate()
    {
        let label = if place == 0 { words.to_practise } else { "" };
        let sentence = if paper.is_folded() && place == 0 {
            format!("{}: {sentence}", words.to_practise)
        } else {
            sentence.clone()
        };
        flow.labelled(sheet, label, &sentence, TEXT);
    }
    flow.space(paper.y(20.0));
    let printed = kiosk.said_of_own_print();
    let thanks: Vec<&str> = std::iter::once(words.leave)
        .chain(printed.as_deref())
        .collect();
    flow.labelled(sheet, words.thank_you, &thanks.join(" "), TEXT);
}

/// The grade, largest of all.
fn headline(flow: &mut Flow<'_>, sheet: &Sheet<Act>, label: &str, grade: &str) {
    let paper = sheet.paper;
    let of = Type::of(Role::Display);
    let width = paper.x(KEYS) - paper.left();
    let lines = crate::kiosk::sheet::wrapped(grade, of.face, paper.size(of.role), width).len();
    let (label, grade) = (label.to_owned(), grade.to_owned());

    flow.block(lines as f32 * paper.line(of.role), move |sheet, top| {
        let y = top + rise(sheet, of.role);
        let quiet = Type::of(Role::Lead).face(Face::Italic).ink(Ink::Quiet);
        if !paper.is_folded() {
            let _ = sheet.write(&label, paper.x(0.0), y, quiet);
        }
        let _ = sheet.wrap(&grade, paper.left(), y, width, of);
    });
}

/// A section: its share, and of how many marks.
fn row<'a>(
    flow: &mut Flow<'a>,
    sheet: &Sheet<Act>,
    kiosk: &'a Kiosk,
    ended: &'a Ended,
    mark: &SectionMark,
    (is_first, is_last): (bool, bool),
) {
    let paper = sheet.paper;
    let words = kiosk.setup.words;
    let section = &ended.sitting.exam().sections[mark.section];
    let line = paper.line(Role::Text);
    let size = paper.size(Role::Text);
    let whole = |mark: Fraction| fraction::whole(mark).to_string();
    let share = if mark.awaited {
        "–".to_owned()
    } else {
        format!(
            "{} %",
            fraction::percent(mark.mark, mark.out_of).unwrap_or(0)
        )
    };
    let of_marks = fill(words.of_marks, &[&whole(mark.out_of)]);
    let hurdle = match mark.hurdle {
        _ if mark.awaited => words.awaited.to_owned(),
        Some((hurdle, true)) => fill(words.hurdle_passed, &[&whole(hurdle)]),
        Some((hurdle, false)) => fill(words.hurdle_missed, &[&whole(hurdle)]),
        None => String::new(),
    };
    let each = mark
        .each
        .as_ref()
        .map_or_else(String::new, |each| said::each(words, each));
    let notes: Vec<String> = [hurdle, each]
        .into_iter()
        .filter(|note| !note.is_empty())
        .collect();
    let (note, missed) = (notes.join("; "), !mark.awaited && mark.is_missed());
    let title = if paper.is_folded() {
        format!("{} · {}", section.id, section.title)
    } else {
        section.title.clone()
    };
    let share_at = if paper.is_folded() { KEYS - 14.0 } else { 45.0 };
    let share_at = paper
        .x(share_at)
        .min(paper.x(KEYS) - text::width(&of_marks, Face::Regular, size) - paper.key() * 0.75);
    let title_end = paper.left() + text::width(&title, Face::Regular, size) + paper.key();
    let note_at = title_end.max(if paper.is_folded() {
        0.0
    } else {
        paper.x(22.0)
    });
    let note_end = note_at + text::width(&note, Face::Bold, size) + paper.key();
    let below = note_end > share_at - text::width(&share, Face::Bold, size);
    let lines = if below && !note.is_empty() { 2.0 } else { 1.0 };
    let height = (lines * line + paper.y(6.0)).max(paper.y(56.0));
    let id = section.id.clone();

    flow.block(height, move |sheet, top| {
        let y = top + (height - lines * line) / 2.0 + rise(sheet, Role::Text);
        let right = TEXT.anchor(Anchor::End);
        if is_first {
            sheet.rule(paper.x(0.0), paper.x(KEYS), top, 1.0, Ink::Quiet);
        }
        sheet.label(&fill(words.section, &[&id]), y);
        let _ = sheet.write(&title, paper.left(), y, TEXT);
        let _ = sheet.write(&share, share_at, y, right);
        let _ = sheet.write(&of_marks, paper.x(KEYS), y, right.ink(Ink::Quiet));
        if !note.is_empty() {
            // What is missing is bold, as well as said.
            let face = if missed { Face::Bold } else { Face::Italic };
            let ink = if missed { Ink::Plain } else { Ink::Quiet };
            let (x, y) = if below {
                (paper.left(), y + line)
            } else {
                (note_at, y)
            };
            let _ = sheet.write(&note, x, y, TEXT.face(face).ink(ink));
        }
        let ink = if is_last { Ink::Quiet } else { Ink::Rule };
        sheet.rule(paper.x(0.0), paper.x(KEYS), top + height, 1.0, ink);
    });
}
