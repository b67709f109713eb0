//! Pages on paper: what is written where, what it means to those who hear it, and the PDF.
//!
//! A [`page::Document`] is pure data, as the kiosk's sheets are: marks in places and a tree of what
//! they mean. [`pdf`] paints it; nothing else knows the format. Lengths are CSS pixels (1/96 inch).
#![deny(clippy::disallowed_methods)]

pub mod page;
pub mod pdf;
pub mod slips;
pub mod writer;

#[cfg(test)]
mod tests;
