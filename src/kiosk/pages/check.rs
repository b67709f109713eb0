//! The check of keyboard and sound, a step a page.

use crate::engraving::{Anchor, Face, Glyph, Ink, Mark, Point};
use crate::instruments::speaker::Level;
use crate::kiosk::act::Act;
use crate::kiosk::check::{Check, Step};
use crate::kiosk::model::Kiosk;
use crate::kiosk::paper::{Paper, Role};
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
        Step::Lowest => Some(Act::Skip),
        Step::MiddleC => Some(Act::Skip),
        Step::Level => Some(Act::Go),
        Step::Tap => Some(Act::Skip),
    }
}

pub(super) fn draw(sheet: &mut Sheet<Act>, kiosk: &Kiosk, check: &Check) {
    let words = kiosk.setup.words;
    let candidate = fill(words.candidate, &[&kiosk.candidate]);
    sheet.header(&kiosk.shelved().exam.title, &candidate);
    done(sheet, kiosk, check);

    match check.step {
        Step::Keyboard => keyboard(sheet, kiosk),
        Step::Lowest => lowest(sheet, kiosk, check),
        Step::MiddleC => middle_c(sheet, kiosk, check),
        Step::Level => level(sheet, kiosk, check),
        Step::Tap => tap(sheet, kiosk, check),
    }
    if !matches!(check.step, Step::Keyboard) {
        super::strip::draw(sheet, kiosk, sheet.paper.y(800.0), true);
    }
    sheet.foot(words.next, words.next_plan);
}

/// What is done already, a line each.
fn done(sheet: &mut Sheet<Act>, kiosk: &Kiosk, check: &Check) {
    let paper = sheet.paper;
    let words = kiosk.setup.words;
    let mut lines = Vec::new();
    let past = |step: Step| order(check.step) > order(step);

    if past(Step::Keyboard) {
        lines.push(if kiosk.on_computer {
            words.computer_keys.to_owned()
        } else {
            fill(words.keyboard_connected, &[&kiosk.keyboard_name()])
        });
    }
    if past(Step::MiddleC) && !kiosk.on_computer {
        lines.push(words.keys_in_place.to_owned());
    }
    if past(Step::Level) {
        lines.push(fill(words.level_set, &[&check.level.step().to_string()]));
    }

    let step = paper.line(Role::Text) * 1.25;
    for (place, line) in lines.iter().enumerate() {
        let y = paper.y(150.0) + place as f32 * step;
        sheet.label(words.done, y);
        let _ = sheet.write(line, paper.left(), y, Type::of(Role::Text));
        let rule = y + step * 0.32;
        sheet.rule(paper.left(), paper.right(), rule, 1.0, Ink::Rule);
    }
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

/// The title, lower than on other pages: what is done stands above.
fn title(sheet: &mut Sheet<Act>, imperative: &str, title: &str, text: &str) -> f32 {
    let paper = sheet.paper;
    let width = paper.right() - paper.left();
    let y = paper.y(360.0);

    sheet.imperative(imperative, y);
    let y = sheet.wrap(title, paper.left(), y, width, Type::of(Role::Title));
    let y = y - paper.line(Role::Title) + paper.line(Role::Text) * 1.45;
    sheet.wrap(text, paper.left(), y, width, Type::of(Role::Text))
}

fn keyboard(sheet: &mut Sheet<Act>, kiosk: &Kiosk) {
    let words = kiosk.setup.words;

    if kiosk.setup.computer {
        let y = title(
            sheet,
            words.check_cable,
            words.no_keyboard,
            words.computer_keys_text,
        );
        let button = Button {
            label: words.use_computer_keys,
            hint: "",
            x: sheet.paper.left(),
            y,
            anchor: Anchor::Start,
            least: 0.0,
            is_first: true,
        };
        let _ = sheet.button(button, Act::UseComputer);
    } else {
        let _ = title(
            sheet,
            words.check_cable,
            words.no_keyboard,
            words.raise_hand,
        );
    }
    super::strip::draw(sheet, kiosk, sheet.paper.y(800.0), false);
}

fn lowest(sheet: &mut Sheet<Act>, kiosk: &Kiosk, check: &Check) {
    let words = kiosk.setup.words;
    let text = if check.too_few {
        let (low, high) = check.keys();
        fill(words.too_few_keys, &[&low, &high])
    } else {
        words.lowest_text.to_owned()
    };

    let _ = title(sheet, words.play, words.lowest_title, &text);
    later(sheet, words.skip, words.enter);
}

fn middle_c(sheet: &mut Sheet<Act>, kiosk: &Kiosk, check: &Check) {
    let words = kiosk.setup.words;
    let text = check.other.map_or_else(
        || words.middle_c_text.to_owned(),
        |key| fill(words.not_middle_c, &[&key.flat_name()]),
    );

    let _ = title(sheet, words.play, words.middle_c_title, &text);
    later(sheet, words.skip, words.enter);
}

fn level(sheet: &mut Sheet<Act>, kiosk: &Kiosk, check: &Check) {
    let paper = sheet.paper;
    let words = kiosk.setup.words;
    let y = title(
        sheet,
        words.set_level,
        words.comfortable_title,
        words.comfortable_text,
    );
    let middle = y + paper.y(40.0);

    hairpin(sheet, &paper, middle, check.level);
    let of = Type::of(Role::Text)
        .face(Face::Bold)
        .ink(Ink::Accent)
        .anchor(Anchor::Middle);
    let x = level_x(&paper, check.level);
    let y = middle + paper.y(76.0);
    let _ = sheet.write(&super::level(words, check.level), x, y, of);

    let top = y + paper.y(28.0);
    let mut button = Button {
        label: words.softer,
        hint: "←",
        x: paper.left(),
        y: top,
        anchor: Anchor::Start,
        least: 7.0 * paper.key(),
        is_first: false,
    };
    let end = sheet.button(button, Act::Softer);
    button.label = words.louder;
    button.hint = "→";
    button.x = end + paper.key();
    let _ = sheet.button(button, Act::Louder);
    let caution = Type::of(Role::Note).face(Face::Italic).ink(Ink::Quiet);
    let y = top + paper.y(64.0).max(44.0) + paper.y(40.0);
    let width = paper.x(52.0) - paper.left();
    let _ = sheet.wrap(words.caution_ears, paper.left(), y, width, caution);
    let button = Button::at_foot(&paper, words.comfortable, words.enter);
    let _ = sheet.button(button, Act::Go);
}

/// Where a level stands between p and f.
fn level_x(paper: &Paper, level: Level) -> f32 {
    let (from, to) = (
        paper.left() + 2.0 * paper.key(),
        paper.right() - 2.0 * paper.key(),
    );

    from + (to - from) * f32::from(level.step()) / 10.0
}

/// A crescendo from p to f, with a bar at the level.
fn hairpin(sheet: &mut Sheet<Act>, paper: &Paper, y: f32, level: Level) {
    let (from, to) = (level_x(paper, Level::SILENT), level_x(paper, Level::FULL));
    let opening = paper.y(24.0);
    let size = paper.y(72.0);

    for side in [-1.0, 1.0] {
        sheet.marks.push(Mark::Line {
            from: Point::new(from, y),
            to: Point::new(to, y + side * opening / 2.0),
            thickness: 2.0,
            ink: Ink::Plain,
        });
    }
    for (glyph, x) in [
        (Glyph::Piano, from - 1.6 * paper.key()),
        (Glyph::Forte, to + 0.5 * paper.key()),
    ] {
        sheet.marks.push(Mark::Glyph {
            glyph,
            at: Point::new(x, y + paper.y(8.0)),
            size,
            stretch: 1.0,
            stroke: 0.0,
            ink: Ink::Plain,
        });
    }
    for step in 0..=10 {
        let x = from + (to - from) * step as f32 / 10.0;
        sheet.rect(x, y + paper.y(26.0), 1.0, 6.0, Ink::Quiet);
    }
    let x = level_x(paper, level);
    sheet.rect(x - 5.0, y - paper.y(30.0), 10.0, paper.y(60.0), Ink::Accent);
}

fn tap(sheet: &mut Sheet<Act>, kiosk: &Kiosk, check: &Check) {
    let paper = sheet.paper;
    let words = kiosk.setup.words;
    let text = if check.again {
        words.tap_again
    } else {
        words.tap_text
    };
    let y = title(sheet, words.tap, words.tap_title, text);

    // A stroke for each beat that was tapped.
    let side = paper.y(40.0);
    for beat in 0..crate::kiosk::check::BEATS {
        let x = paper.left() + beat as f32 * side * 1.6;
        let tapped = check.taps.len() > beat as usize;
        let (width, ink) = if tapped {
            (8.0, Ink::Plain)
        } else {
            (2.0, Ink::Quiet)
        };
        sheet.rect(x, y, width, side, ink);
    }
    later(sheet, words.skip, words.enter);
}

/// The button that leaves a step out stands back.
fn later(sheet: &mut Sheet<Act>, label: &str, hint: &str) {
    let button = Button {
        is_first: false,
        ..Button::at_foot(&sheet.paper, label, hint)
    };
    let _ = sheet.button(button, Act::Skip);
}
