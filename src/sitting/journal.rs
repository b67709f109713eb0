//! The append-only record of a sitting: one event a line, chained and synced.
