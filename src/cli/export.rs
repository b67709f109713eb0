//! `export`: write the performance of a stored result as a MIDI file.

use std::path::PathBuf;

use clap::Args;

use super::{End, Fault, disk, load, say};
use crate::exam::form::Task;
use crate::instruments::performance::{self, Event, Kind, Performance};
use crate::marking::event::Action;
use crate::results::{document, seal};
use crate::sitting::{self, Showing, Sitting};
use crate::time::Time;

/// Write the performance of a stored result as a MIDI file.
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
    let bytes = performance::write(&performance(&stored.sitting));
    disk::write_new(&arguments.performance, &bytes)?;
    say(&format!("{}\n", arguments.performance.display()));

    Ok(End::Fine)
}

/// Makes a performance of a sitting: what was shown and done, at its times.
fn performance(sitting: &Sitting) -> Performance {
    let showings = sitting.showings();
    let mut events = Vec::new();

    for (place, showing) in showings.iter().enumerate() {
        let mut push = |at: Time, kind: Kind| events.push(Event { at, kind });

        push(showing.shown, Kind::Item(showing.number));
        if showing.added > Time::ZERO {
            push(showing.shown, Kind::Added(showing.added));
        }
        if showing.zero != zero(sitting, showing) {
            push(showing.zero, Kind::Sounded);
        }
        for event in &showing.events {
            if let Some(kind) = kind(&event.action) {
                push(showing.zero + event.at, kind);
            }
        }
        if let Some(reason) = &showing.voided {
            // One that had closed was voided at some time before the next prompt.
            let at = match (showing.ended, showings.get(place + 1)) {
                (Some(ended), _) => showing.zero + ended,
                (None, Some(next)) => next.shown,
                (None, None) => sitting.now(),
            };
            push(at, Kind::Void(reason.clone()));
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

fn kind(action: &Action) -> Option<Kind> {
    Some(match action {
        Action::Down(key, velocity) if *velocity > 0 => Kind::Down {
            key: key.number(),
            velocity: *velocity,
        },
        Action::Down(key, _) | Action::Up(key) => Kind::Up { key: key.number() },
        Action::Pedal(value) => Kind::Pedal { value: *value },
        Action::Answer(text) => Kind::Answer(text.clone()),
        Action::Hear => Kind::Hear,
        // Nothing counts after it, which the file shows by holding nothing.
        Action::HandIn => return None,
    })
}

/// Where the time of an item begins if its hearing takes as long as its sound.
fn zero(sitting: &Sitting, showing: &Showing) -> Time {
    match sitting.form().item(showing.number).map(|item| &item.task) {
        Some(Task::Ear(task)) => showing.shown + task.sound.length,
        _ => showing.zero,
    }
}
