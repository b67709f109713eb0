//! One measure on the grand staff: words, chord symbols, and the notes of both staves.

use std::io::{self, Write};

use quick_xml::Writer;

use super::{harmony, text};
use crate::printing::words::hundredths;
use crate::theory::Chord;
use crate::theory::pitch::Pitch;
use crate::theory::symbol::Style;

/// Twelfths of a bar are the divisions: three to a quarter note.
pub(super) const TWELFTHS: u32 = 12;
const A_QUARTER: u32 = 3;

/// A chord for a time, inside its measure.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Sounding {
    /// When, in twelfths of a bar.
    pub(super) at: u32,
    /// How long.
    pub(super) length: u32,
    /// Its symbol, where it has one and begins here.
    pub(super) chord: Option<Chord>,
    /// What stands on each staff, from low to high.
    pub(super) upper: Vec<Pitch>,
    pub(super) lower: Vec<Pitch>,
    /// Whether it is tied to what comes before, and to what comes after.
    pub(super) tied: (bool, bool),
}

/// A measure.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Measure {
    /// The item that begins here; empty where one goes on.
    pub(super) words: String,
    /// Beats a minute, in hundredths, where they are set here.
    pub(super) tempo: Option<u32>,
    /// What sounds, in order, without gaps.
    pub(super) soundings: Vec<Sounding>,
    /// Whether an item ends here.
    pub(super) is_last: bool,
}

/// Lays soundings into measures; what reaches over a bar line is tied.
pub(super) fn bars(soundings: &[Sounding], count: usize) -> Vec<Measure> {
    let mut bars = vec![Measure::default(); count];

    for sounding in soundings {
        let end = sounding.at + sounding.length;
        let mut at = sounding.at;
        while at < end {
            let bar = at / TWELFTHS;
            let until = end.min((bar + 1) * TWELFTHS);
            let piece = Sounding {
                at: at % TWELFTHS,
                length: until - at,
                chord: sounding.chord.filter(|_| at == sounding.at),
                tied: (at > sounding.at, until < end),
                ..sounding.clone()
            };
            if let Some(own) = bars.get_mut(bar as usize) {
                own.soundings.push(piece);
            }
            at = until;
        }
    }

    bars
}

/// How a length is written: type, dots, and whether three stand for two.
const fn written(length: u32) -> (&'static str, usize, bool) {
    match length {
        12 => ("whole", 0, false),
        9 => ("half", 1, false),
        8 => ("whole", 0, true),
        6 => ("half", 0, false),
        4 => ("half", 0, true),
        3 => ("quarter", 0, false),
        2 => ("quarter", 0, true),
        _ => ("eighth", 0, true),
    }
}

impl Measure {
    /// A measure of one chord.
    pub(super) fn of(sounding: Sounding) -> Self {
        Self {
            soundings: vec![sounding],
            ..Self::default()
        }
    }

    pub(super) fn write<W: Write>(
        &self,
        xml: &mut Writer<W>,
        place: usize,
        style: Style,
    ) -> io::Result<()> {
        let number = (place + 1).to_string();

        xml.create_element("measure")
            .with_attribute(("number", number.as_str()))
            .write_inner_content(|xml| {
                if place == 0 {
                    attributes(xml)?;
                }
                self.directions(xml)?;
                self.staff(xml, 1, Some(style))?;
                let _ = xml
                    .create_element("backup")
                    .write_inner_content(|xml| text(xml, "duration", &TWELFTHS.to_string()))?;
                self.staff(xml, 2, None)?;
                if self.is_last {
                    let _ = xml
                        .create_element("barline")
                        .with_attribute(("location", "right"))
                        .write_inner_content(|xml| text(xml, "bar-style", "light-light"))?;
                }
                Ok(())
            })
            .map(|_| ())
    }

    fn directions<W: Write>(&self, xml: &mut Writer<W>) -> io::Result<()> {
        if !self.words.is_empty() {
            direction(xml, |xml| text(xml, "words", &self.words), None)?;
        }
        if let Some(tempo) = self.tempo {
            let tempo = hundredths(i64::from(tempo));
            let mark = |xml: &mut Writer<W>| {
                xml.create_element("metronome")
                    .write_inner_content(|xml| {
                        text(xml, "beat-unit", "quarter")?;
                        text(xml, "per-minute", &tempo)
                    })
                    .map(|_| ())
            };
            direction(xml, mark, Some(&tempo))?;
        }

        Ok(())
    }

    /// The notes of a staff; symbols go with the upper one.
    fn staff<W: Write>(
        &self,
        xml: &mut Writer<W>,
        staff: u8,
        symbols: Option<Style>,
    ) -> io::Result<()> {
        let pitches = |of: &Sounding| match staff {
            1 => of.upper.clone(),
            _ => of.lower.clone(),
        };
        let is_silent = self.soundings.iter().all(|of| pitches(of).is_empty());

        if is_silent && (symbols.is_none() || self.soundings.len() < 2) {
            if let (Some(style), Some(chord)) =
                (symbols, self.soundings.first().and_then(|of| of.chord))
            {
                harmony::write(xml, chord, style)?;
            }
            return rest(xml, TWELFTHS, staff, true);
        }
        for sounding in &self.soundings {
            if let (Some(style), Some(chord)) = (symbols, sounding.chord) {
                harmony::write(xml, chord, style)?;
            }
            let pitches = pitches(sounding);
            if pitches.is_empty() {
                rest(xml, sounding.length, staff, false)?;
            }
            for (place, pitch) in pitches.iter().enumerate() {
                note(xml, *pitch, sounding, (staff, place > 0))?;
            }
        }

        Ok(())
    }
}

fn attributes<W: Write>(xml: &mut Writer<W>) -> io::Result<()> {
    xml.create_element("attributes")
        .write_inner_content(|xml| {
            text(xml, "divisions", &A_QUARTER.to_string())?;
            let _ = xml
                .create_element("key")
                .write_inner_content(|xml| text(xml, "fifths", "0"))?;
            let _ = xml.create_element("time").write_inner_content(|xml| {
                text(xml, "beats", "4")?;
                text(xml, "beat-type", "4")
            })?;
            text(xml, "staves", "2")?;
            for (number, sign, line) in [("1", "G", "2"), ("2", "F", "4")] {
                let _ = xml
                    .create_element("clef")
                    .with_attribute(("number", number))
                    .write_inner_content(|xml| {
                        text(xml, "sign", sign)?;
                        text(xml, "line", line)
                    })?;
            }
            Ok(())
        })
        .map(|_| ())
}

fn direction<W: Write>(
    xml: &mut Writer<W>,
    inner: impl FnOnce(&mut Writer<W>) -> io::Result<()>,
    tempo: Option<&str>,
) -> io::Result<()> {
    xml.create_element("direction")
        .with_attribute(("placement", "above"))
        .write_inner_content(|xml| {
            let _ = xml
                .create_element("direction-type")
                .write_inner_content(inner)?;
            text(xml, "staff", "1")?;
            if let Some(tempo) = tempo {
                let _ = xml
                    .create_element("sound")
                    .with_attribute(("tempo", tempo))
                    .write_empty()?;
            }
            Ok(())
        })
        .map(|_| ())
}

/// The voice of a staff: each has its own.
const fn voice(staff: u8) -> &'static str {
    if staff == 1 { "1" } else { "2" }
}

fn rest<W: Write>(xml: &mut Writer<W>, length: u32, staff: u8, whole: bool) -> io::Result<()> {
    xml.create_element("note")
        .write_inner_content(|xml| {
            let rest = xml.create_element("rest");
            let _ = if whole {
                rest.with_attribute(("measure", "yes")).write_empty()?
            } else {
                rest.write_empty()?
            };
            text(xml, "duration", &length.to_string())?;
            text(xml, "voice", voice(staff))?;
            if !whole {
                kind(xml, length)?;
            }
            text(xml, "staff", &staff.to_string())
        })
        .map(|_| ())
}

/// The written kind of a length.
fn kind<W: Write>(xml: &mut Writer<W>, length: u32) -> io::Result<()> {
    let (name, dots, is_triplet) = written(length);

    text(xml, "type", name)?;
    for _ in 0..dots {
        let _ = xml.create_element("dot").write_empty()?;
    }
    if is_triplet {
        let _ = xml
            .create_element("time-modification")
            .write_inner_content(|xml| {
                text(xml, "actual-notes", "3")?;
                text(xml, "normal-notes", "2")
            })?;
    }

    Ok(())
}

fn note<W: Write>(
    xml: &mut Writer<W>,
    pitch: Pitch,
    sounding: &Sounding,
    (staff, is_above): (u8, bool),
) -> io::Result<()> {
    let (before, after) = sounding.tied;
    let ties: Vec<&str> = [(before, "stop"), (after, "start")]
        .into_iter()
        .filter_map(|(is, word)| is.then_some(word))
        .collect();

    xml.create_element("note")
        .write_inner_content(|xml| {
            if is_above {
                let _ = xml.create_element("chord").write_empty()?;
            }
            let _ = xml.create_element("pitch").write_inner_content(|xml| {
                text(xml, "step", &format!("{:?}", pitch.name.letter()))?;
                if pitch.name.accidental() != 0 {
                    text(xml, "alter", &pitch.name.accidental().to_string())?;
                }
                text(xml, "octave", &pitch.octave().to_string())
            })?;
            text(xml, "duration", &sounding.length.to_string())?;
            for tie in &ties {
                let _ = xml
                    .create_element("tie")
                    .with_attribute(("type", *tie))
                    .write_empty()?;
            }
            text(xml, "voice", voice(staff))?;
            kind(xml, sounding.length)?;
            text(xml, "staff", &staff.to_string())?;
            if !ties.is_empty() {
                let _ = xml.create_element("notations").write_inner_content(|xml| {
                    for tie in &ties {
                        let _ = xml
                            .create_element("tied")
                            .with_attribute(("type", *tie))
                            .write_empty()?;
                    }
                    Ok(())
                })?;
            }
            Ok(())
        })
        .map(|_| ())
}
