//! One section of a script.

use super::{Scope, count, ear, hands, marks, seconds};
use crate::exam::script::{Kind, PanelSection, Section, SpellCell, SpellSection};
use crate::exam::table::{Table, Within};
use crate::theory::quality::Quality;
use crate::time::Time;

/// The kinds, as words of the script.
#[derive(Clone, Copy)]
enum Word {
    Voicing,
    Run,
    Ear,
    Spell,
    Panel,
    Rest,
}

pub(super) fn read(table: Table<'_>, scope: &Scope<'_>) -> Option<Section> {
    let id = table.required_text("id");
    let title = table.required_text("title");
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
    let is_rest = matches!(word.as_ref().map(|word| word.value), Some(Word::Rest));
    let points = if is_rest {
        None
    } else {
        let _ = table.required_value("points");
        marks(&table, "points")
    };
    let hurdle = marks(&table, "hurdle");
    let gap = seconds(&table, "gap", 0.0, 60.0).map_or(Time::from_ms(2000), |gap| gap.value);
    let kind = match word.map(|word| word.value) {
        Some(Word::Voicing) => hands::voicing(&table, scope).map(Kind::Voicing),
        Some(Word::Run) => hands::run(&table, scope).map(Kind::Run),
        Some(Word::Ear) => ear::read(&table, scope).map(Kind::Ear),
        Some(Word::Spell) => spell(&table, scope).map(Kind::Spell),
        Some(Word::Panel) => panel(&table).map(Kind::Panel),
        Some(Word::Rest) => {
            let _ = table.required_value("seconds");
            seconds(&table, "seconds", 1.0, 3600.0).map(|length| Kind::Rest {
                length: length.value,
            })
        }
        // Of an unknown kind every key is unknown: the one fault is enough.
        None => {
            drop(table.entries());
            return None;
        }
    };
    if let (Some(points), Some(hurdle)) = (&points, &hurdle)
        && hurdle.value > points.value
    {
        scope.out.fault(
            hurdle.span.clone(),
            "the hurdle is higher than the section's points",
            Some("nobody could pass; lower the hurdle or raise the points".to_owned()),
        );
    }
    table.finish();

    Some(Section {
        id: id?.value.to_owned(),
        title: title?.value.to_owned(),
        points: points.map_or(0, |points| points.value),
        hurdle: hurdle.map(|hurdle| hurdle.value),
        gap,
        kind: kind?,
    })
}

fn spell(table: &Table<'_>, scope: &Scope<'_>) -> Option<SpellSection> {
    let limit = table
        .required_number("seconds", Within::from(1.0..=600.0).of("seconds"))
        .map(|limit| Time::from_seconds(limit.value));
    let mut cells = Vec::new();
    let mut whole = true;

    for cell in table.required_array_of_tables("cells") {
        let of = spell_cell(&cell, scope);
        cell.finish();
        whole &= of.is_some();
        cells.extend(of);
    }

    whole.then_some(SpellSection {
        limit: limit?,
        cells,
    })
}

fn spell_cell(cell: &Table<'_>, scope: &Scope<'_>) -> Option<SpellCell> {
    let _ = cell.required_value("count");
    let n = count(cell, "count", 200);
    let quality = cell.required_parsed("quality", super::quality);
    let named = cell.has("roots");
    let roots = if named {
        let texts = cell.texts("roots")?;
        scope.names(&texts.value)
    } else {
        scope.roots(cell).map(|classes| {
            let quality = quality
                .as_ref()
                .map_or(Quality::MAJOR, |quality| quality.value);
            classes
                .into_iter()
                .map(|class| quality.printed_root(class))
                .collect()
        })
    };
    let quality = quality?;
    if quality.value.is_altered() {
        scope.out.fault(
            quality.span,
            "an altered dominant has no single set of notes to spell",
            Some("ask for a chord such as `7b9b13`".to_owned()),
        );
        return None;
    }

    Some(SpellCell {
        count: n?.value,
        quality: quality.value,
        roots: roots?,
    })
}

fn panel(table: &Table<'_>) -> Option<PanelSection> {
    let criteria = table.required_texts("criteria")?;
    if criteria.value.is_empty() {
        table.fault(
            criteria.span,
            "a panel section needs at least one criterion",
            Some("write for example `criteria = [\"Feel\", \"Sound\"]`".to_owned()),
        );
        return None;
    }

    Some(PanelSection {
        criteria: criteria
            .value
            .iter()
            .map(|text| text.value.to_owned())
            .collect(),
    })
}
