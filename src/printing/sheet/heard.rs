//! What the ear confused: the matrix with its figures.

use super::content::{Content, Ear, Label};
use crate::engraving::symbol::Setting;
use crate::engraving::text::{self, width, wrapped};
use crate::engraving::{Anchor, Face, Ink, Mark, Point};
use crate::printing::columns::{MEASURE, RISE};
use crate::printing::page::Meaning;
use crate::printing::plan::Block;
use crate::printing::text::label;
use crate::printing::writer::{LINE, NOTE, TEXT, Type, Writer};

pub(super) fn ears<'a>(content: &'a Content, all: &mut Vec<Block<'a>>) {
    for ear in &content.ears {
        all.push(Block::new(|on| ear_table(on, content, ear)));
    }
}

/// The height of a row of the confusions.
const HEARD: f32 = 24.0;

/// What was played back: no answer to choose from, so no table.
fn told(on: &mut Writer, ear: &Ear) {
    let baseline = on.y + RISE;

    on.part(Meaning::Section, |on| {
        label(on, &ear.title, baseline);
        let mut y = baseline;
        for text in std::iter::once(&ear.summary).chain(&ear.words) {
            on.part(Meaning::Paragraph, |on| {
                y = on.wrap(text, on.left(), y, MEASURE, (Type::of(TEXT), LINE)) + LINE;
            });
        }
        on.y = y - LINE + 4.0;
    });
}

fn ear_table(on: &mut Writer, content: &Content, ear: &Ear) {
    if ear.labels.is_empty() {
        return told(on, ear);
    }
    let (left, right) = (on.left(), on.right());
    let baseline = on.y + RISE;

    on.part(Meaning::Section, |on| {
        label(on, &ear.title, baseline);
        let mut y = baseline;
        on.part(Meaning::Paragraph, |on| {
            y = on.wrap(&ear.summary, left, y, MEASURE, (Type::of(TEXT), LINE));
        });
        // Long labels, as of progressions, are numbered in the head and named in the rows.
        let names: Vec<f32> = ear
            .labels
            .iter()
            .map(|label| width(&label.text, Face::Regular, TEXT))
            .collect();
        let widest = names
            .iter()
            .fold(64.0_f32, |most, name| most.max(*name + 12.0));
        let row_head = widest.min(200.0);
        let silent = ear.rows.iter().any(|row| row.unanswered > 0);
        let columns = ear.labels.len() + usize::from(silent);
        let column = ((MEASURE - row_head - 96.0) / columns as f32).min(64.0);
        let numbered = names.iter().any(|name| *name > column - 4.0);
        // Figures stand against the right edge, the matrix before them.
        let start = right - 96.0 - column * columns as f32;
        let middle = |place: usize| start + column * (place as f32 + 0.5);
        let head = y + 40.0;
        let mut y = head + 9.0;
        on.part(
            Meaning::Table("What sounded, by what was answered".to_owned()),
            |on| {
                on.part(Meaning::Row, |on| {
                    let note = Type::label(NOTE);
                    on.part(Meaning::ColumnHead, |on| {
                        let _ = on.write("sounded", left, head, note);
                    });
                    let centre = start + column * ear.labels.len() as f32 / 2.0;
                    on.decorate(text::marks(
                        "answered",
                        text::Hand {
                            face: Face::Italic,
                            size: NOTE,
                            anchor: Anchor::Middle,
                            ink: Ink::Quiet,
                        },
                        Point::new(centre, head - 18.0),
                    ));
                    for (place, label) in ear.labels.iter().enumerate() {
                        on.part(Meaning::ColumnHead, |on| {
                            let x = middle(place);
                            if numbered {
                                let of = Type::of(TEXT).anchor(Anchor::Middle);
                                let _ = on.write(&(place + 1).to_string(), x, head, of);
                            } else {
                                quality(on, content, label, (x, head), Anchor::Middle);
                            }
                        });
                    }
                    if silent {
                        on.part(Meaning::ColumnHead, |on| {
                            let of = note.anchor(Anchor::Middle);
                            let _ = on.write("none", middle(ear.labels.len()), head, of);
                        });
                    }
                    for (words, x) in [("right", right - 44.0), ("d′", right)] {
                        on.part(Meaning::ColumnHead, |on| {
                            let _ = on.write(words, x, head, note.anchor(Anchor::End));
                        });
                    }
                });
                on.rule(left, right, y, 1.0, Ink::Quiet);
                for (place, row) in ear.rows.iter().enumerate() {
                    let lines = wrapped(
                        &ear.labels[place].text,
                        Face::Regular,
                        TEXT,
                        row_head - 20.0,
                    );
                    let height = HEARD + (lines.len().max(1) - 1) as f32 * 15.0;
                    let baseline = y + 16.5;
                    on.part(Meaning::Row, |on| {
                        on.part(Meaning::RowHead, |on| {
                            let label = &ear.labels[place];
                            if numbered {
                                let number = format!("{} ", place + 1);
                                let _ = on.write(&number, left, baseline, Type::of(TEXT).quiet());
                                let of = (Type::of(TEXT), 15.0);
                                let _ = on.wrap(
                                    &label.text,
                                    left + 18.0,
                                    baseline,
                                    row_head - 20.0,
                                    of,
                                );
                            } else {
                                quality(on, content, label, (left, baseline), Anchor::Start);
                            }
                        });
                        for (at, count) in row.counts.iter().enumerate() {
                            let right = at == place;
                            on.part(Meaning::Cell, |on| {
                                count_cell(on, *count, right, (middle(at), baseline));
                            });
                            if right {
                                let half = (column / 2.0 - 4.0).min(20.0);
                                on.decorate(framed(middle(at), y + 3.0, half, HEARD - 6.0));
                            }
                        }
                        if silent {
                            let at = (middle(ear.labels.len()), baseline);
                            on.part(Meaning::Cell, |on| {
                                count_cell(on, row.unanswered, false, at)
                            });
                        }
                        let end = Type::of(TEXT).anchor(Anchor::End);
                        for (words, x) in [(&row.right, right - 44.0), (&row.sensitivity, right)] {
                            on.part(Meaning::Cell, |on| {
                                let _ = on.write(words, x, baseline, end);
                            });
                        }
                    });
                    y += height;
                    let ink = if place + 1 == ear.rows.len() {
                        Ink::Quiet
                    } else {
                        Ink::Rule
                    };
                    on.rule(left, right, y, 1.0, ink);
                }
            },
        );
        on.part(Meaning::Paragraph, |on| {
            let of = (Type::of(TEXT), LINE);
            on.y = on.wrap(&ear.words.join(" "), left, y + 17.0, MEASURE, of) + 4.0;
        });
    });
}

/// A quality set as a chord symbol has it, or the words of another label.
fn quality(on: &mut Writer, content: &Content, label: &Label, (x, y): (f32, f32), anchor: Anchor) {
    match label.quality {
        Some(quality) if !label.text.is_empty() => {
            // Letters of the quality are as large as the text.
            let setting = Setting::new(content.style, TEXT / 0.66);
            on.quality(quality, setting, (x, y), anchor);
        }
        _ => {
            let text = if label.text.is_empty() {
                "major"
            } else {
                &label.text
            };
            let _ = on.write(text, x, y, Type::of(TEXT).anchor(anchor));
        }
    }
}

fn count_cell(on: &mut Writer, count: usize, right: bool, (x, y): (f32, f32)) {
    let of = Type::of(TEXT).anchor(Anchor::Middle);

    match count {
        0 if !right => {
            let _ = on.write("·", x, y, of.quiet());
        }
        _ => {
            let face = if right { Face::Regular } else { Face::Bold };
            let _ = on.write(&count.to_string(), x, y, of.face(face));
        }
    }
}

/// A frame round a right answer's count.
fn framed(x: f32, y: f32, half: f32, height: f32) -> Vec<Mark> {
    let line = |from: (f32, f32), to: (f32, f32)| Mark::Line {
        from: Point::new(from.0, from.1),
        to: Point::new(to.0, to.1),
        thickness: 1.0,
        ink: Ink::Quiet,
    };
    let (left, right, bottom) = (x - half, x + half, y + height);

    vec![
        line((left - 0.5, y), (right + 0.5, y)),
        line((left - 0.5, bottom), (right + 0.5, bottom)),
        line((left, y), (left, bottom)),
        line((right, y), (right, bottom)),
    ]
}
