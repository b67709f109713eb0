//! Distances of engraving, in staff spaces unless it says otherwise.
//!
//! Thicknesses are Bravura's own (`engravingDefaults` in the metadata that comes with the font, as
//! SMuFL 1.40 describes them); what lies between signs is this project's page design, which a
//! comment says where it is not.

/// The size of the music font: by SMuFL four staff spaces are one em.
pub const MUSIC_SIZE: f32 = 4.0;
/// `staffLineThickness`.
pub const STAFF_LINE: f32 = 0.13;
/// `legerLineThickness`.
pub const LEDGER_LINE: f32 = 0.16;
/// `legerLineExtension`: how far a ledger line reaches past the head.
pub const LEDGER_EXTENSION: f32 = 0.4;
/// How far it reaches where an accidental stands beside it.
pub const LEDGER_BESIDE_ACCIDENTAL: f32 = 0.2;
/// `thinBarlineThickness`.
pub const BAR_LINE: f32 = 0.16;
/// `thickBarlineThickness`.
pub const THICK_BAR_LINE: f32 = 0.5;
/// `barlineSeparation`.
pub const BAR_LINE_APART: f32 = 0.4;
/// `octaveLineThickness`.
pub const OCTAVE_LINE: f32 = 0.16;
/// The height of a staff.
pub const STAFF: f32 = 4.0;
/// From the bottom line of the upper staff to the top line of the lower one, at least.
pub const BETWEEN_STAVES: f32 = 7.0;
/// From the start of the staff to its clef.
pub const CLEF: f32 = 0.8;
/// From a clef to what comes next.
pub const AFTER_CLEF: f32 = 0.7;
/// From an accidental to the head at its right.
pub const ACCIDENTAL_TO_HEAD: f32 = 0.36;
/// From an accidental to the accidental at its right.
pub const ACCIDENTAL_APART: f32 = 0.14;
/// How much two heads a second apart overlap from side to side, so that they hold together.
pub const HEADS_OVERLAP: f32 = 0.1;
/// The brace's width as a share of what its height would give it.
pub const BRACE_STRETCH: f32 = 0.72;
/// From the brace to the staff.
pub const BRACE_APART: f32 = 0.3;
/// The width of a staff on the pages of feedback.
pub const WIDTH: f32 = 19.2;
/// Where a lone chord stands, as a share of the room behind the clef.
pub const AXIS: f32 = 0.58;
/// Ledger lines beyond which notes are written an octave nearer: common practice, no source for
/// the number.
pub const MOST_LEDGERS: i32 = 3;

/// The nominal ascent of the text font as a share of its size: room for ascenders and raised signs.
pub const ASCENT: f32 = 0.76;
/// The nominal descent of the text font as a share of its size: room for a bracket or a p.
pub const DESCENT: f32 = 0.28;
