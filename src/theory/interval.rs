//! Intervals as they are named by ear, from unison to octave.

/// An interval of 1 to 12 semitones by its usual name.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Interval(u8);

const NAMES: [(&str, &str); 12] = [
    ("m2", "minor second"),
    ("M2", "major second"),
    ("m3", "minor third"),
    ("M3", "major third"),
    ("P4", "perfect fourth"),
    ("TT", "tritone"),
    ("P5", "perfect fifth"),
    ("m6", "minor sixth"),
    ("M6", "major sixth"),
    ("m7", "minor seventh"),
    ("M7", "major seventh"),
    ("P8", "octave"),
];

/// The lowest bottom notes of intervals, in MIDI keys, from the second to the octave.
///
/// Sources differ by up to four semitones, so this is for warnings only: arranging handbooks as
/// digested in the project's notes on the trade (Sweetwater glossary; large-ensemble arranging
/// sheet; college arranging handbook, chapter 10).
const LOWEST: [u8; 12] = [52, 51, 48, 46, 46, 47, 34, 41, 41, 41, 41, 0];

impl Interval {
    /// All intervals, smallest first.
    pub fn all() -> impl Iterator<Item = Self> {
        (1..=12).map(Self)
    }

    /// Makes an interval from 1 to 12 semitones.
    pub fn new(semitones: u8) -> Option<Self> {
        (1..=12).contains(&semitones).then_some(Self(semitones))
    }

    /// Reads the short name, such as `m6` or `TT`.
    pub fn parse(text: &str) -> Option<Self> {
        Self::all().find(|interval| interval.short() == text)
    }

    /// Returns the size in semitones.
    pub const fn semitones(self) -> u8 {
        self.0
    }

    /// Returns the short name.
    pub const fn short(self) -> &'static str {
        NAMES[self.0 as usize - 1].0
    }

    /// Returns the name in words.
    pub const fn words(self) -> &'static str {
        NAMES[self.0 as usize - 1].1
    }

    /// Returns the lowest bottom key at which the interval is still clear.
    pub const fn lowest(self) -> u8 {
        LOWEST[self.0 as usize - 1]
    }
}

/// Returns the lowest clear bottom key for two keys a number of semitones apart, compound
/// intervals included; 0 where there is no limit.
pub fn low_limit(semitones: u8) -> u8 {
    match semitones {
        1..=12 => LOWEST[usize::from(semitones) - 1],
        13 => 40,
        14 => 39,
        15 => 36,
        16 => 34,
        _ => 0,
    }
}

/// Returns how a root moves in words, from one pitch class to another by the shorter way.
pub fn root_motion(from: u8, to: u8) -> &'static str {
    match (to % 12 + 12 - from % 12) % 12 {
        0 => "stays",
        1 => "up a semitone",
        2 => "up a tone",
        3 => "up a minor third",
        4 => "up a major third",
        5 => "up a fourth",
        6 => "a tritone",
        7 => "down a fourth",
        8 => "down a major third",
        9 => "down a minor third",
        10 => "down a tone",
        _ => "down a semitone",
    }
}
