//! Sections of chords to be spelled.

use super::scope::Scope;
use super::section::Content;
use super::{cells, limit, quality, quality_name, required_count};
use crate::exam::check::pool;
use crate::exam::script::{Kind, SpellCell, SpellSection};
use crate::exam::table::{Spanned, Table};
use crate::theory::quality::Quality;
use crate::theory::{Chord, Name, symbol};

pub(super) fn read(table: &Table<'_>, scope: &Scope<'_>) -> Option<Content> {
    let limit = limit(table, 1.0);
    let usual = tones(table);
    let mut kinds = Vec::new();
    let mut read = Vec::new();
    let mut slots = Vec::new();
    let mut whole = true;

    for cell in cells(
        table,
        "`cells = [{ count = 2, quality = \"7\", roots = [\"Ab\", \"Db\"] }]`",
    ) {
        let of = spell_cell(&cell, usual.as_deref(), scope, &mut kinds);
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
    usual: Option<&[Spanned<u8>]>,
    scope: &Scope<'_>,
    kinds: &mut Vec<Quality>,
) -> Option<(SpellCell, pool::Slot)> {
    let count = required_count(cell);
    let quality = cell.required_parsed("quality", quality);
    let roots = scope.roots(cell);
    let own = cell.has("tones").then(|| tones(cell));

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
    // Tones that are at fault have been told.
    let asked = match own {
        Some(own) => own?,
        None => usual?.to_vec(),
    };
    for tone in &asked {
        let number = tone.value;
        if !quality.value.degrees().any(|of| of.number() == number) {
            scope.out.fault(
                if cell.has("tones") {
                    tone.span.clone()
                } else {
                    quality.span.clone()
                },
                format!(
                    "`{}` has no tone {number} to spell",
                    quality_name(quality.value)
                ),
                Some("name its own tones in the cell, such as `tones = [4, 7]`".to_owned()),
            );
            whole = false;
        }
    }
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
                tones: asked.iter().map(|tone| tone.value).collect(),
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

/// Reads `tones`: the numbers of the chord tones that are asked, 2 to 13, each once; default all. A
/// section's holds for its cells where they do not say. The root is printed, and free as ever.
/// Nothing where it is at fault; empty where all are asked.
fn tones(table: &Table<'_>) -> Option<Vec<Spanned<u8>>> {
    let Some(value) = table.value("tones") else {
        return Some(Vec::new());
    };
    let list = value.list()?;
    let mut tones: Vec<Spanned<u8>> = Vec::new();
    let mut whole = !list.value.is_empty();

    if list.value.is_empty() {
        table.fault(
            list.span,
            "`tones` is empty",
            Some("write for example `tones = [3, 7]`, or leave it out for all".to_owned()),
        );
    }
    for value in list.value {
        let Some(number) = value.integer(2..=13) else {
            whole = false;
            continue;
        };
        let number = number.map(|number| number as u8);
        if tones.iter().any(|other| other.value == number.value) {
            table.fault(
                number.span,
                "this tone is listed twice",
                Some("write each once".to_owned()),
            );
            whole = false;
        } else {
            tones.push(number);
        }
    }
    tones.sort_by_key(|tone| tone.value);

    whole.then_some(tones)
}

/// Tells whether each tone of a chord can be written with two accidentals at most.
fn can_be_written(chord: Chord) -> bool {
    let tones = chord.tones();

    tones.len() == chord.quality.degrees().count()
        && tones.iter().all(|(_, name)| name.accidental().abs() <= 2)
}
