//! Sections that are heard: what is asked, and what sounds.

use crate::theory::progression::Progression;
use crate::theory::quality::Quality;
use crate::theory::voicing::form::Form;
use crate::time::Time;

/// Things heard.
#[derive(Debug, Clone, PartialEq)]
pub struct EarSection {
    /// What is asked; the parts share the mark. A dictation asks bass and quality of each chord.
    pub asks: Vec<Ask>,
    /// The time to answer, from the end of the compulsory hearing.
    pub limit: Time,
    /// Hearings in all, the compulsory one included.
    pub hearings: u8,
    /// Whether a bass or root is sounded that decides between like chords.
    pub rooted: bool,
    /// The options of each part, in the order shown; none where it is answered at the keyboard.
    pub options: Vec<Vec<String>>,
    /// The cells.
    pub cells: Vec<EarCell>,
}

/// A question to the ear.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Ask {
    /// The chord's quality.
    Quality,
    /// Which chord tone is on top.
    Top,
    /// The interval.
    Interval,
    /// Which chord tone is in the bass.
    Inversion,
    /// The tension on a dominant.
    Tension,
    /// The progression.
    Progression,
    /// How the root moves.
    RootMotion,
    /// Which voice of a printed chord is wrong.
    WrongVoice,
    /// Which cadence or formula of the trade.
    Cadence,
    /// Which degree of the key each chord of a progression has in the bass; its quality is asked
    /// with it, and the two together are a dictation.
    Bass,
    /// What was heard, played at the keyboard.
    PlayBack,
}

impl Ask {
    /// All questions by the word that scripts use.
    pub const WORDS: [(&'static str, Self); 11] = [
        ("quality", Self::Quality),
        ("top", Self::Top),
        ("interval", Self::Interval),
        ("inversion", Self::Inversion),
        ("tension", Self::Tension),
        ("progression", Self::Progression),
        ("root-motion", Self::RootMotion),
        ("wrong-voice", Self::WrongVoice),
        ("cadence", Self::Cadence),
        ("dictation", Self::Bass),
        ("play-back", Self::PlayBack),
    ];

    /// Returns a short word for what is asked.
    pub fn word(self) -> &'static str {
        match self {
            // The script's word is for bass and quality together.
            Self::Bass => "bass",
            _ => Self::WORDS
                .iter()
                .find(|(_, ask)| *ask == self)
                .map_or("", |(word, _)| word),
        }
    }

    /// Returns the question in words.
    pub const fn question(self) -> &'static str {
        match self {
            Self::Quality => "Which quality did you hear?",
            Self::Top => "Which chord tone is on top?",
            Self::Interval => "Which interval did you hear?",
            Self::Inversion => "Which chord tone is in the bass?",
            Self::Tension => "Which tension was added to the dominant?",
            Self::Progression => "Which progression did you hear?",
            Self::RootMotion => "How did the root move?",
            Self::WrongVoice => "Which voice was wrong?",
            Self::Cadence => "Which cadence did you hear?",
            Self::Bass => "Which degree is in the bass?",
            Self::PlayBack => "Play what you hear.",
        }
    }
}

impl EarSection {
    /// Tells whether bass and quality of each chord of a progression are asked.
    pub fn is_dictation(&self) -> bool {
        self.asks.first() == Some(&Ask::Bass)
    }

    /// Tells whether it is answered at the keyboard.
    pub fn is_played(&self) -> bool {
        self.asks.first() == Some(&Ask::PlayBack)
    }
}

/// How a chord is spread for the ear.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Spacing {
    /// Within about an octave over its bass.
    Close,
    /// Over about an octave and a half.
    Open,
    /// Root and fifth or seventh left, the rest right.
    TwoHand,
}

impl Spacing {
    /// All spacings by the word that scripts use.
    pub const WORDS: [(&'static str, Self); 3] = [
        ("close", Self::Close),
        ("open", Self::Open),
        ("two-hand", Self::TwoHand),
    ];
}

/// Ear items of one cell.
#[derive(Debug, Clone, PartialEq)]
pub struct EarCell {
    /// How many.
    pub count: u32,
    /// What is sounded.
    pub stimulus: Stimulus,
    /// The roots they are drawn from, as pitch classes.
    pub roots: Vec<u8>,
}

/// What an ear item sounds.
#[derive(Debug, Clone, PartialEq)]
pub enum Stimulus {
    /// A chord with its root in the bass, or another chord tone after the root has sounded.
    Chord {
        /// The quality.
        quality: Quality,
        /// The spacing.
        spacing: Spacing,
        /// The number of the degree on top (3, 5 or 7), where the script says.
        top: Option<u8>,
        /// The number of the degree in the bass (1, 3, 5 or 7).
        bass: u8,
    },
    /// Two notes.
    Interval {
        /// The interval, in semitones.
        semitones: u8,
        /// Together, rising or falling.
        motion: Motion,
    },
    /// A plain dominant, then with a tension.
    Tension {
        /// The tension.
        tension: crate::theory::Degree,
    },
    /// A progression after its tonic: to be named (`progression`, `cadence`) or taken down, of 4 to
    /// 8 chords then.
    Progression {
        /// What it is.
        progression: Progression,
    },
    /// Two chords of a quality on two roots.
    RootMotion {
        /// The quality.
        quality: Quality,
        /// How far up the second root lies, in semitones from 1 to 11.
        up: u8,
    },
    /// Notes one after the other, to be played back: `motive = "1 b3 4 5"`, no default.
    Motive {
        /// How far each of 3 to 5 lies above the root, in semitones from 0 to 16.
        notes: Vec<u8>,
    },
    /// A progression voiced in a form, without its tonic before it, to be played back:
    /// `progression = "V-I", form = "guide-tones"`, no defaults.
    Line {
        /// The chords, 2 to 5.
        progression: Progression,
        /// The form of voicing; the line begins in its first order.
        form: Form,
    },
    /// A chord with one voice a semitone off.
    WrongVoice {
        /// The quality as printed.
        quality: Quality,
        /// The number of the degree that is wrong (1, 3, 5 or 7).
        voice: u8,
    },
}

/// How the notes of an interval come.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Motion {
    /// Both at once.
    Harmonic,
    /// The lower first.
    Rising,
    /// The upper first.
    Falling,
}
