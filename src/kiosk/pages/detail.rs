//! What the items of a section are, in one line, with a quarter note where there is a tempo.

use crate::engraving::{Glyph, Mark, Point, text};
use crate::kiosk::act::Act;
use crate::kiosk::paper::Paper;
use crate::kiosk::sheet::{Sheet, Type};
use crate::kiosk::shelf::{Detail, Lines};
use crate::kiosk::words::number::{counted, figured, in_words};
use crate::kiosk::words::{Words, fill};

/// The note's size as a share of the text's, and the room on both sides of it.
const NOTE: f32 = 1.05;
const ROOM: f32 = 0.16;

/// A line of it: the words, and the tempo that comes after a note.
pub(super) struct Line {
    words: String,
    tempo: Option<String>,
}

impl Line {
    /// Puts it in words.
    pub(super) fn new(words: &Words, detail: &Detail) -> Self {
        match detail {
            Detail::Chords(count, seconds) => Self {
                words: format!(
                    "{}, {}",
                    figured(words.chords_figures, *count as i64),
                    counted(words, words.seconds_each, *seconds)
                ),
                tempo: None,
            },
            Detail::Heard(count, hearings) => Self {
                words: format!(
                    "{}, {}",
                    figured(words.items_figures, *count as i64),
                    counted(words, words.hearings_each, i64::from(*hearings))
                ),
                tempo: None,
            },
            Detail::Lines(lines) => Self::of_lines(words, lines),
            Detail::None => Self {
                words: String::new(),
                tempo: None,
            },
        }
    }

    fn of_lines(words: &Words, lines: &Lines) -> Self {
        let number = |count: usize| in_words(words, count as i64);
        let lead = match (lines.chords, lines.count) {
            (Some(chords), 1) => fill(words.lines_one, &[&number(chords)]),
            (Some(chords), 2) => fill(words.lines_two, &[&number(chords)]),
            (Some(chords), count) => fill(words.lines_more, &[&number(count), &number(chords)]),
            (None, count) => counted(words, words.lines_mixed, count as i64),
        };
        let tempo = lines.tempo.map(|(slowest, fastest)| {
            if slowest == fastest {
                format!("= {slowest}")
            } else {
                format!("= {slowest}–{fastest}")
            }
        });
        let pace = match (&tempo, lines.free) {
            (None, _) => words.in_own_time,
            (Some(_), true) => words.free_and_at,
            (Some(_), false) => words.at_tempo,
        };

        Self {
            words: format!("{lead}{pace}"),
            tempo,
        }
    }

    /// Returns how wide it is.
    pub(super) fn width(&self, paper: &Paper, of: Type) -> f32 {
        let size = paper.size(of.role);
        let words = text::width(&self.words, of.face, size);

        self.tempo.as_ref().map_or(words, |tempo| {
            words + note_width(size) + text::width(tempo, of.face, size)
        })
    }

    /// Returns what it says, for those who hear it.
    pub(super) fn spoken(&self) -> String {
        match &self.tempo {
            Some(tempo) => format!("{}♩ {tempo}", self.words),
            None => self.words.clone(),
        }
    }

    /// Writes it; returns where it ends.
    pub(super) fn write(&self, sheet: &mut Sheet<Act>, x: f32, y: f32, of: Type) -> f32 {
        let size = sheet.paper.size(of.role);
        let end = sheet.write_unsaid(&self.words, x, y, of);
        sheet.say(&self.spoken());
        let Some(tempo) = &self.tempo else {
            return end;
        };
        let ink = Glyph::Quarter.bounds();

        sheet.marks.push(Mark::Glyph {
            glyph: Glyph::Quarter,
            at: Point::new(
                end + (ROOM * 0.5 - ink.left * NOTE) * size,
                y - ink.bottom * NOTE * size,
            ),
            size: NOTE * size,
            stretch: 1.0,
            stroke: 0.0,
            ink: of.ink,
        });
        sheet.write_unsaid(tempo, end + note_width(size), y, of)
    }
}

fn note_width(size: f32) -> f32 {
    let ink = Glyph::Quarter.bounds();

    ((ink.right - ink.left) * NOTE + 2.0 * ROOM) * size
}
