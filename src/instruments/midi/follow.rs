//! Looks through the inputs again and again, opens what is wanted, and tells what comes and goes.

use std::sync::mpsc::Sender;
use std::time::{Duration, Instant};

use super::super::keyboard::{Input, Preference};
use super::driver::Driver;
use super::queue::{Outlet, Source};
use super::service::Gone;

/// How long to wait before the service is looked for again.
pub(super) const RETRY: Duration = Duration::from_millis(500);

/// Something that came or went.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Notice {
    pub(super) at: Instant,
    pub(super) what: What,
}

/// What can come or go.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum What {
    Found(Source, String),
    Lost(Source),
    ServerGone,
    ServerBack,
}

/// Follows the inputs.
#[derive(Debug)]
pub(super) struct Follower<D> {
    driver: D,
    preference: Preference,
    outlet: Outlet,
    teller: Sender<Notice>,
    open: Vec<(Source, Input)>,
    /// What was opened last, which is preferred when it is back.
    last: Option<Input>,
    sources: Source,
    /// When the service may be looked for again, if it is gone.
    gone: Option<Instant>,
}

impl<D: Driver> Follower<D> {
    pub(super) const fn new(
        driver: D,
        preference: Preference,
        outlet: Outlet,
        teller: Sender<Notice>,
    ) -> Self {
        Self {
            driver,
            preference,
            outlet,
            teller,
            open: Vec::new(),
            last: None,
            sources: 0,
            gone: None,
        }
    }

    /// Looks once.
    pub(super) fn look(&mut self, now: Instant) {
        if self.gone.is_some_and(|retry| now < retry) {
            return;
        }

        if self.look_through(now).is_err() {
            if self.gone.is_none() {
                self.tell(now, What::ServerGone);
            }
            self.gone = Some(now + RETRY);
            self.open.clear();
        }
    }

    fn look_through(&mut self, now: Instant) -> Result<(), Gone> {
        let inputs = self.driver.inputs()?;

        if self.gone.take().is_some() {
            self.tell(now, What::ServerBack);
        }

        self.close_vanished(now, &inputs)?;
        self.open_wanted(now, &inputs)
    }

    fn close_vanished(&mut self, now: Instant, inputs: &[Input]) -> Result<(), Gone> {
        let vanished =
            |(_, input): &(Source, Input)| !inputs.iter().any(|other| other.id == input.id);

        while let Some(place) = self.open.iter().position(vanished) {
            let (source, input) = self.open.remove(place);
            // Closed before it is told: on JACK an instrument that comes back while its old link
            // is leaving is not heard.
            let closed = self.driver.close(&input.id);
            self.tell(now, What::Lost(source));
            closed?;
        }

        Ok(())
    }

    fn open_wanted(&mut self, now: Instant, inputs: &[Input]) -> Result<(), Gone> {
        // An instrument that is being played is not changed for another.
        if !self.preference.merge && !self.open.is_empty() {
            return Ok(());
        }

        for place in self.preference.choose(inputs, self.last.as_ref()) {
            let input = &inputs[place];
            if self.open.iter().any(|(_, open)| open.id == input.id) {
                continue;
            }

            let source = self.sources + 1;
            if self.driver.open(input, source, &self.outlet)? {
                self.sources = source;
                self.open.push((source, input.clone()));
                self.last = Some(input.clone());
                self.tell(now, What::Found(source, input.name.clone()));
            }
        }

        Ok(())
    }

    fn tell(&self, at: Instant, what: What) {
        // Nobody listens any more when the keyboard has been given up; the thread then ends.
        drop(self.teller.send(Notice { at, what }));
    }
}
