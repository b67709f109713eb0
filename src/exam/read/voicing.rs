//! Sections of single voicings.

use super::scope::{Asked, Scope, Usual};
use super::section::Content;
use super::{Place, REACH, cells, limit, quality, quality_name, required_count};
use crate::exam::check::pool;
use crate::exam::script::{Kind, VoicingCell, VoicingSection};
use crate::exam::table::{Spanned, Table, Within, clip};
use crate::theory::quality::Quality;
use crate::theory::voicing::form::Form;
use crate::theory::{Chord, Voicing, symbol};

/// The grace, in hundredths of the limit: 2 by default, 1 for a strict exam.
const GRACE: u32 = 200;

pub(super) fn read(table: &Table<'_>, scope: &Scope<'_>) -> Option<Content> {
    // No isolated prompt can fairly ask for less than two seconds.
    let limit = limit(table, 2.0);
    let grace = table
        .number("grace", Within::from(1.0..=10.0).of("times the limit"))
        .map_or(GRACE, |grace| (grace.value * 100.0).round() as u32);
    let pedal = table.boolean("pedal").is_some_and(|pedal| pedal.value);
    // `with_bass`: whether the bass sounds the root, or what stands below a slash, as the prompt
    // appears, from C2 to B2; default false.
    let with_bass = table.boolean("with_bass").is_some_and(|bass| bass.value);
    let faulty_each = table.has("each_root");
    let each_root = table
        .integer("each_root", 1..=20)
        .map(|times| times.map(|times| times as u8));
    let faulty_each = faulty_each && each_root.is_none();
    let usual = Usual::read(table, scope);
    let mut numbers = Numbers::default();
    let mut read = Vec::new();
    let mut slots = Vec::new();
    let mut whole = true;

    for cell in cells(
        table,
        "`cells = [{ count = 2, quality = \"7\", group = \"I\" }]`",
    ) {
        let of = voicing_cell(&cell, scope, &usual, &mut numbers);
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
        each_root: each_root.as_ref(),
        seats: &scope.seats,
        once: true,
    };
    let supply = pool.check(scope.out);
    if !whole || read.is_empty() || faulty_each {
        return None;
    }

    Some(Content {
        kind: Kind::Voicing(VoicingSection {
            limit: limit?,
            grace,
            pedal,
            each_root: each_root.map(|times| times.value),
            with_bass,
            cells: read,
        }),
        supply,
    })
}

/// What the cells of a section have in common.
#[derive(Default)]
struct Numbers {
    kinds: Vec<Quality>,
    /// Quality, form, order.
    contents: Vec<(Quality, usize, usize)>,
}

fn voicing_cell(
    cell: &Table<'_>,
    scope: &Scope<'_>,
    usual: &Usual,
    numbers: &mut Numbers,
) -> Option<(VoicingCell, pool::Slot)> {
    let count = required_count(cell);
    let quality = cell.required_parsed("quality", quality);
    let roots = scope.roots(cell);
    let asked = usual.of_cell(cell, scope);
    let order = cell.text("order");
    let order = asked.as_ref().and_then(|asked| {
        if cell.has("order") && order.is_none() {
            return None;
        }
        order_of(&asked.form, order.as_ref(), cell, scope)
    });
    let (quality, roots, asked, order) = (quality?, roots?, asked?, order?);

    possible(&quality, &roots.classes, &asked, order, scope)?;
    let count = count?;

    Some((
        VoicingCell {
            count: count.value,
            quality: quality.value,
            roots: roots.classes.clone(),
            form: asked.form,
            order,
        },
        pool::Slot {
            place: roots.place.unwrap_or_else(|| count.span.clone()),
            count,
            roots: roots.classes,
            kind: pool::number(&mut numbers.kinds, quality.value),
            content: pool::number(&mut numbers.contents, (quality.value, asked.id, order)),
            variants: 1,
            what: format!("chords `{}`", quality_name(quality.value)),
        },
    ))
}

/// Says at once where the form has no shape for the chord, or no hand can lie so.
fn possible(
    quality: &Spanned<Quality>,
    roots: &[u8],
    asked: &Asked,
    order: usize,
    scope: &Scope<'_>,
) -> Option<()> {
    let chord = |class: u8| Chord::new(quality.value.printed_root(class), quality.value);
    // What the hands play is the same over all roots.
    let voicing = match asked.form.voicing(chord(roots[0]), order) {
        Ok(voicing) => Voicing {
            span: scope.rules.span,
            ..voicing
        },
        Err(error) => {
            scope.out.fault(
                quality.span.clone(),
                format!(
                    "form `{}` cannot be asked on `{}`: {error}",
                    clip(&asked.form.name),
                    quality_name(quality.value)
                ),
                Some("choose another quality or another form".to_owned()),
            );
            return None;
        }
    };
    let fits = scope.fits.alone(&voicing);
    let missing: Vec<u8> = roots
        .iter()
        .copied()
        .filter(|root| fits >> root & 1 == 0)
        .collect();

    match missing[..] {
        [] => Some(()),
        [first, ..] => {
            let all = missing.len() == roots.len();
            no_place(
                &asked.form,
                &clip(&asked.form.orders[order].name),
                &voicing,
                chord(first),
                &quality.span,
                all,
                scope,
            );
            None
        }
    }
}

/// Tells that a voicing has no place: it is too wide for the hand, or its register leaves none.
pub(super) fn no_place(
    form: &Form,
    order: &str,
    voicing: &Voicing,
    chord: Chord,
    place: &Place,
    everywhere: bool,
    scope: &Scope<'_>,
) {
    let name = clip(&form.name);
    let printed = symbol::print(chord, symbol::Style::DEFAULT);
    let span = scope.rules.span;
    let widest = voicing.widest();

    let (fault, help) = if widest > REACH {
        (
            format!("takes a hand of {widest} semitones on {printed}, which nobody can reach"),
            "deal the notes to both hands",
        )
    } else if widest > span {
        (
            format!("takes a hand of {widest} semitones on {printed}, and `span` is {span}"),
            "widen `span` in [rules], or ask for another form or order",
        )
    } else if everywhere {
        (
            format!("has no place on {printed} inside its register"),
            "widen the form's register",
        )
    } else {
        (
            format!("has no place on {printed} inside its register"),
            "widen the form's register, or leave such roots out",
        )
    };

    scope.out.fault(
        place.clone(),
        format!("form `{name}`, {order}, {fault}"),
        Some(help.to_owned()),
    );
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
                let message = format!(
                    "form `{}` has no order `{}`",
                    clip(&form.name),
                    clip(name.value)
                );
                scope.unknown(message, name, names());
            }
            found
        }
        None if form.orders.len() == 1 => Some(0),
        None => {
            let all: Vec<String> = names().map(|name| format!("\"{name}\"")).collect();
            scope.out.fault(
                cell.span(),
                format!(
                    "form `{}` has {} orders and none is named",
                    clip(&form.name),
                    all.len()
                ),
                Some(format!("write `order = ` one of: {}", all.join(", "))),
            );
            None
        }
    }
}
