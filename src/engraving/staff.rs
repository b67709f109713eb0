//! Staves: which step of them a pitch stands on, their lines, clefs and bar lines, and one alone.

use crate::theory::pitch::Pitch;

use super::cluster::Cluster;
use super::measure::{
    AFTER_CLEF, AXIS, BAR_LINE, BAR_LINE_APART, CLEF, STAFF, STAFF_LINE, THICK_BAR_LINE, WIDTH,
};
use super::{Drawing, Glyph, Ink, Sketch, words};

/// The clef of a staff.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Clef {
    /// The G clef on the second line.
    Treble,
    /// The F clef on the fourth line.
    Bass,
}

impl Clef {
    /// Returns the step that a pitch stands on: 0 on the bottom line, 1 in the space above it, 8
    /// on the top line, negative below.
    pub fn step(self, pitch: Pitch) -> i32 {
        let letter = pitch.name.letter() as i32;
        let bottom = match self {
            // E4 and G2.
            Self::Treble => 4 * 7 + 2,
            Self::Bass => 2 * 7 + 4,
        };

        pitch.octave() * 7 + letter - bottom
    }

    /// Returns the sign and the step of the line that it names.
    pub const fn sign(self) -> (Glyph, i32) {
        match self {
            Self::Treble => (Glyph::GClef, 2),
            Self::Bass => (Glyph::FClef, 6),
        }
    }
}

/// Returns how far a step lies below the top line, in staff spaces.
pub fn y(step: i32) -> f32 {
    STAFF - step as f32 / 2.0
}

/// Returns how many ledger lines a note on a step needs, and the step of the last one.
pub fn ledgers(step: i32) -> i32 {
    match step {
        10.. => (step - 8) / 2,
        ..=-2 => -step / 2,
        _ => 0,
    }
}

/// Draws five lines from the origin; the top one lies at `top`.
pub(super) fn lines(sketch: &mut Sketch, top: f32, left: f32, right: f32, ink: Ink) {
    for line in 0..5 {
        let y = top + line as f32;
        sketch.line((left, y), (right, y), STAFF_LINE, ink);
    }
}

/// Draws a clef and returns where it ends.
pub(super) fn clef(sketch: &mut Sketch, clef: Clef, top: f32) -> f32 {
    let (glyph, step) = clef.sign();
    sketch.glyph(glyph, CLEF, top + y(step), Ink::Plain);

    CLEF + glyph.width()
}

/// What closes a bar.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Bar {
    /// One thin line, its right edge at the place.
    Single,
    /// A thin line and a thick one at the end of all.
    Final,
}

/// Draws a bar line from a top line down to a bottom line; the lines of the staff end under it.
pub(super) fn bar(sketch: &mut Sketch, bar: Bar, x: f32, top: f32, bottom: f32, ink: Ink) {
    let (top, bottom) = (top - STAFF_LINE / 2.0, bottom + STAFF_LINE / 2.0);
    let thin = match bar {
        Bar::Single => x - BAR_LINE,
        Bar::Final => {
            sketch.rect(x - THICK_BAR_LINE, top, THICK_BAR_LINE, bottom - top, ink);
            x - THICK_BAR_LINE - BAR_LINE_APART - BAR_LINE
        }
    };
    sketch.rect(thin, top, BAR_LINE, bottom - top, ink);
}

/// How a staff is set.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Options {
    /// The width of the staff; it grows where the chord needs more.
    pub width: f32,
    /// Where the middle of the chord's heads stands, from the start of the staff; `None` for the
    /// usual place. It moves where accidentals need the room.
    pub axis: Option<f32>,
    /// What the lines are painted with: quiet under an echo.
    pub lines: Ink,
}

impl Default for Options {
    fn default() -> Self {
        Self {
            width: WIDTH,
            axis: None,
            lines: Ink::Plain,
        }
    }
}

impl Options {
    /// Returns where the heads begin and how wide the staff is for chords of these extents.
    pub(super) fn fitted(&self, clef_end: f32, clusters: &[&Cluster]) -> (f32, f32) {
        let left = clusters
            .iter()
            .fold(0.0, |left: f32, cluster| left.min(cluster.left()));
        let right = clusters
            .iter()
            .fold(Glyph::NoteheadWhole.width(), |right, cluster| {
                right.max(cluster.right())
            });
        let least = clef_end + AFTER_CLEF - left;
        let axis = self
            .axis
            .unwrap_or(clef_end + (self.width - clef_end) * AXIS);
        let start = (axis - Glyph::NoteheadWhole.width() / 2.0).max(least);

        (start, self.width.max(start + right + AFTER_CLEF))
    }
}

/// Engraves the notes of one chord on a staff of its own, as for a spelling.
pub fn layout(pitches: &[Pitch], clef: Clef, options: &Options) -> Drawing {
    let mut sketch = Sketch::default();
    let cluster = Cluster::new(pitches, clef, &[]);
    let (glyph, _) = clef.sign();
    let (start, width) = options.fitted(CLEF + glyph.width(), &[&cluster]);

    lines(&mut sketch, 0.0, 0.0, width, options.lines);
    bar(
        &mut sketch,
        Bar::Single,
        BAR_LINE,
        0.0,
        STAFF,
        options.lines,
    );
    bar(&mut sketch, Bar::Single, width, 0.0, STAFF, options.lines);
    let _ = self::clef(&mut sketch, clef, 0.0);
    cluster.draw(&mut sketch, start, 0.0);
    cluster.bracket(&mut sketch, start, 0.0);

    Drawing::boxed(sketch, words::pitches(&cluster.pitches()))
}
