//! A candidate who learns.
