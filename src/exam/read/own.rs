//! What a script brings itself: key groups, forms of voicing, progressions.

mod form;
mod progression;

use super::scope::{Named, Names, Own, root_name};
use crate::exam::diagnostic::Diagnostics;
use crate::exam::script::Group;
use crate::exam::table::{Complaint, Spanned, Table, Value, clip};

pub(super) fn read(root: &Table<'_>, out: &Diagnostics) -> Own {
    Own {
        groups: groups(root, out),
        groups_written: root.has("key_groups"),
        forms: form::read(root),
        progressions: progression::read(root),
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

/// Warns where a script's own thing hides one of the program's.
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
