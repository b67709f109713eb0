//! What stands before the first section: how the exam is run, and the sections with their marks.

use super::Paper;
use super::boxes;
use crate::engraving::{Anchor, Face, Ink};
use crate::exam::form::Form;
use crate::exam::script::{Exam, Kind};
use crate::marking::grade;
use crate::printing::columns::{FALL, MEASURE, NOTE_LINE, RISE};
use crate::printing::page::Meaning;
use crate::printing::plan::Block;
use crate::printing::text::{label, paragraph};
use crate::printing::words::{capital, counted, hundredths, list, sentence};
use crate::printing::writer::{LINE, NOTE, TEXT, Type, Writer};

/// The height of a section's row.
const ROW: f32 = 27.0;

pub(super) fn blocks<'a>(paper: &'a Paper<'a>, all: &mut Vec<Block<'a>>) {
    let about = paper.exam.about.split_whitespace().collect::<Vec<_>>();
    let about = about.join(" ");

    if !about.is_empty() {
        all.push(Block::new(move |on| {
            paragraph(on, "About", std::slice::from_ref(&about));
        }));
    }
    all.push(Block::new(move |on| paragraph(on, "Rules", &rules(paper))));
    if paper
        .exam
        .sections
        .iter()
        .any(|section| matches!(section.kind, Kind::Voicing(_)))
    {
        all.push(Block::new(|on| levels(on, paper.exam)));
    }
    if paper
        .exam
        .sections
        .iter()
        .any(|section| matches!(section.kind, Kind::Run(_)))
    {
        all.push(Block::new(steps));
    }
    all.push(Block::new(move |on| sections(on, paper)));
}

/// How the exam is run at a piano, in sentences.
fn rules(paper: &Paper<'_>) -> Vec<String> {
    let exam = paper.exam;
    let rules = &exam.rules;
    let has = |word: &str| exam.sections.iter().any(|of| of.kind.word() == word);
    let mut out = Vec::new();

    if has("voicing") || has("run") {
        out.push(
            "Show one item at a time and cover what is to come: the time of a chord begins when \
             its symbol is seen."
                .to_owned(),
        );
    }
    if has("ear") {
        out.push(if paper.key {
            "Play sounds as they are written, all notes at once and equally loud, held for two \
             seconds; the candidate sees neither hands nor keys."
                .to_owned()
        } else {
            "What is played for the ear stands in the paper with the key alone.".to_owned()
        });
    }
    out.push(if rules.feedback {
        "This is practice: the answer may be shown after each item.".to_owned()
    } else {
        "Nothing says right or wrong before the end.".to_owned()
    });
    let (least, most) = rules.time_factor;
    if most > least {
        out.push(format!(
            "A time factor from {} to {} may be allowed; it multiplies seconds and divides tempi. \
             Write it below.",
            hundredths(i64::from(least)),
            hundredths(i64::from(most))
        ));
    }
    out.push(
        "An item that is interrupted is replaced by a spare one with its full time; write down \
         why."
            .to_owned(),
    );
    out.push("Pain is a reason to stop, never a fault.".to_owned());

    vec![out.join(" ")]
}

fn levels(on: &mut Writer, exam: &Exam) {
    let grace = exam
        .sections
        .iter()
        .filter_map(|section| match &section.kind {
            Kind::Voicing(of) => Some(of.grace),
            _ => None,
        })
        .max()
        .unwrap_or(100);
    // What the grace does not leave time for is not offered.
    let (half, twice) = match grace {
        ..150 => ("", ""),
        150..200 => (", or in up to half as long again", ""),
        _ => (
            ", or in up to half as long again",
            "; or right within twice the limit",
        ),
    };
    let rows = [
        ("4", "right at once, within the limit".to_owned()),
        (
            "3",
            format!("right after one correction or two wrong keys at most{half}"),
        ),
        (
            "2",
            format!(
                "the right notes in another order, register or hand{twice}; or found by way of a neighbour in the cycle"
            ),
        ),
        (
            "1",
            "root, third and seventh right; a fifth or a colour wrong, missing or added".to_owned(),
        ),
        ("0", "another chord, or none".to_owned()),
    ];

    listed(on, "Levels of a chord", &rows);
}

fn steps(on: &mut Writer) {
    let rows = [
        (
            "harmony",
            "how many chords have all right notes at their first sounding; a late one counts half"
                .to_owned(),
        ),
        (
            "voicing",
            "how many of them have the form, hands and register asked".to_owned(),
        ),
        (
            "leading",
            "4 the nearest way throughout, 3 nearly, 2 some leaps, 1 many".to_owned(),
        ),
        (
            "readiness",
            "in one’s own time: 4 at once, 3 with a little thought, 2 with much, 1 at the limit"
                .to_owned(),
        ),
        (
            "time",
            "in tempo: 4 on the beat, 3 close to it, 2 unsteady, 1 off it".to_owned(),
        ),
    ];

    listed(on, "Marks of a line", &rows);
}

/// Small rows of a name and what it means.
fn listed(on: &mut Writer, name: &str, rows: &[(&str, String)]) {
    let left = on.left();
    let mut y = on.y + RISE;
    let indent = if rows.iter().all(|(key, _)| key.len() < 3) {
        18.0
    } else {
        66.0
    };

    on.part(Meaning::Section, |on| {
        label(on, name, y);
        on.part(Meaning::Table(name.to_owned()), |on| {
            for (key, words) in rows {
                on.part(Meaning::Row, |on| {
                    on.part(Meaning::RowHead, |on| {
                        let of = Type::of(NOTE).face(Face::Bold);
                        let _ = on.write(key, left, y, of);
                    });
                    on.part(Meaning::Cell, |on| {
                        let of = (Type::of(NOTE), NOTE_LINE);
                        let x = left + indent;
                        y = on.wrap(words, x, y, MEASURE - indent, of) + NOTE_LINE;
                    });
                });
            }
        });
    });
    on.y = y - NOTE_LINE + FALL;
}

/// The sections with a place for the mark of each, and for the whole.
fn sections(on: &mut Writer, paper: &Paper<'_>) {
    let exam = paper.exam;
    let (left, right) = (on.left(), on.right());
    let head = on.y + RISE;
    let points = right - 96.0;
    let line = (right - 62.0, right);
    let end = Type::of(TEXT).anchor(Anchor::End);

    on.part(Meaning::Section, |on| {
        label(on, "Sections", head);
        let mut y = head + 9.0;
        let about = "Sections, their items and marks";
        on.part(Meaning::Table(about.to_owned()), |on| {
            on.part(Meaning::Row, |on| {
                for (words, x, anchor) in [
                    ("section", left, Anchor::Start),
                    ("out of", points, Anchor::End),
                    ("mark", right, Anchor::End),
                ] {
                    on.part(Meaning::ColumnHead, |on| {
                        let _ = on.write(words, x, head, Type::label(NOTE).anchor(anchor));
                    });
                }
            });
            on.rule(left, right, y, 1.0, Ink::Quiet);
            let rows = exam
                .sections
                .iter()
                .enumerate()
                .filter(|(_, section)| !matches!(section.kind, Kind::Rest { .. }));
            for (place, section) in rows {
                let items = paper.form.items.iter();
                let count = items.filter(|item| item.section == place).count();
                let baseline = y + 18.0;
                on.part(Meaning::Row, |on| {
                    on.part(Meaning::RowHead, |on| {
                        let x = on.write(&section.id, left, baseline, Type::of(TEXT));
                        let x = (left + 24.0).max(x + 10.0);
                        let x = on.write(&section.title, x, baseline, Type::of(TEXT));
                        let note = counted(count, "item", "items");
                        let of = Type::of(NOTE).quiet();
                        let _ = on.write(&note, x + 10.0, baseline, of);
                    });
                    on.part(Meaning::Cell, |on| {
                        let text = hundredths(i64::from(section.points));
                        let _ = on.write(&text, points, baseline, end);
                    });
                });
                boxes::blank(on, line.0, line.1, baseline);
                y += ROW;
            }
            on.rule(left, right, y + 3.0, 1.0, Ink::Quiet);
            y += 3.0;
            let baseline = y + 19.0;
            on.part(Meaning::Row, |on| {
                on.part(Meaning::RowHead, |on| {
                    let of = Type::of(TEXT).face(Face::Bold);
                    let _ = on.write("Total", left, baseline, of);
                });
                on.part(Meaning::Cell, |on| {
                    let text = hundredths(i64::from(exam.points()));
                    let _ = on.write(&text, points, baseline, end);
                });
            });
            boxes::blank(on, line.0, line.1, baseline);
            y = baseline + 12.0;
        });
        let passed = passed(exam, paper.form);
        if !passed.is_empty() {
            on.part(Meaning::Paragraph, |on| {
                let of = (Type::of(TEXT), LINE);
                y = on.wrap(&passed, left, y + 12.0, MEASURE, of);
            });
        }
        if exam.rules.time_factor.1 > exam.rules.time_factor.0 {
            y += 28.0;
            boxes::head(on, "time factor allowed", left, y, Anchor::Start);
            boxes::blank(on, left + 104.0, left + 164.0, y);
            boxes::head(on, "begun at", left + 200.0, y, Anchor::Start);
            boxes::blank(on, left + 248.0, left + 318.0, y);
            boxes::head(on, "ended at", left + 354.0, y, Anchor::Start);
            boxes::blank(on, left + 402.0, left + 472.0, y);
        }
        on.y = y + 8.0;
    });
}

/// The pass mark, the hurdles and the bands, in sentences.
fn passed(exam: &Exam, form: &Form) -> String {
    let mark = |mark: u32| hundredths(i64::from(mark));
    let mut out = Vec::new();

    if let Some(pass) = exam.pass {
        let hurdles: Vec<String> = exam
            .sections
            .iter()
            .filter_map(|section| {
                Some(format!(
                    "{} in section {}",
                    mark(section.hurdle?),
                    section.id
                ))
            })
            .collect();
        let standards: Vec<String> = (0..exam.sections.len())
            .filter_map(|place| grade::planned(exam, form, place))
            .map(|each| each.needed())
            .collect();
        let mut text = format!("Passed with {} marks", mark(pass));
        if !hurdles.is_empty() {
            text += &format!(", of them {}", list(&hurdles));
        }
        if !standards.is_empty() {
            text += &format!(", and with {}", list(&standards));
        }
        out.push(text + ".");
    }
    if !exam.bands.is_empty() {
        let bands: Vec<String> = exam
            .bands
            .iter()
            .map(|band| match band.from {
                0 => format!("below that {}", band.name),
                from => format!("from {} {}", mark(from), band.name),
            })
            .collect();
        out.push(sentence(&capital(&bands.join(", "))));
    }

    out.join(" ")
}

/// Where the examiner signs.
pub(super) fn signature<'a>(_: &'a Paper<'a>, all: &mut Vec<Block<'a>>) {
    let block = Block::new(|on: &mut Writer| {
        let (left, right) = (on.left(), on.right());
        let y = on.y + 34.0;
        on.part(Meaning::Section, |on| {
            for (words, from, to) in [
                ("Examiner", left, left + 200.0),
                ("Date", left + 224.0, left + 344.0),
                ("Total", left + 368.0, right),
            ] {
                on.rule(from, to, y, 1.0, Ink::Plain);
                on.part(Meaning::Paragraph, |on| {
                    let _ = on.write(words, from, y + 15.0, Type::label(NOTE));
                });
            }
        });
        on.y = y + 15.0 + FALL;
    });
    all.push(block.at_foot());
}
