//! What the kiosk asks of the world: to keep sittings and results, and to tell the date.

use crate::results::document::Given;
use crate::room::Journal;
use crate::sitting::{Sitting, wire};

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

    /// Writes the result of an ended sitting; it is on disk when this returns. Returns its name.
    ///
    /// # Errors
    /// Says in words why it cannot be kept; the journal still holds everything.
    fn store(&mut self, sitting: &Sitting, given: &Given) -> Result<String, String>;

    /// Returns the date and time now, RFC 3339.
    fn date(&self) -> String;
}

/// Keeps nothing, for tests.
#[derive(Debug, Clone, Default)]
pub struct NoDesk;

impl Desk for NoDesk {
    fn ready(&mut self) -> Result<(), String> {
        Ok(())
    }

    fn begin(&mut self, _: &wire::Header) -> Result<Box<dyn Journal>, String> {
        Ok(Box::new(crate::room::NoJournal))
    }

    fn store(&mut self, _: &Sitting, _: &Given) -> Result<String, String> {
        Ok("nowhere".to_owned())
    }

    fn date(&self) -> String {
        "2026-03-12T10:21:00Z".to_owned()
    }
}
