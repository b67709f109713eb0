//! Sheets of real sittings.
