//! The head and foot of a report's pages.

use super::page::Meaning;
use super::writer::{INDENT, LEAD, NOTE, Running, TEXT, Type, Writer};
use crate::engraving::{Anchor, Ink};

/// Where what stands under the head begins, on any page.
pub const UNDER: f32 = 132.0;

/// What stands at the head and foot of every page.
#[derive(Debug, Clone, Copy)]
pub struct Head<'a> {
    /// The exam's title.
    pub title: &'a str,
    /// What the document is.
    pub what: &'a str,
    /// Whom it is of.
    pub who: &'a str,
    /// When that was.
    pub when: &'a str,
    /// What tells it from any other.
    pub foot: &'a str,
}

impl Head<'_> {
    /// Writes the head of the first page, which is read; on the others it is for the eye alone.
    pub fn open(&self, writer: &mut Writer) {
        let (left, right) = (writer.left(), writer.right());
        let lines = [
            (Meaning::Heading(1), self.title, left, 95.5, LEAD),
            (Meaning::Paragraph, self.what, left, 116.0, TEXT),
            (Meaning::Paragraph, self.who, right, 95.5, LEAD),
            (Meaning::Paragraph, self.when, right, 116.0, TEXT),
        ];

        for (meaning, words, x, y, size) in lines {
            let anchor = if x == right {
                Anchor::End
            } else {
                Anchor::Start
            };
            writer.part(meaning, |on| {
                let _ = on.write(words, x, y, Type::of(size).anchor(anchor));
            });
        }
        writer.y = UNDER;
    }

    /// Writes head and foot of a page, its number from 1 and how many there are.
    pub fn running(&self, on: &mut Running<'_>, (number, of): (usize, usize)) {
        let (margin, right, bottom) = (on.margin, on.right, on.bottom);

        on.rule(58.0, 3.0, Ink::Plain);
        on.rule(61.5, 1.0, Ink::Plain);
        on.write("Viva Voicing", margin, 95.5, Type::label(TEXT));
        if number > 1 {
            let left = margin + INDENT;
            on.write(self.title, left, 95.5, Type::of(LEAD));
            let what = format!("{}, continued", self.what);
            on.write(&what, left, 116.0, Type::of(TEXT));
            let of = Type::of(LEAD).anchor(Anchor::End);
            on.write(self.who, right, 95.5, of);
        }
        on.rule(bottom, 1.0, Ink::Quiet);
        let foot = Type::of(NOTE).quiet();
        on.write(self.foot, margin, bottom + 16.0, foot);
        let count = format!("{number} of {of}");
        on.write(&count, right, bottom + 16.0, foot.anchor(Anchor::End));
    }
}
