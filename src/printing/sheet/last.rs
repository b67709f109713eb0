//! What closes a sheet: what was seen, incidents, second looks, the panel, how marks are worked
//! out, and where an examiner signs.

use super::content::{Content, Happened};
use crate::engraving::{Anchor, Ink};
use crate::printing::columns::{FALL, MEASURE, NOTE_LINE, RISE};
use crate::printing::page::Meaning;
use crate::printing::plan::Block;
use crate::printing::text::label;
use crate::printing::text::running_text;
use crate::printing::words::list;
use crate::printing::writer::{LINE, NOTE, TEXT, Type, Writer};

pub(super) fn blocks<'a>(content: &'a Content, all: &mut Vec<Block<'a>>) {
    all.push(Block::new(|on| {
        let said: Vec<String> = content
            .seen
            .iter()
            .chain(
                // The table of keys says it already.
                content
                    .instrument
                    .iter()
                    .filter(|text| content.keys.is_empty() || !text.starts_with("Hands are")),
            )
            .cloned()
            .collect();
        running_text(on, "Seen, not marked", &said);
    }));
    happened("Incidents", 84.0, &content.incidents, all);
    happened("Second look", 0.0, &content.overruled, all);
    if !content.panel.is_empty() {
        all.push(Block::new(|on| panel(on, content)));
    }
}

/// Lines with their time, a block each, as there may be many.
fn happened<'a>(name: &'a str, column: f32, rows: &'a [Happened], all: &mut Vec<Block<'a>>) {
    for (place, row) in rows.iter().enumerate() {
        let block = Block::new(move |on: &mut Writer| {
            let (left, baseline) = (on.left(), on.y + RISE);
            on.part(Meaning::Section, |on| {
                if place == 0 {
                    label(on, name, baseline);
                }
                on.part(Meaning::Paragraph, |on| {
                    let of = (Type::of(TEXT), LINE);
                    let end = on.write(&format!("{} ", row.when), left, baseline, Type::of(TEXT));
                    on.y = if column > 0.0 {
                        let x = (left + column).max(end + 6.0);
                        on.wrap(&row.text, x, baseline, MEASURE - (x - left), of)
                    } else {
                        on.wrap(&row.text, left, baseline + LINE, MEASURE, of)
                    } + FALL;
                });
            });
        });
        all.push(if place == 0 { block } else { block.tight() });
    }
}

fn panel(on: &mut Writer, content: &Content) {
    let rows: Vec<String> = content
        .panel
        .iter()
        .map(|row| {
            let by = match row.by.as_str() {
                "" => String::new(),
                by => format!(" by {by}"),
            };
            format!("{} {}: {}{by}.", row.id, row.criterion, row.share)
        })
        .collect();

    running_text(on, "Given by a person", &rows);
}

/// How marks are worked out, small.
pub(super) fn rubric<'a>(content: &'a Content, all: &mut Vec<Block<'a>>) {
    all.push(Block::new(|on| {
        let (left, right) = (on.left(), on.right());
        let rubric = &content.rubric;
        let top = on.y + RISE;
        let mut y = top;
        let of = (Type::of(NOTE).quiet(), NOTE_LINE);
        on.part(Meaning::Section, |on| {
            label(on, "Rubric", y);
            let rows: Vec<(String, String, String)> = rubric
                .levels
                .iter()
                .map(|level| {
                    let credit = format!("{} %", level.credit);
                    (
                        format!("level {}", level.level),
                        credit,
                        level.words.clone(),
                    )
                })
                .chain(rubric.criteria.iter().map(|criterion| {
                    let name = criterion.name.to_owned();
                    (name, criterion.weight.clone(), criterion.words.to_owned())
                }))
                .collect();
            if !rows.is_empty() {
                let about = "Levels of single chords with their credit, criteria of runs with \
                             their weight";
                on.part(Meaning::Table(about.to_owned()), |on| {
                    for (name, value, words) in &rows {
                        on.part(Meaning::Row, |on| {
                            on.part(Meaning::RowHead, |on| {
                                let _ = on.write(name, left, y, of.0);
                            });
                            on.part(Meaning::Cell, |on| {
                                let end = of.0.anchor(Anchor::End);
                                let _ = on.write(value, left + 104.0, y, end);
                            });
                            on.part(Meaning::Cell, |on| {
                                let x = left + 116.0;
                                y = on.wrap(words, x, y, right - x, of) + NOTE_LINE;
                            });
                        });
                    }
                });
            }
            on.part(Meaning::Paragraph, |on| {
                y = on.wrap(&rubric.words.join(" "), left, y, MEASURE, of) + NOTE_LINE;
            });
        });
        on.y = y - NOTE_LINE + FALL;
    }));
}

/// Where an examiner signs.
pub(super) fn signature<'a>(content: &'a Content, all: &mut Vec<Block<'a>>) {
    let block = Block::new(|on: &mut Writer| {
        let (left, right) = (on.left(), on.right());
        let y = on.y + 30.0;
        let mut givers: Vec<&str> = Vec::new();
        for row in &content.panel {
            if !row.by.is_empty() && !givers.contains(&row.by.as_str()) {
                givers.push(&row.by);
            }
        }
        let by_hand = match (content.panel.is_empty(), givers.is_empty()) {
            _ if !content.examiners.is_empty() => {
                format!("Marks given by hand: all, by {}", list(&content.examiners))
            }
            (true, _) => "Marks given by hand: none".to_owned(),
            (false, true) => "Marks given by hand: awaited".to_owned(),
            (false, false) => format!("Marks given by hand: {}", list(&givers)),
        };
        let lines = [
            ("Examiner", left, left + 200.0),
            ("Date", left + 224.0, left + 344.0),
            (by_hand.as_str(), left + 368.0, right),
        ];
        on.part(Meaning::Section, |on| {
            for (words, from, to) in lines {
                on.rule(from, to, y, 1.0, Ink::Plain);
                on.part(Meaning::Paragraph, |on| {
                    let of = (Type::label(NOTE), NOTE_LINE);
                    let end = on.wrap(words, from, y + 15.0, to - from, of);
                    on.y = on.y.max(end + FALL);
                });
            }
        });
    });
    all.push(block.at_foot());
}
