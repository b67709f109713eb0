//! `kiosk`: the full-screen room.

use std::path::PathBuf;

use clap::{Args, ValueEnum};

use super::{End, Fault};

#[cfg(feature = "kiosk")]
mod desk;
#[cfg(feature = "kiosk")]
mod open;
#[cfg(feature = "kiosk")]
mod show;

#[cfg(feature = "kiosk")]
pub(super) use show::{Opening, show};

/// Open the full-screen room in which candidates sit exams
///
/// Without arguments it offers the bundled exams to anybody who sits down. A room for a class has
/// its own exam, roster and settings. No MIDI keyboard is needed: the computer's keys play too.
#[derive(Debug, Default, Args)]
pub(super) struct Arguments {
    /// The exam script that the room is set to; otherwise the bundled exams are offered
    #[arg(long, value_name = "FILE")]
    exam: Option<PathBuf>,
    /// The candidates' numbers: a CSV with OneRoster columns, or number and name
    #[arg(long, value_name = "FILE")]
    roster: Option<PathBuf>,
    /// The room's settings file; what is said here counts before it. The invigilator's PIN goes into
    /// it, and it is made where there is none
    #[arg(long, value_name = "FILE")]
    settings: Option<PathBuf>,
    /// The form code that the first candidate has; others have the seats after it
    #[arg(long, value_name = "CODE")]
    form: Option<String>,
    /// The folder that results go to; `results` if neither this nor the settings name one
    #[arg(long, value_name = "DIR")]
    results: Option<PathBuf>,
    /// The language of the pages; what an exam asks is in its own
    #[arg(long, value_enum)]
    language: Option<Language>,
    /// How large text is, in percent: 100 to 200
    #[arg(long, value_name = "PERCENT", value_parser = clap::value_parser!(u16).range(100..=200))]
    text: Option<u16>,
    /// Print light on dark, for stage light
    #[arg(long)]
    dark: bool,
    /// Open a window instead of the whole screen
    #[arg(long)]
    windowed: bool,
}

/// A language of the pages.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Language {
    /// English
    En,
    /// German
    De,
}

#[cfg(feature = "kiosk")]
pub(super) fn run(arguments: &Arguments) -> Result<End, Fault> {
    open::run(arguments)
}

#[cfg(not(feature = "kiosk"))]
pub(super) fn run(_: &Arguments) -> Result<End, Fault> {
    Err(Fault::new(
        "this build has no window: build it with the feature `kiosk`, which is on by default",
    ))
}
