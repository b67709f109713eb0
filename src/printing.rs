//! Pages on paper: what is written where, what it means to those who hear it, and the PDF.
//!
//! A [`page::Document`] is pure data, as the kiosk's sheets are: marks in places and a tree of what
//! they mean. [`pdf`] paints it; nothing else knows the format. Lengths are CSS pixels (1/96 inch).
#![deny(clippy::disallowed_methods)]

pub mod answers;
pub mod class;
mod columns;
pub mod form;
pub mod head;
pub mod musicxml;
pub mod page;
pub mod pdf;
mod plan;
pub mod sheet;
pub mod slips;
pub mod table;
mod text;
pub mod words;
pub mod writer;

#[cfg(test)]
mod tests;
