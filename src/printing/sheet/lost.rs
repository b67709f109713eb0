//! The chords that lost marks, engraved as asked and as played, and the others in words.

use super::content::{Content, LostChord};
use crate::engraving::grand::{self, Hands};
use crate::engraving::staff::Options;
use crate::engraving::symbol::Setting;
use crate::engraving::text::wrapped;
use crate::engraving::{Drawing, Face, Ink};
use crate::printing::columns::{FALL, MEASURE, NOTE_LINE, RISE};
use crate::printing::page::Meaning;
use crate::printing::plan::Block;
use crate::printing::text::label;
use crate::printing::words::{counted, sentence};
use crate::printing::writer::{LINE, NOTE, TEXT, Type, Writer};
use crate::theory::symbol;

/// The distance of two staff lines, large and small, and the width of a staff in pixels.
const SPACES: [f32; 2] = [6.5, 4.8];
const STAFF: f32 = 152.75;
/// From the text's left edge to the staves, and to the reason.
const ASKED: f32 = 8.0;
const PLAYED: f32 = 200.0;
const REASON: f32 = 376.0;
/// The size of a chord's root.
const ROOT: f32 = 30.0;
/// From the top of a row to its upper staff, at least.
const OVER_STAFF: f32 = 24.0;
/// How many of the others are told in one paragraph.
const OTHERS: usize = 12;

pub(super) fn blocks<'a>(
    content: &'a Content,
    (shown, small): (usize, bool),
    all: &mut Vec<Block<'a>>,
) {
    let space = SPACES[usize::from(small)];
    let lost = &content.lost;
    let (engraved, others) = lost.chords.split_at(shown.min(lost.chords.len()));
    let rest = others.len();

    for (place, chord) in engraved.iter().enumerate() {
        let last = place + 1 == engraved.len();
        let block = Block::new(move |on: &mut Writer| {
            on.part(Meaning::Section, |on| {
                if place == 0 {
                    heading(on, content, rest);
                }
                row(on, content, chord, (space, last));
            });
        });
        all.push(if place == 0 { block } else { block.tight() });
    }
    for (place, chords) in others.chunks(OTHERS).enumerate() {
        let block = Block::new(move |on: &mut Writer| {
            let (left, baseline) = (on.left(), on.y + RISE);
            on.part(Meaning::Section, |on| {
                if place == 0 {
                    let name = if shown == 0 {
                        "Lost marks"
                    } else {
                        "Also lost"
                    };
                    label(on, name, baseline);
                }
                on.part(Meaning::Paragraph, |on| {
                    let of = (Type::of(NOTE), NOTE_LINE);
                    on.y = on.wrap(&told(content, chords), left, baseline, MEASURE, of) + FALL;
                });
            });
        });
        all.push(if place == 0 { block } else { block.tight() });
    }
    if !lost.words.is_empty() {
        all.push(Block::new(|on| {
            crate::printing::text::running_text(on, "Not reached", &lost.words);
        }));
    }
}

fn heading(on: &mut Writer, content: &Content, rest: usize) {
    let (margin, left, right) = (on.margin(), on.left(), on.right());
    let baseline = on.y + RISE;
    let which = if rest == 0 {
        "Every chord below level 3, as asked and as played".to_owned()
    } else {
        format!(
            "Chords below level 3, as asked and as played; {} below",
            counted(rest, "more is told", "more are told")
        )
    };

    label(on, "Lost marks", baseline);
    on.part(Meaning::Paragraph, |on| {
        let _ = on.write(&which, left, baseline, Type::of(TEXT));
    });
    on.rule(margin, right, baseline + 9.0, 1.0, Ink::Quiet);
    on.y = baseline + 9.0;
    let _ = content;
}

fn row(on: &mut Writer, content: &Content, chord: &LostChord, (space, last): (f32, bool)) {
    let (margin, left, right) = (on.margin(), on.left(), on.right());
    let options = Options {
        width: STAFF / space,
        ..Options::default()
    };
    let draw = |hands: &Hands| grand::layout(hands, &options);
    let (asked, played) = (draw(&chord.asked), draw(&chord.played));
    let over = |drawing: &Drawing| drawing.origin.y * space;
    let under = |drawing: &Drawing| (drawing.height - drawing.origin.y) * space;
    let staff = on.y + OVER_STAFF.max(over(&asked).max(over(&played)) + 16.0);
    let caption = staff - 13.0;
    let top = on.y;

    on.part(Meaning::Heading(3), |on| {
        let setting = Setting::new(content.style, ROOT);
        on.symbol(chord.chord, setting, margin, top + 38.0);
    });
    let seconds = chord
        .seconds
        .as_ref()
        .map(|seconds| format!(", {seconds} s"))
        .unwrap_or_else(|| match chord.unrecorded {
            true => String::new(),
            false => ", no chord".to_owned(),
        });
    let facts = [
        format!("item {}", chord.id),
        format!("Level {}{seconds}", chord.level),
        chord.order.clone(),
    ];
    let mut y = top + 57.0;
    for fact in facts.iter().filter(|fact| !fact.is_empty()) {
        on.part(Meaning::Paragraph, |on| {
            let of = (Type::of(NOTE).quiet(), NOTE_LINE);
            y = on.wrap(fact, margin, y, 104.0, of) + NOTE_LINE;
        });
    }
    let pairs = [("asked", ASKED, asked), ("played", PLAYED, played)];
    let mut bottom = y - NOTE_LINE;
    for (words, x, drawing) in pairs {
        let nothing = match (words, chord.unrecorded, &chord.seconds) {
            ("played", true, _) => Some("played: not recorded"),
            ("played", false, None) => Some("played: nothing"),
            _ => None,
        };
        let said = match nothing {
            Some(nothing) => nothing.to_owned(),
            None => format!("{words}: {}", drawing.words),
        };
        on.part(Meaning::Figure(said), |on| {
            let of = Type::label(NOTE);
            let _ = on.write(nothing.unwrap_or(words), left + x, caption, of);
            if !(words == "played" && chord.unrecorded) {
                on.draw(&drawing, left + x, staff, space);
            }
        });
        bottom = bottom.max(staff + under(&drawing));
    }
    // The reason stands in the middle of the staves' height.
    let room = right - left - REASON;
    let lines = wrapped(&chord.reason, Face::Regular, TEXT, room).len() as f32;
    let middle = (staff + bottom) / 2.0;
    let first = (middle - (lines - 1.0) * LINE / 2.0 + 4.0).max(top + 20.0);
    on.part(Meaning::Paragraph, |on| {
        let of = (Type::of(TEXT), LINE);
        let end = on.wrap(&chord.reason, left + REASON, first, room, of);
        bottom = bottom.max(end);
    });
    on.y = bottom + 8.0;
    let ink = if last { Ink::Quiet } else { Ink::Rule };
    on.rule(margin, right, on.y, 1.0, ink);
}

/// The chords that are not engraved, with level and reason.
fn told(content: &Content, chords: &[LostChord]) -> String {
    chords
        .iter()
        .map(|chord| {
            let seconds = chord
                .seconds
                .as_ref()
                .map_or_else(String::new, |seconds| format!(", {seconds} s"));
            sentence(&format!(
                "{}\u{a0}{} (level\u{a0}{}{seconds}): {}",
                chord.id.replace(' ', "\u{a0}"),
                symbol::print(chord.chord, content.style),
                chord.level,
                chord.reason.trim_end_matches('.')
            ))
        })
        .collect::<Vec<_>>()
        .join(" ")
}
