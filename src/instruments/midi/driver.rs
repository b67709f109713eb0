//! The one place that knows the MIDI library.
//!
//! # When a JACK server dies
//!
//! Its clients see nothing of it: lists stay as they were and events stop. Only a new client finds
//! out; but in making one, the JACK library frees all clients of the dead server, whoever still
//! holds them. To list by such a client or to drop it is then the end of the program. Therefore:
//!
//! - every client is made under one lock, and counted;
//! - a link is dropped only after a client made just before has seen the link's own port: then the
//!   server has been the same all along, and nothing has been freed;
//! - the client that lists is newer than every link, so that the same look vouches for it;
//! - what nobody can vouch for is forgotten without being dropped. That leaks, once a death.
//!
//! On other systems the service lives as long as the computer, and nothing of this is done.

use std::fmt;
use std::mem;
use std::path::Path;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::Instant;

use midir::{Ignore, MidiInput, MidiInputConnection, MidiOutput};

use super::super::keyboard::Input;
use super::queue::{Outlet, Source};

/// The name that other programs see.
const CLIENT: &str = "viva-voicing";
/// Where Linux has its sequencer.
const SEQUENCER: &str = "/dev/snd/seq";

/// The service is not there, or is no longer the one that was spoken to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Gone;

/// What the follower needs of a MIDI library.
pub(super) trait Driver {
    /// Lists the inputs.
    fn inputs(&mut self) -> Result<Vec<Input>, Gone>;

    /// Opens an input; `false` where it does not open now.
    fn open(&mut self, input: &Input, source: Source, outlet: &Outlet) -> Result<bool, Gone>;

    /// Closes an input that was opened.
    fn close(&mut self, id: &str) -> Result<(), Gone>;

    /// Makes sure that the service is still there.
    fn check(&mut self) -> Result<(), Gone>;
}

/// How many clients were made of which it is not known that they met a server older than they.
static CLIENTS: Mutex<u64> = Mutex::new(0);

/// Numbers our ports, so that no two links of this program vouch for each other.
static PORTS: AtomicU64 = AtomicU64::new(0);

/// An input that is open.
struct Link {
    id: String,
    /// The name of our own port, which no other client has.
    port: String,
    connection: MidiInputConnection<()>,
}

/// MIDI by midir.
#[derive(Default)]
pub(super) struct Midir {
    /// The client that lists.
    watch: Option<MidiInput>,
    links: Vec<Link>,
    /// The count of clients when ours were last vouched for.
    count: u64,
}

/// Takes the lock under which clients are made, used and dropped.
fn clients() -> MutexGuard<'static, u64> {
    // The count is right even if a thread died with the lock.
    CLIENTS.lock().unwrap_or_else(PoisonError::into_inner)
}

impl Midir {
    pub(super) fn new() -> Self {
        #[cfg(feature = "jack")]
        jack::set_logger(jack::LoggerType::None);

        Self::default()
    }

    /// Makes a client. All that was not vouched for afterwards may have been freed.
    fn client(count: &mut u64) -> Result<MidiInput, Gone> {
        // The sound library would write a line to standard error each time.
        let is_alsa = cfg!(all(target_os = "linux", not(feature = "jack")));
        if is_alsa && !Path::new(SEQUENCER).exists() {
            return Err(Gone);
        }

        *count += 1;
        let mut client = MidiInput::new(CLIENT).map_err(|_| Gone)?;
        client.ignore(Ignore::None);

        Ok(client)
    }

    /// Forgets everything without dropping it.
    fn forget(&mut self) {
        mem::forget(self.watch.take());
        for link in self.links.drain(..) {
            mem::forget(link);
        }
    }

    /// Makes sure that all clients of this driver belong to a server that lives, or forgets them.
    fn vouch(&mut self, count: &mut u64) -> Result<(), Gone> {
        if !cfg!(feature = "jack") {
            return Ok(());
        }

        if self.links.is_empty() {
            // Without a link nothing vouches for the client that lists: a new one takes its place.
            // The old one can be dropped only before any other was made.
            let watch = self.watch.take();
            if *count != self.count {
                mem::forget(watch);
            } else {
                drop(watch);
            }
            self.watch = Some(Self::client(count)?);
            self.count = *count;

            return Ok(());
        }

        let seen = MidiOutput::new(CLIENT).map(|probe| {
            probe
                .ports()
                .iter()
                .map(midir::MidiOutputPort::id)
                .collect::<Vec<_>>()
        });
        let all = seen.is_ok_and(|seen| {
            self.links
                .iter()
                .all(|link| seen.iter().any(|id| id.ends_with(&link.port)))
        });

        if all {
            self.count = *count;
            return Ok(());
        }

        *count += 1;
        self.forget();

        Err(Gone)
    }

    /// Returns the client that lists, which is alive as far as anybody can know.
    fn watch(&mut self, count: &mut u64) -> Result<&MidiInput, Gone> {
        if cfg!(feature = "jack")
            && *count != self.count
            && (self.watch.is_some() || !self.links.is_empty())
        {
            self.vouch(count)?;
        }

        let watch = match self.watch.take() {
            Some(watch) => watch,
            None => {
                let watch = Self::client(count);
                self.vouch_new(count, watch)?
            }
        };

        Ok(self.watch.insert(watch))
    }

    /// Keeps a client made just now, if the links are still alive; it is newer than they.
    fn vouch_new(
        &mut self,
        count: &mut u64,
        made: Result<MidiInput, Gone>,
    ) -> Result<MidiInput, Gone> {
        let Ok(made) = made else {
            self.forget();
            return Err(Gone);
        };

        if !self.links.is_empty()
            && let Err(gone) = self.vouch(count)
        {
            mem::forget(made);
            return Err(gone);
        }
        self.count = *count;

        Ok(made)
    }
}

impl Driver for Midir {
    fn inputs(&mut self) -> Result<Vec<Input>, Gone> {
        let mut count = clients();
        let watch = self.watch(&mut count)?;

        Ok(watch
            .ports()
            .iter()
            .filter_map(|port| Some(Input::new(port.id(), &watch.port_name(port).ok()?)))
            .collect())
    }

    fn open(&mut self, input: &Input, source: Source, outlet: &Outlet) -> Result<bool, Gone> {
        let mut count = clients();
        let _ = self.watch(&mut count)?;
        let Some(client) = self.watch.take() else {
            return Ok(false);
        };

        let number = PORTS.fetch_add(1, Ordering::Relaxed);
        let port = format!("keys-{}-{number}", std::process::id());
        let outlet = outlet.clone();
        let callback = move |driver_us: u64, bytes: &[u8], (): &mut ()| {
            outlet.put(source, Instant::now(), driver_us, bytes);
        };

        // Looked up again immediately before, and a failure dropped at once: the JACK back end
        // goes on using freed memory for as long as a failed connection lives.
        let opened = client
            .find_port_by_id(&input.id)
            .and_then(|found| client.connect(&found, &port, callback, ()).ok());
        let is_open = opened.is_some();
        if let Some(connection) = opened {
            let id = input.id.clone();
            self.links.push(Link {
                id,
                port,
                connection,
            });
        }

        // The client that lists has become the link's. The next look makes another, which is newer
        // than the link then.
        Ok(is_open)
    }

    fn close(&mut self, id: &str) -> Result<(), Gone> {
        let mut count = clients();
        self.vouch(&mut count)?;

        if let Some(place) = self.links.iter().position(|link| link.id == id) {
            drop(self.links.swap_remove(place).connection.close());
        }

        Ok(())
    }

    fn check(&mut self) -> Result<(), Gone> {
        self.vouch(&mut clients())
    }
}

impl Drop for Midir {
    fn drop(&mut self) {
        let mut count = clients();

        // Without links it is enough that no client was made after the one that lists.
        if cfg!(feature = "jack") && self.links.is_empty() && *count != self.count {
            self.forget();
        } else if self.links.is_empty() || self.vouch(&mut count).is_ok() {
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
