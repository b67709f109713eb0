//! The plan of the examination: sections, times, marks, and what to remember.

use super::detail::Line;
use super::flow::{Flow, rise};
use super::foot;
use crate::engraving::{Anchor, Face, Ink, text};
use crate::exam::script::Kind;
use crate::kiosk::act::Act;
use crate::kiosk::model::Kiosk;
use crate::kiosk::paper::{KEYS, Role};
use crate::kiosk::sheet::{Button, Sheet, Type, wrapped};
use crate::kiosk::shelf::{self, Planned};
use crate::kiosk::words::number::{counted, figured};
use crate::kiosk::words::{Words, fill};

const TEXT: Type = Type::of(Role::Text);
/// Where the details of a section begin, and where its minutes end, in keys.
const DETAIL: f32 = 22.0;
const MINUTES: f32 = 45.0;
/// Heights of rows to be tried.
const ROWS: [f32; 3] = [64.0, 56.0, 48.0];
/// Where the second column of the rules begins.
const SECOND: f32 = 31.0;

pub(super) fn draw(sheet: &mut Sheet<Act>, kiosk: &Kiosk) {
    let paper = sheet.paper;
    let words = kiosk.setup.words;
    let exam = &kiosk.shelved().exam;
    let Some(form) = kiosk.form() else { return };
    sheet.header(&exam.title, &fill(words.candidate, &[&kiosk.candidate]));

    let plan = shelf::plan(exam, form, kiosk.invigilator.allowed.factor);
    let (top, bottom) = (paper.y(136.0), paper.y(944.0));
    // Rows as drawn, and closer where there are many sections.
    let mut flow = whole(sheet, kiosk, &plan, paper.y(ROWS[0]));
    for row in &ROWS[1..] {
        // Large text takes several leaves whatever the rows are.
        if paper.is_folded() || flow.fits(bottom - top) {
            break;
        }
        flow = whole(sheet, kiosk, &plan, paper.y(*row));
    }

    let (leaves, _) = flow.draw(sheet, kiosk.leaf, top, bottom);
    let next = match form.warm_ups.len() {
        _ if kiosk.leaf + 1 < leaves => words.next_rules.to_owned(),
        0 => words.next_section.to_owned(),
        count => counted(words, words.next_unmarked, count as i64),
    };
    let begin = Button::at_foot(&paper, words.begin, words.enter);
    foot::leaf(
        sheet,
        words,
        (kiosk.leaf, leaves),
        &next,
        (begin, Act::Go),
        &[],
    );
}

/// The whole plan, with rows of a height.
fn whole<'a>(sheet: &Sheet<Act>, kiosk: &'a Kiosk, plan: &[Planned], least: f32) -> Flow<'a> {
    let paper = sheet.paper;
    let words = kiosk.setup.words;
    let mut flow = Flow::new();

    flow.title(sheet, words.read, words.plan_title, Role::Title);
    flow.space(paper.y(28.0));
    for (place, section) in plan.iter().enumerate() {
        row(&mut flow, sheet, words, section, (least, place == 0));
    }
    total(&mut flow, sheet, kiosk, plan, least);
    flow.space(paper.y(32.0));
    rules(&mut flow, sheet, kiosk);

    flow
}

/// The height of a row of so many lines.
fn height(sheet: &Sheet<Act>, lines: usize, least: f32) -> f32 {
    let paper = sheet.paper;

    (paper.line(Role::Text) * lines as f32 + paper.y(8.0)).max(least)
}

/// A section's row; where the page is too narrow for it, the details stand on a line below.
fn row<'a>(
    flow: &mut Flow<'a>,
    sheet: &Sheet<Act>,
    words: &'a Words,
    section: &Planned,
    (least, is_first): (f32, bool),
) {
    let paper = sheet.paper;
    let section = section.clone();
    let line = Line::new(words, &section.detail);
    let span = span(words, section.minutes);
    let size = paper.size(Role::Text);
    let title_end = paper.left() + text::width(&section.title, Face::Bold, size) + paper.key();
    let detail_end = paper.x(MINUTES) - text::width(&span, Face::Regular, size) - paper.key();
    let detail = title_end.max(paper.x(DETAIL));
    let is_narrow = paper.is_folded() || detail + line.width(&paper, TEXT) > detail_end;
    let lines = if is_narrow && !section.is_rest { 2 } else { 1 };
    let height = height(sheet, lines, least);

    flow.block(height, move |sheet, top| {
        let step = paper.line(Role::Text);
        let y = top + (height - step * lines as f32) / 2.0 + rise(sheet, Role::Text);
        let right = TEXT.anchor(Anchor::End);
        if is_first {
            sheet.rule(paper.x(0.0), paper.x(KEYS), top, 1.0, Ink::Quiet);
        }
        sheet.rule(paper.x(0.0), paper.x(KEYS), top + height, 1.0, Ink::Rule);
        if section.is_rest {
            let _ = sheet.write(&section.title, paper.left(), y, TEXT.face(Face::Italic));
            let _ = sheet.write(&span, paper.x(MINUTES), y, right);
            return;
        }

        let marks = figured(words.marks_figures, i64::from(section.marks));
        let bold = TEXT.face(Face::Bold);
        let title = if paper.is_folded() {
            format!("{} · {}", section.id, section.title)
        } else {
            sheet.label(&fill(words.section, &[&section.id]), y);
            section.title.clone()
        };
        let _ = sheet.write(&title, paper.left(), y, bold);
        let _ = sheet.write(&marks, paper.x(KEYS), y, right);
        if !is_narrow {
            let _ = line.write(sheet, detail, y, TEXT);
            let _ = sheet.write(&span, paper.x(MINUTES), y, right);
        } else {
            let _ = line.write(sheet, paper.left(), y + step, TEXT);
            let minutes = if paper.is_folded() { KEYS } else { MINUTES };
            let _ = sheet.write(&span, paper.x(minutes), y + step, right);
        }
    });
}

/// The pass mark with the hurdles, and what it all comes to.
fn total<'a>(
    flow: &mut Flow<'a>,
    sheet: &Sheet<Act>,
    kiosk: &'a Kiosk,
    plan: &[Planned],
    least: f32,
) {
    let paper = sheet.paper;
    let words = kiosk.setup.words;
    let exam = &kiosk.shelved().exam;
    let minutes = span(words, shelf::minutes_in_all(plan));
    let marks = figured(words.marks_figures, i64::from(exam.points() / 100));
    let pass = exam
        .pass
        .map_or_else(String::new, |pass| pass_mark(words, pass, plan));
    let of = TEXT.face(Face::Bold);
    let size = paper.size(Role::Text);
    let minutes_at = paper.x(MINUTES) - text::width(&minutes, Face::Bold, size) - paper.key();
    let pass = if paper.is_folded() && !pass.is_empty() {
        format!("{}: {pass}", words.pass_mark)
    } else {
        pass
    };
    // With large text the sums have a line of their own.
    let width = minutes_at - paper.left();
    let apart = paper.is_folded();
    let width = if apart {
        paper.x(KEYS) - paper.left()
    } else {
        width
    };
    let lines = wrapped(&pass, Face::Regular, size, width).len();
    let own = if pass.is_empty() { 0 } else { lines };
    let count = if apart { own + 1 } else { lines };
    let height = height(sheet, count, least);

    flow.block(height, move |sheet, top| {
        let step = paper.line(Role::Text);
        let y = top + (height - step * count as f32) / 2.0 + rise(sheet, Role::Text);
        sheet.rule(paper.x(0.0), paper.x(KEYS), top, 1.0, Ink::Quiet);
        if !pass.is_empty() {
            sheet.label(words.pass_mark, y);
            let _ = sheet.wrap(&pass, paper.left(), y, width, TEXT);
        }
        let y = if apart { y + step * own as f32 } else { y };
        let right = of.anchor(Anchor::End);
        if apart {
            let _ = sheet.write(&minutes, paper.left(), y, of);
        } else {
            let _ = sheet.write(&minutes, paper.x(MINUTES), y, right);
        }
        let _ = sheet.write(&marks, paper.x(KEYS), y, right);
    });
}

/// The pass mark in words, with every hurdle.
fn pass_mark(words: &Words, pass: u32, plan: &[Planned]) -> String {
    let pass = (pass / 100).to_string();
    let hurdles: Vec<String> = plan
        .iter()
        .flat_map(|section| {
            let hurdle = section
                .hurdle
                .map(|least| fill(words.hurdle_in, &[&least.to_string(), &section.id]));
            hurdle
                .into_iter()
                .chain(section.each.map(|each| words.each(each)))
        })
        .collect();

    match hurdles.split_last() {
        None => fill(words.pass_plain, &[&pass]),
        Some((last, [])) => fill(words.pass_with, &[&pass, last]),
        Some((last, others)) => {
            let all = format!("{}{}{last}", others.join(", "), words.and);
            fill(words.pass_with, &[&pass, &all])
        }
    }
}

/// Minutes, from and to where they differ.
fn span(words: &Words, (usual, most): (i64, i64)) -> String {
    if usual == most {
        fill(words.minutes, &[&usual.to_string()])
    } else {
        fill(words.span, &[&usual.to_string(), &most.to_string()])
    }
}

/// What to remember, in two columns.
fn rules<'a>(flow: &mut Flow<'a>, sheet: &Sheet<Act>, kiosk: &'a Kiosk) {
    let paper = sheet.paper;
    let words = kiosk.setup.words;
    let rules = remember(kiosk);

    if paper.is_folded() {
        for rule in rules {
            flow.words(sheet, &rule, TEXT);
            flow.space(paper.y(10.0));
        }
        return;
    }
    let columns = [
        (
            paper.left(),
            paper.x(SECOND) - paper.key() * 0.25 - paper.left(),
        ),
        (paper.x(SECOND), paper.x(KEYS) - paper.x(SECOND)),
    ];
    let size = paper.size(Role::Text);
    for (line, pair) in rules.chunks(2).enumerate() {
        let pair = pair.to_vec();
        let lines = pair
            .iter()
            .zip(columns)
            .map(|(rule, (_, width))| wrapped(rule, Face::Regular, size, width).len())
            .max()
            .unwrap_or(1);
        let height = lines as f32 * paper.line(Role::Text);
        flow.block(height, move |sheet, top| {
            let y = top + rise(sheet, Role::Text);
            if line == 0 {
                sheet.label(words.remember, y);
            }
            for (rule, (x, width)) in pair.iter().zip(columns) {
                let _ = sheet.wrap(rule, x, y, width, TEXT);
            }
        });
        flow.space(paper.y(24.0));
    }
}

/// What to remember, as far as it concerns this exam.
fn remember(kiosk: &Kiosk) -> Vec<String> {
    let words = kiosk.setup.words;
    let exam = &kiosk.shelved().exam;
    let any = |is: fn(&Kind) -> bool| exam.sections.iter().any(|section| is(&section.kind));
    let hands = any(|kind| match kind {
        Kind::Voicing(_) | Kind::Run(_) => true,
        Kind::Ear(of) => of.is_played(),
        _ => false,
    });
    let ears = any(|kind| matches!(kind, Kind::Ear(_)));
    let mut rules = Vec::new();

    if any(|kind| matches!(kind, Kind::Voicing(_))) {
        let tries = i64::from(exam.rules.tries);
        rules.push(counted(words, words.attempts_at_most, tries));
        rules.push(words.rule_time.to_owned());
    }
    if ears || any(|kind| matches!(kind, Kind::Spell(_))) {
        rules.push(words.rule_wrong.to_owned());
    }
    if !exam.rules.feedback {
        rules.push(words.rule_hidden.to_owned());
    }
    rules.push(words.rule_clock.to_owned());
    let panel: u32 = exam
        .sections
        .iter()
        .filter(|section| matches!(section.kind, Kind::Panel(_)))
        .map(|section| section.points / 100)
        .sum();
    if panel > 0 {
        rules.push(fill(words.rule_panel, &[&panel.to_string()]));
    }
    if ears {
        rules.push(words.rule_ears.to_owned());
    }
    if hands {
        rules.push(words.rule_pain.to_owned());
    }

    rules
}
