//! The command line: one file a verb.
//!
//! Exit codes: 0 fine, 1 the input has faults (said on standard error), 2 wrong usage.

mod audit;
mod collect;
mod completions;
mod dataset;
pub mod disk;
mod equipment;
mod export;
mod form;
mod kiosk;
mod load;
pub mod lp;
mod moderate;
mod new;
mod overrule;
mod paper;
mod practise;
mod remark;
mod render;
pub mod replay;
mod review;
mod roster;
mod settings;
mod sheet;
mod sign;
mod sit;
mod slips;
mod spell;
mod vet;

use std::fmt;
use std::io::{self, Write};
use std::process::ExitCode;

use clap::{Parser, Subcommand};

/// Timed ear-and-hand practice exams for jazz piano, marked and sealed.
///
/// Exit codes: 0 fine, 1 the input has faults (said on standard error), 2 wrong usage.
#[derive(Debug, Parser)]
#[command(name = "viva-voicing", version, about, max_term_width = 100)]
struct Arguments {
    #[command(subcommand)]
    verb: Option<Verb>,
}

/// A verb that needs more words than a line has them at its arguments.
#[derive(Debug, Subcommand)]
enum Verb {
    /// Check exam scripts: every fault with its place, and how to mend it
    Vet(vet::Arguments),
    New(new::Arguments),
    /// Print the items of a form, as TOML, with or without the answers
    Form(form::Arguments),
    Sit(sit::Arguments),
    Remark(remark::Arguments),
    Sheet(sheet::Arguments),
    Review(review::Arguments),
    Practise(practise::Arguments),
    Audit(audit::Arguments),
    Moderate(moderate::Arguments),
    Sign(sign::Arguments),
    Collect(collect::Arguments),
    Slips(slips::Arguments),
    /// Spell chords: degrees, names, keys
    Spell(spell::Arguments),
    /// Write the sounds of a form's ear items, and what a bass plays, as WAV files
    Render(render::Arguments),
    Export(export::Arguments),
    Equipment(equipment::Arguments),
    Kiosk(kiosk::Arguments),
    /// Print completions for a shell
    Completions(completions::Arguments),
}

/// What a verb comes to.
enum End {
    /// All is well.
    Fine,
    /// The input has faults, which have been said.
    Faults,
}

/// A fault that ends a verb: one line for standard error.
#[derive(Debug)]
struct Fault(String);

impl<E: std::error::Error> From<E> for Fault {
    fn from(error: E) -> Self {
        Self(error.to_string())
    }
}

impl Fault {
    fn new(text: impl fmt::Display) -> Self {
        Self(text.to_string())
    }
}

/// Runs the program on the process's arguments.
pub fn run() -> ExitCode {
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(error) => {
            // Help and version are no errors; clap knows which stream is theirs.
            let _ = error.print();
            return ExitCode::from(if error.use_stderr() { 2 } else { 0 });
        }
    };
    let verb = arguments
        .verb
        .unwrap_or_else(|| Verb::Kiosk(kiosk::Arguments::default()));
    let end = match verb {
        Verb::Vet(arguments) => vet::run(&arguments),
        Verb::New(arguments) => new::run(&arguments),
        Verb::Form(arguments) => form::run(&arguments),
        Verb::Sit(arguments) => sit::run(&arguments),
        Verb::Remark(arguments) => remark::run(&arguments),
        Verb::Sheet(arguments) => sheet::run(&arguments),
        Verb::Review(arguments) => review::run(&arguments),
        Verb::Practise(arguments) => practise::run(&arguments),
        Verb::Audit(arguments) => audit::run(&arguments),
        Verb::Moderate(arguments) => moderate::run(&arguments),
        Verb::Sign(arguments) => sign::run(&arguments),
        Verb::Collect(arguments) => collect::run(&arguments),
        Verb::Slips(arguments) => slips::run(&arguments),
        Verb::Spell(arguments) => spell::run(&arguments),
        Verb::Render(arguments) => render::run(&arguments),
        Verb::Export(arguments) => export::run(&arguments),
        Verb::Equipment(arguments) => equipment::run(&arguments),
        Verb::Kiosk(arguments) => kiosk::run(&arguments),
        Verb::Completions(arguments) => completions::run(&arguments),
    };

    match end {
        Ok(End::Fine) => ExitCode::SUCCESS,
        Ok(End::Faults) => ExitCode::from(1),
        Err(Fault(text)) => {
            complain(&text);
            ExitCode::from(1)
        }
    }
}

/// Prints to standard output. A reader that has gone away is no fault of ours.
fn say(text: &str) {
    let mut out = io::stdout().lock();
    let _ = out.write_all(text.as_bytes()).and_then(|()| out.flush());
}

/// Prints a line to standard error.
fn complain(text: &str) {
    let _ = writeln!(io::stderr().lock(), "{text}");
}

/// Returns the arguments' definition, for completions and for the documentation's check.
pub fn command() -> clap::Command {
    <Arguments as clap::CommandFactory>::command()
}
