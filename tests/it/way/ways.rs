//! Ways through.
