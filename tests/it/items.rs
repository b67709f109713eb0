//! The pages of items at the keyboard, headless: by what they say, by action, and by their bounds.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod bounds;
mod graded;

mod practice;
mod scripts;
pub(crate) mod stand;
