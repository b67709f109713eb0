//! An exam as its script says, checked: nothing here is missing, out of range or contradictory.

mod ear;

pub use self::ear::{Ask, EarCell, EarSection, Motion, Spacing, Stimulus};
use crate::theory::progression::Progression;
use crate::theory::quality::Quality;
use crate::theory::symbol;
use crate::theory::voicing::form::Form;
use crate::time::Time;

/// One exam.
#[derive(Debug, Clone, PartialEq)]
pub struct Exam {
    /// The name of its file without the ending.
    pub name: String,
    /// The title on its cover.
    pub title: String,
    /// Whom it is for.
    pub level: String,
    /// Which edition of the script this is.
    pub edition: String,
    /// What it is about, in a sentence or two.
    pub about: String,
    /// How chord symbols are printed.
    pub style: symbol::Style,
    /// The pass mark, in hundredths of a mark.
    pub pass: Option<u32>,
    /// The rules of the room.
    pub rules: Rules,
    /// The key groups.
    pub groups: Vec<Group>,
    /// Forms of voicing that the script brings itself.
    pub forms: Vec<Form>,
    /// Progressions that the script brings itself.
    pub progressions: Vec<Progression>,
    /// Grade bands, highest first.
    pub bands: Vec<Band>,
    /// The sections, in order.
    pub sections: Vec<Section>,
}

/// The rules of the room.
#[derive(Debug, Clone, PartialEq)]
pub struct Rules {
    /// Attempts at a hand item, 1 to 9.
    pub tries: u8,
    /// Whether the answer is shown after each item: a practice paper.
    pub feedback: bool,
    /// Whether held keys are echoed on the screen.
    pub echo: bool,
    /// The least and the greatest time factor, in hundredths (100 to 1000).
    pub time_factor: (u32, u32),
    /// Why timing is essential, in a sentence.
    pub timing: String,
    /// Unmarked items before the first section.
    pub warm_ups: u8,
    /// Spare items, in percent of each cell.
    pub reserve: u8,
    /// Parallel forms in a set, 1 to 31.
    pub seats: u8,
    /// The widest hand, in semitones.
    pub span: u8,
    /// A set of keys unchanged for so long is an attempt.
    pub settle: Time,
    /// Whether the candidate sees the mark sheet at the end.
    pub show_marks: bool,
    /// Whether a kiosk offers a practice paper at the end; unless the script says, where answers or
    /// marks are shown.
    pub practise: bool,
    /// Hearings of ear items where a section does not say.
    pub hearings: Option<u8>,
    /// The figures of the marking rules.
    pub rubric: Rubric,
}

/// The figures of the marking rules that an exam may change; see the marking rules for each.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Rubric {
    /// A key struck so soon after a match belongs to the attempt.
    pub gather: Time,
    /// A key struck later than this after the one before begins another attempt, if something
    /// was released between; in a run it begins another sounding.
    pub apart: Time,
    /// A set held for so long counts as found on the way.
    pub found: Time,
    /// In a graded exam an item closes so long after an offer without a new key.
    pub closing: Time,
    /// A foreign key softer than this, and shorter than [`Self::graze_held`], is a graze.
    pub graze_velocity: u8,
    /// See [`Self::graze_velocity`].
    pub graze_held: Time,
    /// The widest beat window; half a beat where that is less.
    pub window: Time,
    /// Keys of the chord before count if still down so long after a sounding's last note.
    pub still_down: Time,
    /// Movement over the least possible, in percent: the bounds of the steps 4, 3 and 2.
    pub leading: [u32; 3],
    /// Median time to complete over the limit, in percent: the bounds of the steps 4, 3 and 2.
    pub readiness: [u32; 3],
    /// Mean distance from the beat in percent of it: the bounds of the steps 4, 3 and 2.
    pub time: [u32; 3],
}

impl Rubric {
    /// The figures of the marking rules.
    pub const DEFAULT: Self = Self {
        gather: Time::from_ms(80),
        apart: Time::from_ms(200),
        found: Time::from_ms(200),
        closing: Time::from_ms(1500),
        graze_velocity: 20,
        graze_held: Time::from_ms(80),
        window: Time::from_ms(400),
        still_down: Time::from_ms(150),
        leading: [125, 175, 250],
        readiness: [40, 60, 85],
        time: [5, 8, 13],
    };
}

/// A group of keys of like difficulty.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Group {
    /// Its name, such as `I`.
    pub name: String,
    /// Its pitch classes.
    pub classes: Vec<u8>,
}

/// A grade band.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Band {
    /// The least total, in hundredths of a mark.
    pub from: u32,
    /// The band's name.
    pub name: String,
}

/// A section of the exam.
#[derive(Debug, Clone, PartialEq)]
pub struct Section {
    /// Its letter or short name.
    pub id: String,
    /// Its title.
    pub title: String,
    /// Its points, in hundredths of a mark.
    pub points: u32,
    /// The least mark that does not fail the exam, in hundredths.
    pub hurdle: Option<u32>,
    /// The standard for each answer of a section that is heard.
    pub each: Option<Each>,
    /// The seconds between the end of an item and the next prompt.
    pub gap: Time,
    /// What is asked.
    pub kind: Kind,
}

/// A standard for each answer to the first question of a section that is heard, beside its hurdle.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Each {
    /// The least number of right answers for each.
    pub least: u32,
    /// The ids of other sections whose sounds are counted with this one's.
    pub with: Vec<String>,
}

/// What a section asks.
#[derive(Debug, Clone, PartialEq)]
pub enum Kind {
    /// Single voicings, cold.
    Voicing(VoicingSection),
    /// Progressions.
    Run(RunSection),
    /// Things heard.
    Ear(EarSection),
    /// Chord tones written.
    Spell(SpellSection),
    /// Marks given by a person.
    Panel(PanelSection),
    /// A pause that stops the clock.
    Rest {
        /// How long.
        length: Time,
    },
}

impl Kind {
    /// Returns the word that scripts and files use.
    pub const fn word(&self) -> &'static str {
        match self {
            Self::Voicing(_) => "voicing",
            Self::Run(_) => "run",
            Self::Ear(_) => "ear",
            Self::Spell(_) => "spell",
            Self::Panel(_) => "panel",
            Self::Rest { .. } => "rest",
        }
    }
}

/// Single voicings.
#[derive(Debug, Clone, PartialEq)]
pub struct VoicingSection {
    /// The time limit of an item.
    pub limit: Time,
    /// The item closes at this many hundredths of the limit.
    pub grace: u32,
    /// Whether the sustain pedal prolongs keys.
    pub pedal: bool,
    /// How often each root comes, where that is asked.
    pub each_root: Option<u8>,
    /// Whether the bass sounds the root as the prompt appears.
    pub with_bass: bool,
    /// The cells.
    pub cells: Vec<VoicingCell>,
}

/// Items of one cell: same quality, group and order.
#[derive(Debug, Clone, PartialEq)]
pub struct VoicingCell {
    /// How many.
    pub count: u32,
    /// The chord quality.
    pub quality: Quality,
    /// The roots they are drawn from, as pitch classes.
    pub roots: Vec<u8>,
    /// The form of voicing.
    pub form: Form,
    /// Which order of the form.
    pub order: usize,
}

/// Progressions.
#[derive(Debug, Clone, PartialEq)]
pub struct RunSection {
    /// The weights of the criteria.
    pub weights: Weights,
    /// Whether the sustain pedal prolongs keys.
    pub pedal: bool,
    /// Whether the runs come in drawn order.
    pub shuffle: bool,
    /// The cells.
    pub cells: Vec<RunCell>,
}

/// The weights of a run's criteria.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Weights {
    /// Right chords at first sounding.
    pub harmony: u32,
    /// The asked form.
    pub voicing: u32,
    /// Movement of the right hand.
    pub leading: u32,
    /// Time to complete, in a free run.
    pub readiness: u32,
    /// Closeness to the beat, in tempo.
    pub time: u32,
}

impl Weights {
    /// The weights of the marking rules.
    pub const DEFAULT: Self = Self {
        harmony: 40,
        voicing: 20,
        leading: 10,
        readiness: 15,
        time: 15,
    };
}

/// Runs of one cell.
#[derive(Debug, Clone, PartialEq)]
pub struct RunCell {
    /// How many.
    pub count: u32,
    /// What is played.
    pub line: Line,
    /// The pitch classes of the tonic, or of the first root in the cycle.
    pub keys: Vec<u8>,
    /// The form of voicing; `None` for any that has third and seventh.
    pub form: Option<Form>,
    /// Which order the line starts with.
    pub start: Start,
    /// In tempo or free.
    pub pace: Pace,
    /// Whether a bass sounds the roots on their beats; in tempo only.
    pub with_bass: bool,
}

/// The chords of a run.
#[derive(Debug, Clone, PartialEq)]
pub enum Line {
    /// One quality round the cycle of fourths.
    Cycle {
        /// The quality.
        quality: Quality,
        /// How many chords.
        chords: u32,
    },
    /// One quality on all twelve roots in an order that is drawn with each form.
    AtRandom {
        /// The quality.
        quality: Quality,
        /// The roots as drawn, as pitch classes; empty in a script.
        roots: Vec<u8>,
    },
    /// A progression.
    Progression(Progression),
}

impl Line {
    /// Returns the name that scripts use.
    pub fn name(&self) -> &str {
        match self {
            Self::Cycle { .. } => "cycle-of-fourths",
            Self::AtRandom { .. } => "at-random",
            Self::Progression(progression) => &progression.name,
        }
    }

    /// Tells whether its roots are drawn with each form.
    pub const fn is_at_random(&self) -> bool {
        matches!(self, Self::AtRandom { .. })
    }

    /// Returns the line with its roots as drawn, where they are.
    #[must_use]
    pub fn drawn(&self, roots: Vec<u8>) -> Self {
        match self {
            Self::AtRandom { quality, .. } => Self::AtRandom {
                quality: *quality,
                roots,
            },
            other => other.clone(),
        }
    }
}

/// The order that a line starts with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Start {
    /// This order of the form.
    Order(usize),
    /// Drawn with the form.
    Drawn,
    /// Left to the candidate.
    Open,
}

/// How a run goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Pace {
    /// In tempo.
    Tempo {
        /// Beats a minute, in hundredths.
        tempo: u32,
        /// Bars counted in.
        bars_in: u32,
        /// Whether the beats click on after the count-in.
        metronome: bool,
        /// Time to look before the count-in.
        look: Time,
    },
    /// In the candidate's own time.
    Free {
        /// The limit of each chord.
        limit: Time,
        /// Time to look before the first chord.
        look: Time,
    },
}

/// Chord tones written.
#[derive(Debug, Clone, PartialEq)]
pub struct SpellSection {
    /// The time limit of an item.
    pub limit: Time,
    /// The cells.
    pub cells: Vec<SpellCell>,
}

/// Spelling items of one cell.
#[derive(Debug, Clone, PartialEq)]
pub struct SpellCell {
    /// How many.
    pub count: u32,
    /// The chord quality.
    pub quality: Quality,
    /// The roots they are drawn from, as printed.
    pub roots: Vec<crate::theory::Name>,
    /// The numbers of the chord tones asked beside the root, in rising order; empty for all.
    pub tones: Vec<u8>,
}

/// Marks given by a person.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PanelSection {
    /// What is judged; the section's points are shared equally.
    pub criteria: Vec<String>,
}

impl Exam {
    /// Returns the points of all sections together, in hundredths.
    pub fn points(&self) -> u32 {
        self.sections.iter().map(|section| section.points).sum()
    }

    /// Returns the name of the group that a pitch class belongs to.
    pub fn group_of(&self, class: u8) -> Option<&str> {
        self.groups
            .iter()
            .find(|group| group.classes.contains(&class))
            .map(|group| group.name.as_str())
    }
}
