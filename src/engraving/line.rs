//! A line of chords in bars: symbols over beats, or over the notes of both hands.

use crate::theory::progression::Placed;
use crate::theory::symbol::Style;

use super::cluster::{self, Cluster};
use super::font::Face;
use super::grand::{self, Hands};
use super::measure::{AFTER_CLEF, BAR_LINE, BETWEEN_STAVES, CLEF, STAFF, STAFF_LINE};
use super::staff::{self, Bar, Clef, y};
use super::symbol::{self, Setting};
use super::text::Hand;
use super::{Anchor, Bounds, Drawing, Glyph, Ink, Point, Sketch, words};

/// A line as it is to be engraved.
#[derive(Debug, Clone, Copy)]
pub struct Line<'a> {
    /// The chords in order.
    pub chords: &'a [Placed],
    /// What the hands have at each chord, on a grand staff, in the chords' order; empty for a line
    /// of beats on one staff. Heads are whole notes: how long they last is told by their place.
    pub hands: &'a [Hands],
    /// How many bars there are; chords beyond are left out.
    pub bars: usize,
    /// Beats a bar, over quarter notes, 1 to 9.
    pub beats: u8,
    /// The key by its sharps (1 to 7) or flats (−1 to −7); 0 for none. A line with notes has none.
    pub signature: i8,
    /// Beats a minute, to be written over the start.
    pub tempo: Option<u16>,
    /// How symbols are printed.
    pub style: Style,
    /// The size of their roots in staff spaces; smaller where the line needs it.
    pub symbol: f32,
    /// The width in staff spaces.
    pub width: f32,
    /// The bar that is played now, from 0, and the word under it: told by weight, not colour.
    pub current: Option<(usize, &'a str)>,
}

/// A line engraved.
#[derive(Debug, Clone, PartialEq)]
pub struct Engraved {
    /// The drawing; its origin is the left end of the first top line.
    pub drawing: Drawing,
    /// The box of each bar from its first to its last staff line, in the drawing's places.
    pub bars: Vec<Bounds>,
}

/// From the start of a bar to its first beat.
const BEFORE_BEAT: f32 = 1.15;
/// From the last beat's room to the end of the bar.
const AFTER_BEAT: f32 = 0.4;
/// From the top line to the baseline of symbols and tempo.
const SYMBOL: f32 = 2.7;
/// From a symbol to the next one.
const SYMBOL_APART: f32 = 1.0;
/// The smallest share of their size that symbols shrink to before the line is broken.
const SMALLEST: f32 = 0.5;
/// The smallest share where no break helps any more.
const LEAST: f32 = 0.1;
/// Sizes of words and of the note in the tempo.
const WORDS: f32 = 1.75;
const TEMPO_NOTE: f32 = 2.6;

/// Engraves a line, in as many systems as it needs.
pub fn layout(line: &Line<'_>) -> Engraved {
    let plan = Plan::of(line);
    let mut sketch = Sketch::default();
    let mut bars = Vec::new();
    let mut top = 0.0;

    for first in (0..line.bars.max(1)).step_by(plan.bars_a_system) {
        let system = System {
            line,
            plan: &plan,
            first,
            last: (first + plan.bars_a_system).min(line.bars.max(1)),
            top,
        };
        bars.extend(system.draw(&mut sketch));
        top += plan.height;
    }
    if let Some(tempo) = line.tempo {
        write_tempo(&mut sketch, tempo, plan.symbol_y);
    }

    let drawing = Drawing::boxed(sketch, spoken(line));
    for bar in &mut bars {
        let Point { x, y } = drawing.origin;
        *bar = Bounds {
            left: bar.left + x,
            top: bar.top + y,
            right: bar.right + x,
            bottom: bar.bottom + y,
        };
    }
    Engraved { drawing, bars }
}

/// What holds for all systems.
struct Plan {
    /// Each chord's notes, where the line has notes.
    clusters: Vec<grand::Clusters>,
    /// Where the first bar of a system starts.
    prefix: f32,
    /// Where the first beat of a bar stands in it.
    before: f32,
    bars_a_system: usize,
    bar: f32,
    symbol: f32,
    /// The baseline of the symbols from the top line.
    symbol_y: f32,
    between: f32,
    /// From one system's top line to the next one's.
    height: f32,
    /// From the bottom line to the rule that shows the current bar.
    rule: f32,
}

impl Plan {
    fn of(line: &Line<'_>) -> Self {
        let clusters = clusters(line);
        let has_notes = !clusters.is_empty();
        let both = clusters.iter().flat_map(|both| [&both.upper, &both.lower]);
        let left = both.map(Cluster::left).fold(0.0, f32::min);
        let before = BEFORE_BEAT.max(0.6 - left);
        let prefix = prefix(line, has_notes);
        let room = line.width - prefix;
        let mut plan = Self {
            prefix,
            before,
            bars_a_system: 1,
            bar: room,
            symbol: line.symbol,
            symbol_y: -SYMBOL,
            between: clusters
                .iter()
                .map(grand::Clusters::between)
                .fold(BETWEEN_STAVES, f32::max),
            height: 0.0,
            rule: 0.0,
            clusters,
        };

        // Bold is wider, and a line must not break otherwise when its current bar moves on.
        let setting = Setting {
            bold: true,
            ..Setting::new(line.style, 1.0)
        };
        let width = |placed: &Placed| symbol::layout(placed.chord, setting).width;
        let widths: Vec<f32> = line.chords.iter().map(width).collect();

        // The most bars a system that leave symbols legible and notes apart, all systems alike.
        let bars = line.bars.max(1);
        let choices = std::iter::once(bars).chain([8, 6, 4, 3, 2, 1]);
        for count in choices.filter(|count| *count <= bars) {
            plan.bars_a_system = count;
            plan.bar = room / count as f32;
            let share = plan.share(line, &widths);
            plan.symbol = line.symbol * share.clamp(LEAST, 1.0);
            if share >= SMALLEST && plan.has_room(line) {
                break;
            }
        }

        let highest = plan.clusters.iter().map(|both| both.upper.full_top());
        plan.symbol_y = highest.map(|top| top - 0.9).fold(-SYMBOL, f32::min);
        let below = if has_notes {
            let lowest = plan.clusters.iter().map(|both| both.lower.full_bottom());
            lowest.fold(STAFF, f32::max) - STAFF
        } else {
            0.0
        };
        let staves = if has_notes {
            2.0 * STAFF + plan.between
        } else {
            STAFF
        };
        plan.rule = below.max(1.0) + 0.8;
        let foot = if line.current.is_some() {
            plan.rule + 2.6 + WORDS * 0.3
        } else {
            below.max(1.4)
        };
        plan.height = staves + foot + 1.2 - plan.symbol_y + plan.symbol * 0.8;
        plan
    }

    /// Returns the room that the beats of a bar share.
    fn room(&self) -> f32 {
        self.bar - self.before - AFTER_BEAT
    }

    /// Returns where a chord stands in its bar.
    fn beat(&self, placed: Placed) -> f32 {
        let twelfths = placed.at_twelfths as f32 - 12.0 * placed.bar as f32;

        self.before + self.room() * twelfths / 12.0
    }

    /// Returns the share of their size at which all symbols have room before the next one.
    fn share(&self, line: &Line<'_>, widths: &[f32]) -> f32 {
        let chords = line.chords;

        (0..chords.len())
            .map(|index| {
                let placed = chords[index];
                let system = |bar: usize| bar / self.bars_a_system;
                let at = |placed: Placed| placed.bar as f32 * self.bar + self.beat(placed);
                let end = match chords.get(index + 1) {
                    Some(next) if system(next.bar) == system(placed.bar) => at(*next),
                    // The last one may go on to the end of its system.
                    _ => (system(placed.bar) + 1) as f32 * self.bars_a_system as f32 * self.bar,
                };
                (end - at(placed) - SYMBOL_APART) / (widths[index] * line.symbol)
            })
            .fold(1.0, f32::min)
    }

    /// Tells whether the notes of no chord reach into the next one of their bar.
    fn has_room(&self, line: &Line<'_>) -> bool {
        let beat = self.room() / f32::from(line.beats.max(1));
        let neighbours = line.chords.windows(2).zip(self.clusters.windows(2));
        let apart = neighbours
            .filter(|(chords, _)| chords[0].bar == chords[1].bar)
            .all(|(chords, clusters)| {
                let distance = self.beat(chords[1]) - self.beat(chords[0]);
                let right = clusters[0].upper.right().max(clusters[0].lower.right());
                let left = clusters[1].upper.left().min(clusters[1].lower.left());
                distance >= right - left + 0.6
            });
        let widest = self
            .clusters
            .iter()
            .map(|both| both.upper.right().max(both.lower.right()))
            .fold(0.0, f32::max);

        apart && beat >= 2.4 && self.bar >= self.before + widest + 0.6
    }
}

/// The notes of each chord, with the naturals that earlier accidentals of the bar make needful.
fn clusters(line: &Line<'_>) -> Vec<grand::Clusters> {
    let mut upper_before: Vec<(i32, i8)> = Vec::new();
    let mut lower_before: Vec<(i32, i8)> = Vec::new();
    let mut bar = 0;

    line.chords
        .iter()
        .zip(line.hands)
        .map(|(placed, hands)| {
            if placed.bar != bar {
                upper_before.clear();
                lower_before.clear();
                bar = placed.bar;
            }
            let pitches =
                |notes: &[grand::Note]| notes.iter().map(|note| note.pitch).collect::<Vec<_>>();
            let upper = Cluster::new(&pitches(&hands.right), Clef::Treble, &upper_before);
            let lower = Cluster::new(&pitches(&hands.left), Clef::Bass, &lower_before);
            upper_before = upper.after(&upper_before);
            lower_before = lower.after(&lower_before);
            grand::Clusters { upper, lower }
        })
        .collect()
}

/// Steps of sharps and flats on the treble staff, in the order of the circle; common practice.
const SHARPS: [i32; 7] = [8, 5, 9, 6, 3, 7, 4];
const FLATS: [i32; 7] = [4, 7, 3, 6, 2, 5, 1];
/// From one sign of a key signature to the next.
const SIGNATURE_STEP: f32 = 0.95;

fn signature(line: &Line<'_>, has_notes: bool) -> (Glyph, &'static [i32]) {
    let count = usize::from(line.signature.unsigned_abs().min(7));

    match line.signature {
        _ if has_notes => (Glyph::Flat, &[]),
        1.. => (Glyph::Sharp, &SHARPS[..count]),
        _ => (Glyph::Flat, &FLATS[..count]),
    }
}

/// Returns the room that clef, key and time take.
fn prefix(line: &Line<'_>, has_notes: bool) -> f32 {
    let (_, steps) = signature(line, has_notes);
    let clef = CLEF + Glyph::FClef.width() + AFTER_CLEF;
    let key = match steps.len() {
        0 => 0.0,
        count => count as f32 * SIGNATURE_STEP + AFTER_CLEF,
    };

    clef + key + Glyph::TimeSig4.width() + AFTER_CLEF
}

struct System<'a> {
    line: &'a Line<'a>,
    plan: &'a Plan,
    first: usize,
    last: usize,
    top: f32,
}

impl System<'_> {
    /// Draws the system and returns the boxes of its bars.
    fn draw(&self, sketch: &mut Sketch) -> Vec<Bounds> {
        let mut own = Sketch::default();
        let Self { line, plan, .. } = *self;
        let has_notes = !plan.clusters.is_empty();
        let count = self.last - self.first;
        let width = plan.prefix + count as f32 * plan.bar;
        let bottom = if has_notes {
            let lower = STAFF + plan.between;
            grand::staves(&mut own, lower, width, Ink::Plain);
            lower + STAFF
        } else {
            staff::lines(&mut own, 0.0, 0.0, width, Ink::Plain);
            let _ = staff::clef(&mut own, Clef::Treble, 0.0);
            staff::bar(&mut own, Bar::Single, BAR_LINE, 0.0, STAFF, Ink::Plain);
            STAFF
        };

        self.start(&mut own, has_notes);
        let mut boxes = Vec::new();
        for index in 0..count {
            let left = plan.prefix + index as f32 * plan.bar;
            let right = left + plan.bar;
            let is_last = self.first + index + 1 == line.bars.max(1);
            let bar = if is_last { Bar::Final } else { Bar::Single };
            staff::bar(&mut own, bar, right, 0.0, bottom, Ink::Plain);
            if !has_notes {
                self.beats(&mut own, left);
            }
            boxes.push(Bounds {
                left,
                top: self.top - STAFF_LINE / 2.0,
                right,
                bottom: self.top + bottom + STAFF_LINE / 2.0,
            });
        }
        self.chords(&mut own);
        self.now(&mut own, bottom, width);

        let by = Point::new(0.0, self.top);
        sketch.0.extend(own.0.into_iter().map(|mut mark| {
            mark.shift(by);
            mark
        }));
        boxes
    }

    /// Draws key and time; the time on the first system only.
    fn start(&self, sketch: &mut Sketch, has_notes: bool) {
        let (glyph, steps) = signature(self.line, has_notes);
        let mut x = CLEF + Glyph::FClef.width() + AFTER_CLEF;

        for step in steps {
            sketch.glyph(glyph, x, y(*step), Ink::Plain);
            x += SIGNATURE_STEP;
        }
        if !steps.is_empty() {
            x += AFTER_CLEF;
        }
        let time = Glyph::time(self.line.beats).zip(Glyph::time(4));
        if let Some((upper, lower)) = time.filter(|_| self.first == 0) {
            let tops = if has_notes {
                vec![0.0, STAFF + self.plan.between]
            } else {
                vec![0.0]
            };
            for top in tops {
                sketch.glyph(upper, x, top + y(6), Ink::Plain);
                sketch.glyph(lower, x, top + y(2), Ink::Plain);
            }
        }
    }

    fn beats(&self, sketch: &mut Sketch, left: f32) {
        let beats = u32::from(self.line.beats.max(1));

        for beat in 0..beats {
            let x = left + self.plan.before + self.plan.room() * beat as f32 / beats as f32;
            sketch.glyph(Glyph::NoteheadSlash, x, y(4), Ink::Plain);
        }
    }

    /// Writes symbols and notes.
    fn chords(&self, sketch: &mut Sketch) {
        let Self { line, plan, .. } = *self;
        let own = |placed: &Placed| (self.first..self.last).contains(&placed.bar);
        let mut placed_notes: Vec<(f32, &grand::Clusters)> = Vec::new();

        for (index, placed) in line.chords.iter().enumerate() {
            if !own(placed) {
                continue;
            }
            let bar = (placed.bar - self.first) as f32;
            let x = plan.prefix + bar * plan.bar + plan.beat(*placed);
            let setting = Setting {
                bold: line.current.is_some_and(|(bar, _)| bar == placed.bar),
                ..Setting::new(line.style, plan.symbol)
            };
            sketch.place(symbol::layout(placed.chord, setting), x, plan.symbol_y);
            if let Some(both) = plan.clusters.get(index) {
                both.upper.draw(sketch, x, 0.0);
                both.lower.draw(sketch, x, STAFF + plan.between);
                placed_notes.push((x, both));
            }
        }
        brackets(sketch, &placed_notes, |both| &both.upper, 0.0);
        brackets(
            sketch,
            &placed_notes,
            |both| &both.lower,
            STAFF + plan.between,
        );
    }

    /// Shows the current bar by a thick rule and a word.
    fn now(&self, sketch: &mut Sketch, bottom: f32, width: f32) {
        let Some((current, word)) = self.line.current else {
            return;
        };
        let rule = bottom + self.plan.rule;
        let left = self.plan.prefix;
        sketch.line((left, rule), (width, rule), 0.07, Ink::Quiet);

        if (self.first..self.last).contains(&current) {
            let start = left + (current - self.first) as f32 * self.plan.bar;
            sketch.rect(start, rule - 0.36, self.plan.bar, 0.72, Ink::Plain);
            let hand = Hand {
                face: Face::Bold,
                size: WORDS,
                anchor: Anchor::Start,
                ink: Ink::Plain,
            };
            sketch.text(word, start + BEFORE_BEAT, rule + 2.6, hand);
        }
    }
}

/// Draws one bracket over each run of chords with the same shift.
fn brackets(
    sketch: &mut Sketch,
    placed: &[(f32, &grand::Clusters)],
    of: impl Fn(&grand::Clusters) -> &Cluster,
    top: f32,
) {
    let notes: Vec<(f32, &Cluster)> = placed
        .iter()
        .map(|(x, both)| (*x, of(both)))
        .filter(|(_, cluster)| !cluster.heads.is_empty())
        .collect();

    for run in notes.chunk_by(|one, other| one.1.octaves == other.1.octaves) {
        cluster::bracket(sketch, run, top);
    }
}

fn write_tempo(sketch: &mut Sketch, tempo: u16, baseline: f32) {
    let note = Glyph::Quarter;
    let ink = note.bounds();
    let hand = Hand {
        face: Face::Regular,
        size: WORDS,
        anchor: Anchor::Start,
        ink: Ink::Plain,
    };

    sketch.sized(
        note,
        -ink.left * TEMPO_NOTE,
        baseline - ink.bottom * TEMPO_NOTE,
        TEMPO_NOTE,
        Ink::Plain,
    );
    let x = (ink.right - ink.left) * TEMPO_NOTE + 0.4;
    sketch.text(&format!("= {tempo}"), x, baseline, hand);
}

fn spoken(line: &Line<'_>) -> String {
    let mut out = Vec::new();

    for bar in 0..line.bars {
        let own = line
            .chords
            .iter()
            .enumerate()
            .filter(|(_, placed)| placed.bar == bar)
            .map(|(index, placed)| match line.hands.get(index) {
                Some(hands) => format!("{}: {}", words::chord(placed.chord), hands.words()),
                None => words::chord(placed.chord),
            });
        let chords: Vec<String> = own.collect();
        let text = if chords.is_empty() && line.chords.iter().any(|placed| placed.bar < bar) {
            "as before".to_owned()
        } else if chords.is_empty() {
            "no chord".to_owned()
        } else {
            chords.join(", ")
        };
        out.push(format!("bar {}: {text}", bar + 1));
    }

    out.join(". ")
}
