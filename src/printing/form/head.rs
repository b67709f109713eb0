//! Head and foot of a form's pages: what it is, and where candidate and date are written in.

use super::Paper;
use crate::engraving::text::width;
use crate::engraving::{Anchor, Face, Ink};
use crate::printing::head::UNDER;
use crate::printing::page::Meaning;
use crate::printing::writer::{INDENT, LEAD, NOTE, Running, TEXT, Type, Writer};

/// The width of the two fields at the right, labels included.
const FIELDS: f32 = 190.0;
/// From the start of a field to where it is written in.
const WRITTEN: f32 = 64.0;
/// Baselines of the two lines of the head.
const LINES: [f32; 2] = [95.5, 116.0];

/// The size at which a title has room.
fn title_size(title: &str, room: f32) -> f32 {
    LEAD * (room / width(title, Face::Regular, LEAD).max(1.0)).min(1.0)
}

/// Writes the head of the first page, which is read.
pub(super) fn open(on: &mut Writer, paper: &Paper<'_>) {
    let (left, right) = (on.left(), on.right());
    let title = &paper.exam.title;
    let size = title_size(title, right - left - FIELDS - 16.0);
    let fields = right - FIELDS;

    on.part(Meaning::Heading(1), |on| {
        let _ = on.write(title, left, LINES[0], Type::of(size));
    });
    on.part(Meaning::Paragraph, |on| {
        let _ = on.write(&what(paper), left, LINES[1], Type::of(TEXT));
    });
    for (label, y) in ["Candidate", "Date"].into_iter().zip(LINES) {
        on.part(Meaning::Paragraph, |on| {
            let _ = on.write(label, fields, y, Type::label(TEXT));
        });
        on.rule(fields + WRITTEN, right, y + 3.0, 0.75, Ink::Plain);
    }
    on.y = UNDER;
}

fn what(paper: &Paper<'_>) -> String {
    let what = if paper.key {
        "Examiner’s paper, with the key"
    } else {
        "Question paper"
    };

    format!("{what} · form {}", paper.form.code)
}

/// Writes head and foot of a page, its number from 1 and how many there are.
pub(super) fn running(on: &mut Running<'_>, paper: &Paper<'_>, (number, of): (usize, usize)) {
    let (margin, right, bottom) = (on.margin, on.right, on.bottom);
    let left = margin + INDENT;
    let fields = right - FIELDS;

    on.rule(58.0, 3.0, Ink::Plain);
    on.rule(61.5, 1.0, Ink::Plain);
    on.write("Viva Voicing", margin, LINES[0], Type::label(TEXT));
    if number > 1 {
        let title = &paper.exam.title;
        let size = title_size(title, right - left - FIELDS - 16.0);
        on.write(title, left, LINES[0], Type::of(size));
        on.write(&what(paper), left, LINES[1], Type::of(TEXT));
        for (label, y) in ["Candidate", "Date"].into_iter().zip(LINES) {
            on.write(label, fields, y, Type::label(TEXT));
            on.line((fields + WRITTEN, right), y + 3.0, 0.75, Ink::Plain);
        }
    }
    on.rule(bottom, 1.0, Ink::Quiet);
    let foot = Type::of(NOTE).quiet();
    on.write(&told(paper), margin, bottom + 16.0, foot);
    let count = format!("{number} of {of}");
    on.write(&count, right, bottom + 16.0, foot.anchor(Anchor::End));
}

/// Form, exam, rubric and program: what tells this paper from any other.
fn told(paper: &Paper<'_>) -> String {
    let exam = paper.exam;
    let edition = match exam.edition.as_str() {
        "" => String::new(),
        edition => format!(", edition {edition}"),
    };
    let digest = match (paper.digest.get(..4), paper.digest.get(4..8)) {
        (Some(one), Some(other)) => format!(" {one}-{other}"),
        _ => String::new(),
    };

    format!(
        "Form {} · exam{digest}{edition} · program {}",
        paper.form.code,
        env!("CARGO_PKG_VERSION")
    )
}
