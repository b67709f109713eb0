//! The sound: is there any, does it come from the side it should, and is it comfortable.

use super::{TEXT, title};
use crate::engraving::{Anchor, Face, Glyph, Ink, Mark, Point, text};
use crate::instruments::speaker::Level;
use crate::kiosk::act::Act;
use crate::kiosk::check::{Check, Side};
use crate::kiosk::model::Kiosk;
use crate::kiosk::pages::flow::{Flow, rise};
use crate::kiosk::paper::{Paper, Role};
use crate::kiosk::sheet::{Button, Sheet, TARGET};

/// There is nothing to sound on.
pub(super) fn absent(flow: &mut Flow<'_>, sheet: &Sheet<Act>, kiosk: &Kiosk) {
    let words = kiosk.setup.words;

    title(
        flow,
        sheet,
        words.set_level,
        words.no_output,
        words.no_output_text,
    );
    flow.space(sheet.paper.y(16.0));
    flow.words(sheet, words.raise_hand, TEXT.ink(Ink::Quiet));
}

/// The chord sounds from quiet upwards.
pub(super) fn set<'a>(flow: &mut Flow<'a>, sheet: &Sheet<Act>, kiosk: &'a Kiosk, check: &'a Check) {
    let paper = sheet.paper;
    let words = kiosk.setup.words;
    // The second sentence goes where text is large.
    let sentence = if paper.enlarged > 1.6 {
        words
            .sides_text
            .split_once(". ")
            .map_or(words.sides_text, |(first, _)| first)
    } else {
        words.sides_text
    };

    title(
        flow,
        sheet,
        words.set_level,
        words.comfortable_title,
        sentence,
    );
    flow.space(paper.y(16.0));
    flow.block(paper.line(Role::Text), move |sheet, top| {
        sides(sheet, kiosk, check, top)
    });
    flow.space(paper.y(12.0));
    flow.block(paper.y(64.0) + paper.y(36.0), move |sheet, top| {
        hairpin(sheet, &paper, top + paper.y(34.0), check.level);
    });
    flow.block(paper.line(Role::Text), move |sheet, top| {
        let of = TEXT
            .face(Face::Bold)
            .ink(Ink::Accent)
            .anchor(Anchor::Middle);
        let figures = crate::kiosk::pages::level(words, check.level);
        let half = text::width(&figures, Face::Bold, paper.size(Role::Text)) / 2.0;
        let x = level_x(&paper, check.level)
            .max(paper.left() + half)
            .min(paper.x(super::KEYS) - half);
        let _ = sheet.write(&figures, x, top + rise(sheet, Role::Text), of);
    });
    flow.space(paper.y(16.0));
    let height = paper.y(64.0).max(TARGET).max(paper.size(Role::Text) * 1.9);
    flow.block(height, move |sheet, top| buttons(sheet, kiosk, top));
    flow.space(paper.y(16.0));
    flow.words(sheet, words.caution_ears, TEXT.ink(Ink::Quiet));
}

fn buttons(sheet: &mut Sheet<Act>, kiosk: &Kiosk, top: f32) {
    let paper = sheet.paper;
    let words = kiosk.setup.words;
    let mut button = Button {
        label: words.softer,
        hint: "←",
        x: paper.left(),
        y: top,
        anchor: Anchor::Start,
        least: 0.0,
        is_first: false,
    };

    let end = sheet.button(button, Act::Softer);
    button.label = words.louder;
    button.hint = "→";
    button.x = end + paper.key() * 0.8;
    let end = sheet.button(button, Act::Louder);
    button.label = words.sides_again;
    button.hint = "";
    button.x = end + paper.key() * 0.8;
    // Where it has no room the chord still goes round after the page is come to.
    let wide = text::width(button.label, Face::Bold, paper.size(Role::Text)) * 1.2;
    let room = if paper.is_folded() {
        paper.right()
    } else {
        paper.x(super::KEYS) - 10.0 * paper.key()
    };
    if button.x + wide <= room {
        let _ = sheet.button(button, Act::Again);
    }
    if !paper.is_folded() {
        // At the foot where text is large.
        let first = Button {
            label: words.comfortable,
            hint: words.enter,
            x: paper.x(super::KEYS),
            y: top,
            anchor: Anchor::End,
            least: 8.0 * paper.key(),
            is_first: true,
        };
        let _ = sheet.button(first, Act::Go);
    }
}

/// Where the chord sounds: the side in bold.
fn sides(sheet: &mut Sheet<Act>, kiosk: &Kiosk, check: &Check, top: f32) {
    let paper = sheet.paper;
    let words = kiosk.setup.words;
    let y = top + rise(sheet, Role::Text);
    let (from, to) = ends(&paper);

    for (side, word, x, anchor) in [
        (Side::Left, words.side_left, from, Anchor::Start),
        (
            Side::Both,
            words.side_both,
            (from + to) / 2.0,
            Anchor::Middle,
        ),
        (Side::Right, words.side_right, to, Anchor::End),
    ] {
        let of = TEXT.anchor(anchor);
        let of = if check.side == side {
            of.face(Face::Bold)
        } else {
            of.face(Face::Italic).ink(Ink::Quiet)
        };
        let _ = sheet.write(word, x, y, of);
    }
}

/// Where the hairpin begins and ends.
fn ends(paper: &Paper) -> (f32, f32) {
    (
        paper.left() + 1.75 * paper.key(),
        paper.right() - 2.0 * paper.key(),
    )
}

fn level_x(paper: &Paper, level: Level) -> f32 {
    let (from, to) = ends(paper);

    from + (to - from) * f32::from(level.step()) / f32::from(Level::FULL.step())
}

/// From soft to loud, and where the level stands.
fn hairpin(sheet: &mut Sheet<Act>, paper: &Paper, y: f32, level: Level) {
    let (from, to) = ends(paper);
    let opening = paper.y(56.0);
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
        (Glyph::Piano, paper.left()),
        (Glyph::Forte, to + 0.8 * paper.key()),
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
    for step in 1..=10_u8 {
        let x = from + (to - from) * f32::from(step) / 10.0;
        let long = if step % 5 == 0 { 18.0 } else { 10.0 };
        sheet.rect(x, y + paper.y(44.0), 1.0, paper.y(long), Ink::Quiet);
    }
    let x = level_x(paper, level);
    sheet.rect(x - 5.0, y - paper.y(40.0), 10.0, paper.y(80.0), Ink::Accent);
}
