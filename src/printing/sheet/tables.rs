//! Tables: keys and qualities, what the ear confused, runs, spellings.

use super::content::{Asking, Content, KeyRow, Keys, ROOTS, RunRow, Spelt};
use crate::engraving::text::{width, wrapped};
use crate::engraving::{Anchor, Face, Ink};
use crate::printing::columns::{LABEL, MEASURE, RISE};
use crate::printing::page::Meaning;
use crate::printing::plan::Block;
use crate::printing::text::label;
use crate::printing::text::{running_text, small};
use crate::printing::words::list;
use crate::printing::writer::{NOTE, ROW, TEXT, Type, Writer};

/// Rows of a table that stand together.
const ROWS: usize = 20;
/// The size of a level in the table of keys, and the height of one asking.
const LEVEL: f32 = 16.0;
const ASKING: f32 = 40.0;

pub(super) fn keys<'a>(content: &'a Content, all: &mut Vec<Block<'a>>) {
    for table in &content.keys {
        let mut chunks: Vec<&[KeyRow]> = Vec::new();
        let mut rest = table.rows.as_slice();
        // So many askings of a chord that a row fills the page are cut by rows of few.
        while !rest.is_empty() {
            let mut height = 0.0;
            let fits = rest
                .iter()
                .take_while(|row| {
                    height += row_height(row);
                    height < 700.0
                })
                .count()
                .max(1);
            let (chunk, after) = rest.split_at(fits);
            chunks.push(chunk);
            rest = after;
        }
        let last = chunks.len().saturating_sub(1);
        for (place, rows) in chunks.into_iter().enumerate() {
            let parts = (place == 0, place == last);
            let block = Block::new(move |on| key_table(on, content, table, (rows, parts)));
            all.push(if place == 0 { block } else { block.tight() });
        }
    }
}

/// The most askings of one cell that are shown.
const ASKINGS: usize = 8;

fn row_height(row: &KeyRow) -> f32 {
    let askings = row.cells.iter().map(Vec::len).max().unwrap_or(0);

    4.0 + ASKING * askings.clamp(1, ASKINGS) as f32
}

fn key_table(
    on: &mut Writer,
    content: &Content,
    table: &Keys,
    (rows, (first, last)): (&[KeyRow], (bool, bool)),
) {
    let (margin, left, right) = (on.margin(), on.left(), on.right());
    let column = MEASURE / 12.0;
    let middle = |place: usize| left + column * (place as f32 + 0.5);
    let baseline = on.y + RISE;

    on.part(Meaning::Section, |on| {
        if first {
            label(on, &table.title, baseline);
            on.part(Meaning::Paragraph, |on| {
                let _ = on.write(&table.caption, left, baseline, Type::of(TEXT));
            });
        }
        let head = baseline + if first { 30.0 } else { 8.0 };
        let about = format!("{}: qualities by root", table.title);
        let mut y = head + 9.0;
        on.part(Meaning::Table(about), |on| {
            on.part(Meaning::Row, |on| {
                on.part(Meaning::ColumnHead, |on| {
                    let _ = on.write("quality", margin, head, Type::label(NOTE));
                });
                for (place, (_, root)) in ROOTS.iter().enumerate() {
                    on.part(Meaning::ColumnHead, |on| {
                        let bold = Type::of(TEXT).face(Face::Bold).anchor(Anchor::Middle);
                        let _ = on.write(root, middle(place), head, bold);
                    });
                }
            });
            on.rule(margin, right, y, 1.0, Ink::Quiet);
            for (place, row) in rows.iter().enumerate() {
                on.part(Meaning::Row, |on| {
                    on.part(Meaning::RowHead, |on| {
                        let _ =
                            on.wrap(&row.words, margin, y + 19.0, LABEL, (Type::of(TEXT), 16.0));
                    });
                    for (place, askings) in row.cells.iter().enumerate() {
                        on.part(Meaning::Cell, |on| cell(on, askings, middle(place), y));
                    }
                });
                y += row_height(row);
                let ink = if place + 1 == rows.len() {
                    Ink::Quiet
                } else {
                    Ink::Rule
                };
                on.rule(margin, right, y, 1.0, ink);
            }
        });
        on.y = y + 3.0;
        if last {
            small(on, &table.legend);
        }
    });
    let _ = content;
}

fn cell(on: &mut Writer, askings: &[Asking], x: f32, top: f32) {
    let middle = |size: f32| Type::of(size).anchor(Anchor::Middle);

    if askings.is_empty() {
        let _ = on.write("–", x, top + 19.0, middle(TEXT).quiet());
    }
    for (place, asking) in askings.iter().take(ASKINGS).enumerate() {
        let top = top + place as f32 * ASKING;
        let face = |bold| if bold { Face::Bold } else { Face::Regular };
        let level = middle(LEVEL).face(face(asking.bold));
        // A blank keeps level and time two words for those who hear or copy them.
        let _ = on.write(&format!("{} ", asking.level), x + 2.0, top + 19.0, level);
        let (seconds, over) = match &asking.seconds {
            Some(seconds) => (seconds.as_str(), asking.over),
            None => ("none", false),
        };
        let time = middle(NOTE).face(face(over));
        let time = if over { time } else { time.quiet() };
        let _ = on.write(seconds, x, top + 35.0, time);
    }
}

pub(super) fn gaps<'a>(content: &'a Content, all: &mut Vec<Block<'a>>) {
    if !content.gaps.is_empty() {
        all.push(Block::new(|on| {
            running_text(on, "Routine gap", &content.gaps);
        }));
    }
}

pub(super) fn runs<'a>(content: &'a Content, all: &mut Vec<Block<'a>>) {
    for (place, rows) in content.runs.rows.chunks(ROWS).enumerate() {
        let block = Block::new(move |on| run_table(on, content, rows, place == 0));
        all.push(if place == 0 { block } else { block.tight() });
    }
}

/// The width of a column of shares, and the height of a line of weights.
const SHARE: f32 = 52.0;
const WEIGHTS: f32 = 13.0;

/// The columns of the runs: the criteria of each, of which one applies to a run. Readiness and
/// time share one, as a run is in the candidate's own time or in tempo.
fn criteria(content: &Content) -> Vec<(String, Vec<usize>)> {
    let mut all: Vec<(String, Vec<usize>)> = Vec::new();

    for (place, name) in content.runs.columns.iter().enumerate() {
        match (*name, all.last_mut()) {
            ("time", Some((before, places))) if before == "readiness" => {
                before.push_str(" or time");
                places.push(place);
            }
            ("voice leading", _) => all.push(("leading".to_owned(), vec![place])),
            (name, _) => all.push((name.to_owned(), vec![place])),
        }
    }

    all
}

fn run_table(on: &mut Writer, content: &Content, rows: &[RunRow], labelled: bool) {
    let (margin, left, right) = (on.margin(), on.left(), on.right());
    let columns = criteria(content);
    let two_lines = columns.iter().any(|(name, _)| name.contains(" or "));
    let head = on.y + RISE + if two_lines { 6.0 } else { 0.0 };
    let x = |place: usize| right - SHARE * (columns.len() - place) as f32;
    let groups = &content.rubric.weights;
    let top = head + ROW + 2.0 + WEIGHTS * groups.len().saturating_sub(1) as f32;

    on.part(Meaning::Section, |on| {
        if labelled {
            label(on, "Runs", head);
        }
        let about = "The runs: criteria and marks in percent";
        on.part(Meaning::Table(about.to_owned()), |on| {
            let note = Type::label(NOTE);
            let end = note.anchor(Anchor::End);
            on.part(Meaning::Row, |on| {
                on.part(Meaning::ColumnHead, |on| {
                    let _ = on.write("shares in percent", left, head, note);
                });
                for (place, (name, _)) in columns.iter().enumerate() {
                    on.part(Meaning::ColumnHead, |on| match name.split_once(" or ") {
                        Some((one, other)) => {
                            let _ = on.write(&format!("{one} "), x(place) + 2.5, head - 11.0, end);
                            let _ = on.write(&format!("or {other}"), x(place), head, end);
                        }
                        None => {
                            let _ = on.write(name, x(place), head, end);
                        }
                    });
                }
                on.part(Meaning::ColumnHead, |on| {
                    let _ = on.write("mark", right, head, end);
                });
            });
            for (line, of) in groups.iter().enumerate() {
                let y = head + 15.0 + WEIGHTS * line as f32;
                on.part(Meaning::Row, |on| {
                    on.part(Meaning::RowHead, |on| {
                        let words = match groups.len() {
                            1 => "weights".to_owned(),
                            _ => format!("weights in {}", list(&of.sections)),
                        };
                        let _ = on.write(&words, left, y, note);
                    });
                    for (place, (_, places)) in columns.iter().enumerate() {
                        let text = weighed(content, &of.weights, places);
                        on.part(Meaning::Cell, |on| {
                            let _ = on.write(&text, x(place), y, end.face(Face::Regular));
                        });
                    }
                    on.part(Meaning::Cell, |on| {
                        let _ = on.write("–", right, y, end.face(Face::Regular));
                    });
                });
            }
            on.rule(margin, right, top, 1.0, Ink::Quiet);
            for (place, row) in rows.iter().enumerate() {
                let y = top + 15.0 + place as f32 * ROW;
                on.part(Meaning::Row, |on| {
                    on.part(Meaning::RowHead, |on| {
                        let id = on.write(&format!("{} ", row.id), left, y, Type::of(TEXT));
                        let at = (left + 38.0).max(id + 4.0);
                        let room = x(0) - 28.0 - at;
                        fitted(on, &row.what, (at, y), room);
                    });
                    for (column, (_, places)) in columns.iter().enumerate() {
                        let end = Type::of(TEXT).anchor(Anchor::End);
                        let share = places.iter().find_map(|place| row.shares[*place]);
                        let (text, how) = match share {
                            Some(100) => ("100".to_owned(), end),
                            Some(share) => (share.to_string(), end.face(Face::Bold)),
                            None => ("–".to_owned(), end.quiet()),
                        };
                        on.part(Meaning::Cell, |on| {
                            let _ = on.write(&text, x(column), y, how);
                        });
                    }
                    let mark = if row.reached {
                        format!("{} %", row.mark)
                    } else {
                        "0 %, unreached".to_owned()
                    };
                    on.part(Meaning::Cell, |on| {
                        let end = Type::of(TEXT).anchor(Anchor::End);
                        let _ = on.write(&mark, right, y, end);
                    });
                });
                let last = place + 1 == rows.len();
                let ink = if last { Ink::Quiet } else { Ink::Rule };
                on.rule(left, right, top + (place + 1) as f32 * ROW, 1.0, ink);
            }
        });
    });
    on.y = top + rows.len() as f32 * ROW + 1.0;
}

/// What the criteria of a column weigh.
fn weighed(content: &Content, weights: &[(&str, u32)], places: &[usize]) -> String {
    let mut of: Vec<String> = places
        .iter()
        .filter_map(|place| {
            let name = content.runs.columns[*place];
            let (_, weight) = weights.iter().find(|(known, _)| *known == name)?;
            Some(weight.to_string())
        })
        .collect();
    of.dedup();

    of.join(", ")
}

/// Why runs lost marks, small.
pub(super) fn run_reasons<'a>(content: &'a Content, all: &mut Vec<Block<'a>>) {
    let rows: Vec<&RunRow> = content
        .runs
        .rows
        .iter()
        .filter(|row| !row.reason.is_empty())
        .collect();

    for rows in rows.chunks(ROWS / 2) {
        let text: Vec<String> = rows
            .iter()
            .map(|row| format!("{}: {}", row.id, row.reason))
            .collect();
        let text = text.join(" ");
        all.push(Block::new(move |on: &mut Writer| small(on, &text)).tight());
    }
}

/// Writes words in a room, smaller where they are long, and cut where they are longer still.
fn fitted(on: &mut Writer, words: &str, (x, y): (f32, f32), room: f32) {
    let wide = width(words, Face::Regular, TEXT);
    let size = (TEXT * room / wide.max(1.0)).clamp(NOTE, TEXT);
    let lines = wrapped(words, Face::Regular, size, room - 8.0);
    let words = match (
        width(words, Face::Regular, size) > room + 0.5,
        lines.first(),
    ) {
        (true, Some(first)) => format!("{first} …"),
        _ => words.to_owned(),
    };
    let _ = on.write(&words, x, y, Type::of(size));
}

pub(super) fn spelt<'a>(content: &'a Content, all: &mut Vec<Block<'a>>) {
    for (place, rows) in content.spelt.chunks(ROWS).enumerate() {
        let block = Block::new(move |on: &mut Writer| {
            let text: Vec<String> = rows.iter().map(|row| spelling(content, row)).collect();
            let name = if place == 0 { "Spelling" } else { "" };
            running_text(on, name, &text);
        });
        all.push(if place == 0 { block } else { block.tight() });
    }
}

/// A spelling: what was right, and what stood there.
fn spelling(content: &Content, row: &Spelt) -> String {
    let chord = crate::theory::symbol::print(row.chord, content.style);
    let answered = match row.answered.as_str() {
        "no answer" => "not answered".to_owned(),
        "not noted" => "the answer was not noted".to_owned(),
        answered => format!("written {answered}"),
    };

    // Names of one chord stay on one line.
    let text = format!(
        "{} {chord}: {}, {answered} ({} %).",
        row.id, row.right, row.percent
    );
    text.replace(' ', "\u{a0}")
        .replace(",\u{a0}", ", ")
        .replace(":\u{a0}", ": ")
}
