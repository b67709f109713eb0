//! What a sitting leaves behind: one sealed, self-contained file.
#![deny(clippy::disallowed_methods)]

pub mod advice;
pub mod by_hand;
pub mod document;
pub mod seal;
pub mod signature;
pub mod summary;
