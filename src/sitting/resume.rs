//! Taking a sitting up again where its journal ends.

use thiserror::Error;

use super::event::Event;
use super::journal::Reading;
use super::{Sitting, wire};
use crate::exam::code::Code;
use crate::exam::form::GENERATOR;
use crate::exam::{self, draw};
use crate::time::Time;

/// Why a sitting can't be taken up. Lines count from 1.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[non_exhaustive]
pub enum Error {
    /// The journal has no whole line.
    #[error("expected the journal of a sitting, found an empty one: begin the sitting anew")]
    Empty,
    /// A line is not what stands there in the journal of a sitting.
    #[error("line {line}: expected {expected}: {reason}")]
    Line {
        /// The line.
        line: usize,
        /// What stands there in the journal of a sitting.
        expected: &'static str,
        /// What the reader says.
        reason: String,
    },
    /// Written by a later program.
    #[error(
        "this journal has version {0}, and this program reads up to {known}: use a newer program",
        known = wire::VERSION
    )]
    TooNew(u32),
    /// The form was drawn by another generator.
    #[error(
        "this form was drawn by generator {0}, and this program has generator {GENERATOR}: go on \
         with the program that began the sitting"
    )]
    Generator(u32),
    /// The script inside can't be read.
    #[error("the exam script in the journal has faults: {0}")]
    Script(String),
    /// The form can't be drawn.
    #[error("the form named in the journal can't be drawn: {0}")]
    Form(String),
}

/// Replays a journal: returns its first line, and the sitting as it was at the last whole one.
///
/// # Errors
/// Says which line is wrong, or why this program can't go on with the sitting.
pub fn sitting(reading: &Reading) -> Result<(wire::Header, Sitting), Error> {
    let mut bodies = reading.bodies.iter().map(|body| body.get());
    let header: wire::Header = bodies.next().ok_or(Error::Empty).and_then(|body| {
        serde_json::from_str(body).map_err(|error| Error::Line {
            line: 1,
            expected: "the head of a sitting's journal",
            reason: error.to_string(),
        })
    })?;
    if header.version > wire::VERSION {
        return Err(Error::TooNew(header.version));
    }
    if header.generator != GENERATOR {
        return Err(Error::Generator(header.generator));
    }

    let (exam, diagnostics) = exam::read::read(&header.script, &header.exam);
    let exam = exam.ok_or_else(|| {
        let first = diagnostics.into_iter().next();
        Error::Script(first.map_or(String::new(), |first| first.message))
    })?;
    let code = Code::parse(&header.form).map_err(|error| Error::Form(error.to_string()))?;
    let form = draw::draw(&exam, code).map_err(|error| Error::Form(error.to_string()))?;
    let mut sitting = Sitting::new(exam, form, header.allowance());

    for (body, number) in bodies.zip(2..) {
        let fault = |reason: String| Error::Line {
            line: number,
            expected: "an event of a sitting",
            reason,
        };
        let line: wire::Line =
            serde_json::from_str(body).map_err(|error| fault(error.to_string()))?;
        let event = line
            .event()
            .ok_or_else(|| fault("a number is out of its range".to_owned()))?;
        drop(sitting.update(event, line.at()));
    }

    Ok((header, sitting))
}

/// Returns what happens when a sitting is taken up again, to be written and taken in at its
/// [`now`](Sitting::now): the clock stood still, an item that was open is voided and replaced, and
/// an incident says so. An ended sitting needs nothing.
pub fn interruption(sitting: &Sitting, torn: bool) -> Vec<(Time, Event)> {
    let why = if torn {
        "the program ended while it was writing"
    } else {
        "the program ended"
    };

    match sitting.end() {
        Some(_) => Vec::new(),
        None => [Event::Paused(why.to_owned()), Event::Resumed]
            .map(|event| (sitting.now(), event))
            .into(),
    }
}
