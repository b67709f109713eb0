//! What the room wants of loudspeakers, whatever is below: clips and touches in, facts out.

#![deny(clippy::disallowed_methods)]

mod clip;
mod lag;
mod level;

#[cfg(test)]
mod tests;

use super::keyboard::Touch;
use crate::time::Time;

pub use clip::{CEILING, Clip, RATE, frames};
pub use lag::{Lag, delay, tap_along};
pub use level::Level;

/// How long a clip takes to fall silent after [`Speaker::stop`]: short enough to be at once, long
/// enough not to click.
pub const FADE: Time = Time::from_ms(10);

/// Something that sounds clips, one at a time.
///
/// Times are the room's: the caller reads its own clock and hands the reading in as `now`, which
/// never goes backwards. Ask [`poll`](Self::poll) often, every 20 ms or so; no method waits for a
/// device.
pub trait Speaker {
    /// Sounds a clip as soon as can be. A clip that still sounds fades out below it, and none of
    /// its facts are told any more.
    ///
    /// # Errors
    ///
    /// When there is no device, in words for the person in the room.
    fn play(&mut self, clip: &Clip, now: Time) -> Result<(), Error>;

    /// Fades out what sounds within [`FADE`]; silence follows, and [`Fact::Ended`] tells when.
    fn stop(&mut self);

    /// Tells what has happened up to `now`, in order.
    fn poll(&mut self, now: Time) -> Vec<Fact>;

    /// Sets the level, without a click even in the middle of a clip.
    fn set_level(&mut self, level: Level);

    /// Switches monitoring: while it is on, the program sounds the keyboard for an instrument that
    /// makes no sound of its own. Off at first; switching it off silences all keys. It stays off
    /// where the speaker was not opened for it, or with a SoundFont that turned out to be damaged.
    fn set_monitoring(&mut self, on: bool);

    /// Whether the keyboard is monitored. It stays so while the device is gone; the one found again
    /// begins with no key down.
    fn is_monitoring(&self) -> bool;

    /// Sounds a touch at once, at the level set, below what else sounds; nothing where monitoring
    /// is off or the device gone. Hand each touch on as soon as it is known: what the room waits
    /// adds to [`monitoring_latency`](Self::monitoring_latency).
    fn monitor(&mut self, touch: Touch);

    /// Silences all monitored keys within [`FADE`], the pedal up; clips sound on.
    fn hush(&mut self);

    /// How long a touch takes at most from [`monitor`](Self::monitor) until it is heard, as the
    /// device states it: one buffer, since it waits for the device's next call, and
    /// [`latency`](Self::latency). `None` while monitoring is off or the device states nothing.
    fn monitoring_latency(&self) -> Option<Time>;

    /// How long a frame handed over takes until it is heard, as the device states it; `None`
    /// while it states nothing.
    fn latency(&self) -> Option<Time>;

    /// The device's name in words, the last one known while it is gone.
    fn name(&self) -> String;

    /// Whether there is a device to sound.
    fn is_there(&self) -> bool;
}

/// What happened to a clip or to the device.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Fact {
    /// The clip's first frame was heard.
    Started {
        /// When, to within one buffer of the device.
        at: Time,
    },
    /// The clip's last frame, or the fade after a stop, was heard; silence since.
    Ended {
        /// When, to within one buffer of the device.
        at: Time,
    },
    /// The device is gone, once for each loss; a clip that sounded will tell no more.
    Lost {
        /// Its name in words.
        name: String,
    },
    /// The device, or the one that stands in for it, is there again, ready to play.
    Found {
        /// Its name in words.
        name: String,
    },
}

/// Why nothing sounds.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Error {
    /// There is no sound output at all.
    #[error(
        "expected a sound output, found none; plug in loudspeakers or headphones, see that the \
         sound service of this computer runs, and try again"
    )]
    None,
    /// There are sound outputs, but not the one asked for.
    #[error(
        "expected the sound output `{wanted}`, found {}; plug it in or name another",
        listed(.found)
    )]
    Missing {
        /// The name asked for.
        wanted: String,
        /// The names there are.
        found: Vec<String>,
    },
    /// The device is there but cannot be used.
    #[error(
        "expected the sound output `{name}` to open, found that it does not: {reason}; close other \
         programs that use it, or name another"
    )]
    Refused {
        /// Its name in words.
        name: String,
        /// What the system says.
        reason: String,
    },
    /// The device was there and has gone.
    #[error(
        "expected the sound output `{name}`, found that it is gone; plug it in again or restart \
         the sound service, and it will be found by itself"
    )]
    Gone {
        /// Its name in words.
        name: String,
    },
}

fn listed(names: &[String]) -> String {
    match names {
        [] => "no other".to_owned(),
        names => names
            .iter()
            .map(|name| format!("`{name}`"))
            .collect::<Vec<_>>()
            .join(", "),
    }
}
