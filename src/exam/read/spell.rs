//! Sections of chords to be spelled.

use super::scope::Scope;
use super::section::Content;
use super::{cells, limit, quality, quality_name, required_count};
use crate::exam::check::pool;
use crate::exam::script::{Kind, SpellCell, SpellSection};
use crate::exam::table::Table;
use crate::theory::quality::Quality;
use crate::theory::{Chord, Name, symbol};

pub(super) fn read(table: &Table<'_>, scope: &Scope<'_>) -> Option<Content> {
    let limit = limit(table, 1.0);
    let mut kinds = Vec::new();
    let mut read = Vec::new();
    let mut slots = Vec::new();
    let mut whole = true;

    for cell in cells(
        table,
        "`cells = [{ count = 2, quality = \"7\", roots = [\"Ab\", \"Db\"] }]`",
    ) {
        let of = spell_cell(&cell, scope, &mut kinds);
        cell.finish();
        match of {
            Some((cell, slot)) => {
                read.push(cell);
                slots.push(slot);
            }
            None => whole = false,
        }
    }
    let pool = pool::Pool {
        cells: &slots,
        whole,
        shuffle: true,
        once: true,
        each_root: None,
        seats: &scope.seats,
    };
    let supply = pool.check(scope.out);
    if !whole || read.is_empty() {
        return None;
    }

    Some(Content {
        kind: Kind::Spell(SpellSection {
            limit: limit?,
            cells: read,
        }),
        supply,
    })
}

fn spell_cell(
    cell: &Table<'_>,
    scope: &Scope<'_>,
    kinds: &mut Vec<Quality>,
) -> Option<(SpellCell, pool::Slot)> {
    let count = required_count(cell);
    let quality = cell.required_parsed("quality", quality);
    let roots = scope.roots(cell);

    let quality = quality?;
    if quality.value.is_altered() {
        scope.out.fault(
            quality.span,
            "an altered dominant has no single set of notes to spell",
            Some("ask for a chord such as `7b9b13`".to_owned()),
        );
        return None;
    }
    let roots = roots?;
    let mut whole = true;
    let names: Vec<Name> = match &roots.names {
        Some(names) => {
            for name in names {
                let chord = Chord::new(name.value, quality.value);
                if !can_be_written(chord) {
                    scope.out.fault(
                        name.span.clone(),
                        format!(
                            "{} takes a triple accidental, which nobody writes",
                            symbol::print(chord, symbol::Style::DEFAULT)
                        ),
                        Some("write the root by its other name, or leave it out".to_owned()),
                    );
                    whole = false;
                }
            }
            names.iter().map(|name| name.value).collect()
        }
        None => roots
            .classes
            .iter()
            .map(|class| quality.value.printed_root(*class))
            .collect(),
    };
    let count = count?;
    let kind = pool::number(kinds, quality.value);

    whole.then(|| {
        (
            SpellCell {
                count: count.value,
                quality: quality.value,
                roots: names,
            },
            pool::Slot {
                place: roots.place.unwrap_or_else(|| count.span.clone()),
                count,
                roots: roots.classes,
                kind,
                content: kind,
                variants: 1,
                what: format!("chords `{}`", quality_name(quality.value)),
            },
        )
    })
}

/// Tells whether each tone of a chord can be written with two accidentals at most.
fn can_be_written(chord: Chord) -> bool {
    let tones = chord.tones();

    tones.len() == chord.quality.degrees().count()
        && tones.iter().all(|(_, name)| name.accidental().abs() <= 2)
}
