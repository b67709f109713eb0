//! `spell`: degrees, names and keys of chords.

use std::fmt::Write as _;

use clap::Args;
use serde::Serialize;

use super::{End, Fault, complain, say};
use crate::theory::voicing::form::{self, Form};
use crate::theory::voicing::low_interval_faults;
use crate::theory::{Chord, Degree, Key, Name, symbol};

#[derive(Debug, Args)]
pub(super) struct Arguments {
    /// The chord symbols, such as `Ab7` or `F#m7b5`
    #[arg(required = true, value_name = "SYMBOL")]
    symbols: Vec<String>,
    /// Show a form of voicing in all its orders, such as `guide-tones`
    #[arg(long, value_name = "NAME")]
    voicing: Option<String>,
    /// Print JSON, one object a chord or order
    #[arg(long)]
    json: bool,
}

#[derive(Serialize)]
struct Spelled {
    /// In ASCII for machines, as all names here; the printed line has real signs.
    symbol: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    order: Option<String>,
    degrees: Vec<String>,
    /// Strict spelling: each chord tone has its own letter.
    strict: Vec<String>,
    /// As parts print it: no double accidentals.
    print: Vec<String>,
    keys: Vec<u8>,
    /// The slash bass, lowest of all.
    #[serde(skip_serializing_if = "Option::is_none")]
    bass: Option<String>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    warnings: Vec<String>,
}

pub(super) fn run(arguments: &Arguments) -> Result<End, Fault> {
    let form = arguments.voicing.as_deref().map(named).transpose()?;
    let mut fine = true;

    for text in &arguments.symbols {
        let json = arguments.json;
        let spelled = symbol::parse(text)
            .map_err(|error| Fault::new(format_args!("{text}: {error}")))
            .and_then(|chord| match form {
                Some(form) => voiced(chord, form, json),
                None => Ok(vec![plain(chord, json)]),
            });
        match spelled {
            Ok(all) => {
                for one in all {
                    say(&if json {
                        serde_json::to_string(&one)? + "\n"
                    } else {
                        line(&one)
                    });
                }
            }
            Err(Fault(text)) => {
                complain(&text);
                fine = false;
            }
        }
    }

    Ok(if fine { End::Fine } else { End::Faults })
}

fn named(name: &str) -> Result<&'static Form, Fault> {
    form::named(name).ok_or_else(|| {
        let known: Vec<&str> = form::all().iter().map(|form| form.name.as_str()).collect();
        Fault::new(format_args!(
            "unknown form of voicing `{name}`; known are: {}",
            known.join(", ")
        ))
    })
}

fn plain(chord: Chord, ascii: bool) -> Spelled {
    let degrees: Vec<Degree> = chord
        .tones()
        .into_iter()
        .map(|(degree, _)| degree)
        .collect();
    // From the root near the C below middle C upwards.
    let root = 48 + i64::from(chord.root.class());
    let keys: Vec<Key> = degrees
        .iter()
        .filter_map(|degree| Key::new(root + i64::from(degree.semitones())).ok())
        .collect();

    spelled(chord, None, &degrees, &keys, ascii)
}

fn voiced(chord: Chord, form: &Form, ascii: bool) -> Result<Vec<Spelled>, Fault> {
    form.orders
        .iter()
        .enumerate()
        .map(|(i, order)| {
            let voicing = form.voicing(chord, i).map_err(|error| {
                Fault::new(format_args!(
                    "{}: form `{}`: {error}",
                    symbol::ascii(chord),
                    form.name
                ))
            })?;
            let degrees: Vec<Degree> = voicing.hands.degrees().collect();
            let keys = voicing.realise(chord.root.class()).unwrap_or_default();
            let order = Some(order.name.clone());
            Ok(spelled(chord, order, &degrees, &keys, ascii))
        })
        .collect()
}

fn spelled(
    chord: Chord,
    order: Option<String>,
    degrees: &[Degree],
    keys: &[Key],
    ascii: bool,
) -> Spelled {
    let written = |name: Name| {
        if ascii {
            name.ascii()
        } else {
            name.to_string()
        }
    };
    let names: Vec<Name> = degrees
        .iter()
        .filter_map(|degree| chord.name(*degree))
        .collect();

    Spelled {
        symbol: if ascii {
            symbol::ascii(chord)
        } else {
            symbol::print(chord, symbol::Style::DEFAULT)
        },
        degrees: degrees
            .iter()
            .map(|degree| {
                if ascii {
                    degree.ascii().to_owned()
                } else {
                    degree.to_string()
                }
            })
            .collect(),
        strict: names.iter().map(|name| written(*name)).collect(),
        print: names.iter().map(|name| written(name.in_print())).collect(),
        keys: keys.iter().map(|key| key.number()).collect(),
        bass: chord.bass.map(written),
        warnings: if order.is_some() {
            low_interval_faults(keys, chord.root.class())
        } else {
            Vec::new()
        },
        order,
    }
}

fn line(spelled: &Spelled) -> String {
    let mut out = String::new();
    let order = spelled
        .order
        .as_ref()
        .map(|order| format!(", {order}"))
        .unwrap_or_default();
    let _ = writeln!(out, "{}{order}", spelled.symbol);
    let _ = writeln!(out, "  degrees  {}", spelled.degrees.join(" "));
    let _ = writeln!(out, "  strict   {}", spelled.strict.join(" "));
    let _ = writeln!(out, "  print    {}", spelled.print.join(" "));
    let keys: Vec<String> = spelled.keys.iter().map(ToString::to_string).collect();
    let _ = writeln!(out, "  keys     {}", keys.join(" "));
    if let Some(bass) = &spelled.bass {
        let _ = writeln!(out, "  bass     {bass}");
    }
    for warning in &spelled.warnings {
        let _ = writeln!(out, "  note     {warning}");
    }

    out
}
