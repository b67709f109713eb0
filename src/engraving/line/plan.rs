//! How a line is broken into systems, and how large its symbols are.

use crate::theory::progression::Placed;

use super::super::cluster::Cluster;
use super::super::grand;
use super::super::measure::{BETWEEN_STAVES, STAFF};
use super::super::staff::Clef;
use super::super::symbol::{self, Setting};
use super::start::prefix;
use super::{BEFORE_BEAT, Line, WORDS};

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

/// What holds for all systems.
pub(super) struct Plan {
    /// Each chord's notes, where the line has notes.
    pub(super) clusters: Vec<grand::Clusters>,
    /// Where the first bar of a system starts.
    pub(super) prefix: f32,
    /// Where the first beat of a bar stands in it.
    pub(super) before: f32,
    pub(super) bars_a_system: usize,
    pub(super) bar: f32,
    pub(super) symbol: f32,
    /// The baseline of the symbols from the top line.
    pub(super) symbol_y: f32,
    pub(super) between: f32,
    /// From one system's top line to the next one's.
    pub(super) height: f32,
    /// From the bottom line to the rule that shows the current bar.
    pub(super) rule: f32,
}

impl Plan {
    pub(super) fn of(line: &Line<'_>) -> Self {
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
    pub(super) fn room(&self) -> f32 {
        self.bar - self.before - AFTER_BEAT
    }

    /// Returns where a chord stands in its bar.
    pub(super) fn beat(&self, placed: Placed) -> f32 {
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
