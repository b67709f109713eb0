//! The strip of keys that echoes what is held, so that a candidate sees that the keyboard is heard.

use crate::engraving::strip::{self, Strip};
use crate::engraving::{Bounds, Face, Ink, Mark, Point};
use crate::kiosk::act::Act;
use crate::kiosk::model::Kiosk;
use crate::kiosk::paper::Role;
use crate::kiosk::sheet::{Sheet, Type};
use crate::theory::Key;

/// C2 to C7, in its true place on the page.
const RANGE: (i64, i64) = (36, 96);
/// All keys of a piano; they fill the page's width.
const WHOLE: (i64, i64) = (21, 108);
/// Where its upper edge stands on the pages of items, as on a page of 1,080 pixels.
pub(super) const TOP: f32 = 880.0;

/// Draws the strip with its upper edge at a height.
pub(super) fn draw(sheet: &mut Sheet<Act>, kiosk: &Kiosk, top: f32, heard: bool) {
    let paper = sheet.paper;
    let words = kiosk.setup.words;
    // Where more keys may be played than the measure holds, all of them fill the page's width.
    let is_wide = kiosk.is_wide();
    let is_whole = paper.is_folded() || is_wide;
    let (range, left) = if is_whole { (WHOLE, 0.0) } else { (RANGE, 9.0) };
    let (Ok(lowest), Ok(highest)) = (Key::new(range.0), Key::new(range.1)) else {
        return;
    };
    let key = paper.key();
    let height = paper.y(56.0).max(40.0);
    let held: Vec<Key> = kiosk.held().keys().collect();
    let label = if heard {
        words.in_your_hands
    } else {
        words.no_keys_heard
    };
    let still = Strip {
        lowest,
        highest,
        held: &[],
        heard,
        height: height / key,
        caption: Some((words.middle_c, paper.size(Role::Note) / key)),
    };

    if is_wide && !paper.is_folded() {
        let of = Type::of(Role::Note).face(Face::Italic).ink(Ink::Quiet);
        let _ = sheet.write(label, paper.x(0.0), top - paper.y(12.0), of);
    } else {
        sheet.label(label, top + height / 2.0 + 0.34 * paper.size(Role::Text));
    }
    let at = Point::new(paper.x(left), top);
    let drawing = strip::layout(&still);
    sheet.put(&drawing, at, key);
    if kiosk.on_computer && heard {
        let place = |bounds: Bounds| Bounds {
            left: at.x + bounds.left * key,
            top: at.y + bounds.top * key,
            right: at.x + bounds.right * key,
            bottom: at.y + bounds.bottom * key,
        };
        sheet.keys = strip::keys(&still)
            .into_iter()
            .map(|(key, bounds)| (key, place(bounds)))
            .collect();
    }
    if !held.is_empty() {
        let echo = strip::layout(&Strip {
            held: &held,
            caption: None,
            ..still
        });
        // Only what is not drawn already moves.
        let mut moved = echo.clone();
        moved
            .marks
            .retain(|mark| !drawing.marks.contains(mark) || is_ink(mark));
        sheet.put_moving(&moved, at, key);
        sheet.say(&echo.words);
    }
}

fn is_ink(mark: &Mark) -> bool {
    matches!(
        mark,
        Mark::Rect {
            ink: Ink::Plain,
            ..
        }
    )
}
