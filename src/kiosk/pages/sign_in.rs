//! The sign-in: the candidate's number, typed or from the list.

use super::foot;
use crate::engraving::{Anchor, Bounds, Face, Ink, text};
use crate::kiosk::act::Act;
use crate::kiosk::model::{Kiosk, LONGEST};
use crate::kiosk::paper::{KEYS, Paper, Role};
use crate::kiosk::sheet::{Button, Sheet, TARGET, Type};
use crate::kiosk::words::{fill, number};

/// Boxes where there is no list to tell how many figures a number has.
const BOXES: usize = 4;
const TEXT: Type = Type::of(Role::Text);

pub(super) fn draw(sheet: &mut Sheet<Act>, kiosk: &Kiosk, typed: &str, refused: Option<&str>) {
    let paper = sheet.paper;
    let words = kiosk.setup.words;

    sheet.header(&kiosk.shelved().exam.title, "");
    let below = super::title(
        sheet,
        words.sign_in,
        words.your_number,
        &sentence(kiosk, refused),
    );
    let below = below - paper.line(Role::Text) + paper.y(16.0);
    let bottom = boxes(sheet, kiosk, typed, below + paper.y(24.0));

    let button = Button::at_foot(&paper, words.sign_in, words.enter);
    let mut at_foot = vec![(button, Act::Go)];
    if !kiosk.setup.roster.is_empty() {
        let (leaf, leaves) = list(sheet, kiosk, typed, bottom + paper.y(60.0));
        let turn = |label, leaf| {
            let button = Button {
                is_first: false,
                least: 0.0,
                ..Button::at_foot(&paper, label, "")
            };
            (button, Act::Turn(leaf))
        };
        if leaf + 1 < leaves {
            at_foot.push(turn(words.later, leaf + 1));
        }
        if leaf > 0 {
            at_foot.push(turn(words.earlier, leaf - 1));
        }
    }
    foot::draw(sheet, words, words.next_check, &at_foot);
}

/// What to do, or why not so.
fn sentence(kiosk: &Kiosk, refused: Option<&str>) -> String {
    let words = kiosk.setup.words;
    let roster = &kiosk.setup.roster;

    if let Some(refused) = refused {
        let has_handed_in = kiosk
            .handed_in
            .iter()
            .any(|number| number.eq_ignore_ascii_case(refused));
        let text = if has_handed_in {
            words.has_handed_in
        } else {
            words.not_on_list
        };
        return fill(text, &[refused]);
    }
    if roster.is_empty() {
        return words.type_any.to_owned();
    }
    match length(roster) {
        Some(length) if length > 1 => fill(
            words.type_figures,
            &[&number::in_words(words, length as i64)],
        ),
        _ => words.type_number.to_owned(),
    }
}

/// How many signs every number of a list has, where they are as long.
fn length(roster: &[String]) -> Option<usize> {
    let length = roster.first()?.chars().count();

    roster
        .iter()
        .all(|number| number.chars().count() == length)
        .then_some(length)
}

/// A box for each sign, as on the slip; returns where they end.
fn boxes(sheet: &mut Sheet<Act>, kiosk: &Kiosk, typed: &str, top: f32) -> f32 {
    let paper = sheet.paper;
    let words = kiosk.setup.words;
    let count = typed.chars().count();
    let boxes = count
        .max(length(&kiosk.setup.roster).unwrap_or(BOXES))
        .min(LONGEST);
    let size = paper.size(Role::Title);
    let height = paper.y(112.0).max(TARGET);
    let widest = (paper.right() - paper.left()) / boxes as f32 - paper.y(16.0);
    let width = paper.y(96.0).min(widest);

    for place in 0..boxes {
        let left = paper.left() + place as f32 * (width + paper.y(16.0));
        let is_next = place == count;
        let bounds = Bounds {
            left,
            top,
            right: left + width,
            bottom: top + height,
        };
        let (thickness, ink) = match (is_next, place < count) {
            (true, _) => (3.0, Ink::Accent),
            (false, true) => (2.0, Ink::Plain),
            (false, false) => (1.5, Ink::Quiet),
        };
        sheet.outline(bounds, thickness, ink);
        if let Some(sign) = typed.chars().nth(place) {
            let of = Type::of(Role::Title).anchor(Anchor::Middle);
            let baseline = top + height / 2.0 + 0.34 * size;
            let _ = sheet.write_unsaid(&sign.to_string(), left + width / 2.0, baseline, of);
        }
    }
    sheet.say(typed);

    let is_known = kiosk
        .setup
        .roster
        .iter()
        .any(|number| number.eq_ignore_ascii_case(typed));
    let end = paper.left() + boxes as f32 * (width + paper.y(16.0)) + paper.y(16.0);
    let needs = text::width(words.press_or_type, Face::Regular, paper.size(Role::Text));
    if is_known && end + needs <= paper.x(KEYS) {
        let y = top + height / 2.0 + 0.34 * size;
        let _ = sheet.write(words.press_or_type, end, y, TEXT.ink(Ink::Quiet));
    }

    top + height
}

/// How the list lies on the page.
struct Grid {
    columns: usize,
    rows: usize,
    row: f32,
}

impl Grid {
    fn new(paper: &Paper, roster: &[String], handed_in: &str, room: f32) -> Self {
        let size = paper.size(Role::Text);
        let widest = roster
            .iter()
            .map(|number| text::width(number, Face::Bold, size))
            .fold(0.0, f32::max);
        let beside = text::width(handed_in, Face::Italic, size);
        let column = widest + beside + 3.2 * paper.key();
        let columns =
            (((paper.right() - paper.left() + paper.key()) / column) as usize).clamp(1, 4);
        // Rows as drawn, and closer where more of them are to be had.
        let least = TARGET.max(paper.line(Role::Text));
        let wanted = roster.len().div_ceil(columns).max(1);
        let row = (room / wanted as f32).clamp(least, paper.y(64.0).max(least));
        let rows = ((room / row).floor() as usize).max(1);

        Self { columns, rows, row }
    }
}

/// The list, with the leaf that is seen and how many there are. Where it takes several leaves,
/// what is typed leaves those out that begin otherwise.
fn list(sheet: &mut Sheet<Act>, kiosk: &Kiosk, typed: &str, top: f32) -> (usize, usize) {
    let paper = sheet.paper;
    let words = kiosk.setup.words;
    let roster = &kiosk.setup.roster;
    let room = paper.y(944.0) - top;
    let grid = Grid::new(&paper, roster, words.handed_in, room);
    let each = grid.columns * grid.rows;
    let is_long = roster.len() > each;
    let begins = |number: &str| {
        number.len() >= typed.len()
            && number.is_char_boundary(typed.len())
            && number[..typed.len()].eq_ignore_ascii_case(typed)
    };
    let shown: Vec<(usize, &String)> = roster
        .iter()
        .enumerate()
        .filter(|(_, number)| !is_long || begins(number))
        .collect();
    let leaves = shown.len().div_ceil(each).max(1);
    let leaf = kiosk.leaf.min(leaves - 1);
    let here = &shown[(leaf * each).min(shown.len())..((leaf + 1) * each).min(shown.len())];
    let rows = here.len().div_ceil(grid.columns).max(1);
    let width = (paper.right() - paper.left() + paper.key()) / grid.columns as f32;

    for (index, (place, number)) in here.iter().enumerate() {
        let (column, line) = (index / rows, index % rows);
        let left = paper.left() + column as f32 * width;
        let right = left + width - paper.key();
        let y = top + line as f32 * grid.row;
        if line == 0 {
            sheet.rule(left, right, y, 1.0, Ink::Quiet);
        }
        let bounds = Bounds {
            left,
            top: y,
            right,
            bottom: y + grid.row,
        };
        one(sheet, kiosk, number, typed, bounds);
        sheet.target(bounds, Act::Pick(*place), number);
    }

    (leaf, leaves)
}

/// A number of the list.
fn one(sheet: &mut Sheet<Act>, kiosk: &Kiosk, number: &str, typed: &str, bounds: Bounds) {
    let paper = sheet.paper;
    let is_chosen = number.eq_ignore_ascii_case(typed);
    let has_handed_in = kiosk.handed_in.contains(number);
    let middle = (bounds.top + bounds.bottom) / 2.0;
    let baseline = middle + 0.34 * paper.size(Role::Text);
    let of = match (is_chosen, has_handed_in) {
        (true, _) => TEXT.face(Face::Bold).ink(Ink::Accent),
        (false, true) => TEXT.ink(Ink::Quiet),
        (false, false) => TEXT,
    };
    let end = sheet.write(number, bounds.left + 0.75 * paper.key(), baseline, of);

    if has_handed_in {
        let quiet = TEXT.face(Face::Italic).ink(Ink::Quiet);
        let x = end + 0.75 * paper.key();
        let _ = sheet.write(kiosk.setup.words.handed_in, x, baseline, quiet);
    }
    sheet.rule(
        bounds.left,
        bounds.right,
        bounds.bottom - 1.0,
        1.0,
        Ink::Rule,
    );
    if is_chosen {
        let height = bounds.bottom - bounds.top - 1.0;
        sheet.rect(bounds.left, bounds.top, paper.y(8.0), height, Ink::Accent);
    }
}
