//! Viva Voicing: timed ear-and-hand practice exams for jazz piano.
//!
//! Arrows of use: [`theory`] ← [`exam`] ← [`marking`] ← [`sitting`] ← [`results`], with [`time`]
//! and [`fraction`] below them all; [`cohort`] puts many results side by side, [`dataset`] makes
//! tables of them for other engines, [`practise`] draws a practice paper from one candidate's. These modules are pure: time, chance and files come in as
//! arguments. [`engraving`] draws what [`theory`] knows, [`printing`] puts it on paper.
//! [`instruments`] turns devices and performance files into events, [`settings`] a room's settings
//! file into what it says, [`room`] ties instruments to a sitting; [`cli`] alone touches disk, clock
//! and terminal.

pub mod cli;
pub mod cohort;
pub mod dataset;
pub mod engraving;
pub mod exam;
pub mod fraction;
pub mod instruments;
pub mod kiosk;
pub mod marking;
pub mod practise;
pub mod printing;
pub mod results;
pub mod room;
pub mod settings;
pub mod sitting;
pub mod theory;
pub mod time;
