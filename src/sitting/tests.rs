//! Sittings driven by hand: what happens when.
