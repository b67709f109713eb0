//! `export`: write the performance of a stored result as a MIDI file.

use std::path::PathBuf;

use clap::Args;

use super::{End, Fault, disk, load, say};
use crate::instruments::performance::{self, Event, Kind, Performance};
use crate::marking::event::Action;
use crate::results::{document, seal};
use crate::sitting::{self, Sitting};

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
    let bytes = performance::write(&performance(&stored.sitting));
    disk::write_new(&arguments.performance, &bytes)?;
    say(&format!("{}\n", arguments.performance.display()));

    Ok(End::Fine)
}

/// Makes a performance of a sitting: what was shown and done, at its times.
fn performance(sitting: &Sitting) -> Performance {
    let mut events = Vec::new();

    for showing in sitting.showings() {
        events.push(Event {
            at: showing.shown,
            kind: Kind::Item(showing.number),
        });
        for event in &showing.events {
            let kind = match &event.action {
                Action::Down(key, velocity) => Kind::Down {
                    key: key.number(),
                    velocity: *velocity,
                },
                Action::Up(key) => Kind::Up { key: key.number() },
                Action::Pedal(value) => Kind::Pedal { value: *value },
                Action::Answer(text) => Kind::Answer(text.clone()),
                Action::Hear => Kind::Hear,
                // Nothing counts after it, which the file shows by holding nothing.
                Action::HandIn => continue,
            };
            events.push(Event {
                at: showing.zero + event.at,
                kind,
            });
        }
        if let Some(reason) = &showing.voided {
            events.push(Event {
                at: showing.zero + showing.ended.unwrap_or_default(),
                kind: Kind::Void(reason.clone()),
            });
        }
    }
    if let Some(sitting::End::Stopped(reason) | sitting::End::Void(reason)) = sitting.end() {
        events.push(Event {
            at: sitting.now(),
            kind: Kind::Stop(reason.clone()),
        });
    }

    Performance {
        events,
        form: Some(sitting.form().code.to_string()),
        exam: Some(sitting.exam().name.clone()),
        notes: Vec::new(),
    }
}
