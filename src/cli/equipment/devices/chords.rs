//! What a keyboard tells, as lines for a teacher: chord by chord, with names, touch and spread.

use crate::instruments::keyboard::{Event, Fact, Kind, Touch};
use crate::theory::pitch::Pitch;
use crate::theory::{Key, Name};
use crate::time::Time;

/// A chord is complete for the eye when no key was struck for so long. Hands that mean a chord to
/// be together are within 80 ms (common practice, no source).
pub(super) const GATHER: Time = Time::from_ms(150);

/// The pedal's value from which it is down (MIDI 1.0 Detailed Specification, control change 64).
const PEDAL_DOWN: u8 = 64;

/// A line to be shown.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Line {
    /// When what it tells of happened; of a chord, its last strike.
    pub(super) at: Time,
    /// Whether it tells of what was played; such a line does not name the instrument.
    pub(super) is_played: bool,
    pub(super) text: String,
}

/// A key that is down.
#[derive(Debug, Clone, Copy)]
struct Down {
    key: Key,
    velocity: u8,
    at: Time,
}

/// Gathers keys to chords.
#[derive(Debug, Clone)]
pub(super) struct Chords {
    kind: Kind,
    down: Vec<Down>,
    /// When a key was last struck that no line has told of.
    fresh: Option<Time>,
    pedal: bool,
}

impl Chords {
    pub(super) const fn new(kind: Kind) -> Self {
        Self {
            kind,
            down: Vec::new(),
            fresh: None,
            pedal: false,
        }
    }

    /// Takes an event in, and returns the lines that it gives.
    pub(super) fn take(&mut self, event: &Event) -> Vec<Line> {
        let mut lines = Vec::new();
        let played = |text: String| Line {
            at: event.at,
            is_played: true,
            text,
        };

        match &event.fact {
            Fact::Touched(Touch::Down { key, velocity }) => {
                // A key struck anew begins a chord of its own, however soon it comes.
                let is_again = self.down.iter().any(|down| down.key == *key);
                lines.extend(if is_again {
                    self.chord()
                } else {
                    self.settle(event.at)
                });
                self.down.retain(|down| down.key != *key);
                self.down.push(Down {
                    key: *key,
                    velocity: *velocity,
                    at: event.at,
                });
                self.fresh = Some(event.at);
            }
            Fact::Touched(Touch::Up { key }) => {
                lines.extend(self.chord());
                self.down.retain(|down| down.key != *key);
            }
            Fact::Touched(Touch::Pedal(value)) => {
                let pedal = *value >= PEDAL_DOWN;
                if pedal != self.pedal {
                    self.pedal = pedal;
                    lines.push(played(format!(
                        "Pedal {}",
                        if pedal { "down" } else { "up" }
                    )));
                }
            }
            other => {
                lines.extend(self.chord());
                lines.push(Line {
                    is_played: false,
                    ..played(words(other))
                });
            }
        }

        lines
    }

    /// Returns the chord that is complete by now, if there is one that no line has told of.
    pub(super) fn settle(&mut self, now: Time) -> Option<Line> {
        let fresh = self.fresh?;

        if now - fresh < GATHER {
            None
        } else {
            self.chord()
        }
    }

    /// Returns what is down, if no line has told of it.
    pub(super) fn chord(&mut self) -> Option<Line> {
        let at = self.fresh.take()?;
        let mut keys = self.down.clone();
        keys.sort_by_key(|down| down.key);
        let names: Vec<String> = keys
            .iter()
            .map(|down| format!("{} ({})", both_names(down.key), down.velocity))
            .collect();
        let mut text = names.join("  ");

        let first = keys.iter().map(|down| down.at).min()?;
        let last = keys.iter().map(|down| down.at).max()?;
        if keys.len() > 1 && self.kind.has_spread() {
            text += &format!("   spread {} ms", last - first);
        }

        Some(Line {
            at,
            is_played: true,
            text,
        })
    }
}

/// Names a key as it may be spelled: `C4`, `C♯4/D♭4`.
fn both_names(key: Key) -> String {
    let flat = Name::plain(key.class());
    let sharp = Name::new(flat.letter().up(6), 1);

    match sharp.and_then(|sharp| Pitch::new(sharp, key)) {
        Some(sharp) if flat.accidental() != 0 => format!("{sharp}/{}", key.flat_name()),
        _ => key.flat_name(),
    }
}

/// What came or went.
fn words(fact: &Fact) -> String {
    match fact {
        Fact::Touched(_) => String::new(),
        Fact::Found { name } => format!("{name} is there. Please play."),
        Fact::Lost { name } => {
            format!("{name} is gone. Check its cable and its power; it is found again by itself.")
        }
        Fact::Silent { name } => {
            format!("{name} is not heard any more. Check the cable between it and its interface.")
        }
        Fact::Missed(count) => {
            format!("{count} messages came too fast to be kept. What is shown may be wrong.")
        }
        Fact::ServerGone => {
            "This computer's MIDI service does not run. Keyboards are heard as soon as it does."
                .to_owned()
        }
        Fact::ServerBack => "This computer's MIDI service runs again.".to_owned(),
    }
}
