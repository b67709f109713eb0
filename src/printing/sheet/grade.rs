//! The grade with what it means, what must be said at once, the sections, and the advice.

use super::content::{Content, Section};
use super::grade_size;
use crate::engraving::{Anchor, Face, Ink};
use crate::printing::columns::{FALL, MEASURE, RISE};
use crate::printing::page::Meaning;
use crate::printing::plan::Block;
use crate::printing::text::{label, paragraph};
use crate::printing::writer::{GRADE, LINE, NOTE, ROW, TEXT, Type, Writer};

pub(super) fn blocks<'a>(content: &'a Content, all: &mut Vec<Block<'a>>) {
    all.push(Block::new(|on| grade(on, content)));
    all.extend(notes(content));
    all.extend(sections(content));
    if !content.advice.is_empty() {
        all.push(Block::new(|on| {
            paragraph(on, "What to practise", &content.advice);
        }));
    }
}

/// The width of the sentences under the grade.
const SENTENCES: f32 = 408.0;

fn grade(on: &mut Writer, content: &Content) {
    let grade = &content.grade;
    let (left, right) = (on.left(), on.right());
    let baseline = on.y + 44.0;

    on.part(Meaning::Section, |on| {
        label(on, "Grade", baseline);
        on.part(Meaning::Paragraph, |on| {
            let size = grade_size(&grade.word, MEASURE - 120.0);
            let _ = on.write(&grade.word, left, baseline, Type::of(size));
        });
        on.part(Meaning::Paragraph, |on| {
            let end = Type::of(GRADE).anchor(Anchor::End);
            let _ = on.write(&grade.mark, right, baseline, end);
        });
        on.part(Meaning::Paragraph, |on| {
            let end = Type::of(TEXT).quiet().anchor(Anchor::End);
            let _ = on.write(&grade.of, right, baseline + 20.0, end);
        });
        on.y = baseline + 30.0;
        on.part(Meaning::Paragraph, |on| {
            let text = grade.sentences.join(" ");
            let of = (Type::of(TEXT), LINE);
            on.y = on.wrap(&text, left, baseline + 30.0, SENTENCES, of) + FALL;
        });
    });
}

/// What must be said of the sitting as a whole, a block each, as there may be many.
fn notes(content: &Content) -> impl Iterator<Item = Block<'_>> {
    content.notes.iter().enumerate().map(|(place, note)| {
        let block = Block::new(move |on: &mut Writer| {
            let left = on.left();
            let baseline = on.y + RISE;
            on.part(Meaning::Section, |on| {
                if place == 0 {
                    label(on, "To be known", baseline);
                }
                on.part(Meaning::Paragraph, |on| {
                    let of = (Type::of(TEXT), LINE);
                    on.y = on.wrap(note, left, baseline, MEASURE, of) + FALL;
                });
            });
        });
        if place == 0 { block } else { block.tight() }
    })
}

/// Rows of a table that stand together.
const ROWS: usize = 24;

fn sections(content: &Content) -> impl Iterator<Item = Block<'_>> {
    content
        .sections
        .chunks(ROWS)
        .enumerate()
        .map(|(place, rows)| {
            let block = Block::new(move |on| section_table(on, rows, place == 0));
            if place == 0 { block } else { block.tight() }
        })
}

fn section_table(on: &mut Writer, rows: &[Section], labelled: bool) {
    let (margin, left, right) = (on.margin(), on.left(), on.right());
    let mark = right - 90.0;
    let of = right - 170.0;
    let head = on.y + 9.0;
    let top = on.y + 16.0;

    on.part(Meaning::Section, |on| {
        if labelled {
            label(on, "Sections", top + 15.0);
        }
        let about = "The sections: marks in percent, standard errors in marks";
        on.part(Meaning::Table(about.to_owned()), |on| {
            on.part(Meaning::Row, |on| {
                let heads = [
                    ("section", left, Anchor::Start),
                    ("of", of, Anchor::End),
                    ("mark", mark, Anchor::End),
                    ("standard error", right, Anchor::End),
                ];
                for (words, x, anchor) in heads {
                    on.part(Meaning::ColumnHead, |on| {
                        let _ = on.write(words, x, head, Type::label(NOTE).anchor(anchor));
                    });
                }
            });
            on.rule(margin, right, top, 1.0, Ink::Quiet);
            for (place, row) in rows.iter().enumerate() {
                let y = top + 15.0 + place as f32 * ROW;
                on.part(Meaning::Row, |on| {
                    on.part(Meaning::RowHead, |on| {
                        let id = on.write(&row.id, left, y, Type::of(TEXT));
                        // The tail of the title's column tells of hurdle and givers.
                        let title = (left + 24.0).max(id + 8.0);
                        let end = on.write(&format!("{} ", row.title), title, y, Type::of(TEXT));
                        if !row.note.is_empty() {
                            let face = if row.missed { Face::Bold } else { Face::Italic };
                            let note = Type::of(NOTE).face(face);
                            let note = if row.missed { note } else { note.quiet() };
                            let _ = on.write(&row.note, end + 6.0, y, note);
                        }
                    });
                    let end = Type::of(TEXT).anchor(Anchor::End);
                    let cells = [
                        (&row.of, of, end.quiet()),
                        (&row.mark, mark, end),
                        (&row.error, right, end),
                    ];
                    for (words, x, how) in cells {
                        on.part(Meaning::Cell, |on| {
                            let _ = on.write(words, x, y, how);
                        });
                    }
                });
                let last = place + 1 == rows.len();
                let ink = if last { Ink::Quiet } else { Ink::Rule };
                on.rule(left, right, top + (place + 1) as f32 * ROW, 1.0, ink);
            }
        });
    });
    on.y = top + rows.len() as f32 * ROW + 1.0;
}
