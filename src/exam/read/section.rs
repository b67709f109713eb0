//! One section of a script.

use super::scope::Scope;
use super::{each, ear, filled, marks, run, seconds, spell, voicing};
use crate::exam::check::pool::Supply;
use crate::exam::check::{self, Part};
use crate::exam::script::{Kind, PanelSection, Section};
use crate::exam::table::Table;
use crate::time::Time;

/// The kinds, as words of the script.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Word {
    Voicing,
    Run,
    Ear,
    Spell,
    Panel,
    Rest,
}

/// The most items of a section: more than two hours of sounds.
const ITEMS: u32 = 1_000;

/// What a section asks, and whether its cells have enough to draw from, as far as counting tells.
pub(super) struct Content {
    pub(super) kind: Kind,
    pub(super) supply: Supply,
}

pub(super) fn read(table: Table<'_>, scope: &Scope<'_>) -> Part {
    let place = table.span();
    let id = filled(&table, "id");
    let title = filled(&table, "title");
    let word = table.required_choice(
        "kind",
        &[
            ("voicing", Word::Voicing),
            ("run", Word::Run),
            ("ear", Word::Ear),
            ("spell", Word::Spell),
            ("panel", Word::Panel),
            ("rest", Word::Rest),
        ],
    );
    let word = word.map(|word| word.value);
    let (points, hurdle, gap) = match word {
        Some(Word::Rest) => {
            for value in ["points", "hurdle", "gap"]
                .iter()
                .filter_map(|key| table.value(key))
            {
                value.fault(
                    format!("a rest has no {}", value.name()),
                    Some("leave it out, or choose another `kind`".to_owned()),
                );
            }
            (None, None, None)
        }
        _ => {
            let _ = table.required_value("points");
            (
                marks(&table, "points"),
                marks(&table, "hurdle"),
                seconds(&table, "gap", 0.0, 60.0),
            )
        }
    };
    let each = match word {
        Some(Word::Ear) => each::read(&table),
        _ => None,
    };
    let ask = match word {
        Some(Word::Ear) => table.value("ask").map(|value| value.span()),
        _ => None,
    };
    let seen = table.is_whole() && word.is_some();
    let content = match word {
        Some(Word::Voicing) => voicing::read(&table, scope),
        Some(Word::Run) => run::read(&table, scope),
        Some(Word::Ear) => ear::read(&table, scope),
        Some(Word::Spell) => spell::read(&table, scope),
        Some(Word::Panel) => panel(&table),
        Some(Word::Rest) => rest(&table),
        None => None,
    };
    match word {
        Some(_) => table.finish(),
        // Of an unknown kind every key would be unknown: the one fault is enough.
        None => drop(table.entries()),
    }
    let mut supply = content
        .as_ref()
        .map_or(Supply::Short, |content| content.supply);
    let section = content.and_then(|content| {
        Some(Section {
            id: id.as_ref()?.value.to_owned(),
            title: title?.value.to_owned(),
            points: match word {
                Some(Word::Rest) => 0,
                _ => points.as_ref()?.value,
            },
            hurdle: hurdle.as_ref().map(|hurdle| hurdle.value),
            each: each.as_ref().map(each::Read::plain),
            gap: gap.map_or(Time::from_ms(2000), |gap| gap.value),
            kind: content.kind,
        })
    });

    if let Some(items) = section.as_ref().map(check::count)
        && items > ITEMS
    {
        scope.out.fault(
            place.clone(),
            format!("expected at most {ITEMS} items in a section, found {items}"),
            Some("lower the counts, or divide it".to_owned()),
        );
        supply = Supply::Short;
    }

    Part {
        place,
        id: id.map(|id| id.map(str::to_owned)),
        points,
        hurdle,
        each,
        ask,
        is_rest: word == Some(Word::Rest),
        section,
        supply,
        seen,
    }
}

fn rest(table: &Table<'_>) -> Option<Content> {
    let _ = table.required_value("seconds");

    seconds(table, "seconds", 1.0, 3600.0).map(|length| Content {
        kind: Kind::Rest {
            length: length.value,
        },
        supply: Supply::Ample,
    })
}

fn panel(table: &Table<'_>) -> Option<Content> {
    let criteria = table.required_texts("criteria")?;
    let mut whole = true;

    if criteria.value.is_empty() {
        table.fault(
            criteria.span,
            "`criteria` is empty",
            Some("write at least one: `criteria = [\"Feel\", \"Sound\"]`".to_owned()),
        );
        return None;
    }
    for (i, text) in criteria.value.iter().enumerate() {
        whole &= super::one_line(table, "criteria", text.clone()).is_some();
        if criteria.value[..i]
            .iter()
            .any(|other| other.value == text.value)
        {
            table.fault(
                text.span.clone(),
                "this criterion is listed twice",
                Some("the section's points are shared by its criteria".to_owned()),
            );
            whole = false;
        }
    }

    whole.then(|| Content {
        kind: Kind::Panel(PanelSection {
            criteria: criteria
                .value
                .iter()
                .map(|text| text.value.to_owned())
                .collect(),
        }),
        supply: Supply::Ample,
    })
}
