//! Sections of runs: progressions in tempo or free.

mod pace;

use super::scope::{Asked, Scope, Usual, Way};
use super::section::Content;
use super::voicing::no_place;
use super::{cells, count, quality};
use crate::exam::check::pool;
use crate::exam::item;
use crate::exam::script::{Kind, Line, Pace, RunCell, RunSection, Start, Weights};
use crate::exam::table::{Spanned, Table, clip};
use crate::theory::quality::Quality;
use crate::theory::{Chord, Voicing, symbol};

pub(super) fn read(table: &Table<'_>, scope: &Scope<'_>) -> Option<Content> {
    let pedal = table.boolean("pedal").is_some_and(|pedal| pedal.value);
    let shuffle = table
        .boolean("shuffle")
        .is_some_and(|shuffle| shuffle.value);
    let weights = weights(table);
    let any = table.choice("voicing", &[("any", true), ("as-asked", false)]);
    let asks = Asks {
        any: any.as_ref().is_some_and(|any| any.value),
        // A misspelt word leaves open whether a form is to be named.
        told: table.has("voicing") && any.is_none(),
        usual: Usual::read(table, scope),
        pace: pace::Keys::read(table),
    };
    asks.none_beside_any(table);
    let mut numbers = Numbers::default();
    let mut read = Vec::new();
    let mut slots = Vec::new();
    let mut whole = true;

    for cell in cells(
        table,
        "`cells = [{ progression = \"ii-V-I\", group = \"I\" }]`",
    ) {
        let of = run_cell(&cell, scope, &asks, &mut numbers);
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
        shuffle,
        once: true,
        each_root: None,
        seats: &scope.seats,
    };
    let supply = pool.check(scope.out);
    if !whole || read.is_empty() {
        return None;
    }

    Some(Content {
        kind: Kind::Run(RunSection {
            weights: weights?,
            pedal,
            shuffle,
            cells: read,
        }),
        supply,
    })
}

fn weights(table: &Table<'_>) -> Option<Weights> {
    let mut weights = Weights::DEFAULT;
    if !table.has("weights") {
        return Some(weights);
    }
    let own = table.table("weights")?;
    let mut whole = true;

    for (key, slot) in [
        ("harmony", &mut weights.harmony),
        ("voicing", &mut weights.voicing),
        ("leading", &mut weights.leading),
        ("readiness", &mut weights.readiness),
        ("time", &mut weights.time),
    ] {
        if own.has(key) {
            let least = i64::from(key == "harmony");
            match own.integer(key, least..=1000) {
                Some(weight) => *slot = weight.value as u32,
                None => whole = false,
            }
        }
    }
    own.finish();

    whole.then_some(weights)
}

/// What a section says for all its cells.
struct Asks {
    /// Whether any voicing with third and seventh will do.
    any: bool,
    /// Whether what is asked could not be read, and has been told.
    told: bool,
    usual: Usual,
    pace: pace::Keys,
}

impl Asks {
    /// Tells of keys that make no sense where any voicing will do.
    fn none_beside_any(&self, table: &Table<'_>) {
        if !self.any {
            return;
        }
        for value in ["form", "start"].iter().filter_map(|key| table.value(key)) {
            value.fault(
                format!(
                    "{} asks for a certain voicing, and `voicing = \"any\"` does not",
                    value.name()
                ),
                Some("leave one of them out".to_owned()),
            );
        }
    }
}

/// What the cells of a section have in common.
#[derive(Default)]
struct Numbers {
    kinds: Vec<(Line, Pace, Start)>,
    /// Kind and form.
    contents: Vec<(usize, Option<usize>)>,
}

fn run_cell(
    cell: &Table<'_>,
    scope: &Scope<'_>,
    asks: &Asks,
    numbers: &mut Numbers,
) -> Option<(RunCell, pool::Slot)> {
    let n = count(cell, "count", 50);
    let faulty_count = cell.has("count") && n.is_none();
    let line = line(cell, scope);
    let roots = scope.roots(cell);
    asks.none_beside_any(cell);
    if let Some(order) = cell.value("order") {
        order.fault(
            "a line goes on in the nearest order, and only its start can be asked for",
            Some("write `start` for `order`".to_owned()),
        );
    }
    let form = if asks.any || asks.told {
        // Known keys all the same, and the form is not to be told as never used.
        let _ = cell.has("start");
        let _ = cell.text("form").and_then(|name| scope.form(&name));
        None
    } else {
        Some(asks.usual.of_cell(cell, scope))
    };
    let start = match &form {
        Some(asked) => start(cell, asked.as_ref(), scope),
        None => Some(Start::Drawn),
    };
    let own = pace::Keys::read(cell);
    if let (Some(bars_in), None, Some(_)) = (&own.bars_in, &own.tempo, &own.seconds) {
        scope.out.warning(
            bars_in.span.clone(),
            "a run in the candidate's own time is not counted in",
            Some("leave `bars_in` out, or write `tempo`".to_owned()),
        );
    }
    let pace = pace::pace(own.over(&asks.pace), line.as_ref(), cell, scope);
    let (line, mut roots) = (line?, roots?);

    // A line written in symbols stands in one key: one root is enough to name it.
    if let Line::Progression(progression) = &line.value
        && progression.is_fixed()
    {
        if let Some(place) = roots.place.take() {
            scope.out.warning(
                place,
                format!(
                    "progression `{}` is written in symbols and stands in its own key",
                    clip(&progression.name)
                ),
                Some("leave the keys out here, or write it in numerals".to_owned()),
            );
        }
        roots.classes.truncate(1);
    }
    let form = match form {
        None => None,
        Some(asked) => {
            let asked = asked?;
            playable(&line, &roots.classes, &asked, start?, scope)?;
            Some(asked)
        }
    };
    let (start, (pace, with_bass)) = (start?, pace?);
    if faulty_count {
        return None;
    }
    let name = line.value.name();
    let count = n.unwrap_or_else(|| Spanned::new(1, line.span.clone()));
    let form_id = form.as_ref().map(|asked| asked.id);
    let kind = pool::number(&mut numbers.kinds, (line.value.clone(), pace, start));
    let variants = match (start, &form) {
        (Start::Drawn, Some(asked)) => asked.form.orders.len().min(2) as u32,
        _ => 1,
    };
    let slot = pool::Slot {
        place: roots.place.unwrap_or_else(|| line.span.clone()),
        count: count.clone(),
        roots: roots.classes.clone(),
        kind,
        content: pool::number(&mut numbers.contents, (kind, form_id)),
        variants,
        what: format!("runs of `{}`", clip(name)),
    };

    Some((
        RunCell {
            count: count.value,
            line: line.value,
            keys: roots.classes,
            form: form.map(|asked| asked.form),
            start,
            pace,
            with_bass,
        },
        slot,
    ))
}

/// Reads what is played, at the place of its name.
fn line(cell: &Table<'_>, scope: &Scope<'_>) -> Option<Spanned<Line>> {
    let name = cell.required_text("progression");
    let Some(name) = name else {
        // Its other keys are known, whatever it is.
        let _ = (cell.has("quality"), cell.has("chords"));
        return None;
    };

    // A script may have had one of that name before there was one for all.
    let is_at_random = name.value == "at-random" && !scope.own.progressions.has(name.value);
    if name.value != "cycle-of-fourths" && !is_at_random {
        let progression = scope.progression(&name, true)?;
        for value in ["quality", "chords"]
            .iter()
            .filter_map(|key| cell.value(key))
        {
            value.fault(
                format!(
                    "progression `{}` has its own chords, {} is for `cycle-of-fourths`",
                    clip(&progression.name),
                    value.name()
                ),
                Some("leave it out".to_owned()),
            );
        }
        return Some(Spanned::new(Line::Progression(progression), name.span));
    }

    let quality = cell.required_parsed("quality", quality);
    if is_at_random {
        if let Some(chords) = cell.value("chords") {
            chords.fault(
                "a line at random has all twelve roots, each once",
                Some("leave `chords` out".to_owned()),
            );
        }
        let quality = quality?;
        let line = Line::AtRandom {
            quality: quality.value,
            roots: Vec::new(),
        };
        return Some(Spanned::new(line, quality.span));
    }
    let faulty = cell.has("chords");
    let chords = cell.integer("chords", 2..=48);
    let faulty = faulty && chords.is_none();
    let quality = quality.filter(|_| !faulty)?;

    // What hinders a form is the quality.
    Some(Spanned::new(
        Line::Cycle {
            quality: quality.value,
            chords: chords.map_or(12, |chords| chords.value as u32),
        },
        quality.span,
    ))
}

fn start(cell: &Table<'_>, asked: Option<&Asked>, scope: &Scope<'_>) -> Option<Start> {
    let has = cell.has("start");
    let name = cell.text("start");

    match (name, asked) {
        (None, _) if has => None,
        (None, _) => Some(Start::Drawn),
        (Some(name), _) if name.value == "drawn" => Some(Start::Drawn),
        (Some(name), _) if name.value == "open" => Some(Start::Open),
        (Some(_), None) => None,
        (Some(name), Some(asked)) => {
            let found = asked.form.order(name.value);
            if found.is_none() {
                let names = asked
                    .form
                    .orders
                    .iter()
                    .map(|order| order.name.as_str())
                    .chain(["drawn", "open"]);
                let message = format!(
                    "form `{}` has no order `{}` to start with",
                    clip(&asked.form.name),
                    clip(name.value)
                );
                scope.unknown(message, &name, names);
            }
            found.map(Start::Order)
        }
    }
}

/// Tells whether the form can begin a line at random on every first root, and be in any of its orders
/// on any root further on.
fn anywhere(
    quality: Quality,
    firsts: &[u8],
    asked: &Asked,
    starts: std::ops::Range<usize>,
    line: &Spanned<Line>,
    scope: &Scope<'_>,
) -> Option<()> {
    for order in 0..asked.form.orders.len() {
        let name = clip(&asked.form.orders[order].name);
        let voicing = match asked.form.voicing(chord_on(quality, 0), order) {
            Ok(voicing) => Voicing {
                span: scope.rules.span,
                ..voicing
            },
            Err(error) => {
                // An order that the line never takes need have no shape for the quality.
                if !starts.contains(&order) {
                    continue;
                }
                scope.out.fault(
                    line.span.clone(),
                    format!(
                        "form `{}` cannot be asked on {}: {error}",
                        clip(&asked.form.name),
                        symbol::print(chord_on(quality, 0), symbol::Style::DEFAULT)
                    ),
                    Some("choose another quality or another form".to_owned()),
                );
                return None;
            }
        };
        let fit = scope.fits.in_line(&voicing);
        let first = firsts
            .iter()
            .find(|root| starts.contains(&order) && fit.first >> **root & 1 == 0);
        let hindered = first
            .copied()
            .or_else(|| (0..12).find(|root| fit.later >> root & 1 == 0));
        if let Some(root) = hindered {
            let chord = chord_on(quality, root);
            no_place(
                &asked.form,
                &name,
                &voicing,
                chord,
                &line.span,
                false,
                scope,
            );
            return None;
        }
    }

    Some(())
}

fn chord_on(quality: Quality, root: u8) -> Chord {
    Chord::new(quality.printed_root(root), quality)
}

/// Tells whether the form can go through the line in every key.
fn playable(
    line: &Spanned<Line>,
    keys: &[u8],
    asked: &Asked,
    start: Start,
    scope: &Scope<'_>,
) -> Option<()> {
    let starts = match start {
        Start::Order(order) => order..order + 1,
        Start::Drawn | Start::Open => 0..asked.form.orders.len().min(2),
    };
    if let Line::AtRandom { quality, .. } = line.value {
        return anywhere(quality, keys, asked, starts, line, scope);
    }
    // A line of symbols is the same in all keys, and was placed as if in C.
    let fixed = matches!(&line.value, Line::Progression(of) if of.is_fixed());
    let keys = if fixed { &[0] } else { keys };

    for order in starts {
        let way = scope.fits.voiced(asked, &line.value, order);
        let (chords, fitting) = match way.as_ref() {
            Way::Through { chords, keys } => (chords, *keys),
            Way::Hindered(chord, error) => {
                scope.out.fault(
                    line.span.clone(),
                    format!(
                        "form `{}` cannot be asked on {}: {error}",
                        clip(&asked.form.name),
                        symbol::print(*chord, symbol::Style::DEFAULT)
                    ),
                    Some("choose another progression or another form".to_owned()),
                );
                return None;
            }
        };
        let Some(key) = keys.iter().find(|key| fitting >> **key & 1 == 0) else {
            continue;
        };
        if let Some(at) = chords.iter().position(|(.., fits)| fits >> key & 1 == 0) {
            let (chord, voicing, _) = &chords[at];
            let chord = item::line(&line.value, *key)
                .get(at)
                .map_or(*chord, |placed| placed.chord);
            let how = format!("starting with the {}", clip(&asked.form.orders[order].name));
            no_place(&asked.form, &how, voicing, chord, &line.span, false, scope);
        }
        return None;
    }

    Some(())
}
