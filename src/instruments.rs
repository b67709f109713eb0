//! Where events come from: devices and performance files.

pub mod computer;
pub mod fake_keyboard;
pub mod keyboard;
#[cfg(feature = "kiosk")]
pub mod midi;
pub mod performance;
pub mod piano;
pub mod player;
