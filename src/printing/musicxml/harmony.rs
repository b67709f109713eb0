//! Chord symbols as MusicXML has them: a kind, and the degrees in which the chord differs from it.

use std::io::{self, Write};

use quick_xml::Writer;
use quick_xml::events::BytesText;

use super::text;
use crate::theory::symbol::{Style, print_quality};
use crate::theory::{Chord, Degree, Name, Quality};

use Degree::{
    Eleventh, Fifth, FlatFifth, FlatSeventh, FlatThird, Fourth, Ninth, Second, Seventh, SharpFifth,
    Sixth, Third, Thirteenth,
};

/// Kinds with their degrees, those of the MusicXML 4.0 schema (`kind-value`) that a chord symbol
/// can have; of two that fit alike the former is taken.
pub(super) const KINDS: [(&str, &[Degree]); 24] = [
    ("major", &[Third, Fifth]),
    ("minor", &[FlatThird, Fifth]),
    ("augmented", &[Third, SharpFifth]),
    ("diminished", &[FlatThird, FlatFifth]),
    ("dominant", &[Third, Fifth, FlatSeventh]),
    ("major-seventh", &[Third, Fifth, Seventh]),
    ("minor-seventh", &[FlatThird, Fifth, FlatSeventh]),
    (
        "diminished-seventh",
        &[FlatThird, FlatFifth, Degree::DoubleFlatSeventh],
    ),
    ("augmented-seventh", &[Third, SharpFifth, FlatSeventh]),
    ("half-diminished", &[FlatThird, FlatFifth, FlatSeventh]),
    ("major-minor", &[FlatThird, Fifth, Seventh]),
    ("major-sixth", &[Third, Fifth, Sixth]),
    ("minor-sixth", &[FlatThird, Fifth, Sixth]),
    ("dominant-ninth", &[Third, Fifth, FlatSeventh, Ninth]),
    ("major-ninth", &[Third, Fifth, Seventh, Ninth]),
    ("minor-ninth", &[FlatThird, Fifth, FlatSeventh, Ninth]),
    (
        "dominant-11th",
        &[Third, Fifth, FlatSeventh, Ninth, Eleventh],
    ),
    ("major-11th", &[Third, Fifth, Seventh, Ninth, Eleventh]),
    (
        "minor-11th",
        &[FlatThird, Fifth, FlatSeventh, Ninth, Eleventh],
    ),
    (
        "dominant-13th",
        &[Third, Fifth, FlatSeventh, Ninth, Eleventh, Thirteenth],
    ),
    (
        "major-13th",
        &[Third, Fifth, Seventh, Ninth, Eleventh, Thirteenth],
    ),
    (
        "minor-13th",
        &[FlatThird, Fifth, FlatSeventh, Ninth, Eleventh, Thirteenth],
    ),
    ("suspended-second", &[Second, Fifth]),
    ("suspended-fourth", &[Fourth, Fifth]),
];

/// What a chord has otherwise than its kind.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Change {
    /// The degree by its number.
    pub(super) number: u8,
    /// How far it is altered: of an added one against a dominant scale, of an altered one against
    /// the chord's own.
    pub(super) alter: i32,
    /// `add`, `alter` or `subtract`.
    pub(super) what: &'static str,
}

/// Returns the kind nearest to a quality, and what the chord has otherwise.
pub(super) fn kind(quality: Quality) -> (&'static str, Vec<Change>) {
    // An altered dominant leaves fifth and ninth open; its text says so.
    if quality.is_altered() {
        return ("dominant", Vec::new());
    }
    let own: Vec<Degree> = quality
        .degrees()
        .filter(|degree| *degree != Degree::Root)
        .collect();

    KINDS
        .iter()
        .map(|(name, degrees)| (*name, changes(&own, degrees)))
        .min_by_key(|(name, changes)| {
            // A thirteenth is a thirteenth chord without its eleventh.
            let is_short = own.contains(&Thirteenth) && !name.ends_with("13th");
            // A flat ninth is added to a seventh chord; no ninth chord is altered for it.
            let is_bent = |of: &&Change| of.what == "alter" && of.number >= 9;
            let bent = changes.iter().filter(is_bent).count();
            let added = changes.iter().filter(|of| of.what == "add").count();
            (changes.len(), is_short, bent, added)
        })
        .unwrap_or(("other", Vec::new()))
}

fn changes(own: &[Degree], of: &[Degree]) -> Vec<Change> {
    let mut out = Vec::new();

    for degree in own.iter().filter(|degree| !of.contains(degree)) {
        let other = of
            .iter()
            .find(|other| other.number() == degree.number() && !own.contains(other));
        let (alter, what) = match other {
            Some(other) => (degree.semitones() - other.semitones(), "alter"),
            None => (degree.semitones() - usual(degree.number()), "add"),
        };
        out.push(Change {
            number: degree.number(),
            alter,
            what,
        });
    }
    for degree in of {
        let is_there = own.iter().any(|own| own.number() == degree.number());
        if !is_there {
            out.push(Change {
                number: degree.number(),
                alter: 0,
                what: "subtract",
            });
        }
    }

    out
}

/// The semitones of a degree in a dominant scale: major and perfect, and a minor seventh.
const fn usual(number: u8) -> i32 {
    match number {
        2 => 2,
        3 => 4,
        4 => 5,
        5 => 7,
        6 => 9,
        7 => 10,
        9 => 14,
        11 => 17,
        13 => 21,
        _ => 0,
    }
}

pub(super) fn write<W: Write>(xml: &mut Writer<W>, chord: Chord, style: Style) -> io::Result<()> {
    let (kind, changes) = kind(chord.quality);
    let printed = print_quality(chord.quality, style);
    let named = |xml: &mut Writer<W>, what: &str, name: Name| {
        xml.create_element(what)
            .write_inner_content(|xml| {
                let step = format!("{:?}", name.letter());
                text(xml, &format!("{what}-step"), &step)?;
                if name.accidental() != 0 {
                    let alter = name.accidental().to_string();
                    text(xml, &format!("{what}-alter"), &alter)?;
                }
                Ok(())
            })
            .map(|_| ())
    };

    xml.create_element("harmony")
        .write_inner_content(|xml| {
            named(xml, "root", chord.root)?;
            let _ = xml
                .create_element("kind")
                .with_attribute(("text", printed.as_str()))
                .write_text_content(BytesText::new(kind))?;
            if let Some(bass) = chord.bass {
                named(xml, "bass", bass)?;
            }
            for change in &changes {
                // The text of the kind says it all; the degrees are for those who play it.
                let _ = xml
                    .create_element("degree")
                    .with_attribute(("print-object", "no"))
                    .write_inner_content(|xml| {
                        text(xml, "degree-value", &change.number.to_string())?;
                        text(xml, "degree-alter", &change.alter.to_string())?;
                        text(xml, "degree-type", change.what)
                    })?;
            }
            text(xml, "staff", "1")
        })
        .map(|_| ())
}
