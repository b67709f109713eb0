//! Whether the computer's MIDI service lives, under one lock for all who use it.
//!
//! When a JACK server dies its clients see nothing of it: lists stay as they were and events stop.
//! The next client that is made has the JACK library free all clients of the dead server, whoever
//! still holds them; to list by such a client or to drop it is then the end of the program.
//! Therefore one client is kept that does nothing but ask the server its own name. It is asked
//! before any other is made or used, and when there is no answer a new *age* begins: what was made
//! in an earlier age is forgotten without being dropped, and the library frees it.
//!
//! A client must not come and go for this either. A server tells an instrument that is just
//! starting nothing of a client that leaves in that moment, and the instrument then goes on waking
//! the client that has gone in place of the one that came after it: it would never be heard.
//!
//! On other systems the service lives as long as the computer, and nothing of this is needed.

use std::sync::{Mutex, MutexGuard, PoisonError};

use midir::MidiInput;

/// The name that other programs see.
pub(super) const CLIENT: &str = "viva-voicing";

/// The service is not there, or is no longer the one that was spoken to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Gone;

static SERVICE: Mutex<Service> = Mutex::new(Service {
    sentinel: None,
    age: 0,
});

/// The service, as long as nobody else uses it.
pub(super) struct Service {
    sentinel: Option<Sentinel>,
    /// How often the service has died.
    age: u64,
}

impl Service {
    /// Takes the lock under which clients are made, used and dropped.
    pub(super) fn lock() -> MutexGuard<'static, Self> {
        // Should a thread have died with the lock, the sentinel still tells the truth.
        SERVICE.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Makes sure that the service lives, and returns its age.
    pub(super) fn age(&mut self) -> Result<u64, Gone> {
        match &self.sentinel {
            Some(sentinel) if sentinel.is_answered() => Ok(self.age),
            Some(_) => Err(self.died()),
            None => {
                self.sentinel = Some(Sentinel::new()?);
                Ok(self.age)
            }
        }
    }

    /// Makes a client, right after the service was seen alive.
    pub(super) fn client(&mut self) -> Result<MidiInput, Gone> {
        MidiInput::new(CLIENT).map_err(|_| self.died())
    }

    /// Begins a new age.
    fn died(&mut self) -> Gone {
        if let Some(sentinel) = self.sentinel.take() {
            sentinel.forget();
        }
        self.age += 1;

        Gone
    }
}

/// The client that asks whether the server is there.
#[cfg(feature = "jack")]
struct Sentinel {
    client: jack::Client,
    uuid: String,
}

#[cfg(feature = "jack")]
impl Sentinel {
    fn new() -> Result<Self, Gone> {
        // The library would write to standard error at each try.
        jack::set_logger(jack::LoggerType::None);
        let options = jack::ClientOptions::NO_START_SERVER;
        let (client, _) = jack::Client::new(CLIENT, options).map_err(|_| Gone)?;
        let uuid = client.uuid_string();

        Ok(Self { client, uuid })
    }

    fn is_answered(&self) -> bool {
        self.client.name_by_uuid_str(&self.uuid).is_some()
    }

    fn forget(self) {
        std::mem::forget(self);
    }
}

/// Nothing to ask: the service lives as long as the computer.
#[cfg(not(feature = "jack"))]
struct Sentinel;

#[cfg(not(feature = "jack"))]
impl Sentinel {
    fn new() -> Result<Self, Gone> {
        // Where Linux has no sequencer, the sound library would write to standard error at each
        // try to open it.
        let is_missing =
            cfg!(target_os = "linux") && !std::path::Path::new("/dev/snd/seq").exists();

        if is_missing { Err(Gone) } else { Ok(Self) }
    }

    const fn is_answered(&self) -> bool {
        true
    }

    const fn forget(self) {}
}
