//! Where events come from: devices and performance files.

pub mod performance;
pub mod piano;
