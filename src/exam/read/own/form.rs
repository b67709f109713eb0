//! Forms of voicing that a script brings itself.

use super::{takes_the_place, words};
use crate::exam::read::scope::{Named, Names};
use crate::exam::read::{Place, filled, filled_if_there};
use crate::exam::table::{Spanned, Table, clip};
use crate::theory::Degree;
use crate::theory::voicing::Register;
use crate::theory::voicing::form::{self, Form, Order, Shape, Tone};

pub(super) fn read(root: &Table<'_>) -> Names<Form> {
    let mut forms: Names<Form> = Names(Vec::new());

    for table in root.array_of_tables("form") {
        let name = filled(&table, "name");
        let order = filled_if_there(&table, "order");
        let faulty_order = table.has("order") && order.is_none();
        let words = filled(&table, "words");
        let (left, right) = (hand(&table, "left"), hand(&table, "right"));
        let further = name.as_ref().is_some_and(|name| forms.has(name.value));
        let lie = lie(&table, further, left.as_ref(), right.as_ref());
        let bare = table.is_whole() && !table.has("left") && !table.has("right");
        let place = table.span();

        if bare {
            table.fault(
                place,
                "the form gives neither hand anything to play",
                Some(
                    "write the degrees from low to high: `left = \"1 5\"`, `right = \"3 7\"`"
                        .to_owned(),
                ),
            );
        }
        let Some(name) = name else {
            table.finish();
            continue;
        };
        let order_name = order
            .as_ref()
            .map_or("as written", |order| order.value)
            .to_owned();
        let place = order.map_or(name.span.clone(), |order| order.span);
        let order = words
            .zip(left.zip(right))
            .filter(|_| !bare && !faulty_order)
            .map(|(words, (left, right))| Order {
                name: order_name,
                words: words.value.trim().trim_end_matches('.').to_owned(),
                shapes: vec![Shape {
                    families: Vec::new(),
                    left,
                    right,
                }],
            });
        if further {
            add_order(&table, &mut forms, &name, order, place);
        } else {
            takes_the_place(&table, "form", &name, form::named(name.value).is_some());
            let form = order.zip(lie).map(|(order, lie)| Form {
                name: name.value.to_owned(),
                orders: vec![order],
                ..lie
            });
            forms.0.push(Named::new(&name, form));
        }
        table.finish();
    }

    forms
}

/// Adds a further order to a form that is known.
fn add_order(
    table: &Table<'_>,
    forms: &mut Names<Form>,
    name: &Spanned<&str>,
    order: Option<Order>,
    place: Place,
) {
    let Some(known) = forms.0.iter_mut().find(|form| form.name == name.value) else {
        return;
    };
    let Some(order) = order else {
        known.value = None;
        return;
    };
    let Some(form) = &mut known.value else {
        return;
    };
    if form.order(&order.name).is_none() {
        form.orders.push(order);
        return;
    }

    table.fault(
        place,
        format!(
            "form `{}` has the order `{}` already",
            clip(name.value),
            clip(&order.name)
        ),
        Some("give each order of a form a name of its own: `order = \"...\"`".to_owned()),
    );
}

/// Reads how a form lies, as a form without name and orders.
///
/// What is said in the first order holds for all; a further order is not to say it again.
fn lie(
    table: &Table<'_>,
    further: bool,
    left: Option<&Vec<Tone>>,
    right: Option<&Vec<Tone>>,
) -> Option<Form> {
    const KEYS: [&str; 7] = [
        "open",
        "joined",
        "doubling",
        "optional",
        "left_lowest",
        "right_lowest",
        "top",
    ];

    if further {
        for value in KEYS.iter().filter_map(|key| table.value(key)) {
            value.fault(
                format!("{} is said with the first order of the form", value.name()),
                Some("leave it out here: it holds for all orders".to_owned()),
            );
        }
        return None;
    }

    let flag = |key| {
        if table.has(key) {
            table.boolean(key).map(|flag| flag.value)
        } else {
            Some(false)
        }
    };
    let (open, joined, doubling) = (flag("open"), flag("joined"), flag("doubling"));
    let optional = optional(table, left, right);
    let usual = Register::GUIDE_TONES;
    let left_lowest = keys(table, "left_lowest", usual.left_lowest);
    let right_lowest = keys(table, "right_lowest", usual.right_lowest);
    let top = keys(table, "top", usual.top);

    Some(Form {
        name: String::new(),
        orders: Vec::new(),
        open: open?,
        joined: joined?,
        doubling: doubling?,
        invertible: false,
        optional: optional?,
        register: Register {
            left_lowest: left_lowest?,
            right_lowest: right_lowest?,
            top: top?,
        },
    })
}

/// Reads the tones of a hand from low to high: none where the key is not there.
fn hand(table: &Table<'_>, key: &'static str) -> Option<Vec<Tone>> {
    let Some(value) = table.value(key) else {
        return Some(Vec::new());
    };
    let place = value.span();
    let tones = words(
        value,
        |_, word| {
            Tone::parse(word).map_err(|_| {
                format!(
                    "expected a degree such as 1, b3, 5, 7, 9 or #11, found `{}`",
                    clip(word)
                )
            })
        },
        "plain 1 3 5 7 9 11 13 are the chord's own, with a sign before them they are exact",
    )?;

    // Five fingers, one key each.
    if !(1..=5).contains(&tones.len()) {
        table.fault(
            place,
            format!(
                "expected one to five notes in a hand, found {}",
                tones.len()
            ),
            Some(if tones.is_empty() {
                format!("leave `{key}` out if the other hand plays alone")
            } else {
                "deal the notes to both hands".to_owned()
            }),
        );
        return None;
    }

    Some(tones)
}

/// Reads the degrees that may be left out, each of which a hand has to have.
fn optional(
    table: &Table<'_>,
    left: Option<&Vec<Tone>>,
    right: Option<&Vec<Tone>>,
) -> Option<Vec<Degree>> {
    let Some(value) = table.value("optional") else {
        return Some(Vec::new());
    };
    let number = |tone: &Tone| match tone {
        Tone::Own(number) => *number,
        Tone::Exact(degree) | Tone::Agreed(degree) => degree.number(),
    };
    // Where a hand could not be read nothing can be said of what it lacks.
    let played: Option<Vec<u8>> = left
        .zip(right)
        .map(|(left, right)| left.iter().chain(right).map(number).collect());

    words(
        value,
        |_, word| {
            let degree = Degree::parse(word)
                .map_err(|_| format!("expected a degree such as 5 or 9, found `{}`", clip(word)))?;
            match &played {
                Some(played) if !played.contains(&degree.number()) => {
                    Err(format!("`{word}` is optional and no hand plays it"))
                }
                _ => Ok(degree),
            }
        },
        "list degrees of `left` and `right` that may be left out",
    )
}

/// Reads a range of MIDI keys.
fn keys(
    table: &Table<'_>,
    key: &'static str,
    usual: std::ops::RangeInclusive<u8>,
) -> Option<std::ops::RangeInclusive<u8>> {
    let Some(value) = table.value(key) else {
        return Some(usual);
    };
    let list = value.list()?;
    let count = list.value.len();
    let read: Vec<u8> = list
        .value
        .into_iter()
        .filter_map(|value| value.integer(0..=127))
        .map(|key| key.value as u8)
        .collect();

    match read[..] {
        [low, high] if count == 2 && low <= high => Some(low..=high),
        _ if count == read.len() => {
            table.fault(
                list.span,
                format!("`{key}` expects two MIDI keys, the lowest and the highest"),
                Some(format!("middle C is 60: `{key} = [52, 75]`")),
            );
            None
        }
        _ => None,
    }
}
