//! Sections that are played: single voicings and runs.

use super::{Scope, count, seconds};
use crate::exam::script::{
    Line, Pace, RunCell, RunSection, Start, VoicingCell, VoicingSection, Weights,
};
use crate::exam::table::{Spanned, Table, Within};
use crate::theory::voicing::form::Form;
use crate::time::Time;

/// The grace, in hundredths of the limit: 2 by default, 1 for a strict exam.
const GRACE: u32 = 200;

pub(super) fn voicing(table: &Table<'_>, scope: &Scope<'_>) -> Option<VoicingSection> {
    // No isolated prompt can fairly ask for less than two seconds.
    let limit = table
        .required_number("seconds", Within::from(2.0..=600.0).of("seconds"))
        .map(|limit| Time::from_seconds(limit.value));
    let grace = table
        .number("grace", Within::from(1.0..=10.0).of("times the limit"))
        .map_or(GRACE, |grace| (grace.value * 100.0).round() as u32);
    let pedal = table.boolean("pedal").is_some_and(|pedal| pedal.value);
    let each_root = table.integer("each_root", 1..=20);
    let form = table.text("form").and_then(|name| scope.form(&name));
    let mut cells = Vec::new();
    let mut whole = true;

    for cell in table.required_array_of_tables("cells") {
        let of = voicing_cell(&cell, scope, form.as_ref());
        cell.finish();
        whole &= of.is_some();
        cells.extend(of);
    }

    Some(VoicingSection {
        limit: limit?,
        grace,
        pedal,
        each_root: each_root.map(|times| times.value as u8),
        cells,
    })
    .filter(|_| whole)
}

fn voicing_cell(cell: &Table<'_>, scope: &Scope<'_>, usual: Option<&Form>) -> Option<VoicingCell> {
    let place = cell.span();
    let _ = cell.required_value("count");
    let n = count(cell, "count", 200);
    let quality = cell.required_parsed("quality", super::quality);
    let roots = scope.roots(cell);
    let form = form_of(cell, scope, usual);
    let order = cell.text("order");
    let form = form?;
    let order = order_of(&form, order.as_ref(), cell, scope)?;
    let quality = quality?;
    let roots = roots?;

    // Say at once where the form has no shape for the chord, or no hand can lie so.
    for class in &roots {
        let chord = crate::theory::Chord::new(quality.value.printed_root(*class), quality.value);
        let printed = crate::theory::symbol::print(chord, crate::theory::symbol::Style::DEFAULT);
        match form.voicing(chord, order) {
            Err(error) => {
                scope.out.fault(
                    quality.span,
                    format!("form `{}` cannot be asked on {printed}: {error}", form.name),
                    Some("choose another quality or another form".to_owned()),
                );
                return None;
            }
            Ok(voicing) => {
                let voicing = crate::theory::Voicing {
                    span: scope.rules.span,
                    ..voicing
                };
                if voicing.realise(chord.root.class()).is_none() {
                    scope.out.fault(
                        place,
                        format!(
                            "form `{}`, {}, has no place on {printed} inside its register and a hand span of {} semitones",
                            form.name, form.orders[order].name, scope.rules.span
                        ),
                        Some("widen `span` or the form's register, or leave this root out".to_owned()),
                    );
                    return None;
                }
            }
        }
    }

    Some(VoicingCell {
        count: n?.value,
        quality: quality.value,
        roots,
        form,
        order,
    })
}

/// The cell's own form, or the section's.
fn form_of(cell: &Table<'_>, scope: &Scope<'_>, usual: Option<&Form>) -> Option<Form> {
    if let Some(name) = cell.text("form") {
        return scope.form(&name);
    }
    if usual.is_none() {
        scope.out.fault(
            cell.span(),
            "no form of voicing is named",
            Some("write `form = \"guide-tones\"` in the section or in the cell".to_owned()),
        );
    }

    usual.cloned()
}

fn order_of(
    form: &Form,
    order: Option<&Spanned<&str>>,
    cell: &Table<'_>,
    scope: &Scope<'_>,
) -> Option<usize> {
    let names = || form.orders.iter().map(|order| order.name.as_str());

    match order {
        Some(name) => {
            let found = form.order(name.value);
            if found.is_none() {
                scope.unknown(&format!("order of `{}`", form.name), name, names());
            }
            found
        }
        None if form.orders.len() == 1 => Some(0),
        None => {
            let all: Vec<&str> = names().collect();
            scope.out.fault(
                cell.span(),
                format!("form `{}` has several orders and none is named", form.name),
                Some(format!("write `order = ` one of: {}", all.join(", "))),
            );
            None
        }
    }
}

pub(super) fn run(table: &Table<'_>, scope: &Scope<'_>) -> Option<RunSection> {
    let pedal = table.boolean("pedal").is_some_and(|pedal| pedal.value);
    let shuffle = table
        .boolean("shuffle")
        .is_some_and(|shuffle| shuffle.value);
    let weights = weights(table);
    let any = table
        .choice("voicing", &[("any", true), ("as-asked", false)])
        .is_some_and(|voicing| voicing.value);
    let form = table.text("form").and_then(|name| scope.form(&name));
    let pace = PaceKeys::read(table);
    let mut cells = Vec::new();
    let mut whole = true;

    for cell in table.required_array_of_tables("cells") {
        let of = run_cell(&cell, scope, form.as_ref(), any, &pace);
        cell.finish();
        whole &= of.is_some();
        cells.extend(of);
    }

    whole.then_some(RunSection {
        weights,
        pedal,
        shuffle,
        cells,
    })
}

fn weights(table: &Table<'_>) -> Weights {
    let mut weights = Weights::DEFAULT;
    let Some(own) = table.table("weights") else {
        return weights;
    };

    for (key, slot) in [
        ("harmony", &mut weights.harmony),
        ("voicing", &mut weights.voicing),
        ("leading", &mut weights.leading),
        ("readiness", &mut weights.readiness),
        ("time", &mut weights.time),
    ] {
        if let Some(weight) = own.integer(key, 0..=1000) {
            *slot = weight.value as u32;
        }
    }
    if weights.harmony == 0 {
        own.fault(
            own.span(),
            "harmony needs a weight: the other criteria are shares of it",
            Some("write `harmony = 40`".to_owned()),
        );
    }
    own.finish();

    weights
}

/// The keys that say how a run goes, in a cell or for its whole section.
#[derive(Clone, Default)]
struct PaceKeys {
    tempo: Option<Spanned<u32>>,
    bars_in: Option<u32>,
    look: Option<Time>,
    seconds: Option<Spanned<Time>>,
}

impl PaceKeys {
    fn read(table: &Table<'_>) -> Self {
        Self {
            tempo: table
                .number("tempo", Within::from(20.0..=400.0).of("beats a minute"))
                .map(|tempo| tempo.map(|tempo| (tempo * 100.0).round() as u32)),
            bars_in: count(table, "bars_in", 8).map(|bars| bars.value),
            look: seconds(table, "look", 0.0, 600.0).map(|look| look.value),
            seconds: seconds(table, "seconds", 0.5, 3600.0),
        }
    }

    /// The cell's keys, and the section's where the cell says nothing; the cell's pace rules.
    fn over(self, section: &Self) -> Self {
        let own_pace = self.tempo.is_some() || self.seconds.is_some();

        Self {
            tempo: self
                .tempo
                .or_else(|| section.tempo.clone().filter(|_| !own_pace)),
            bars_in: self.bars_in.or(section.bars_in),
            look: self.look.or(section.look),
            seconds: self
                .seconds
                .or_else(|| section.seconds.clone().filter(|_| !own_pace)),
        }
    }
}

fn run_cell(
    cell: &Table<'_>,
    scope: &Scope<'_>,
    usual: Option<&Form>,
    any: bool,
    section: &PaceKeys,
) -> Option<RunCell> {
    let place = cell.span();
    let n = count(cell, "count", 50);
    let line = line(cell, scope);
    let keys = scope.roots(cell);
    let form = if any {
        None
    } else {
        Some(form_of(cell, scope, usual)?)
    };
    let start = start(cell, form.as_ref(), scope);
    let own = PaceKeys::read(cell);
    let pace = pace(own.over(section), line.as_ref(), &place, scope);
    let (line, mut keys, pace) = (line?, keys?, pace?);
    let start = start?;

    // A line written in symbols stands in one key: one root is enough to name it.
    if let Line::Progression(progression) = &line
        && progression.is_fixed()
    {
        keys.truncate(1);
    }
    playable(&line, &keys, form.as_ref(), start, &place, scope)?;

    Some(RunCell {
        count: n.map_or(1, |n| n.value),
        line,
        keys,
        form,
        start,
        pace,
    })
}

fn line(cell: &Table<'_>, scope: &Scope<'_>) -> Option<Line> {
    let name = cell.required_text("progression")?;

    if name.value != "cycle-of-fourths" {
        return scope.progression(&name).map(Line::Progression);
    }

    let quality = cell.required_parsed("quality", super::quality)?;
    let chords = cell.integer("chords", 2..=48);

    Some(Line::Cycle {
        quality: quality.value,
        chords: chords.map_or(12, |chords| chords.value as u32),
    })
}

fn start(cell: &Table<'_>, form: Option<&Form>, scope: &Scope<'_>) -> Option<Start> {
    let name = cell.text("start");

    match (name, form) {
        (None, _) | (_, None) => Some(Start::Drawn),
        (Some(name), _) if name.value == "drawn" => Some(Start::Drawn),
        (Some(name), _) if name.value == "open" => Some(Start::Open),
        (Some(name), Some(form)) => {
            let found = form.order(name.value);
            if found.is_none() {
                let names = form
                    .orders
                    .iter()
                    .map(|order| order.name.as_str())
                    .chain(["drawn", "open"]);
                scope.unknown("start of a line", &name, names);
            }
            found.map(Start::Order)
        }
    }
}

fn pace(
    keys: PaceKeys,
    line: Option<&Line>,
    place: &super::Place,
    scope: &Scope<'_>,
) -> Option<Pace> {
    let look = keys.look.unwrap_or(Time::ZERO);

    let Some(tempo) = keys.tempo else {
        let Some(limit) = keys.seconds else {
            scope.out.fault(
                place.clone(),
                "a run needs `tempo` (in tempo) or `seconds` (for each chord, in the candidate's own time)",
                Some("write for example `tempo = 80` or `seconds = 6`".to_owned()),
            );
            return None;
        };
        return Some(Pace::Free {
            limit: limit.value,
            look,
        });
    };
    let bars_in = keys.bars_in.unwrap_or(2);

    if let Some(line) = line {
        let placed = crate::exam::item::line(line, 0);
        let beat = 60.0 / (f64::from(tempo.value) / 100.0);
        let shortest = placed
            .iter()
            .map(|chord| chord.twelfths)
            .min()
            .unwrap_or(12);
        let a_chord = f64::from(shortest) / 3.0 * beat;
        if a_chord < 0.5 {
            scope.out.fault(
                tempo.span.clone(),
                format!("a chord lasts {a_chord:.2} s at this tempo, which nobody can play"),
                Some("lower the tempo, or write fewer chords to the bar".to_owned()),
            );
        } else if a_chord < 1.0 {
            scope.out.warning(
                tempo.span.clone(),
                format!("a chord lasts {a_chord:.2} s at this tempo"),
                Some("one chord a bar at 200 beats a minute lasts 1.2 s".to_owned()),
            );
        }
        if let Some(limit) = &keys.seconds {
            let twelfths = placed
                .last()
                .map_or(12, |last| last.at_twelfths + last.twelfths);
            let needed =
                look.as_seconds() + (f64::from(twelfths) / 3.0 + f64::from(bars_in) * 4.0) * beat;
            if limit.value.as_seconds() < needed {
                scope.out.fault(
                    limit.span.clone(),
                    format!(
                        "the time is too short for the tempo: look, count-in and {} chords need {needed:.1} s",
                        placed.len()
                    ),
                    Some("leave `seconds` out, or raise the tempo".to_owned()),
                );
            }
        }
    }

    Some(Pace::Tempo {
        tempo: tempo.value,
        bars_in,
        look,
    })
}

/// Tells whether the line has a smooth way through it in every key.
fn playable(
    line: &Line,
    keys: &[u8],
    form: Option<&Form>,
    start: Start,
    place: &super::Place,
    scope: &Scope<'_>,
) -> Option<()> {
    let Some(form) = form else {
        return Some(());
    };
    let starts = match start {
        Start::Order(order) => order..order + 1,
        Start::Drawn | Start::Open => 0..form.orders.len().min(2),
    };

    for key in keys {
        let placed = crate::exam::item::line(line, *key);
        for chord in &placed {
            if let Err(error) = form.voicing(chord.chord, starts.start) {
                let printed = crate::theory::symbol::print(
                    chord.chord,
                    crate::theory::symbol::Style::DEFAULT,
                );
                scope.out.fault(
                    place.clone(),
                    format!("form `{}` cannot be asked on {printed}: {error}", form.name),
                    Some("choose another progression or another form".to_owned()),
                );
                return None;
            }
        }
        for order in starts.clone() {
            let voicings = crate::exam::item::voiced(form, &placed, order, scope.rules.span);
            let chords: Vec<_> = placed
                .iter()
                .zip(&voicings)
                .map(|(placed, voicing)| (placed.chord.root.class(), voicing))
                .collect();
            if crate::theory::leading::line(&chords).is_none() {
                scope.out.fault(
                    place.clone(),
                    format!(
                        "form `{}`, starting with the {}, runs off the keyboard or out of the hands",
                        form.name, form.orders[order].name
                    ),
                    Some("ask for fewer chords, another start or a wider register".to_owned()),
                );
                return None;
            }
        }
    }

    Some(())
}
