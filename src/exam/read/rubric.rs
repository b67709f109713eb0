//! The figures of the marking rules that a script changes.

use crate::exam::script::Rubric;
use crate::exam::table::{Table, Within};
use crate::time::Time;

/// Reads `[rubric]`: each figure is that of the marking rules unless the script says otherwise.
pub(super) fn read(root: &Table<'_>) -> Rubric {
    let mut rubric = Rubric::DEFAULT;
    let Some(table) = root.table("rubric") else {
        return rubric;
    };

    for (key, slot) in [
        ("gather_ms", &mut rubric.gather),
        ("apart_ms", &mut rubric.apart),
        ("found_ms", &mut rubric.found),
        ("closing_ms", &mut rubric.closing),
        ("graze_ms", &mut rubric.graze_held),
        ("window_ms", &mut rubric.window),
        ("still_down_ms", &mut rubric.still_down),
    ] {
        if let Some(ms) = table.integer(key, Within::from(10..=10_000).of("milliseconds")) {
            *slot = Time::from_ms(ms.value);
        }
    }
    if let Some(velocity) = table.integer("graze_velocity", 1..=127) {
        rubric.graze_velocity = velocity.value as u8;
    }
    for (key, slot) in [
        ("leading", &mut rubric.leading),
        ("readiness", &mut rubric.readiness),
        ("time", &mut rubric.time),
    ] {
        if let Some(bounds) = bounds(&table, key) {
            *slot = bounds;
        }
    }
    table.finish();

    rubric
}

/// Reads the bounds of the steps 4, 3 and 2, in percent, each above the one before.
fn bounds(table: &Table<'_>, key: &'static str) -> Option<[u32; 3]> {
    let list = table.list(key)?;
    let place = list.span.clone();
    let percents: Vec<u32> = list
        .value
        .into_iter()
        .filter_map(|value| value.integer(Within::from(1..=1000).of("percent")))
        .map(|percent| percent.value as u32)
        .collect();

    match percents[..] {
        [best, good, fair] if best < good && good < fair => Some([best, good, fair]),
        _ => {
            table.fault(
                place,
                "expected three percents, each above the one before: the bounds of the steps 4, 3 and 2",
                Some(format!("write for example `{key} = [40, 60, 85]`")),
            );
            None
        }
    }
}
