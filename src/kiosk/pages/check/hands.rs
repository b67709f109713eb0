//! The keyboard: is it there, how far down does it reach, and where is middle C.

use super::title;
use crate::engraving::{Anchor, Bounds, Face, Ink, text};
use crate::instruments::computer::{Hand, Keyboard};
use crate::kiosk::act::Act;
use crate::kiosk::check::Check;
use crate::kiosk::model::Kiosk;
use crate::kiosk::pages::flow::{Flow, rise};
use crate::kiosk::paper::{KEYS, Role};
use crate::kiosk::sheet::{Button, Sheet, TARGET, Type};
use crate::kiosk::words::{fill, number};
use crate::theory::Key;

/// No keyboard is there: the computer's keys stand in where the room has it so.
pub(super) fn absent<'a>(flow: &mut Flow<'a>, sheet: &Sheet<Act>, kiosk: &'a Kiosk) {
    let paper = sheet.paper;
    let words = kiosk.setup.words;

    if !kiosk.setup.computer {
        title(
            flow,
            sheet,
            words.check_cable,
            words.no_keyboard,
            words.raise_hand,
        );
        return;
    }
    title(
        flow,
        sheet,
        words.check_cable,
        words.no_keyboard,
        words.computer_keys_text,
    );
    flow.space(paper.y(24.0));
    for (label, hand) in [
        (words.right_hand, Hand::Right),
        (words.left_hand, Hand::Left),
    ] {
        let height = 2.0 * side(sheet) + paper.line(Role::Note) * 0.4;
        flow.optional(height, move |sheet, top| keys(sheet, label, hand, top));
        flow.space(paper.y(24.0));
    }
    let height = paper.y(64.0).max(TARGET).max(paper.size(Role::Text) * 1.9);
    flow.block(height, move |sheet, top| {
        let button = Button {
            label: words.use_computer_keys,
            hint: "",
            x: sheet.paper.left(),
            y: top,
            anchor: Anchor::Start,
            least: 0.0,
            is_first: true,
        };
        let _ = sheet.button(button, Act::UseComputer);
    });
}

/// The side of a drawn key.
fn side(sheet: &Sheet<Act>) -> f32 {
    sheet
        .paper
        .y(72.0)
        .max(sheet.paper.line(Role::Text) * 1.02)
        .min((sheet.paper.x(KEYS) - sheet.paper.left()) / 13.0)
}

/// The two rows of a hand as the keys lie: the black ones behind, each between its neighbours.
fn keys(sheet: &mut Sheet<Act>, label: &str, hand: Hand, top: f32) {
    let paper = sheet.paper;
    let side = side(sheet);
    let small = Type::of(Role::Note).ink(Ink::Quiet).anchor(Anchor::Middle);
    let rise = rise(sheet, Role::Text);
    let mut white = 0.0;
    sheet.label(label, top + side + 0.34 * paper.size(Role::Text));
    let mut said = Vec::new();

    for (code, key) in Keyboard::new().codes(hand) {
        let is_black = matches!(key.class(), 1 | 3 | 6 | 8 | 10);
        let (x, y) = if is_black {
            (paper.left() + white * side, top)
        } else {
            white += 1.0;
            (paper.left() + (white - 0.5) * side, top + side)
        };
        let bounds = Bounds {
            left: x + 2.0,
            top: y + 2.0,
            right: x + side - 2.0,
            bottom: y + side - 2.0,
        };
        let is_middle = key == Key::MIDDLE_C;
        let (ink, thickness) = if is_middle {
            (Ink::Accent, 3.0)
        } else {
            (Ink::Quiet, 1.0)
        };
        if is_black {
            sheet.rect(bounds.left, bounds.top, side - 4.0, side - 4.0, Ink::Rule);
        }
        sheet.outline(bounds, thickness, ink);
        let sign = printed(code);
        let face = if is_middle { Face::Bold } else { Face::Regular };
        let middle = x + side / 2.0;
        let of = Type::of(Role::Text).face(face).anchor(Anchor::Middle);
        let baseline = y + (side - paper.line(Role::Text)) * 0.18 + rise;
        let _ = sheet.write_unsaid(&sign, middle, baseline, of);
        // The names of the notes where they can be read.
        let name = key.flat_name();
        let small_enough = text::width(&name, Face::Regular, paper.size(Role::Note)) < side - 6.0;
        if small_enough && side >= paper.line(Role::Text) + paper.line(Role::Note) {
            let _ = sheet.write_unsaid(&name, middle, bounds.bottom - side * 0.09, small);
        }
        said.push(format!("{sign} {name}"));
    }
    sheet.say(&format!("{label}: {}", said.join(", ")));
}

/// What is printed on a key where the layout is that of the United States; the place counts.
fn printed(code: &str) -> String {
    let sign = match code {
        "Comma" => ",",
        "Period" => ".",
        "Slash" => "/",
        "Quote" => "'",
        "Minus" => "-",
        "Equal" => "=",
        "BracketLeft" => "[",
        "BracketRight" => "]",
        other => other
            .strip_prefix("Key")
            .or_else(|| other.strip_prefix("Digit"))
            .unwrap_or(other),
    };

    sign.to_owned()
}

/// The lowest key.
pub(super) fn lowest(flow: &mut Flow<'_>, sheet: &Sheet<Act>, kiosk: &Kiosk, check: &Check) {
    let words = kiosk.setup.words;
    let text = match check.found.lowest {
        Some(key) if check.too_few => {
            let (low, high) = check.keys();
            fill(words.few_keys, &[&key.flat_name(), &low, &high])
        }
        _ => words.lowest_text.to_owned(),
    };

    title(flow, sheet, words.play, words.lowest_title, &text);
}

/// Middle C.
pub(super) fn middle_c(flow: &mut Flow<'_>, sheet: &Sheet<Act>, kiosk: &Kiosk, check: &Check) {
    let words = kiosk.setup.words;
    let text = match check.other {
        Some(key) if check.shift != 0 => {
            let octaves = number::counted(words, words.octaves, i64::from(check.shift.abs()));
            let text = if check.shift > 0 {
                words.shifted_up
            } else {
                words.shifted_down
            };
            fill(text, &[&key.flat_name(), &octaves])
        }
        Some(key) => fill(words.another_key, &[&key.flat_name()]),
        None => words.middle_c_text.to_owned(),
    };

    title(flow, sheet, words.play, words.middle_c_title, &text);
}
