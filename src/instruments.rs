//! Where events come from and sound goes to: devices and performance files.

pub mod fake_speaker;
pub mod metronome;
pub mod performance;
pub mod piano;
#[cfg(feature = "kiosk")]
pub mod playback;
pub mod speaker;
