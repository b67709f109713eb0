//! A class's slips: what each candidate needs to find their seat and sign in, to be cut apart.

use super::page::{Document, Meaning, Size};
use super::writer::{GRADE, LEAD, NOTE, TEXT, Type, Writer};
use crate::engraving::text::wrapped;
use crate::engraving::{Anchor, Ink};

/// What stands on a slip.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Slip {
    /// The candidate's number.
    pub number: String,
    /// The candidate's name; empty where slips are by number alone.
    pub name: String,
    /// The seat in the room, from 1.
    pub seat: usize,
    /// The form code.
    pub form: String,
    /// When the candidate begins, in words; empty where no time was set.
    pub start: String,
}

/// Slips on a page: two beside each other, so many below.
const ROWS: usize = 5;
const COLUMNS: usize = 2;
/// From the edge of the paper to the first cut.
const MARGIN: f32 = 40.0;
/// From a cut to the words.
const PAD: f32 = 22.0;

/// Sets the slips of a class; they are read in their order and cut along the hairlines.
pub fn slips(exam: &str, slips: &[Slip], size: Size) -> Document {
    let mut on = Writer::new(size, &format!("Slips: {exam}"), "A slip for each candidate");
    let width = (size.width() - 2.0 * MARGIN) / COLUMNS as f32;
    let height = (size.height() - 2.0 * MARGIN) / ROWS as f32;

    for (place, slip) in slips.iter().enumerate() {
        let on_page = place % (ROWS * COLUMNS);
        if on_page == 0 && place > 0 {
            on.page();
        }
        if on_page == 0 {
            let left = slips.len() - place;
            cuts(&mut on, (width, height), left.min(ROWS * COLUMNS));
        }
        let (row, column) = (on_page / COLUMNS, on_page % COLUMNS);
        let (x, y) = (MARGIN + column as f32 * width, MARGIN + row as f32 * height);
        on.part(Meaning::Section, |on| {
            self::slip(on, exam, slip, (x, y), (width, height));
        });
    }

    on.finish(|_, _, _| {})
}

/// The hairlines to cut along, round as many slips as there are.
fn cuts(on: &mut Writer, (width, height): (f32, f32), count: usize) {
    let rows = count.div_ceil(COLUMNS);
    let bottom = MARGIN + rows as f32 * height;

    for row in 0..=rows {
        let y = MARGIN + row as f32 * height;
        on.rule(MARGIN, MARGIN + COLUMNS as f32 * width, y, 0.5, Ink::Quiet);
    }
    for column in 0..=COLUMNS {
        let x = MARGIN + column as f32 * width;
        on.upright(x, MARGIN, bottom, 0.5, Ink::Quiet);
    }
}

fn slip(on: &mut Writer, exam: &str, slip: &Slip, (x, y): (f32, f32), (width, height): (f32, f32)) {
    let (left, right) = (x + PAD, x + width - PAD);
    let room = right - left;

    on.part(Meaning::Heading(1), |on| {
        let title = fitted(exam, room, TEXT);
        let _ = on.write(&title, left, y + 34.0, Type::of(TEXT));
    });
    on.rule(left, right, y + 44.0, 1.0, Ink::Plain);
    on.part(Meaning::Paragraph, |on| {
        let _ = on.write("Candidate ", left, y + 66.0, Type::label(NOTE));
        if !slip.name.is_empty() {
            let name = fitted(&slip.name, room - 80.0, TEXT);
            let _ = on.write(&name, right, y + 66.0, Type::of(TEXT).anchor(Anchor::End));
        }
        let size = largest(&slip.number, room, GRADE);
        let _ = on.write(&slip.number, left, y + 108.0, Type::of(size));
    });
    let fields = [
        ("Seat ", slip.seat.to_string()),
        ("Form ", slip.form.clone()),
        ("Starts ", slip.start.clone()),
    ];
    let third = room / 3.0;
    for (place, (label, value)) in fields.iter().enumerate() {
        if value.is_empty() {
            continue;
        }
        let x = left + place as f32 * third;
        on.part(Meaning::Paragraph, |on| {
            let _ = on.write(label, x, y + 138.0, Type::label(NOTE));
            let size = largest(value, third - 8.0, LEAD);
            let _ = on.write(value, x, y + 158.0, Type::of(size));
        });
    }
    on.part(Meaning::Paragraph, |on| {
        let words = "Type the number when the kiosk asks for it. Keep this slip: \
                     your mark sheet has the number, not your name.";
        let _ = on.wrap(
            words,
            left,
            y + height - 28.0,
            room,
            (Type::of(NOTE).quiet(), 14.0),
        );
    });
}

/// The largest size up to one at which a text has room.
fn largest(words: &str, room: f32, size: f32) -> f32 {
    let width = crate::engraving::text::width(words, crate::engraving::Face::Regular, size);

    if width > room {
        size * room / width
    } else {
        size
    }
}

/// A text's first line, with a sign that there is more.
fn fitted(words: &str, room: f32, size: f32) -> String {
    let face = crate::engraving::Face::Regular;
    let lines = wrapped(words, face, size, room - size);

    match lines.as_slice() {
        [only] => only.clone(),
        [first, ..] => format!("{first} …"),
        [] => String::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engraving::Mark;
    use crate::printing::pdf;

    fn class(count: usize, name: &str) -> Vec<Slip> {
        (0..count)
            .map(|place| Slip {
                number: (3101 + place).to_string(),
                name: name.to_owned(),
                seat: place % 8 + 1,
                form: "222-229".to_owned(),
                start: "10:25".to_owned(),
            })
            .collect()
    }

    #[test]
    fn thirty_slips_take_three_pages_and_each_says_what_is_needed() {
        for size in [Size::A4, Size::Letter] {
            let document = slips("Guide-tone voicings", &class(30, "Inez Quay"), size);
            let said = document.said();

            assert_eq!(document.pages.len(), 3);
            for number in 3101..3131 {
                assert!(said.contains(&number.to_string()), "{number}");
            }
            assert_eq!(said.iter().filter(|line| *line == "222-229").count(), 30);
            assert!(pdf::write(&document).expect("pages").starts_with(b"%PDF"));
        }
    }

    #[test]
    fn nothing_leaves_its_slip() {
        let long = "A very long name of an examination that nobody will ever read in one go";
        let mut class = class(10, long);
        class[3].number = "2026-0000-0000-0000-3104".to_owned();
        for size in [Size::A4, Size::Letter] {
            let document = slips(long, &class, size);
            let width = (size.width() - 2.0 * MARGIN) / 2.0;
            for mark in document.pages[0]
                .pieces
                .iter()
                .flat_map(|piece| &piece.marks)
            {
                if let Mark::Text { text, .. } = mark {
                    let bounds = mark.bounds();
                    let column = ((bounds.left - MARGIN) / width).floor();
                    let end = MARGIN + (column + 1.0) * width;
                    assert!(bounds.right <= end - PAD + 1.0, "{text}");
                    assert!(bounds.bottom < size.height() - MARGIN, "{text}");
                }
            }
        }
    }
}
