//! From a file's ticks to time, exactly: one division of whole numbers at the end, no sums of
//! rounded steps.

use super::Error;
use crate::time::Time;

/// Microseconds a quarter note lasts until a file says otherwise (Standard MIDI Files 1.0).
const TEMPO: u128 = 500_000;

/// How long a file's ticks are, as its header says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Division {
    /// Ticks to the quarter note; their length follows the tempo.
    Quarter(u16),
    /// Ticks of one length, whatever the tempo.
    Second {
        /// This many ticks
        ticks: u32,
        /// last this many seconds.
        seconds: u32,
    },
}

impl Division {
    /// Understands the last two bytes of the header.
    pub(super) fn new(raw: u16) -> Result<Self, Error> {
        let [high, low] = raw.to_be_bytes();

        if high < 0x80 {
            return match raw {
                0 => Err(Error::Division { division: raw }),
                _ => Ok(Self::Quarter(raw)),
            };
        }

        // The upper byte is the frames a second, negative in two's complement. 29 stands for the
        // drop-frame rate of 30000/1001.
        let (frames, seconds) = match high.wrapping_neg() {
            29 => (30_000, 1_001),
            rate @ (24 | 25 | 30) => (u32::from(rate), 1),
            found => return Err(Error::Frames { found }),
        };

        match low {
            0 => Err(Error::Division { division: raw }),
            _ => Ok(Self::Second {
                ticks: frames * u32::from(low),
                seconds,
            }),
        }
    }
}

/// Turns ticks since the start into time.
#[derive(Debug)]
pub(super) struct Clock {
    /// Spans of even ticks, the first at tick 0.
    spans: Vec<Span>,
    /// How many of the spans' units make a tenth of a millisecond.
    units: u128,
}

/// Ticks of one length.
#[derive(Debug)]
struct Span {
    /// The first tick.
    tick: u64,
    /// Units from the start of the file to the first tick.
    start: u128,
    /// Units a tick.
    length: u128,
}

impl Clock {
    /// Makes the clock of a file from its tempo changes: tick, microseconds a quarter note. At
    /// one tick the last change counts. Ticks of fixed length do not heed them.
    pub(super) fn new(division: Division, mut tempos: Vec<(u64, u32)>) -> Self {
        match division {
            Division::Second { ticks, seconds } => {
                let length = u128::from(seconds) * 10_000;

                Self {
                    spans: vec![Span {
                        tick: 0,
                        start: 0,
                        length,
                    }],
                    units: ticks.into(),
                }
            }
            Division::Quarter(ticks) => {
                tempos.sort_by_key(|&(tick, _)| tick);

                let mut spans = Vec::with_capacity(tempos.len() + 1);
                let mut last = (0, 0, TEMPO);
                for (tick, tempo) in tempos {
                    let (before, start, length) = last;
                    spans.push(Span {
                        tick: before,
                        start,
                        length,
                    });
                    last = (
                        tick,
                        start + u128::from(tick - before) * length,
                        tempo.into(),
                    );
                }
                spans.push(Span {
                    tick: last.0,
                    start: last.1,
                    length: last.2,
                });

                // A unit is a microsecond over the ticks of a quarter note.
                Self {
                    spans,
                    units: u128::from(ticks) * 100,
                }
            }
        }
    }

    /// Returns the time of a tick, to the nearest tenth of a millisecond, halves upwards; or the
    /// whole hours where it is later than `longest`.
    pub(super) fn at(&self, tick: u64, longest: Time) -> Result<Time, u64> {
        let after = self.spans.partition_point(|span| span.tick <= tick);
        let span = &self.spans[after.saturating_sub(1)];
        let units = span.start + u128::from(tick.saturating_sub(span.tick)) * span.length;
        let tenths = (2 * units + self.units) / (2 * self.units);

        i64::try_from(tenths)
            .ok()
            .map(Time::from_tenths)
            .filter(|&time| time <= longest)
            .ok_or_else(|| u64::try_from(tenths / 36_000_000).unwrap_or(u64::MAX))
    }
}
