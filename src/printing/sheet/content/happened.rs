//! Incidents with their clock time, and what people set otherwise than the program.

use super::{Happened, Source};
use crate::fraction::Fraction;
use crate::printing::sheet::words::happened::{self as say, Replaced};
use crate::printing::words::{Moment, moment};
use crate::sitting::Incident;
use crate::time::Time;

pub(super) fn incidents(source: &Source<'_>) -> Vec<Happened> {
    let all = source.sitting.incidents();
    let start = Moment::read(&source.given.started);
    // Which voided showings have been told of.
    let mut told: Vec<usize> = Vec::new();
    let mut said: Vec<Happened> = Vec::new();

    for (place, incident) in all.iter().enumerate() {
        let item = incident.item.map(|number| source.id_of(number));
        let item = item.as_deref();
        let text = match incident.kind.as_str() {
            // What they say stands with the clock's stop and the voided item.
            "clock started" | "no spare item left" => continue,
            "clock stopped" => {
                let stood = all[place..]
                    .iter()
                    .find(|later| later.kind == "clock started")
                    .map(|later| later.at - incident.at);
                let replaced = voided(source, incident, &mut told);
                // Between items nothing is interrupted, so no item is named.
                let item = item.filter(|_| replaced.is_some());
                with(say::clock_stopped(item, &incident.text, stood), replaced)
            }
            "voided" => with(
                say::voided(item, &incident.text, &incident.by),
                voided(source, incident, &mut told),
            ),
            kind => say::noted(item, (kind, &incident.text), &incident.by),
        };
        said.push(Happened {
            when: clock(start, incident.at),
            text,
        });
    }

    said
}

fn with(text: String, replaced: Option<Replaced>) -> String {
    match replaced {
        Some(replaced) => format!("{text} {}", say::replaced(&replaced)),
        None => text,
    }
}

/// The clock at a moment of the sitting; where its start is no time, how far into it.
fn clock(start: Option<Moment>, at: Time) -> String {
    start.map_or_else(
        || {
            let seconds = at.tenths() / 10_000;
            format!("+{}:{:02}", seconds / 60, seconds % 60)
        },
        |start| start.later(at).clock(),
    )
}

/// What came in the place of the item that an incident voided, if it voided one.
fn voided(source: &Source<'_>, incident: &Incident, told: &mut Vec<usize>) -> Option<Replaced> {
    let showings = source.sitting.showings();
    let (place, showing) = showings
        .iter()
        .enumerate()
        .rev()
        .find(|(_, showing)| showing.shown <= incident.at && Some(showing.number) == incident.item)
        .filter(|(place, showing)| showing.voided.is_some() && !told.contains(place))?;
    if showing.voided.as_deref() != Some(incident.text.as_str()) {
        return None;
    }
    told.push(place);

    Some(match showings.get(place + 1) {
        Some(next) if next.number == showing.number => Replaced::Again,
        Some(next) => Replaced::Reserve(source.id_of(next.number)),
        None => Replaced::None,
    })
}

pub(super) fn overruled(source: &Source<'_>) -> Vec<Happened> {
    source
        .sitting
        .overrules()
        .iter()
        .map(|overrule| {
            let was = overrule.was.map(|was| {
                (was * Fraction::from_integer(4))
                    .floor()
                    .to_integer()
                    .clamp(0, 4) as u8
            });
            Happened {
                when: moment(&overrule.at),
                text: say::overruled(
                    &source.id_of(overrule.item),
                    (was, overrule.level),
                    &overrule.by,
                    &overrule.reason,
                ),
            }
        })
        .collect()
}
