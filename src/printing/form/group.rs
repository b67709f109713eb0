//! The items of a section that stand together, and what stands over them.

use std::rc::Rc;

use super::Paper;
use crate::engraving::symbol::{self, Setting};
use crate::engraving::{Anchor, Ink};
use crate::exam::form::Item;
use crate::exam::script::{Kind, Section};
use crate::marking::grade;
use crate::printing::columns::{FALL, MEASURE};
use crate::printing::page::Meaning;
use crate::printing::plan::Block;
use crate::printing::text::label;
use crate::printing::words::{
    capital, counted, hundredths, list, number, plain_seconds, sentence, times,
};
use crate::printing::writer::{LEAD, LINE, NOTE, TEXT, Type, Writer};
use crate::theory::Chord;

/// Which items they are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Opening {
    /// Those that count.
    Section,
    /// Those before the exam, which do not count.
    Unmarked,
    /// Those that take the place of others.
    Spare,
}

/// Items of one section.
#[derive(Debug)]
pub(super) struct Group<'a> {
    pub(super) paper: &'a Paper<'a>,
    pub(super) section: &'a Section,
    pub(super) items: Vec<&'a Item>,
    pub(super) opening: Opening,
}

/// Where an item's number stands, and its symbol, from the margin.
pub(super) const SYMBOL: f32 = 34.0;
/// The size of a symbol's root, and the room it has.
pub(super) const ROOT: f32 = 24.0;
pub(super) const ROOM: f32 = 82.0;

/// Draws some items from the writer's height on, and leaves it below them.
pub(super) type Rows = fn(&mut Writer, &Group<'_>, &[&Item]);
/// Draws the heads over the columns.
pub(super) type Heads = fn(&mut Writer, &Group<'_>);

/// Adds blocks of so many items each; heads are repeated on each page.
pub(super) fn rows<'a>(
    group: &Rc<Group<'a>>,
    chunk: usize,
    (heads, rows): (Heads, Rows),
    all: &mut Vec<Block<'a>>,
) {
    let count = group.items.len().div_ceil(chunk).max(1);

    for place in 0..count {
        let group = Rc::clone(group);
        let block = Block::new(move |on: &mut Writer| {
            on.part(Meaning::Section, |on| {
                if place == 0 {
                    group.open(on);
                }
                if place == 0 || on.is_at_top() {
                    heads(on, &group);
                }
                let from = (place * chunk).min(group.items.len());
                let to = (from + chunk).min(group.items.len());
                rows(on, &group, &group.items[from..to]);
            });
        });
        all.push(if place == 0 { block } else { block.tight() });
    }
}

impl Group<'_> {
    /// Writes what stands over the items: whose they are, and how they are asked.
    pub(super) fn open(&self, on: &mut Writer) {
        let (margin, left, right) = (on.margin(), on.left(), on.right());
        let section = self.section;
        let baseline = on.y + 26.0;
        let (name, sentences) = match self.opening {
            Opening::Section => (format!("Section {}", section.id), self.sentences()),
            Opening::Unmarked => (
                "Not marked".to_owned(),
                vec!["Before the first section, to settle in; nothing counts.".to_owned()],
            ),
            Opening::Spare => (
                "Spare items".to_owned(),
                vec![
                    "Each takes the place of an item that was interrupted, of the same kind \
                     where there is one, with its full time."
                        .to_owned(),
                ],
            ),
        };

        on.rule(margin, right, on.y + 4.0, 1.0, Ink::Plain);
        label(on, &name, baseline);
        on.part(Meaning::Heading(2), |on| {
            let _ = on.write(&section.title, left, baseline, Type::of(LEAD));
        });
        if self.opening == Opening::Section {
            let marks = format!("{} marks", hundredths(i64::from(section.points)));
            on.part(Meaning::Paragraph, |on| {
                let of = Type::of(TEXT).anchor(Anchor::End);
                let _ = on.write(&marks, right, baseline, of);
            });
        }
        on.part(Meaning::Paragraph, |on| {
            let of = (Type::of(TEXT), LINE);
            let y = baseline + LINE + 4.0;
            on.y = on.wrap(&sentences.join(" "), left, y, MEASURE, of) + FALL;
        });
        on.y += 4.0;
    }

    /// How the section's items are asked, in sentences.
    fn sentences(&self) -> Vec<String> {
        let exam = self.paper.exam;
        let count = self.items.len();
        let gap = self.section.gap;
        let mut out = Vec::new();

        match &self.section.kind {
            Kind::Voicing(of) => {
                let limit = plain_seconds(of.limit);
                out.push(format!(
                    "{}, {limit} seconds for each.",
                    capital(&counted(count, "chord", "chords"))
                ));
                if of.with_bass {
                    out.push(
                        "As each is shown the examiner plays the root in the bass, C2 to B2."
                            .to_owned(),
                    );
                }
                if of.grace > 100 {
                    let end = plain_seconds(of.limit.scaled(i64::from(of.grace), 100));
                    out.push(format!("One that comes late counts up to {end} seconds."));
                }
                out.push(format!(
                    "At most {} at each.",
                    counted(usize::from(exam.rules.tries), "attempt", "attempts")
                ));
            }
            Kind::Run(_) => out.push(format!(
                "{}. Play on, whatever happens.",
                capital(&counted(count, "line", "lines"))
            )),
            Kind::Ear(of) => {
                if of.is_dictation() {
                    out.push(
                        "Write the bass of each chord, as a degree of the key, and its quality."
                            .to_owned(),
                    );
                } else {
                    out.extend(of.asks.iter().map(|ask| ask.question().to_owned()));
                }
                out.push(format!(
                    "{}; {}. After the first time there are {} seconds to answer. A wrong answer \
                     costs nothing.",
                    capital(&counted(count, "sound", "sounds")),
                    match of.hearings {
                        1 => "each is heard once".to_owned(),
                        most => format!(
                            "each is heard once, and on request up to {}",
                            times(usize::from(most))
                        ),
                    },
                    plain_seconds(of.limit)
                ));
            }
            Kind::Spell(of) => out.push(format!(
                "{}, {} seconds for each. Write {} from the root up, on the staff or by name, \
                 each with its accidental. The root is given. A wrong answer costs nothing.",
                capital(&counted(count, "chord", "chords")),
                plain_seconds(of.limit),
                if of.cells.iter().all(|cell| cell.tones.is_empty()) {
                    "all notes of the chord"
                } else {
                    "the notes that are named"
                }
            )),
            Kind::Panel(_) => out
                .push("The examiner gives these marks, from 0 to 10, after the music.".to_owned()),
            Kind::Rest { .. } => {}
        }
        if gap.tenths() > 0 && !matches!(self.section.kind, Kind::Panel(_) | Kind::Rest { .. }) {
            let seconds = plain_seconds(gap);
            let unit = if seconds == "1" { "second" } else { "seconds" };
            out.push(format!("Wait {seconds} {unit} before the next."));
        }
        let Paper { exam, form, .. } = *self.paper;
        let place = exam.sections.iter().position(|of| of.id == self.section.id);
        if let Some(each) = place.and_then(|place| grade::planned(exam, form, place)) {
            let with = match each.with.as_slice() {
                [] => String::new(),
                with => format!(", counted with section {}", list(with)),
            };
            out.push(format!("{} must be right to pass{with}.", each.needed()));
        }
        if let Some(hurdle) = self.section.hurdle {
            out.push(format!(
                "At least {} of the {} marks are needed to pass.",
                hundredths(i64::from(hurdle)),
                hundredths(i64::from(self.section.points))
            ));
        }

        out.iter().map(|text| sentence(text)).collect()
    }

    /// Writes an item's number; one that does not count has none.
    pub(super) fn number(&self, on: &mut Writer, item: &Item, x: f32, y: f32) {
        let words = match self.opening {
            Opening::Unmarked => "–".to_owned(),
            Opening::Section | Opening::Spare => item.number.to_string(),
        };

        on.part(Meaning::Paragraph, |on| {
            let _ = on.write(&words, x, y, Type::of(TEXT).quiet());
        });
    }

    /// Tells whether marks are entered for these items.
    pub(super) fn is_marked(&self) -> bool {
        self.opening != Opening::Unmarked
    }

    /// Sets a chord's symbol, smaller where it has no room.
    pub(super) fn symbol(&self, on: &mut Writer, chord: Chord, room: f32, (x, y): (f32, f32)) {
        let style = self.paper.exam.style;
        let width = symbol::layout(chord, Setting::new(style, ROOT)).width;
        let size = ROOT * (room / width).min(1.0);

        on.part(Meaning::Paragraph, |on| {
            on.symbol(chord, Setting::new(style, size), x, y);
        });
    }
}

/// What a count of things to mark is called: `of three`.
pub(super) fn out_of(count: usize) -> String {
    format!("of {}", number(count))
}

/// A hairline under a row.
pub(super) fn under(on: &mut Writer) {
    let (margin, right, y) = (on.margin(), on.right(), on.y);
    on.rule(margin, right, y, 1.0, Ink::Rule);
}

/// Small quiet print in a column; returns the baseline of its last line.
pub(super) fn small(on: &mut Writer, text: &str, (x, y): (f32, f32), room: f32) -> f32 {
    let mut end = y;
    on.part(Meaning::Paragraph, |on| {
        let of = (Type::of(NOTE).quiet(), 14.0);
        end = on.wrap(text, x, y, room, of);
    });

    end
}
