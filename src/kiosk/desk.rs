//! What the kiosk asks of the world: to keep sittings and results, the invigilator's PIN and a log,
//! and to tell the date.

use super::invigilator::Looked;
use super::print::Became;
use super::shelf::Shelved;
use crate::exam::code::Code;
use crate::practise::Paper;
use crate::results::document::Given;
use crate::room::Journal;
use crate::sitting::{Sitting, wire};
use crate::time::Time;

/// Where sittings and results are kept.
pub trait Desk {
    /// Tells whether results can be kept, before anybody begins.
    ///
    /// # Errors
    /// Says in words why not.
    fn ready(&mut self) -> Result<(), String>;

    /// Begins the journal of a sitting.
    ///
    /// # Errors
    /// Says in words why it cannot be kept.
    fn begin(&mut self, header: &wire::Header) -> Result<Box<dyn Journal>, String>;

    /// Writes the result of an ended sitting; it is on disk when this returns.
    ///
    /// # Errors
    /// Says in words why it cannot be kept; the journal still holds everything.
    fn store(&mut self, sitting: &Sitting, given: &Given) -> Result<Stored, String>;

    /// Sets an item's level in a stored result, which stays as it is: writes a new one beside it,
    /// with the reason, who says so and when. It is on disk when this returns.
    ///
    /// # Errors
    /// Says in words why it cannot be done.
    fn store_reviewed(
        &mut self,
        name: &str,
        set: (u32, u8),
        said: (&str, &str, &str),
    ) -> Result<Stored, String> {
        let _ = (set, said);
        Err(format!("{name}: nothing is kept here"))
    }

    /// Returns the results that lie here, the newest first.
    fn results(&mut self) -> Vec<Handed> {
        Vec::new()
    }

    /// Opens one of them.
    ///
    /// # Errors
    /// Says in words why it cannot be looked at.
    fn result(&mut self, name: &str) -> Result<Looked, String> {
        Err(format!("{name}: nothing is kept here"))
    }

    /// Has the mark sheet of a stored result made and printed, and does not wait for it: what
    /// became of it is told by [`printed`](Self::printed).
    ///
    /// # Errors
    /// Says in words why it cannot be begun.
    fn print(&mut self, name: &str) -> Result<(), String> {
        Err(format!("{name}: nothing is kept here"))
    }

    /// Tells once what became of a sheet, by the name of its result.
    fn printed(&mut self) -> Option<(String, Became)> {
        None
    }

    /// Keeps the script of a practice paper where it can be found again, and makes an exam of it.
    ///
    /// # Errors
    /// Says in words why it cannot be kept.
    fn shelve(&mut self, paper: &Paper, candidate: &str) -> Result<Shelved, String> {
        let _ = (paper, candidate);
        Err("nothing is kept here".to_owned())
    }

    /// Returns the date and time now, RFC 3339.
    fn date(&self) -> String;

    /// Returns the time of day so long after a date, `10:21:40`.
    fn clock(&self, date: &str, after: Time) -> String {
        clock(date, after)
    }

    /// Returns the computer's own time, from any zero; it may jump. `None` where there is none.
    fn wall(&self) -> Option<Time> {
        None
    }

    /// Tells whether an invigilator's PIN has been chosen, and where a new one goes.
    fn pin(&self) -> Pin;

    /// Tells whether this is the invigilator's PIN.
    fn is_pin(&self, typed: &str) -> bool;

    /// Takes a new PIN; returns whether it is kept beyond the end of the program.
    fn set_pin(&mut self, typed: &str) -> bool;

    /// Writes a line into the log of the room, where it can.
    fn log(&mut self, text: &str);

    /// Looks for sittings that were begun and have no result, and that nobody is sitting.
    fn unfinished(&mut self) -> Vec<Unfinished> {
        Vec::new()
    }

    /// Takes one of them up.
    ///
    /// # Errors
    /// Says in words why it cannot go on.
    fn take_up(&mut self, name: &str) -> Result<TakenUp, String> {
        Err(format!("{name}: nothing is kept here"))
    }

    /// Looks whether a candidate has sat this exam here before, or is sitting it.
    fn before(&mut self, exam: &str, candidate: &str) -> Option<Before> {
        let _ = (exam, candidate);
        None
    }

    /// Looks which forms of this exam a candidate has sat, or has begun to sit.
    fn sat(&mut self, exam: &str, candidate: &str) -> Vec<Code> {
        let _ = (exam, candidate);
        Vec::new()
    }
}

/// Where a result is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stored {
    /// Its name.
    pub name: String,
    /// Whether the usual place took it not, and it went to the second one.
    pub elsewhere: bool,
}

/// A result that lies in the room's folder.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Handed {
    /// How the desk calls it.
    pub name: String,
    /// The exam's title.
    pub exam: String,
    /// The candidate.
    pub candidate: String,
    /// When the sitting began, RFC 3339.
    pub started: String,
}

/// Whether there is a PIN.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Pin {
    /// It has been chosen.
    Chosen,
    /// A new one goes into the settings file.
    Open,
    /// A new one holds until the program ends.
    Fleeting,
}

/// A sitting that was begun and has no result.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unfinished {
    /// How the desk calls it.
    pub name: String,
    /// The exam's title.
    pub exam: String,
    /// The candidate.
    pub candidate: String,
    /// When it began, RFC 3339.
    pub started: String,
    /// Whether everything was asked or it was stopped: only its result is missing.
    pub is_over: bool,
}

/// A sitting that was taken up.
pub struct TakenUp {
    /// Its exam.
    pub shelved: Shelved,
    /// The sitting as it was.
    pub sitting: Sitting,
    /// What its result holds beside it.
    pub given: Given,
    /// Its journal, open to go on.
    pub journal: Box<dyn Journal>,
    /// Whether its last line was torn.
    pub torn: bool,
}

/// What is known of a candidate.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Before {
    /// A result is there.
    HandedIn,
    /// A sitting waits to be taken up.
    Interrupted,
    /// They are sitting it at this moment, on another kiosk.
    Sitting,
}

/// Keeps nothing, for tests.
#[derive(Debug, Clone, Default)]
pub struct NoDesk;

impl NoDesk {
    /// The invigilator's PIN.
    pub const PIN: &str = "2468";
}

impl Desk for NoDesk {
    fn ready(&mut self) -> Result<(), String> {
        Ok(())
    }

    fn begin(&mut self, _: &wire::Header) -> Result<Box<dyn Journal>, String> {
        Ok(Box::new(crate::room::NoJournal))
    }

    fn store(&mut self, _: &Sitting, _: &Given) -> Result<Stored, String> {
        Ok(Stored {
            name: "nowhere".to_owned(),
            elsewhere: false,
        })
    }

    fn store_reviewed(
        &mut self,
        _: &str,
        _: (u32, u8),
        _: (&str, &str, &str),
    ) -> Result<Stored, String> {
        Ok(Stored {
            name: "nowhere, reviewed".to_owned(),
            elsewhere: false,
        })
    }

    fn shelve(&mut self, paper: &Paper, _: &str) -> Result<Shelved, String> {
        Ok(Shelved {
            exam: paper.exam.clone(),
            script: paper.script.clone(),
            digest: "0".repeat(64),
        })
    }

    fn date(&self) -> String {
        "2026-03-12T10:21:00Z".to_owned()
    }

    fn pin(&self) -> Pin {
        Pin::Chosen
    }

    fn is_pin(&self, typed: &str) -> bool {
        typed == Self::PIN
    }

    fn set_pin(&mut self, _: &str) -> bool {
        false
    }

    fn log(&mut self, _: &str) {}
}

/// The time of day so long after an RFC 3339 date, in the date's own zone.
fn clock(date: &str, after: Time) -> String {
    let mut parts = date
        .get(11..19)
        .unwrap_or_default()
        .split(':')
        .map(|part| part.parse::<i64>().unwrap_or(0));
    let mut next = || parts.next().unwrap_or(0);
    let seconds = (next() * 60 + next()) * 60 + next() + after.tenths() / 10_000;
    let (minutes, seconds) = (seconds / 60, seconds % 60);

    format!("{:02}:{:02}:{seconds:02}", minutes / 60 % 24, minutes % 60)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_clock_goes_on_past_midnight() {
        let check = |date: &str, ms, expected: &str| {
            assert_eq!(clock(date, Time::from_ms(ms)), expected, "{date}");
        };
        check("2026-03-12T10:21:00Z", 40_900, "10:21:40");
        check("2026-03-12T23:59:30Z", 31_000, "00:00:01");
        check("no date", 0, "00:00:00");
    }
}
