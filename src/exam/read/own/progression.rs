//! Progressions that a script brings itself.

use std::cell::Cell;

use super::{takes_the_place, words};
use crate::exam::read::filled;
use crate::exam::read::scope::{Named, Names};
use crate::exam::table::{Table, clip};
use crate::theory::progression::{self, Progression};

/// The longest progression, in bars.
const BARS: usize = 128;

pub(super) fn read(root: &Table<'_>) -> Names<Progression> {
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
