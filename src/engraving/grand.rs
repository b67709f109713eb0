//! A grand staff with the notes of both hands.

use crate::theory::pitch::{Key, Pitch};

use super::cluster::Cluster;
use super::font::Face;
use super::measure::{
    BAR_LINE, BETWEEN_STAVES, BRACE_APART, BRACE_STRETCH, CLEF, MUSIC_SIZE, STAFF, STAFF_LINE,
};
use super::staff::{self, Bar, Clef, Options, y};
use super::text::Hand;
use super::{Anchor, Drawing, Glyph, Ink, Mark, Point, Sketch, words};

/// A note with what is written beside it at the right of the staff.
#[derive(Debug, Clone, PartialEq)]
pub struct Note {
    /// The note, spelled.
    pub pitch: Pitch,
    /// Its label, such as `seventh`.
    pub label: Option<Label>,
}

impl From<Pitch> for Note {
    fn from(pitch: Pitch) -> Self {
        Self { pitch, label: None }
    }
}

/// A word beside a note.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Label {
    /// The word.
    pub text: String,
    /// Whether it is bold, as where asked and played differ; else it is quiet.
    pub strong: bool,
}

/// The notes of each hand; the left hand's go on the lower staff.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Hands {
    /// What the left hand has.
    pub left: Vec<Note>,
    /// What the right hand has.
    pub right: Vec<Note>,
}

impl Hands {
    /// Gives each hand its notes.
    pub fn new(left: &[Pitch], right: &[Pitch]) -> Self {
        let notes = |pitches: &[Pitch]| pitches.iter().map(|pitch| Note::from(*pitch)).collect();

        Self {
            left: notes(left),
            right: notes(right),
        }
    }

    /// Gives the left hand what lies below middle C, where nobody knows the hands.
    pub fn split(pitches: &[Pitch]) -> Self {
        let (left, right): (Vec<Pitch>, Vec<Pitch>) =
            pitches.iter().partition(|pitch| pitch.key < Key::MIDDLE_C);

        Self::new(&left, &right)
    }

    /// Says what each hand has.
    pub fn words(&self) -> String {
        let pitches = |notes: &[Note]| notes.iter().map(|note| note.pitch).collect::<Vec<_>>();

        words::hands(&pitches(&self.left), &pitches(&self.right))
    }

    pub(super) fn clusters(&self) -> Clusters {
        let of = |notes: &[Note], clef| {
            let pitches: Vec<Pitch> = notes.iter().map(|note| note.pitch).collect();
            Cluster::new(&pitches, clef, &[])
        };

        Clusters {
            upper: of(&self.right, Clef::Treble),
            lower: of(&self.left, Clef::Bass),
        }
    }
}

/// One chord on both staves.
#[derive(Debug, Clone)]
pub(super) struct Clusters {
    pub(super) upper: Cluster,
    pub(super) lower: Cluster,
}

impl Clusters {
    /// Returns the room that the chord needs between the staves: what hangs under the upper one
    /// and what stands over the lower one may not meet.
    pub(super) fn between(&self) -> f32 {
        let below = (self.upper.full_bottom() - STAFF).max(0.0);
        let above = (-self.lower.full_top()).max(0.0);

        BETWEEN_STAVES.max(below + above + 0.8)
    }
}

/// Words over a staff, such as `Asked`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Caption<'a> {
    /// The words, set in italic.
    pub text: &'a str,
    /// Their size in staff spaces.
    pub size: f32,
    /// What they are painted with.
    pub ink: Ink,
}

/// The size of a label in staff spaces.
const LABEL: f32 = 1.4;
/// From the staff to its labels.
const LABEL_APART: f32 = 1.0;
/// From one label to the next, at least.
const LABEL_LINE: f32 = 1.5;
/// From the top line to the baseline of a caption.
const CAPTION: f32 = 2.2;

/// Engraves a chord on a grand staff.
pub fn layout(hands: &Hands, options: &Options) -> Drawing {
    let sketch = sketch(hands, options, hands.clusters().between(), None);

    Drawing::boxed(sketch, hands.words())
}

/// Draws a chord on a grand staff whose top line starts at the origin.
pub(super) fn sketch(
    hands: &Hands,
    options: &Options,
    between: f32,
    caption: Option<Caption<'_>>,
) -> Sketch {
    let mut sketch = Sketch::default();
    let Clusters { upper, lower } = hands.clusters();
    let lower_top = STAFF + between;
    let clef_end = CLEF + Glyph::FClef.width().max(Glyph::GClef.width());
    let (start, width) = options.fitted(clef_end, &[&upper, &lower]);

    staves(&mut sketch, lower_top, width, options.lines);
    staff::bar(
        &mut sketch,
        Bar::Single,
        width,
        0.0,
        lower_top + STAFF,
        options.lines,
    );
    for (cluster, top) in [(&upper, 0.0), (&lower, lower_top)] {
        cluster.draw(&mut sketch, start, top);
        cluster.bracket(&mut sketch, start, top);
    }
    labels(&mut sketch, hands, [&upper, &lower], lower_top, width);
    if let Some(caption) = caption {
        let hand = Hand {
            face: Face::Italic,
            size: caption.size,
            anchor: Anchor::Start,
            ink: caption.ink,
        };
        let y = (-CAPTION).min(upper.full_top() - 0.9);
        sketch.text(caption.text, 0.0, y, hand);
    }

    sketch
}

/// Draws both staves with brace, clefs and the line that joins them at the left.
pub(super) fn staves(sketch: &mut Sketch, lower_top: f32, width: f32, ink: Ink) {
    let bottom = lower_top + STAFF;

    for (clef, top) in [(Clef::Treble, 0.0), (Clef::Bass, lower_top)] {
        staff::lines(sketch, top, 0.0, width, ink);
        let _ = staff::clef(sketch, clef, top);
    }
    staff::bar(sketch, Bar::Single, BAR_LINE, 0.0, bottom, Ink::Plain);

    let ends = STAFF_LINE / 2.0;
    let brace = Glyph::Brace.bounds();
    let size = (bottom + 2.0 * ends) / (brace.bottom - brace.top);
    // Its natural width grows with the height; a tall brace is drawn narrower.
    sketch.0.push(Mark::Glyph {
        glyph: Glyph::Brace,
        at: Point::new(
            -BRACE_APART - brace.right * size * BRACE_STRETCH,
            bottom + ends - brace.bottom * size,
        ),
        size,
        stretch: BRACE_STRETCH,
        stroke: 0.0,
        ink: Ink::Plain,
    });
    debug_assert!(size > MUSIC_SIZE, "two staves are taller than one");
}

/// Writes the labels at the right, each at the height of its note or as near as there is room.
fn labels(sketch: &mut Sketch, hands: &Hands, clusters: [&Cluster; 2], lower_top: f32, width: f32) {
    let heights = [
        (&hands.right, clusters[0], 0.0),
        (&hands.left, clusters[1], lower_top),
    ];
    let mut wanted: Vec<(f32, &Label)> = heights
        .into_iter()
        .flat_map(|(notes, cluster, top)| {
            notes.iter().filter_map(move |note| {
                let head = cluster.heads.iter().find(|head| head.pitch == note.pitch)?;
                Some((top + y(head.step), note.label.as_ref()?))
            })
        })
        .collect();
    wanted.sort_by(|one, other| one.0.total_cmp(&other.0));

    let places = spread(&wanted.iter().map(|(y, _)| *y).collect::<Vec<_>>());
    for (y, (_, label)) in places.into_iter().zip(wanted) {
        let hand = Hand {
            face: if label.strong {
                Face::Bold
            } else {
                Face::Regular
            },
            size: LABEL,
            anchor: Anchor::Start,
            ink: if label.strong { Ink::Plain } else { Ink::Quiet },
        };
        // Half the height of a small letter brings its middle to the note.
        sketch.text(&label.text, width + LABEL_APART, y + 0.23 * LABEL, hand);
    }
}

/// Moves sorted heights apart to the distance of lines, each group round its own middle.
fn spread(wanted: &[f32]) -> Vec<f32> {
    // Groups by the middle of what they want and their count.
    let mut groups: Vec<(f32, usize)> = Vec::new();

    for height in wanted {
        groups.push((*height, 1));
        while let [.., (above, many), (below, few)] = groups[..] {
            let needed = LABEL_LINE * (many + few) as f32 / 2.0;
            if below - above >= needed {
                break;
            }
            let count = many + few;
            let middle = (above * many as f32 + below * few as f32) / count as f32;
            groups.truncate(groups.len() - 2);
            groups.push((middle, count));
        }
    }

    groups
        .into_iter()
        .flat_map(|(middle, count)| {
            let first = middle - LABEL_LINE * (count - 1) as f32 / 2.0;
            (0..count).map(move |index| first + LABEL_LINE * index as f32)
        })
        .collect()
}
