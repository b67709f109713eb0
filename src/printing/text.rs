//! Labels, paragraphs and small print, as reports have them.

use super::columns::{FALL, INDENT, LABEL, MEASURE, NOTE_LINE, RISE};
use super::page::Meaning;
use super::writer::{LINE, NOTE, TEXT, Type, Writer};

/// Writes a block's label at the margin, broken where it is long, as the block's heading.
pub(super) fn label(writer: &mut Writer, words: &str, y: f32) {
    let margin = writer.margin();

    // A block that goes on has no heading of its own.
    if words.is_empty() {
        return;
    }
    writer.part(Meaning::Heading(2), |on| {
        let of = (Type::label(TEXT), 16.0);
        let _ = on.wrap(words, margin, y, LABEL, of);
    });
}

/// A label and sentences, each in a line of its own.
pub(super) fn paragraph(on: &mut Writer, name: &str, sentences: &[String]) {
    let left = on.left();
    let mut baseline = on.y + RISE;

    on.part(Meaning::Section, |on| {
        label(on, name, baseline);
        for sentence in sentences {
            on.part(Meaning::Paragraph, |on| {
                let of = (Type::of(TEXT), LINE);
                baseline = on.wrap(sentence, left, baseline, MEASURE, of) + LINE;
            });
        }
    });
    on.y = baseline - LINE + FALL;
}

/// A label and sentences, all in one paragraph.
pub(super) fn running_text(on: &mut Writer, name: &str, sentences: &[String]) {
    paragraph(on, name, &[sentences.join(" ")]);
}

/// Quiet small print at the text's edge, from the writer's height on.
pub(super) fn small(on: &mut Writer, text: &str) {
    let left = on.margin() + INDENT;
    let baseline = on.y + 11.0;

    on.part(Meaning::Paragraph, |on| {
        let of = (Type::of(NOTE).quiet(), NOTE_LINE);
        on.y = on.wrap(text, left, baseline, MEASURE, of) + FALL;
    });
}
