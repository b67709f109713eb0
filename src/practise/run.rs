//! Lines to be played again, in the keys that need it.

use super::choose::{Covered, Entry, Place, Strand, Why};
use super::evidence::LineKey;
use crate::exam::chance::Chance;
use crate::exam::form::RunTask;
use crate::exam::script::{Line, RunCell, RunSection};
use crate::theory::{Chord, progression};

/// Runs of one section at most: hands need rest.
const MOST: usize = 8;
/// So long a section of runs may last at most, in seconds.
const LONGEST: f64 = 600.0;

/// Returns what tells a cell's line from others.
pub(super) fn line_key(cell: &RunCell) -> LineKey {
    (
        cell.line.clone(),
        cell.form.as_ref().map(|form| form.name.clone()),
        cell.pace,
    )
}

/// Tells whether a line stands in its own key, whatever is asked.
fn is_fixed(line: &Line) -> bool {
    match line {
        Line::Cycle { .. } | Line::AtRandom { .. } => false,
        Line::Progression(progression) => progression.is_fixed(),
    }
}

/// Returns the first chord of a line in a key, and the key's name as scripts write it.
fn begins(line: &Line, key: u8) -> (Option<Chord>, String) {
    let plain = crate::theory::Name::plain(key);

    match line {
        Line::Cycle { quality, .. } => {
            let placed = progression::cycle_of_fourths(*quality, key, 1);
            (placed.first().map(|placed| placed.chord), plain.ascii())
        }
        Line::AtRandom { quality, .. } => {
            let first = Chord::new(quality.printed_root(key), *quality);
            (Some(first), plain.ascii())
        }
        Line::Progression(progression) => {
            let tonic = progression.tonic(key);
            let placed = progression.in_key(tonic);
            (placed.first().map(|placed| placed.chord), tonic.ascii())
        }
    }
}

/// Finds the key that a run was played in.
pub(super) fn key_of(cell: &RunCell, task: &RunTask) -> Option<u8> {
    let first = task.chords.first()?.chord;

    cell.keys
        .iter()
        .copied()
        .find(|key| begins(&cell.line, *key).0 == Some(first))
        .or_else(|| cell.keys.first().copied())
}

pub(super) fn strands(
    place: &Place<'_>,
    section: &RunSection,
    covered: &mut Covered,
    chance: &mut Chance,
    out: &mut Vec<Strand>,
) {
    let evidence = place.evidence;
    let mut entries = Vec::new();
    let mut longest: f64 = 1.0;

    for (at, cell) in section.cells.iter().enumerate() {
        let key = line_key(cell);
        let seconds = place.seconds(at);
        let fixed = is_fixed(&cell.line);
        longest = longest.max(seconds);
        for root in &cell.keys {
            let (_, written) = begins(&cell.line, *root);
            // A line that comes slower in practice is the same line.
            let what = format!("run {:?} {:?} {root} {:?}", key.0, key.1, cell.start);
            if !covered.is_new(place.at, what) {
                continue;
            }
            let is_seen = evidence.lines.has(&key, root);
            let need = evidence.lines.need(&key, root, &());
            entries.push(Entry {
                cell: at,
                root: (!fixed).then(|| (*root, written.clone())),
                twin: Some((format!("{key:?} {:?}", cell.start), *root)),
                name: match fixed {
                    true => cell.line.name().to_owned(),
                    false => format!(
                        "{} in {}",
                        cell.line.name(),
                        crate::theory::Name::parse(&written)
                            .map_or(written, |name| name.to_string())
                    ),
                },
                need: place.need(need, *root, is_seen),
                exposure: f64::from(cell.count) / cell.keys.len().max(1) as f64,
                seconds,
                is_seen,
            });
        }
    }

    let most = ((LONGEST / longest) as usize).clamp(1, MOST);
    out.extend(
        place
            .strand(entries, Why::Lines, chance)
            .map(|strand| Strand {
                items: (1, most),
                hands: true,
                ..strand
            }),
    );
}
