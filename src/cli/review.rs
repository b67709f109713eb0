//! `review`: a person's look at a marked item, with the right to overrule.

use std::path::{Path, PathBuf};

use clap::Args;

use super::settings::Opened;
use super::{End, Fault, disk, load, overrule, remark, render, say};
use crate::results::document::{self, Stored};
use crate::results::seal;
use crate::sitting::outcome::{ItemOutcome, outcome};

mod item;
mod line;
mod sound;
#[cfg(feature = "kiosk")]
mod window;
mod words;

/// Look at the items of a marked sitting, hear them, and overrule a level
///
/// Without an item it lists them all, those that lost marks with a star. With one it says what was
/// asked and what was played, with times. A level that a person sets makes a new result in the same
/// folder, `NAME-review.toml`, which says who set it and why; the old one is left as it is.
#[derive(Debug, Args)]
pub(super) struct Arguments {
    /// The result
    #[arg(value_name = "RESULT")]
    result: PathBuf,
    /// List only items below this level: 4 for all that lost marks
    #[arg(long, value_name = "LEVEL", conflicts_with = "item", value_parser = clap::value_parser!(u8).range(1..=4))]
    below: Option<u8>,
    /// The item to look at, by its number
    #[arg(long, value_name = "N")]
    item: Option<u32>,
    /// Sound it on the room's output: played as it was played, an ear item as it was heard
    #[arg(long, requires = "item")]
    play: bool,
    /// Write that sound to a WAV file
    #[arg(long, value_name = "FILE", requires = "item")]
    wav: Option<PathBuf>,
    /// Open it on the screen, engraved: asked beside played
    #[arg(long, conflicts_with_all = ["json", "play", "wav", "level"])]
    window: bool,
    /// The room's settings file, for its sound output, its piano and its pages
    #[arg(long, value_name = "FILE")]
    settings: Option<PathBuf>,
    /// Overrule: the level that counts from now on, 0 to 4
    #[arg(long, value_name = "LEVEL", requires_all = ["item", "reason", "by"], value_parser = clap::value_parser!(u8).range(0..=4))]
    level: Option<u8>,
    /// Why, in words
    #[arg(long, value_name = "TEXT", requires = "level")]
    reason: Option<String>,
    /// Who says so: a name or initials
    #[arg(long, value_name = "NAME", requires = "level")]
    by: Option<String>,
    /// Print as JSON, on one line
    #[arg(long)]
    json: bool,
}

pub(super) fn run(arguments: &Arguments) -> Result<End, Fault> {
    let path = arguments.result.as_path();

    if let (Some(item), Some(level)) = (arguments.item, arguments.level) {
        let reason = arguments.reason.as_deref().unwrap_or_default();
        let by = arguments.by.as_deref().unwrap_or_default();
        let report = overrule::overrule(path, (item, level), (reason, by, &overrule::now()))
            .map_err(|Fault(text)| Fault(load::placed(path, &text)))?;
        if arguments.json {
            say(&(serde_json::to_string(&report)? + "\n"));
        } else {
            say(&remark::words(&report));
        }
        return Ok(End::Fine);
    }

    let stored = open(path).map_err(|Fault(text)| Fault(load::placed(path, &text)))?;
    if arguments.window {
        return open_window(arguments, stored);
    }
    match arguments.item {
        Some(number) => look(arguments, &stored, number),
        None => list(arguments, &stored),
    }
}

/// Reads a result that is whole and unaltered.
fn open(path: &Path) -> Result<Stored, Fault> {
    let text = load::text(path)?;
    let _ = seal::audit(&text)?;

    Ok(document::read(&text, None)?)
}

fn list(arguments: &Arguments, stored: &Stored) -> Result<End, Fault> {
    let outcome = outcome(&stored.sitting);
    let lines: Vec<line::Line> = outcome
        .items
        .iter()
        .map(|of| line::Line::new(&stored.sitting, of))
        .filter(|line| arguments.below.is_none_or(|level| line.is_below(level)))
        .collect();

    if arguments.json {
        say(&(serde_json::to_string(&lines)? + "\n"));
    } else {
        say(&line::words(stored, &lines, outcome.items.len()));
    }
    Ok(End::Fine)
}

/// Every showing of an item, the one that counts last where there are several.
fn shown<'a, 'b>(items: &'b [ItemOutcome<'a>], number: u32) -> Vec<&'b ItemOutcome<'a>> {
    let mut shown: Vec<_> = items.iter().filter(|of| of.item.number == number).collect();
    shown.sort_by_key(|of| of.counts());

    shown
}

fn look(arguments: &Arguments, stored: &Stored, number: u32) -> Result<End, Fault> {
    let outcome = outcome(&stored.sitting);
    let shown = shown(&outcome.items, number);
    let Some(last) = shown.last() else {
        return Err(Fault::new(format_args!(
            "{}: expected the number of an item of this sitting, found {number}; `review` without \
             an item lists them",
            arguments.result.display()
        )));
    };

    let items: Vec<item::Item> = shown
        .iter()
        .map(|of| item::Item::new(&stored.sitting, of))
        .collect();
    if arguments.json {
        say(&(serde_json::to_string(&items)? + "\n"));
    } else {
        let told: Vec<String> = items.iter().map(words::words).collect();
        say(&told.join("\n"));
    }

    if arguments.play || arguments.wav.is_some() {
        let room = Opened::open(arguments.settings.as_deref())?;
        let loaded = room.piano()?;
        if let Some(why) = &loaded.refused {
            super::complain(why);
        }
        let clip = sound::clip(&stored.sitting, last, &loaded.piano)?;
        if let Some(file) = &arguments.wav {
            disk::write_new(file, &render::wav(&clip)?)?;
            if !arguments.json {
                say(&format!("{}\n", file.display()));
            }
        }
        if arguments.play {
            sound::play(&room, &loaded.piano, &clip)?;
        }
    }

    Ok(End::Fine)
}

#[cfg(feature = "kiosk")]
fn open_window(arguments: &Arguments, stored: Stored) -> Result<End, Fault> {
    window::open(
        &arguments.result,
        arguments.settings.as_deref(),
        stored,
        arguments.item,
    )
}

#[cfg(not(feature = "kiosk"))]
fn open_window(_: &Arguments, _: Stored) -> Result<End, Fault> {
    Err(Fault::new(
        "this build has no window: build it with the feature `kiosk`, which is on by default",
    ))
}
