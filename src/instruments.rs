//! Where events come from and sound goes to: devices and performance files.

pub mod computer;
pub mod fake_keyboard;
pub mod fake_speaker;
pub mod keyboard;
pub mod metronome;
#[cfg(feature = "kiosk")]
pub mod midi;
pub mod performance;
pub mod piano;
#[cfg(feature = "kiosk")]
pub mod playback;
pub mod player;
pub mod speaker;
