//! Lists and opens inputs by the MIDI library.

use std::fmt;
use std::mem;
use std::sync::MutexGuard;
use std::time::Instant;

use midir::{MidiInput, MidiInputConnection};

use super::super::keyboard::Input;
use super::queue::{Outlet, Source};
use super::service::{Gone, Service};

/// What the follower needs of a MIDI library.
pub(super) trait Driver {
    /// Lists the inputs. Where the service is gone, all that was open is closed.
    fn inputs(&mut self) -> Result<Vec<Input>, Gone>;

    /// Opens an input; `false` where it does not open now.
    fn open(&mut self, input: &Input, source: Source, outlet: &Outlet) -> Result<bool, Gone>;

    /// Closes an input that was opened.
    fn close(&mut self, id: &str) -> Result<(), Gone>;
}

/// MIDI by midir. No client is used or dropped before its age is known to be the service's.
#[derive(Default)]
pub(super) struct Midir {
    /// The client that lists; made as soon as it is needed.
    watch: Option<MidiInput>,
    /// What is open, by its id.
    links: Vec<(String, MidiInputConnection<()>)>,
    /// The service's age in which they were made.
    age: u64,
}

impl Midir {
    pub(super) fn new() -> Self {
        Self::default()
    }

    /// Takes the service, if it is the one in which our clients were made.
    fn service(&mut self) -> Result<MutexGuard<'static, Service>, Gone> {
        let mut service = Service::lock();
        let age = service.age().inspect_err(|_| self.forget())?;

        if self.age != age {
            let is_new = self.watch.is_none() && self.links.is_empty();
            self.forget();
            self.age = age;
            if !is_new {
                return Err(Gone);
            }
        }

        Ok(service)
    }

    /// Forgets what belongs to a service that is gone; the library has freed it, or will.
    fn forget(&mut self) {
        mem::forget(self.watch.take());
        self.links.drain(..).for_each(mem::forget);
    }

    /// Returns the client that lists.
    fn watch(&mut self, service: &mut Service) -> Result<&MidiInput, Gone> {
        let watch = match self.watch.take() {
            Some(watch) => watch,
            None => service.client().inspect_err(|_| self.forget())?,
        };

        Ok(self.watch.insert(watch))
    }
}

impl Driver for Midir {
    fn inputs(&mut self) -> Result<Vec<Input>, Gone> {
        let mut service = self.service()?;
        let watch = self.watch(&mut service)?;

        Ok(watch
            .ports()
            .iter()
            .filter_map(|port| Some(Input::new(port.id(), &watch.port_name(port).ok()?)))
            .collect())
    }

    fn open(&mut self, input: &Input, source: Source, outlet: &Outlet) -> Result<bool, Gone> {
        let mut service = self.service()?;
        let _ = self.watch(&mut service)?;
        let outlet = outlet.clone();
        let callback = move |driver_us: u64, bytes: &[u8], (): &mut ()| {
            outlet.put(source, Instant::now(), driver_us, bytes);
        };

        // The client that lists becomes the link's: the instrument has known it since it came. It
        // looks the port up again immediately before, and a failure is dropped at once, because
        // the JACK back end uses freed memory for as long as a failed connection lives.
        let connection = self.watch.take().and_then(|client| {
            let port = client.find_port_by_id(&input.id)?;
            client.connect(&port, "keys", callback, ()).ok()
        });

        Ok(match connection {
            Some(connection) => {
                self.links.push((input.id.clone(), connection));
                true
            }
            None => false,
        })
    }

    fn close(&mut self, id: &str) -> Result<(), Gone> {
        let _service = self.service()?;
        self.links.retain(|(open, _)| open != id);

        Ok(())
    }
}

impl Drop for Midir {
    fn drop(&mut self) {
        // Under the lock, lest another makes a client meanwhile; where the service is gone, all has
        // been forgotten by now.
        if let Ok(_service) = self.service() {
            self.links.clear();
            self.watch = None;
        }
    }
}

impl fmt::Debug for Midir {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Midir")
            .field("links", &self.links.len())
            .finish_non_exhaustive()
    }
}
