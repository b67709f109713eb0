//! A document of every kind of part, written and painted.

use super::page::{Document, Kind, Meaning, Size};
use super::pdf;
use super::writer::{LEAD, LINE, NOTE, ROW, TEXT, Type, Writer};
use crate::engraving::symbol::Setting;
use crate::engraving::{Bounds, Face, Ink, Mark, grand, staff};
use crate::theory::symbol::{Style, parse};

/// Returns which texts meet on a page, two by two.
pub(super) fn meeting(document: &Document) -> Vec<String> {
    let mut all = Vec::new();

    for page in &document.pages {
        let texts: Vec<_> = page
            .pieces
            .iter()
            .filter(|piece| piece.kind == Kind::Line)
            .map(|piece| {
                let bounds = piece.marks.iter().map(Mark::bounds);
                let bounds = bounds.reduce(Bounds::with).expect("a line has marks");
                (bounds, super::page::text(&piece.marks))
            })
            .collect();
        for (place, (one, text)) in texts.iter().enumerate() {
            for (other, also) in &texts[place + 1..] {
                // Boxes of text reach above and below its ink.
                let across = one.left.max(other.left) + 0.5 < one.right.min(other.right);
                let down = one.top.max(other.top) + 6.0 < one.bottom.min(other.bottom);
                if across && down {
                    all.push(format!("`{text}` meets `{also}`"));
                }
            }
        }
    }

    all
}

/// A document with every kind of part.
fn sample(size: Size) -> Document {
    let mut page = Writer::new(size, "A sample", "Every kind of part");
    let (left, right) = (page.left(), page.right());

    page.part(Meaning::Heading(1), |page| {
        let _ = page.write("Guide-tone voicings", left, 100.0, Type::of(LEAD));
    });
    page.part(Meaning::Paragraph, |page| {
        page.y = page.wrap(
            "The seventh of A♭7 is G♭, not F♯; the flat fifth of C♭m7♭5 is G𝄫, \
             which is printed F. Fit the fingers first.",
            left,
            140.0,
            200.0,
            (Type::of(TEXT), LINE),
        );
    });
    page.part(Meaning::Table("levels by key".to_owned()), |page| {
        for (row, (name, level)) in [("dominant 7", "4"), ("maj7", "3")].iter().enumerate() {
            let y = 260.0 + row as f32 * ROW;
            page.rule(left, right, y + 6.0, 1.0, Ink::Rule);
            page.part(Meaning::Row, |page| {
                page.part(Meaning::RowHead, |page| {
                    let _ = page.write(name, left, y, Type::of(TEXT));
                });
                page.part(Meaning::Cell, |page| {
                    let _ = page.write(level, right, y, Type::of(TEXT).face(Face::Bold));
                });
            });
        }
    });
    let chord = parse("Ab7").expect("a chord");
    page.part(Meaning::Paragraph, |page| {
        page.symbol(chord, Setting::new(Style::DEFAULT, 30.0), left, 360.0);
    });
    let hands = grand::Hands::split(&[]);
    let drawing = grand::layout(&hands, &staff::Options::default());
    page.part(Meaning::Figure(drawing.words.clone()), |page| {
        page.draw(&drawing, left, 420.0, 6.5);
    });
    page.page();
    page.part(Meaning::Paragraph, |page| {
        let _ = page.write("The second page", left, 100.0, Type::of(NOTE));
    });

    page.finish(|on, number, of| {
        let (margin, bottom) = (on.margin, on.bottom);
        on.rule(bottom, 1.0, Ink::Quiet);
        on.write(
            &format!("{number} of {of}"),
            margin,
            bottom + 16.0,
            Type::label(NOTE),
        );
    })
}

#[test]
fn a_document_says_what_stands_on_it_in_the_order_read() {
    let said = sample(Size::A4).said();

    assert_eq!(said[0], "Guide-tone voicings");
    let words = said[1..].concat();
    assert!(
        words
            .starts_with("The seventh of A♭7 is G♭, not F♯; the flat fifth of C♭m7♭5 is G𝄫, which"),
        "{words}"
    );
    assert!(said.contains(&"dominant 7".to_owned()) && said.contains(&"A♭7".to_owned()));
    assert!(!words.contains("1 of 2"), "the foot is told to nobody");
}

#[test]
fn a_document_is_painted_as_tagged_pdf_the_same_each_time() {
    for size in [Size::A4, Size::Letter] {
        let once = pdf::write(&sample(size)).expect("a page");
        let again = pdf::write(&sample(size)).expect("a page");

        assert_eq!(once, again);
        assert!(once.starts_with(b"%PDF-1.7"));
        let has = |needle: &[u8]| once.windows(needle.len()).any(|window| window == needle);
        assert!(has(b"/MarkInfo") && has(b"/StructTreeRoot") && has(b"pdfuaid"));
    }
}
