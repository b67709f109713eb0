//! The answers of a form as MusicXML 4.0, so that any notation editor opens them.
//!
//! One part for the piano on a grand staff; a measure an item, for runs a bar a measure. Each item
//! begins with its section and number in words. W3C MusicXML 4.0, score-partwise.

mod harmony;
mod measure;
#[cfg(test)]
mod tests;

use std::io::{self, Write};

use quick_xml::Writer;
use quick_xml::events::{BytesDecl, BytesText, Event};

use super::answers;
use crate::engraving::grand::Hands;
use crate::exam::form::{Form, Item, Task};
use crate::exam::script::{Exam, Pace};
use crate::theory::Chord;
use crate::theory::pitch::Pitch;
use measure::{Measure, Sounding, TWELFTHS};

/// Writes the answers of a form; items that a person judges by ear and eye have none.
///
/// # Errors
/// Whatever the writer reports; memory reports nothing.
pub fn write(exam: &Exam, form: &Form) -> io::Result<Vec<u8>> {
    let mut xml = Writer::new_with_indent(Vec::new(), b' ', 1);

    xml.write_event(Event::Decl(BytesDecl::new(
        "1.0",
        Some("UTF-8"),
        Some("no"),
    )))?;
    xml.write_event(Event::DocType(BytesText::from_escaped(
        "score-partwise PUBLIC \"-//Recordare//DTD MusicXML 4.0 Partwise//EN\" \
         \"http://www.musicxml.org/dtds/partwise.dtd\"",
    )))?;
    let _ = xml
        .create_element("score-partwise")
        .with_attribute(("version", "4.0"))
        .write_inner_content(|xml| {
            head(xml, exam, form)?;
            let _ = xml
                .create_element("part")
                .with_attribute(("id", "P1"))
                .write_inner_content(|xml| {
                    for (place, measure) in measures(exam, form).iter().enumerate() {
                        measure.write(xml, place, exam.style)?;
                    }
                    Ok(())
                })?;
            Ok(())
        })?;
    let mut bytes = xml.into_inner();
    bytes.push(b'\n');

    Ok(bytes)
}

/// Writes an element that has a text.
fn text<W: Write>(xml: &mut Writer<W>, name: &str, text: &str) -> io::Result<()> {
    xml.create_element(name)
        .write_text_content(BytesText::new(text))
        .map(|_| ())
}

fn head<W: Write>(xml: &mut Writer<W>, exam: &Exam, form: &Form) -> io::Result<()> {
    let title = format!("{}: answers of form {}", exam.title, form.code);
    let program = format!("Viva Voicing {}", env!("CARGO_PKG_VERSION"));

    let _ = xml
        .create_element("work")
        .write_inner_content(|xml| text(xml, "work-title", &title))?;
    let _ = xml
        .create_element("identification")
        .write_inner_content(|xml| {
            let _ = xml
                .create_element("encoding")
                .write_inner_content(|xml| text(xml, "software", &program))?;
            Ok(())
        })?;
    let _ = xml.create_element("part-list").write_inner_content(|xml| {
        let _ = xml
            .create_element("score-part")
            .with_attribute(("id", "P1"))
            .write_inner_content(|xml| text(xml, "part-name", "Piano"))?;
        Ok(())
    })?;

    Ok(())
}

/// The measures of all items, spare ones too; there is one at least, as a part must have.
fn measures(exam: &Exam, form: &Form) -> Vec<Measure> {
    let mut all: Vec<Measure> = form
        .items
        .iter()
        .chain(&form.reserve)
        .flat_map(|item| of(exam, item))
        .collect();

    if all.is_empty() {
        all.push(Measure::default());
    }
    all
}

fn of(exam: &Exam, item: &Item) -> Vec<Measure> {
    let id = exam
        .sections
        .get(item.section)
        .map(|section| format!("{} {}", section.id, item.number))
        .unwrap_or_default();
    let mut measures = match &item.task {
        Task::Voicing(task) => vec![Measure::of(Sounding::whole(
            Some(task.chord),
            &answers::voicing(task),
        ))],
        Task::Run(task) => {
            let soundings: Vec<Sounding> = answers::placed(task)
                .iter()
                .zip(answers::run(task))
                .map(|(placed, hands)| Sounding {
                    at: placed.at_twelfths,
                    length: placed.twelfths,
                    ..Sounding::whole(Some(placed.chord), &hands)
                })
                .collect();
            let mut bars = measure::bars(&soundings, answers::bars(task));
            if let (Pace::Tempo { tempo, .. }, Some(first)) = (task.pace, bars.first_mut()) {
                first.tempo = Some(tempo);
            }
            bars
        }
        Task::Ear(task) => answers::sounded(exam, item, task)
            .iter()
            .map(|strike| {
                let hands = Hands::split(&strike.pitches);
                Measure::of(Sounding::whole(strike.chord, &hands))
            })
            .collect(),
        Task::Spell(task) => {
            let hands = Hands::new(&[], &answers::tones(task));
            vec![Measure::of(Sounding::whole(Some(task.chord), &hands))]
        }
        Task::Panel(_) => Vec::new(),
    };

    if let Some(first) = measures.first_mut() {
        first.words = id;
    }
    if let Some(last) = measures.last_mut() {
        last.is_last = true;
    }
    measures
}

impl Sounding {
    /// A chord that lasts a bar.
    fn whole(chord: Option<Chord>, hands: &Hands) -> Self {
        let pitches = |notes: &[crate::engraving::grand::Note]| -> Vec<Pitch> {
            notes.iter().map(|note| note.pitch).collect()
        };

        Self {
            at: 0,
            length: TWELFTHS,
            chord,
            upper: pitches(&hands.right),
            lower: pitches(&hands.left),
            tied: (false, false),
        }
    }
}
