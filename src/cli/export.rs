//! `export`: write the performance of a stored result as a MIDI file.

use std::path::PathBuf;

use clap::Args;

use super::{End, Fault, disk, load, replay, say};
use crate::instruments::performance;
use crate::results::{document, seal};

/// Write the performance of a stored result as a MIDI file
///
/// `sit` gives the same marks from it, with the same time factor and extra hearings; a panel's
/// marks are no part of a performance.
#[derive(Debug, Args)]
pub(super) struct Arguments {
    /// The result
    #[arg(value_name = "RESULT")]
    result: PathBuf,
    /// The MIDI file to write, with markers and answers, in steps of 0.1 ms
    #[arg(long, value_name = "OUT.mid")]
    performance: PathBuf,
}

pub(super) fn run(arguments: &Arguments) -> Result<End, Fault> {
    let text = load::text(&arguments.result)?;
    let place = |error: &dyn std::fmt::Display| {
        Fault::new(format_args!("{}: {error}", arguments.result.display()))
    };
    let _ = seal::audit(&text).map_err(|fault| place(&fault))?;
    let stored = document::read(&text, None).map_err(|error| place(&error))?;
    if let Some(by_hand) = stored.sitting.by_hand() {
        return Err(place(&format_args!(
            "this sitting was at a piano and marked by hand by {}: nothing was recorded, so there is \
             no performance to write",
            by_hand.examiners().join(", ")
        )));
    }
    let bytes = performance::write(&replay::performance(&stored.sitting));
    disk::write_new(&arguments.performance, &bytes)?;
    say(&format!("{}\n", arguments.performance.display()));

    Ok(End::Fine)
}
