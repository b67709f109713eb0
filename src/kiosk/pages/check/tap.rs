//! Tapping along: the beats as they come, and how late the candidate taps.

use super::title;
use crate::engraving::{Face, Ink, Mark, Point};
use crate::kiosk::act::Act;
use crate::kiosk::check::{BEATS, COUNT_IN, Check};
use crate::kiosk::model::Kiosk;
use crate::kiosk::pages::flow::Flow;
use crate::kiosk::paper::Role;
use crate::kiosk::sheet::{Sheet, Type};
use crate::kiosk::words::fill;

/// The beats, or the result.
pub(super) fn along<'a>(
    flow: &mut Flow<'a>,
    sheet: &Sheet<Act>,
    kiosk: &'a Kiosk,
    check: &'a Check,
) {
    let paper = sheet.paper;
    let words = kiosk.setup.words;

    if let Some(lag) = check.found.lag {
        let ms = (lag.median.tenths() + 5 * lag.median.tenths().signum()) / 10;
        let result = match ms {
            0 => words.tap_together.to_owned(),
            1.. => fill(words.tap_late, &[&ms.to_string()]),
            _ => fill(words.tap_early, &[&(-ms).to_string()]),
        };
        title(flow, sheet, "", words.tap_found, "");
        flow.words(sheet, &result, Type::of(Role::Lead));
        flow.space(paper.y(8.0));
        flow.words(sheet, words.tap_found_text, super::TEXT);
        return;
    }
    let text = if check.again {
        words.tap_again
    } else {
        words.tap_text
    };
    title(flow, sheet, words.tap, words.tap_title, text);
    flow.space(paper.y(32.0));
    flow.block(paper.y(80.0) + paper.line(Role::Note), move |sheet, top| {
        beats(sheet, kiosk, check, top);
    });
}

/// A stroke for each beat, those that count in shorter; a thick one for each that was tapped.
fn beats(sheet: &mut Sheet<Act>, kiosk: &Kiosk, check: &Check, top: f32) {
    let paper = sheet.paper;
    let words = kiosk.setup.words;
    let all = COUNT_IN + BEATS;
    let apart = (paper.right() - paper.left()) / all as f32;
    let (tall, short) = (paper.y(80.0), paper.y(40.0));
    let x = |beat: u32| (paper.left() + beat as f32 * apart).round();

    for beat in 0..all {
        let height = if beat < COUNT_IN { short } else { tall };
        sheet.rect(x(beat), top + tall - height, 2.0, height, Ink::Quiet);
    }
    sheet.rule(paper.left(), paper.right(), top + tall, 1.0, Ink::Quiet);
    let of = Type::of(Role::Note).face(Face::Italic).ink(Ink::Quiet);
    let y = top + tall + paper.line(Role::Note);
    let _ = sheet.write(words.counts_in, paper.left(), y, of);

    // The taps stand on the beats that they were played to.
    for beat in check.tapped() {
        let at = Point::new(x(beat) - 4.0, top);
        sheet.moving.push(Mark::Rect {
            at,
            width: 10.0,
            height: tall,
            ink: Ink::Plain,
        });
    }
    // The beat that sounds: a broad foot under its stroke.
    if let Some(beat) = check.beat(kiosk.now) {
        let at = Point::new(x(beat), top + tall - paper.y(12.0));
        sheet.moving.push(Mark::Rect {
            at,
            width: (apart * 0.6).round(),
            height: paper.y(12.0),
            ink: Ink::Plain,
        });
    }
}
