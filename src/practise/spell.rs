//! Chords to be spelled again.

use super::choose::{Covered, Entry, Place, Strand, Why};
use crate::exam::chance::Chance;
use crate::exam::script::SpellSection;
use crate::theory::{Chord, symbol};

pub(super) fn strands(
    place: &Place<'_>,
    section: &SpellSection,
    covered: &mut Covered,
    chance: &mut Chance,
    out: &mut Vec<Strand>,
) {
    let evidence = place.evidence;
    let style = place.source().exam.style;
    let mut entries = Vec::new();

    for (at, cell) in section.cells.iter().enumerate() {
        let seconds = place.seconds(at);
        for name in &cell.roots {
            let root = name.class();
            if !covered.is_new(place.at, format!("spell {:?} {root}", cell.quality)) {
                continue;
            }
            let is_seen = evidence.spelt.has(&cell.quality, &root);
            let need = evidence.spelt.need(&cell.quality, &root, &());
            entries.push(Entry {
                cell: at,
                root: Some((root, name.ascii())),
                twin: Some((symbol::ascii_quality(cell.quality), root)),
                name: symbol::print(Chord::new(*name, cell.quality), style),
                need: place.need(need, root, is_seen),
                exposure: f64::from(cell.count) / cell.roots.len().max(1) as f64,
                seconds,
                is_seen,
            });
        }
    }

    out.extend(
        place
            .strand(entries, Why::Spelt, chance)
            .map(|strand| Strand {
                items: (2, 16),
                ..strand
            }),
    );
}
