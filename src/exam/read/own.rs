//! What a script brings itself: key groups, forms of voicing, progressions.

use std::cell::Cell;

use super::scope::{Named, Names, Own, root_name};
use super::{Place, filled, filled_if_there};
use crate::exam::diagnostic::Diagnostics;
use crate::exam::script::Group;
use crate::exam::table::{Complaint, Spanned, Table, Value, clip};
use crate::theory::Degree;
use crate::theory::progression::{self, Progression};
use crate::theory::voicing::Register;
use crate::theory::voicing::form::{self, Form, Order, Shape, Tone};

pub(super) fn read(root: &Table<'_>, out: &Diagnostics) -> Own {
    Own {
        groups: groups(root, out),
        groups_written: root.has("key_groups"),
        forms: forms(root),
        progressions: progressions(root),
    }
}

fn groups(root: &Table<'_>, out: &Diagnostics) -> Names<Group> {
    let usual = |name: &str, classes: &[u8]| {
        let group = Group {
            name: name.to_owned(),
            classes: classes.to_vec(),
        };
        Named::new(&Spanned::new(name, 0..0), Some(group))
    };
    if !root.has("key_groups") {
        return Names(vec![
            usual("I", &[0, 5, 7, 2, 10]),
            usual("II", &[9, 3, 4, 8]),
            usual("III", &[11, 1, 6]),
        ]);
    }
    let mut groups = Names(Vec::new());
    let mut taken: Vec<(u8, String)> = Vec::new();

    for (name, value) in root
        .table("key_groups")
        .map(Table::entries)
        .unwrap_or_default()
    {
        let group = group(&name, value, &mut taken, out);
        groups.0.push(Named::new(&name, group));
    }

    groups
}

fn group(
    name: &Spanned<&str>,
    value: Value<'_>,
    taken: &mut Vec<(u8, String)>,
    out: &Diagnostics,
) -> Option<Group> {
    let list = value.texts()?;
    let mut classes = Vec::new();
    let mut whole = true;

    if list.value.is_empty() {
        out.fault(
            list.span,
            format!("key group `{}` has no keys", clip(name.value)),
            Some("list its keys, as in `[\"C\", \"F\", \"Bb\"]`".to_owned()),
        );
        return None;
    }
    for text in &list.value {
        let Some(root) = root_name(text, out) else {
            whole = false;
            continue;
        };
        match taken.iter().find(|(class, _)| *class == root.class()) {
            Some((_, group)) => {
                out.fault(
                    text.span.clone(),
                    format!("key {root} stands in key group `{}` already", clip(group)),
                    Some("each key belongs to one group, once".to_owned()),
                );
                whole = false;
            }
            None => {
                taken.push((root.class(), name.value.to_owned()));
                classes.push(root.class());
            }
        }
    }

    whole.then(|| Group {
        name: name.value.to_owned(),
        classes,
    })
}

fn forms(root: &Table<'_>) -> Names<Form> {
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

fn takes_the_place(table: &Table<'_>, what: &str, name: &Spanned<&str>, known: bool) {
    if known {
        table.warning(
            name.span.clone(),
            format!(
                "{what} `{}` takes the place of the program's own",
                name.value
            ),
            Some("give it another name, unless that is meant".to_owned()),
        );
    }
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

/// Reads a text of several words, each with a parser; every faulty word is told at its place.
fn words<T, E: ToString>(
    value: Value<'_>,
    parse: impl Fn(usize, &str) -> Result<T, E>,
    help: &str,
) -> Option<Vec<T>> {
    let text = value.clone().text()?;
    let mut read = Vec::new();
    let mut whole = true;

    for (i, word) in text.value.split_whitespace().enumerate() {
        let at = word.as_ptr() as usize - text.value.as_ptr() as usize;
        match parse(i, word) {
            Ok(parsed) => read.push(parsed),
            Err(error) => {
                whole = false;
                let _ = value.clone().parsed::<(), _>(|_| {
                    Err(Complaint {
                        at: Some(at..at + word.len()),
                        message: error.to_string(),
                        help: Some(help.to_owned()),
                    })
                });
            }
        }
    }

    whole.then_some(read)
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

/// The longest progression, in bars.
const BARS: usize = 128;

fn progressions(root: &Table<'_>) -> Names<Progression> {
    let mut all: Names<Progression> = Names(Vec::new());

    for table in root.array_of_tables("progression") {
        let name = filled(&table, "name");
        let bars = bars(&table);
        if let Some(name) = name {
            if all.has(name.value) || name.value == "cycle-of-fourths" {
                table.fault(
                    name.span.clone(),
                    format!("there is a progression `{}` already", clip(name.value)),
                    Some("give it another name".to_owned()),
                );
            } else {
                takes_the_place(
                    &table,
                    "progression",
                    &name,
                    progression::named(name.value).is_some(),
                );
                let read = bars.and_then(|bars| Progression::parse(name.value, &bars).ok());
                all.0.push(Named::new(&name, read));
            }
        }
        table.finish();
    }

    all
}

/// Reads the bars of a progression: each chord on its own, so that every faulty one is told.
fn bars(table: &Table<'_>) -> Option<Vec<String>> {
    let _ = table.required_texts("bars")?;
    let list = table.list("bars")?;
    let (count, mut whole) = (list.value.len(), true);
    let mut bars = Vec::new();
    // Whether the first chord is a symbol, which stands still, or a numeral, which goes with the key.
    let stands_still = Cell::new(None);

    if !(1..=BARS).contains(&count) {
        table.fault(
            list.span,
            format!("expected 1 to {BARS} bars, found {count}"),
            Some("write a text for each bar: `bars = [\"IIm7\", \"V7\", \"Imaj7\"]`".to_owned()),
        );
        return None;
    }
    for (bar, value) in list.value.into_iter().enumerate() {
        let text = value.clone().text()?;
        let chords = words(
            value.clone(),
            |i, word| chord(word, bar == 0 && i == 0, &stands_still),
            "a chord is a numeral or a symbol, such as IIm7 or Dm7; blanks stand between chords",
        );
        let chords = chords.filter(|chords| {
            let fits = (1..=4).contains(&chords.len());
            if !fits {
                value.fault(
                    format!(
                        "expected one, two, three or four chords in a bar, found {}",
                        chords.len()
                    ),
                    Some("write `%` where the chord before goes on".to_owned()),
                );
            }
            fits
        });
        whole &= chords.is_some();
        bars.push(text.value.to_owned());
    }

    whole.then_some(bars)
}

/// Reads one chord of a bar; `%` lets the chord before go on.
fn chord(word: &str, first: bool, stands_still: &Cell<Option<bool>>) -> Result<(), String> {
    if word == "%" {
        return if first {
            Err("there is no chord before this `%` that could go on".to_owned())
        } else {
            Ok(())
        };
    }
    let fixed = Progression::parse("", &[word.to_owned()])
        .map_err(|_| format!("expected a chord, found `{}`", clip(word)))?
        .is_fixed();

    match stands_still.get() {
        Some(true) if !fixed => Err(format!(
            "`{}` is a numeral, and the progression began with a symbol",
            clip(word)
        )),
        Some(false) if fixed => Err(format!(
            "`{}` is a symbol, and the progression began with a numeral",
            clip(word)
        )),
        _ => {
            stands_still.set(Some(fixed));
            Ok(())
        }
    }
}
