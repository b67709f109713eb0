//! The check of keyboard and sound, a step a page.

mod hands;
mod level;
mod tap;

use super::flow::Flow;
use super::foot;
use crate::engraving::{Anchor, Face, Ink, text};
use crate::kiosk::act::Act;
use crate::kiosk::check::{Check, Step};
use crate::kiosk::model::Kiosk;
use crate::kiosk::paper::{KEYS, Role};
use crate::kiosk::sheet::{Button, Sheet, Type};
use crate::kiosk::words::{Words, fill};

/// Names a step by its title.
pub(super) const fn name(words: &Words, check: &Check) -> &'static str {
    match check.step {
        Step::Keyboard => words.no_keyboard,
        Step::Lowest => words.lowest_title,
        Step::MiddleC => words.middle_c_title,
        Step::Level => words.comfortable_title,
        Step::Tap => words.tap_title,
    }
}

/// What Enter does on a step.
pub(super) fn first(check: &Check) -> Option<Act> {
    match check.step {
        Step::Keyboard => None,
        Step::Level if !check.has_sound => None,
        Step::Lowest | Step::MiddleC => Some(Act::Skip),
        Step::Level | Step::Tap => Some(Act::Go),
    }
}

pub(super) fn draw(sheet: &mut Sheet<Act>, kiosk: &Kiosk, check: &Check) {
    let paper = sheet.paper;
    let words = kiosk.setup.words;
    let candidate = fill(words.candidate, &[&kiosk.candidate]);
    sheet.header(words.check_header, &candidate);

    let mut flow = Flow::new();
    done(&mut flow, sheet, kiosk, check);
    flow.space(paper.y(44.0));
    let strip = match check.step {
        Step::Keyboard => {
            hands::absent(&mut flow, sheet, kiosk);
            !kiosk.setup.computer
        }
        Step::Lowest => {
            hands::lowest(&mut flow, sheet, kiosk, check);
            true
        }
        Step::MiddleC => {
            hands::middle_c(&mut flow, sheet, kiosk, check);
            true
        }
        Step::Level | Step::Tap if !check.has_sound => {
            level::absent(&mut flow, sheet, kiosk);
            false
        }
        Step::Level => {
            level::set(&mut flow, sheet, kiosk, check);
            check.has_hands()
        }
        Step::Tap => {
            tap::along(&mut flow, sheet, kiosk, check);
            true
        }
    };
    let (_, end) = flow.draw(sheet, 0, paper.y(104.0), paper.y(948.0));

    let top = paper.y(776.0);
    let caption = paper.line(Role::Note) * 1.5 + paper.y(56.0).max(40.0);
    if strip && end + paper.y(16.0) <= top && top + caption <= paper.y(952.0) {
        super::strip::draw(sheet, kiosk, top, check.step != Step::Keyboard);
        lowest_caption(sheet, kiosk, check, top);
    }
    next(sheet, kiosk, check);
}

/// The foot: what comes next, and the box of the step.
fn next(sheet: &mut Sheet<Act>, kiosk: &Kiosk, check: &Check) {
    let paper = sheet.paper;
    let words = kiosk.setup.words;
    let next = match check.step {
        Step::Tap => words.next_plan,
        Step::Level if check.has_beats() => words.next_tap,
        Step::Level => words.next_plan,
        _ if check.has_level() => words.next_level,
        _ => words.next_plan,
    };
    let first = |label| Button::at_foot(&paper, label, words.enter);
    let later = |label, hint| Button {
        is_first: false,
        least: 0.0,
        ..Button::at_foot(&paper, label, hint)
    };

    match check.step {
        Step::Keyboard => {
            // For the invigilator: it takes more than Enter.
            let back = later(words.without_keyboard, "");
            foot::draw(sheet, words, next, &[(back, Act::Skip)]);
        }
        Step::Lowest if check.too_few => {
            let back = later(words.all_the_same, words.enter);
            foot::draw(sheet, words, next, &[(back, Act::Skip)]);
        }
        Step::Lowest | Step::MiddleC => {
            let back = later(words.skip, words.enter);
            foot::draw(sheet, words, next, &[(back, Act::Skip)]);
        }
        Step::Level | Step::Tap if !check.has_sound => {
            let back = later(words.without_sound, "");
            foot::draw(sheet, words, next, &[(back, Act::Skip)]);
        }
        Step::Level if paper.is_folded() => {
            foot::draw(sheet, words, next, &[(first(words.comfortable), Act::Go)]);
        }
        Step::Level => foot::draw(sheet, words, next, &[]),
        Step::Tap if check.found.lag.is_some() => {
            let again = later(words.tap_once_more, "");
            let boxes = [(first(words.go_on), Act::Go), (again, Act::Again)];
            foot::draw(sheet, words, next, &boxes);
        }
        Step::Tap => {
            let back = later(words.skip, words.enter);
            foot::draw(sheet, words, next, &[(back, Act::Skip)]);
        }
    }
}

/// What is done already, a line each.
fn done<'a>(flow: &mut Flow<'a>, sheet: &Sheet<Act>, kiosk: &'a Kiosk, check: &Check) {
    let words = kiosk.setup.words;
    let past = |step: Step| order(check.step) > order(step);
    let mut lines = Vec::new();

    if past(Step::Keyboard) && check.has_hands() {
        lines.push(if kiosk.on_computer {
            words.computer_keys.to_owned()
        } else {
            fill(words.keyboard_connected, &[&kiosk.keyboard_name()])
        });
    }
    if let (Some(lowest), true) = (check.found.lowest, past(Step::Lowest)) {
        let name = lowest.flat_name();
        lines.push(match (check.usual_keys(), past(Step::MiddleC)) {
            (Some(count), _) => fill(words.lowest_is, &[&name, &count.to_string()]),
            (None, _) => fill(words.lowest_is_other, &[&name]),
        });
    }
    if past(Step::Level) && check.has_level() {
        lines.push(fill(words.level_set, &[&check.level.step().to_string()]));
    }

    let paper = sheet.paper;
    let row = paper.y(56.0).max(paper.line(Role::Text));
    for line in lines {
        flow.optional(row, move |sheet, top| {
            let y = top + row / 2.0 + 0.34 * paper.size(Role::Text);
            let width = paper.x(KEYS) - paper.left();
            sheet.label(words.done, y);
            let _ = sheet.write(&cut(&line, width, &paper), paper.left(), y, TEXT);
            sheet.rule(paper.x(0.0), paper.x(KEYS), top + row, 1.0, Ink::Rule);
        });
    }
}

const TEXT: Type = Type::of(Role::Text);

/// A keyboard may have a long name.
fn cut(line: &str, width: f32, paper: &crate::kiosk::Paper) -> String {
    let size = paper.size(Role::Text);
    let fits = |line: &str| text::width(line, Face::Regular, size) <= width;
    let mut line = line.to_owned();

    if fits(&line) {
        return line;
    }
    while line.pop().is_some() && !fits(&format!("{line}…")) {}
    line + "…"
}

const fn order(step: Step) -> u8 {
    match step {
        Step::Keyboard => 0,
        Step::Lowest => 1,
        Step::MiddleC => 2,
        Step::Level => 3,
        Step::Tap => 4,
    }
}

/// The title with its sentence.
fn title(flow: &mut Flow<'_>, sheet: &Sheet<Act>, imperative: &str, title: &str, sentence: &str) {
    flow.title(sheet, imperative, title, Role::Title);
    flow.space(sheet.paper.y(12.0));
    if !sentence.is_empty() {
        flow.words(sheet, sentence, TEXT);
    }
}

/// Says under the strip which key is the lowest.
fn lowest_caption(sheet: &mut Sheet<Act>, kiosk: &Kiosk, check: &Check, top: f32) {
    let paper = sheet.paper;
    let Some(lowest) = check.found.lowest.map(|key| key.number()) else {
        return;
    };
    // The strip begins with C2, where most keyboards of 61 keys do; else the key is not on it.
    if lowest != 36 {
        return;
    }
    let of = Type::of(Role::Note)
        .face(Face::Italic)
        .ink(Ink::Quiet)
        .anchor(Anchor::Start);
    let bottom = top + paper.y(56.0).max(40.0);
    let x = paper.x(9.0);

    sheet.rect(
        x + paper.key() / 2.0,
        bottom + 4.0,
        2.0,
        paper.y(8.0),
        Ink::Plain,
    );
    let y = bottom + paper.y(8.0) + paper.line(Role::Note);
    let _ = sheet.write(kiosk.setup.words.lowest_key, x, y, of);
}
