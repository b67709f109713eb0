//! How loud, in steps that sound alike.

/// How loud, from 0 (silent) to 10 (as rendered), set once in the level check.
///
/// A step is 4 dB, four times the least difference a listener tells, so that each step is heard
/// and ten of them span what a room needs (common practice, no source).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Level(u8);

/// What a step is worth, in dB.
const STEP_DB: f64 = 4.0;

impl Level {
    /// Nothing is heard.
    pub const SILENT: Self = Self(0);
    /// Where every sitting begins: 28 dB below full, so that no first sound startles.
    pub const START: Self = Self(3);
    /// As rendered, sample for sample.
    pub const FULL: Self = Self(10);

    /// Makes a level, or `None` above 10.
    pub const fn new(step: u8) -> Option<Self> {
        if step <= Self::FULL.0 {
            Some(Self(step))
        } else {
            None
        }
    }

    /// Returns the step, 0–10.
    pub const fn step(self) -> u8 {
        self.0
    }

    /// One step louder, up to full.
    pub const fn louder(self) -> Self {
        Self(if self.0 < Self::FULL.0 {
            self.0 + 1
        } else {
            self.0
        })
    }

    /// One step softer, down to silent.
    pub const fn softer(self) -> Self {
        Self(self.0.saturating_sub(1))
    }

    /// Returns dB below full, 0 at the top; `None` when silent.
    pub fn db(self) -> Option<f64> {
        (self != Self::SILENT).then(|| STEP_DB * (f64::from(self.0) - f64::from(Self::FULL.0)))
    }

    /// Returns the factor of amplitude, exactly 1 at full and exactly 0 when silent.
    pub fn factor(self) -> f32 {
        self.db().map_or(0.0, |db| 10_f64.powf(db / 20.0) as f32)
    }
}

/// A sitting begins soft.
impl Default for Level {
    fn default() -> Self {
        Self::START
    }
}
