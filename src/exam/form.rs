//! A form: the concrete items that one candidate is asked.

use std::sync::Arc;

use super::code::Code;
use super::script::{Ask, Pace};
use super::sound::Sound;
use crate::theory::voicing::{Hands, Voicing};
use crate::theory::{Chord, Degree, Name};
use crate::time::Time;

/// The version of the drawing: raised whenever the same code would give other items.
pub const GENERATOR: u32 = 1;

/// A drawn form.
#[derive(Debug, Clone, PartialEq)]
pub struct Form {
    /// Its code.
    pub code: Code,
    /// The items in the order asked, numbered from 1.
    pub items: Vec<Item>,
    /// Spare items, numbered on from the last item.
    pub reserve: Vec<Item>,
    /// Unmarked items, with number 0.
    pub warm_ups: Vec<Item>,
}

impl Form {
    /// Returns an item or a spare one by its number.
    pub fn item(&self, number: u32) -> Option<&Item> {
        self.items
            .iter()
            .chain(&self.reserve)
            .find(|item| item.number == number)
    }
}

/// One thing asked.
#[derive(Debug, Clone, PartialEq)]
pub struct Item {
    /// Its number: from 1, unique in the form.
    pub number: u32,
    /// The section, counted from 0 in the script.
    pub section: usize,
    /// The cell of the section, counted from 0.
    pub cell: usize,
    /// The prompt as shown.
    pub prompt: String,
    /// What is to be done.
    pub task: Task,
}

/// What is to be done. The forms of a set share what is the same in them.
#[derive(Debug, Clone, PartialEq)]
pub enum Task {
    /// Play one voicing.
    Voicing(Arc<VoicingTask>),
    /// Play a line.
    Run(Arc<RunTask>),
    /// Name what was heard.
    Ear(EarTask),
    /// Spell a chord.
    Spell(Arc<SpellTask>),
    /// Wait for a person's mark.
    Panel(PanelTask),
}

impl Task {
    /// Returns the word that files use.
    pub const fn word(&self) -> &'static str {
        match self {
            Self::Voicing(_) => "voicing",
            Self::Run(_) => "run",
            Self::Ear(_) => "ear",
            Self::Spell(_) => "spell",
            Self::Panel(_) => "panel",
        }
    }

    /// Returns the time limit; for a run that of the whole run.
    pub fn limit(&self) -> Time {
        match self {
            Self::Voicing(task) => task.limit,
            Self::Run(task) => task.timing(100).end,
            Self::Ear(task) => task.limit,
            Self::Spell(task) => task.limit,
            Self::Panel(_) => Time::ZERO,
        }
    }

    /// Tells whether a bass sounds under what hands play.
    pub fn has_bass(&self) -> bool {
        match self {
            Self::Voicing(task) => task.with_bass,
            Self::Run(task) => task.with_bass,
            _ => false,
        }
    }

    /// Tells whether it is answered at the keyboard.
    pub fn for_hands(&self) -> bool {
        match self {
            Self::Voicing(_) | Self::Run(_) => true,
            Self::Ear(task) => task.is_played(),
            Self::Spell(_) | Self::Panel(_) => false,
        }
    }

    /// Returns the pitch class that the next item is not to lead on from, where there is one.
    pub fn root(&self) -> Option<u8> {
        match self {
            Self::Voicing(task) => Some(task.chord.root.class()),
            Self::Run(task) => task.chords.last().map(|placed| placed.chord.root.class()),
            Self::Ear(task) => Some(task.root),
            // What is written leads nowhere.
            Self::Spell(_) | Self::Panel(_) => None,
        }
    }
}

/// Play one voicing.
#[derive(Debug, Clone, PartialEq)]
pub struct VoicingTask {
    /// The chord.
    pub chord: Chord,
    /// The name of the form of voicing.
    pub form: String,
    /// What is asked of the hands.
    pub voicing: Voicing,
    /// The same form, in any order, on both neighbours in the cycle of fourths; every answer that
    /// would be right there.
    pub neighbours: Vec<(Chord, Hands)>,
    /// The time limit.
    pub limit: Time,
    /// The item closes at this many hundredths of the limit.
    pub grace: u32,
    /// Whether the bass sounds the root as the prompt appears. It is no key of the candidate's.
    pub with_bass: bool,
}

/// A chord of a run.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct RunChord {
    /// The chord.
    pub chord: Chord,
    /// Where it begins, in twelfths of a bar of four beats.
    pub at_twelfths: u32,
    /// How long it lasts, in twelfths of a bar.
    pub twelfths: u32,
}

/// Play a line.
#[derive(Debug, Clone, PartialEq)]
pub struct RunTask {
    /// What the line is, such as `cycle-of-fourths`.
    pub name: String,
    /// The name of the form of voicing; empty where any will do.
    pub form: String,
    /// The chords.
    pub chords: Vec<RunChord>,
    /// What is asked on each chord, one list for each order that the line may start with: one
    /// only unless the start is left open, none where any voicing with third and seventh will do.
    /// They are the same in every key.
    pub lines: Arc<Vec<Vec<Voicing>>>,
    /// In tempo or free.
    pub pace: Pace,
    /// Whether a bass sounds the roots on their beats; in tempo only.
    pub with_bass: bool,
}

/// When things are due in a run, since the prompt.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Timing {
    /// The end of the time to look.
    pub look: Time,
    /// One beat; in a free run the limit of a chord.
    pub beat: Time,
    /// The chords' beats, in tempo only.
    pub beats: Vec<Time>,
    /// The end of the last chord.
    pub end: Time,
}

impl Timing {
    /// Moves the beats, and the end with them, by so much; a free run has none and stays as it is.
    #[must_use]
    pub fn late(mut self, lag: Time) -> Self {
        if !self.beats.is_empty() {
            for beat in &mut self.beats {
                *beat += lag;
            }
            self.end += lag;
        }

        self
    }
}

impl RunTask {
    /// Works out the timing under a time factor in hundredths: it multiplies look time and the
    /// limits of a free run, and divides the tempo.
    pub fn timing(&self, factor: u32) -> Timing {
        let scale = |time: Time| time.scaled(i64::from(factor), 100);

        match self.pace {
            Pace::Free { limit, look } => {
                let (look, beat) = (scale(look), scale(limit));
                Timing {
                    look,
                    beat,
                    beats: Vec::new(),
                    end: look + beat.scaled(self.chords.len() as i64, 1),
                }
            }
            Pace::Tempo {
                tempo,
                bars_in,
                look,
                ..
            } => {
                let look = scale(look);
                // A beat is 600,000 tenths of a millisecond over the tempo; a third of a beat is
                // a twelfth of a bar. Rounded once, from the exact value.
                let at = |twelfths: i64| {
                    let numerator = twelfths * 600_000 * i64::from(factor);
                    let denominator = 3 * i64::from(tempo);
                    look + Time::from_tenths((numerator + denominator / 2) / denominator)
                };
                let first = 12 * i64::from(bars_in);
                let last = self
                    .chords
                    .last()
                    .map_or(0, |chord| chord.at_twelfths + chord.twelfths);
                Timing {
                    look,
                    beat: at(3) - look,
                    beats: self
                        .chords
                        .iter()
                        .map(|chord| at(first + i64::from(chord.at_twelfths)))
                        .collect(),
                    end: at(first + i64::from(last)),
                }
            }
        }
    }
}

/// Name what was heard, or play it.
#[derive(Debug, Clone, PartialEq)]
pub struct EarTask {
    /// What is asked, a part each.
    pub asks: Arc<Vec<Ask>>,
    /// The options of each part, in the order shown.
    pub options: Arc<Vec<Vec<String>>>,
    /// The right option of each part, by its place among the options.
    pub right: Arc<Vec<usize>>,
    /// All accepted texts of each part.
    pub answers: Arc<Vec<Vec<String>>>,
    /// The pitch class of the root that is sounded, of the first root where there are several, or
    /// of the lower note of an interval.
    pub root: u8,
    /// The names of the keys of each step where it is played back; else none.
    pub names: Arc<Vec<Vec<Name>>>,
    /// What sounds.
    pub sound: Sound,
    /// Hearings in all.
    pub hearings: u8,
    /// The time to answer.
    pub limit: Time,
}

impl EarTask {
    /// Tells whether it is answered at the keyboard.
    pub fn is_played(&self) -> bool {
        self.asks.first() == Some(&Ask::PlayBack)
    }

    /// Returns the keys of each step that is to be played back, from low to high.
    pub fn steps(&self) -> Vec<Vec<u8>> {
        self.sound
            .strikes
            .iter()
            .map(|strike| strike.keys.iter().map(|(key, _)| *key).collect())
            .collect()
    }
}

/// Spell a chord.
#[derive(Debug, Clone, PartialEq)]
pub struct SpellTask {
    /// The chord.
    pub chord: Chord,
    /// The chord tones from the root up: degree, and the names accepted, strict spelling first.
    pub tones: Vec<(Degree, Vec<Name>)>,
    /// The time limit.
    pub limit: Time,
}

/// Wait for a person's mark.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PanelTask {
    /// What is judged.
    pub criterion: String,
}
