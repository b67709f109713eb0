//! A performance stored as a Standard MIDI File, read and written.
