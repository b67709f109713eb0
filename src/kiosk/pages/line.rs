//! The line of a run, engraved once and kept: what moves in it is what differs bar by bar.

use crate::engraving::line::{self, Line};
use crate::engraving::{Bounds, Drawing, Ink, Mark, Point};
use crate::exam::form::RunTask;
use crate::exam::script::Pace;
use crate::theory::progression::Placed;
use crate::theory::symbol::Style;

/// No bar of any line: the line is engraved as one with a current bar, and has none.
const NONE: usize = usize::MAX;
/// The size of the symbols' roots in staff spaces.
const SYMBOL: f32 = 5.5;
/// From a bar's start to its first beat and from its last beat's room to its end.
const AROUND_BEATS: (f32, f32) = (1.15, 0.4);
/// The mark of a beat: width and height, standing on the mark of its bar.
const BEAT: (f32, f32) = (1.6, 0.6);
/// The room of the word under the last bar.
const NOW: f32 = 2.9;
/// Staff spaces never become smaller than this many pixels.
const SMALLEST: f32 = 5.0;

/// The room of a line on its page, in pixels.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Room {
    /// Where its first bar begins, and where the line ends.
    pub(crate) left: f32,
    /// See `left`.
    pub(crate) right: f32,
    /// How far clef and time may stand out to the left of the first bar.
    pub(crate) hang: f32,
    /// Its height at most.
    pub(crate) height: f32,
    /// A staff space at most.
    pub(crate) space: f32,
}

/// A line as it was engraved for a room.
#[derive(Debug)]
pub(crate) struct Kept {
    room: Room,
    /// What stands still.
    pub(crate) still: Drawing,
    /// A staff space in pixels.
    pub(crate) space: f32,
    height: f32,
    /// Where the line's origin stands.
    pub(crate) x: f32,
    bars: Vec<Bounds>,
    now: Option<(usize, Vec<Mark>)>,
}

impl Kept {
    /// Engraves a line in a room; smaller and in other systems where it is too high.
    pub(crate) fn new(task: &RunTask, style: Style, factor: u32, room: Room) -> Self {
        let mut space = room.space;
        loop {
            let (drawing, bars, x) = fitted(task, style, factor, room, space);
            let below = if is_in_tempo(task) { NOW } else { 0.0 };
            let height = (drawing.height + below) * space;
            if height <= room.height || space <= SMALLEST {
                return Self {
                    room,
                    still: drawing,
                    space,
                    height,
                    x,
                    bars,
                    now: None,
                };
            }
            space = (space * 0.94).max(SMALLEST);
        }
    }

    /// Tells whether it was engraved for this room.
    pub(crate) fn fits(&self, room: Room) -> bool {
        self.room == room
    }

    /// Returns how high it is in pixels, the word under its last bar included.
    pub(crate) const fn height(&self) -> f32 {
        self.height
    }

    /// Returns what moves while a bar is played, with a beat from 0: the bar and its symbols by
    /// weight, the word under it, the beat. Places count from the line's origin.
    pub(crate) fn moving(
        &mut self,
        task: &RunTask,
        style: Style,
        factor: u32,
        bar: usize,
        word: &str,
        beat: i64,
    ) -> Drawing {
        if self.now.as_ref().is_none_or(|(kept, _)| *kept != bar) {
            let line = chords(task);
            let width = self.width();
            let current = Some((bar, word));
            let other = line::layout(&lined(&line, task, style, factor, width, current)).drawing;
            self.now = Some((bar, difference(&self.still, &other)));
        }
        let mut marks = self
            .now
            .as_ref()
            .map(|(_, marks)| marks.clone())
            .unwrap_or_default();
        if let Some(mark) = self.beat(&marks, bar, beat) {
            marks.push(mark);
        }

        Drawing {
            width: self.still.width,
            height: self.still.height,
            origin: Point::new(0.0, 0.0),
            marks,
            words: String::new(),
        }
    }

    fn width(&self) -> f32 {
        (self.room.right - self.x) / self.space
    }

    fn beat(&self, marks: &[Mark], bar: usize, beat: i64) -> Option<Mark> {
        let bounds = self.bars.get(bar)?;
        let rule = marks.iter().find_map(|mark| match mark {
            Mark::Rect {
                at,
                width,
                ink: Ink::Plain,
                ..
            } if (width - (bounds.right - bounds.left)).abs() < 0.1 => Some(at.y),
            _ => None,
        })?;
        let (before, after) = AROUND_BEATS;
        let room = bounds.right - bounds.left - before - after;
        let x = bounds.left - self.still.origin.x + before + room * beat as f32 / 4.0;

        Some(Mark::Rect {
            at: Point::new(x, rule - BEAT.1),
            width: BEAT.0,
            height: BEAT.1,
            ink: Ink::Plain,
        })
    }
}

fn fitted(
    task: &RunTask,
    style: Style,
    factor: u32,
    room: Room,
    space: f32,
) -> (Drawing, Vec<Bounds>, f32) {
    let line = chords(task);
    let current = is_in_tempo(task).then_some((NONE, ""));
    let mut x = room.left;
    // Clef and time stand out into the margin, so that the first bar begins where text does.
    for _ in 0..2 {
        let width = (room.right - x) / space;
        let engraved = line::layout(&lined(&line, task, style, factor, width, current));
        let start = engraved.bars.first().map_or(0.0, |bar| bar.left);
        let before = (start - engraved.drawing.origin.x) * space;
        let hung = room.left - before.min(room.hang);
        if (hung - x).abs() < 0.5 {
            return (engraved.drawing, engraved.bars, x);
        }
        x = hung;
    }
    let width = (room.right - x) / space;
    let engraved = line::layout(&lined(&line, task, style, factor, width, current));

    (engraved.drawing, engraved.bars, x)
}

fn lined<'a>(
    chords: &'a [Placed],
    task: &RunTask,
    style: Style,
    factor: u32,
    width: f32,
    current: Option<(usize, &'a str)>,
) -> Line<'a> {
    let end = task
        .chords
        .last()
        .map_or(12, |last| last.at_twelfths + last.twelfths);
    let tempo = match task.pace {
        // Printed as it is played, the time factor included.
        Pace::Tempo { tempo, .. } => u16::try_from((tempo + factor / 2) / factor.max(1)).ok(),
        Pace::Free { .. } => None,
    };

    Line {
        chords,
        hands: &[],
        bars: end.div_ceil(12) as usize,
        beats: 4,
        signature: 0,
        tempo,
        style,
        symbol: SYMBOL,
        width,
        current,
    }
}

fn chords(task: &RunTask) -> Vec<Placed> {
    task.chords
        .iter()
        .map(|chord| Placed {
            chord: chord.chord,
            bar: (chord.at_twelfths / 12) as usize,
            at_twelfths: chord.at_twelfths,
            twelfths: chord.twelfths,
        })
        .collect()
}

const fn is_in_tempo(task: &RunTask) -> bool {
    matches!(task.pace, Pace::Tempo { .. })
}

/// Returns what to paint over one drawing so that it looks like the other, from their origins: what
/// only the first has is covered with paper, then comes what only the second has.
fn difference(one: &Drawing, other: &Drawing) -> Vec<Mark> {
    let of = |drawing: &Drawing| -> Vec<Mark> {
        let by = Point::new(-drawing.origin.x, -drawing.origin.y);
        drawing
            .marks
            .iter()
            .map(|mark| mark.clone().moved(by))
            .collect()
    };
    let (one, other) = (of(one), of(other));
    let gone = one
        .iter()
        .filter(|mark| !other.iter().any(|also| alike(mark, also)))
        .map(|mark| {
            let bounds = mark.bounds();
            Mark::Rect {
                at: Point::new(bounds.left - 0.1, bounds.top),
                width: bounds.right - bounds.left + 0.2,
                height: bounds.bottom - bounds.top,
                ink: Ink::Paper,
            }
        });
    let come = other
        .iter()
        .filter(|mark| !one.iter().any(|also| alike(mark, also)))
        .cloned();

    gone.chain(come).collect()
}

fn alike(one: &Mark, other: &Mark) -> bool {
    let (a, b) = (one.bounds(), other.bounds());
    let near = |a: f32, b: f32| (a - b).abs() < 0.02;
    let same_kind = match (one, other) {
        (
            Mark::Text { text, face, .. },
            Mark::Text {
                text: also,
                face: other,
                ..
            },
        ) => text == also && face == other,
        (
            Mark::Glyph { glyph, stroke, .. },
            Mark::Glyph {
                glyph: also,
                stroke: other,
                ..
            },
        ) => glyph == also && near(*stroke, *other),
        (one, other) => std::mem::discriminant(one) == std::mem::discriminant(other),
    };

    same_kind
        && near(a.left, b.left)
        && near(a.right, b.right)
        && near(a.top, b.top)
        && near(a.bottom, b.bottom)
}
